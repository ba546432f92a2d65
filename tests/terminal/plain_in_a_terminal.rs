//! The traveler line by line in a real terminal: what the terminal shows is typed by
//! somebody, and a gauge may type too.
#![cfg(unix)]

use std::path::Path;

use crate::terminal::Terminal;
use benchway::journal::{BatchFolder, Event, Home};

const BENCHWAY: &str = env!("CARGO_BIN_EXE_benchway");

fn only_batch(home: &Path) -> BatchFolder {
    let home = Home::locate(Some(home.join("batches"))).expect("a folder was named");
    home.batches().expect("listed").remove(0)
}

fn events(home: &Path) -> Vec<Event> {
    let lines = only_batch(home).read_all::<Event>().expect("readable").entries;
    lines.into_iter().map(|line| line.event).collect()
}

/// A gauge that sends Enter twice answers once: the second one would say that all
/// pieces are cut.
#[test]
fn a_second_enter_of_a_gauge_counts_nothing() {
    let home = tempfile::tempdir().expect("a temporary folder");
    let arguments = ["walk", "--plain", "reading-stool", "--articles", "1", "--name", "stool"];
    let surroundings = [("TERM", "dumb")];
    let mut at = Terminal::start(BENCHWAY, &arguments, home.path(), &surroundings, (80, 24));
    at.wait_for("Your initials:");
    at.send("mb\r");
    at.wait_for("Enter: read, and trained on this machine:");
    // Somebody reads the cautions: an Enter at once would count as the gauge.
    std::thread::sleep(std::time::Duration::from_millis(400));
    at.send("\r");
    at.wait_for("The stop scale shows, inches:");
    at.send("21\r\r");
    at.wait_for("Twenty-one inches: as wanted.");
    at.wait_for("How many are cut");
    at.send("q\r");
    at.wait_for("Note for the next person:");
    at.send("lunch\r");
    assert_eq!(at.ended().exit_code(), 0);
    at.is_put_back();
    let events = events(home.path());
    assert!(!events.iter().any(|event| matches!(event, Event::Done { .. })), "{events:?}");
    let left = |event: &Event| matches!(event, Event::Left { note, .. } if note == "lunch");
    assert!(events.iter().any(left), "{events:?}");
    assert!(!at.drawn().raw.contains(&0x1b), "{}", at.text());
}

/// A script of one answer too many, or a finger too fast: what was typed for the
/// questions after a slip answered the question that was asked again.
#[test]
fn what_is_typed_ahead_of_a_refusal_answers_nothing() {
    let home = tempfile::tempdir().expect("a temporary folder");
    let arguments = ["walk", "--plain", "reading-stool", "--articles", "1", "--name", "stool"];
    let surroundings = [("TERM", "dumb")];
    let mut at = Terminal::start(BENCHWAY, &arguments, home.path(), &surroundings, (80, 24));
    at.wait_for("Your initials:");
    at.send("mb\r");
    at.wait_for("Enter: read, and trained on this machine:");
    std::thread::sleep(std::time::Duration::from_millis(400));
    at.send("\r");
    at.wait_for("The stop scale shows, inches:");
    // A letter for a figure, then what was meant for the pieces.
    at.send("2l\r21\r\r4\r");
    at.wait_for("2 lines typed ahead not taken.");
    at.send("21\r");
    at.wait_for("Twenty-one inches: as wanted.");
    at.send("q\r");
    at.wait_for("Note for the next person:");
    at.send("lunch\r");
    assert_eq!(at.ended().exit_code(), 0);
    let events = events(home.path());
    let settings = events.iter().filter(|event| matches!(event, Event::Setting { .. })).count();
    assert_eq!(settings, 1, "{events:?}");
    assert!(!events.iter().any(|event| matches!(event, Event::Done { .. })), "{events:?}");
}
