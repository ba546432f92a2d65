//! A lead's PIN: given, asked for before the lead's word is recorded, and taken away.

use std::io::Write;
use std::path::Path;
use std::process::{Command, Stdio};
use std::time::Duration;

use benchway::journal::{Decision, Event, Home};

use crate::bench::Said;
use crate::walker::STOOL;

/// Runs the program with these lines as its input; a pause comes before each line that
/// begins with `~`, which is left out.
fn told(folder: &Path, arguments: &[&str], lines: &[&str]) -> Said {
    let mut command = Command::new(env!("CARGO_BIN_EXE_benchway"));
    command.args(arguments).current_dir(folder).env_clear();
    command.env("BENCHWAY_HOME", folder.join("home"));
    command.stdin(Stdio::piped()).stdout(Stdio::piped()).stderr(Stdio::piped());
    let mut child = command.spawn().expect("the program was built with these tests");
    let mut input = child.stdin.take().expect("a pipe");
    for line in lines {
        if line.starts_with('~') {
            std::thread::sleep(Duration::from_millis(1500));
        }
        // Whoever has left reads no more.
        let _ = writeln!(input, "{}", line.trim_start_matches('~'));
    }
    drop(input);
    let ended = child.wait_with_output().expect("it ends");
    let text = |bytes| String::from_utf8(bytes).expect("the program prints text");
    Said {
        code: ended.status.code().unwrap_or(-1),
        out: text(ended.stdout),
        err: text(ended.stderr),
    }
}

fn events(folder: &Path) -> Vec<Event> {
    let home = Home::locate(Some(folder.join("home"))).expect("a folder was named");
    let batches = home.batches().expect("listed");
    let [batch] = batches.as_slice() else { panic!("{batches:?}") };
    let everything = batch.read_all::<Event>().expect("readable");
    everything.entries.into_iter().map(|line| line.event).collect()
}

#[test]
fn a_pin_is_given_and_taken_away() {
    let folder = tempfile::tempdir().expect("a folder");
    let ask = |arguments: &[&str], lines: &[&str]| told(folder.path(), arguments, lines);
    let given = ask(&["pin", "mb"], &["4711"]);
    assert_eq!(given.out, "MB has a PIN now. It keeps honest people honest.\n", "{}", given.err);
    assert!(folder.path().join("home/pins.json").is_file());
    for (words, lines, why) in [
        (&["pin", "MB"][..], &["123"][..], "a PIN has at least 4 characters"),
        (&["pin", "MB"], &[], "a PIN has at least 4 characters"),
        (&["pin", "M1"], &["4711"], "Initials are one to eight letters."),
        (&["pin", "M1", "--remove"], &[], "Initials are one to eight letters."),
    ] {
        let said = ask(words, lines);
        assert_eq!((said.code, said.out.as_str()), (2, ""), "{}", said.err);
        assert!(said.err.contains(why), "{}", said.err);
    }
    assert_eq!(ask(&["pin", "MB", "--remove"], &[]).out, "MB has no PIN any more.\n");
    assert_eq!(ask(&["pin", "MB", "--remove"], &[]).out, "MB had no PIN.\n");
}

/// Somebody sets a leg aside with the initials of MB. A wrong PIN records nothing, and neither
/// does the right one before its time.
#[test]
fn the_leads_word_waits_for_the_pin() {
    let folder = tempfile::tempdir().expect("a folder");
    let ask = |arguments: &[&str], lines: &[&str]| told(folder.path(), arguments, lines);
    assert_eq!(ask(&["pin", "MB"], &["4711"]).code, 0);
    let begin = ["walk", "--plain", "reading-stool", "--articles", "1", "--name", "stools"];
    let aside = ["ST", "pieces", "aside leg 3", "MB split"];
    let said = ask(&begin, &[&aside[..], &["4712", "4711"]].concat());
    assert_eq!((said.code, said.err.as_str()), (0, ""), "{}", said.out);
    let is_decided = |event: &Event| matches!(event, Event::Decided { decision: Decision::SetAside, why, .. } if why == "MB: split");
    let decided = || events(folder.path()).iter().filter(|event| is_decided(event)).count();
    for words in
        ["PIN of MB:", "This is not the PIN of MB. The next try is in 1 s.", "Wait 1 s, then type"]
    {
        assert!(said.out.contains(words), "{words}: {}", said.out);
    }
    assert_eq!(decided(), 0, "{}", said.out);
    // Nobody reads it over a shoulder, nor in what was printed.
    assert!(!said.out.contains("4711") && !said.out.contains("4712"), "{}", said.out);
    let again = ["walk", "--plain", "stools"];
    let said = ask(&again, &[&aside[..], &["4712", "~4711"]].concat());
    assert_eq!(decided(), 1, "{}", said.out);
    // Another lead has no PIN, and what needs no lead asks for none.
    let other = ask(&again, &["ST", "pieces", "aside leg 4", "AB split"]);
    assert!(!other.out.contains("PIN"), "{}", other.out);
}

