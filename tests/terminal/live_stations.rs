//! Several terminals on one folder: what one enters stands at the others with no key
//! pressed there, and whoever left is told from whoever vanished.
#![cfg(unix)]

use std::path::Path;
use std::time::{Duration, Instant};

use benchway::journal::Event;
use benchway::work::Task;
use rustix::process::Signal;
use serde_json::Value;

use crate::bench::{begin, benchway_at_home, json};
use crate::terminal::Terminal;
use crate::traveler::{BENCHWAY, Hand, USUAL, empty_home, lines, only_batch, to_size, walk};
use crate::walker::SHOP;

/// A second is promised; a busy computer may take longer.
const PROMISED: Duration = Duration::from_secs(3);

fn readings_at(home: &Path, station: &str) -> usize {
    let lines = lines(home);
    let own = lines.iter().filter(|line| line.station == station);
    own.filter(|line| matches!(line.event, Event::Reading(_))).count()
}

/// The cart and a bench, both asked to measure the same first piece.
fn two_at_one_piece(home: &tempfile::TempDir) -> (Hand, Hand) {
    let is_read = |_: u32, task: &Task| matches!(task, Task::Read { .. });
    let mut cart = Hand::at_a_stool(home, &[]);
    let name = only_batch(home.path()).name().to_owned();
    cart.walk_to(is_read);
    let mut bench = Hand::at(walk(home.path(), &[&name, "--station", "bench"], USUAL), home);
    bench.station = "bench";
    bench.walk_to(is_read);
    assert_eq!(cart.task(), bench.task());
    (cart, bench)
}

/// A reading at the cart stands at the bench with no key pressed there. What is typed at the
/// bench stays, and its first Enter books nothing to a piece that wasn't asked for.
#[test]
fn a_reading_comes_by_itself_and_what_is_typed_stays() {
    let home = empty_home();
    let (mut cart, mut bench) = two_at_one_piece(&home);
    bench.terminal.send("1.3");
    bench.terminal.wait_for("> 1.3");
    let begun = Instant::now();
    cart.step(&to_size);
    bench.terminal.wait_for("Another station moved on.");
    let took = begun.elapsed();
    println!("at the other station after {} ms", took.as_millis());
    assert!(took < PROMISED, "{took:?}");
    bench.terminal.wait_for("> 1.3");
    bench.terminal.send("\r5");
    bench.terminal.wait_for("> 1.35");
    assert_eq!((readings_at(home.path(), "cart"), readings_at(home.path(), "bench")), (1, 0));
    // Whoever has seen what is asked now goes on.
    bench.terminal.send("\x15");
    bench.terminal.wait_until_gone("> 1.35");
    bench.step(&to_size);
}

/// Line by line it is said once, and the line after it isn't booked either.
#[test]
fn it_is_said_once_line_by_line() {
    let home = empty_home();
    let mut cart = Hand::at_a_stool(&home, &[]);
    cart.walk_to(|_, task| matches!(task, Task::Cut { .. }));
    let name = only_batch(home.path()).name().to_owned();
    let mut bench = walk(home.path(), &["--plain", &name, "--station", "bench"], (80, 50));
    bench.wait_for("Your initials:");
    bench.send("ab\r");
    bench.wait_for("AB has been at this operation at the cart station since");
    bench.wait_for("How many are cut");
    let said = |at: &Terminal| at.text().matches("Another station moved on.").count();
    assert_eq!(said(&bench), 0, "{}", bench.text());
    let begun = Instant::now();
    cart.step(&to_size);
    bench.wait_for("Another station moved on.");
    assert!(begun.elapsed() < PROMISED);
    let before = lines(home.path()).len();
    bench.send("1\r");
    bench.wait_for("Something changed meanwhile.");
    assert_eq!((said(&bench), lines(home.path()).len()), (1, before), "{}", bench.text());
}

/// Somebody at a station, who has said who they are.
fn arrive(home: &Path, named: &[&str], who: &str) -> Terminal {
    let mut terminal = walk(home, named, USUAL);
    terminal.wait_for("is at the machine?");
    terminal.send(&format!("{who}\r"));
    terminal.wait_until_gone("is at the machine?");
    terminal
}