/// A question that is dropped, and an empty line, record nothing and keep what was typed.
#[test]
fn without_the_pin_nothing_is_recorded() {
    let folder = tempfile::tempdir().expect("a folder");
    let ask = |arguments: &[&str], lines: &[&str]| told(folder.path(), arguments, lines);
    assert_eq!(ask(&["pin", "MB"], &["4711"]).code, 0);
    let begin = ["walk", "--plain", "reading-stool", "--articles", "1", "--name", "stools"];
    let typed = ["ST", "pieces", "aside leg 3", "MB split", "", "MB split", "cancel", "cancel"];
    let said = ask(&begin, &typed);
    assert_eq!((said.code, said.err.as_str()), (0, ""), "{}", said.out);
    assert!(said.out.contains("Nothing was recorded: the PIN is missing"), "{}", said.out);
    assert_eq!(said.out.matches("PIN of MB:").count(), 2, "{}", said.out);
    assert_eq!(said.out.matches("Aside: lead's initials").count(), 3, "{}", said.out);
    let is_decided = |event: &Event| matches!(event, Event::Decided { .. });
    assert!(!events(folder.path()).iter().any(is_decided), "{}", said.out);
    // The journal keeps no PIN, and a copy of a batch none either.
    let batch = folder.path().join("home/stools");
    assert!(!batch.join("pins.json").exists());
}

#[test]
fn a_route_is_adopted_on_the_pin() {
    let folder = tempfile::tempdir().expect("a folder");
    let ask = |arguments: &[&str], lines: &[&str]| told(folder.path(), arguments, lines);
    assert_eq!(ask(&["pin", "MB"], &["4711"]).code, 0);
    let begin = ["walk", "--plain", "reading-stool", "--articles", "1", "--name", "stools"];
    assert_eq!(ask(&begin, &[]).code, 0);
    let route = folder.path().join("corrected.json");
    let text = STOOL.replacen("tenon_length + 1/32", "tenon_length + 1/16", 1);
    std::fs::write(&route, text).expect("written");
    let route = route.to_str().expect("text");
    let adopt = ["adopt", "stools", route, "--word", "MB too shallow"];
    let is_adopted = |event: &Event| matches!(event, Event::RouteAdopted { .. });
    let adopted = || events(folder.path()).iter().any(is_adopted);
    for lines in [&["4712"][..], &[], &["4712", "4711"]] {
        let said = ask(&adopt, lines);
        assert_eq!(said.code, 2, "{}", said.out);
        assert!(said.err.contains("this is not the PIN of MB"), "{}", said.err);
        assert!(!adopted());
    }
    let said = ask(&adopt, &["4711"]);
    assert_eq!((said.code, adopted()), (0, true), "{}{}", said.out, said.err);
}

/// A gauge is too coarse for its limits, which a lead may answer for.
#[test]
fn a_batch_begins_with_errors_on_the_pin() {
    let folder = tempfile::tempdir().expect("a folder");
    let ask = |arguments: &[&str], lines: &[&str]| told(folder.path(), arguments, lines);
    assert_eq!(ask(&["pin", "MB"], &["4711"]).code, 0);
    let route =
        concat!(env!("CARGO_MANIFEST_DIR"), "/tests/routes/invalid/gauge-cannot-judge.json");
    let begin = ["walk", "--plain", route, "--articles", "1", "--name", "coarse"];
    let word = "MB a micrometer is on its way";
    let said = ask(&begin, &[word, "4712"]);
    assert!(said.out.contains("This is not the PIN of MB."), "{}", said.out);
    assert!(!folder.path().join("home/coarse").exists());
    let said = ask(&begin, &[word, "4711"]);
    assert!(!said.out.contains("4711"), "{}", said.out);
    let is_begun = |event: &Event| matches!(event, Event::BegunWithErrors { .. });
    assert!(events(folder.path()).iter().any(is_begun), "{}", said.out);
}