fn people(home: &Path) -> Vec<(String, String)> {
    let (code, today) =
        json(&benchway_at_home(&home.join("batches"), &["today", "--format", "json"]));
    assert_eq!(code, 0);
    let machines = today["machines"].as_array().expect("machines");
    let at_machines = machines.iter().flat_map(|at| at["people"].as_array().expect("people"));
    let others = ["elsewhere", "left"].map(|key| today[key].as_array().expect("people"));
    let all = at_machines.chain(others.into_iter().flatten());
    let text = |held: &Value, key: &str| held[key].as_str().expect("a text").to_owned();
    let mut people: Vec<_> = all.map(|held| (text(held, "who"), text(held, "standing"))).collect();
    people.sort();
    people
}

fn standings(people: &[(String, String)]) -> Vec<(&str, &str)> {
    people.iter().map(|(who, standing)| (who.as_str(), standing.as_str())).collect()
}

/// Who leaves is told from who is killed, by the page and by the screen on the wall, which
/// hears of it with no key pressed.
#[test]
fn leaving_is_told_from_vanishing() {
    let home = empty_home();
    let place = home.path();
    let mut cart = arrive(place, &["reading-stool", "--sets", "1"], "mb");
    let name = only_batch(place).name().to_owned();
    let bench = arrive(place, &[&name, "--station", "bench"], "rk");
    let wall = Terminal::start(BENCHWAY, &["today", "--watch"], place, &[], USUAL);
    wall.wait_for("MB at cart");
    wall.wait_for("RK at bench");
    assert_eq!(standings(&people(place)), [("MB", "here"), ("RK", "here")]);

    let begun = Instant::now();
    bench.signal(Signal::KILL);
    wall.wait_for("RK no longer at bench");
    assert!(begun.elapsed() < PROMISED);
    assert_eq!(standings(&people(place)), [("MB", "here"), ("RK", "vanished")]);

    let begun = Instant::now();
    cart.send("\x03");
    assert_eq!(cart.ended().exit_code(), 0);
    wall.wait_until_gone("MB at cart");
    assert!(begun.elapsed() < PROMISED);
    assert_eq!(standings(&people(place)), [("MB", "left"), ("RK", "vanished")]);
    let last = lines(place).pop().expect("lines");
    assert_eq!((last.station.as_str(), &last.event), ("cart", &Event::StationLeft {}));

    // Whoever comes back is there, and whoever leaves without having said who they are
    // leaves for whoever vanished.
    let mut bench = walk(place, &[&name, "--station", "bench"], USUAL);
    bench.wait_for("is at the machine?");
    bench.send("\x03");
    assert_eq!(bench.ended().exit_code(), 0);
    assert_eq!(standings(&people(place)), [("MB", "left"), ("RK", "left")]);
    let page = benchway_at_home(&place.join("batches"), &["today"]).out;
    assert!(page.contains("MB left cart at ") && page.contains("RK left bench at "), "{page}");
    // Leaving twice is written once.
    let before = lines(place).len();
    let mut bench = walk(place, &[&name, "--station", "bench"], USUAL);
    bench.wait_for("is at the machine?");
    bench.send("\x03");
    bench.ended();
    assert_eq!(lines(place).len(), before);
}

/// A batch that is begun elsewhere is listed with no key pressed.
#[test]
fn the_list_has_what_was_begun_elsewhere() {
    let home = empty_home();
    let batches = home.path().join("batches");
    let at = chrono::Utc::now().fixed_offset();
    let route = benchway::route::bundled("reading-stool").expect("a bundled route").text;
    let there = benchway::journal::Home::locate(Some(batches)).expect("a folder was named");
    let first = begin(&there, "ferry stools", (route, SHOP), "bench", at, None);
    drop(first.unwrap_or_else(|why| panic!("{why}")));
    let list = Terminal::start(BENCHWAY, &[], home.path(), &[], USUAL);
    list.wait_for("ferry stools");
    // The watch begins after the first drawing.
    std::thread::sleep(Duration::from_millis(500));
    let begun = Instant::now();
    let second = begin(&there, "harbour stools", (route, SHOP), "bench", at, None);
    drop(second.unwrap_or_else(|why| panic!("{why}")));
    list.wait_for("harbour stools");
    assert!(begun.elapsed() < PROMISED);
}
