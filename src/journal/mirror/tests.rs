//! What holds of the files that lines of other stations are written to.

use std::fs;
use std::path::PathBuf;

use serde_json::{Value, json};
use tempfile::TempDir;

use super::super::damage::Damage;
use super::super::disk::Disk;
use super::super::event::JournalLine;
use super::super::line::encode;
use super::super::station::lock;
use super::*;

const BEGUN: &str = "2026-11-25T08:00:00+01:00";

/// A line of a station as its program would have written it; `more` is put beside its keys.
fn line_with(station: &str, n: u64, event: Value, more: Value) -> MirroredLine {
    let mut line = json!({"n": n, "after": n, "at": BEGUN, "station": station, "who": "MB",
        "event": event});
    for (key, value) in more.as_object().into_iter().flatten() {
        line[key] = value.clone();
    }
    let line: JournalLine = serde_json::from_value(line).expect("a line");
    MirroredLine { n, text: encode(&line).trim_end().to_owned() }
}

fn line(station: &str, n: u64) -> MirroredLine {
    let event = json!({"note": {"op": null, "piece": null, "text": format!("the {n}th")}});
    line_with(station, n, event, json!({}))
}

/// A batch that the desk began elsewhere, in a folder of its own.
struct Copied {
    home: TempDir,
    mirror: Mirror,
    id: BatchId,
}

impl Copied {
    fn new() -> Copied {
        let home = tempfile::tempdir().expect("a folder for the test");
        let at = Home::locate(Some(home.path().to_owned())).expect("a folder was named");
        let mut mirror = Mirror::of(at);
        let event = json!({"started": {"batch": "trays", "route": "Tray", "sets": 1, "born": []}});
        let first = line_with("desk", 1, event, json!({}));
        let id = BatchId::worked_out(first.text.as_bytes());
        mirror.begin((id, "trays", "desk"), ("{}", "{}"), &[first]).expect("begun");
        Copied { home, mirror, id }
    }

    fn file(&self, station: &str) -> PathBuf {
        self.home.path().join("trays").join(format!("{station}.jsonl"))
    }

    fn text(&self, station: &str) -> String {
        fs::read_to_string(self.file(station)).unwrap_or_default()
    }

    fn add(&mut self, station: &str, numbers: &[u64]) -> u64 {
        let lines: Vec<MirroredLine> = numbers.iter().map(|n| line(station, *n)).collect();
        self.mirror.add(self.id, station, &lines).expect("added")
    }

    fn known(&mut self, station: &str) -> Option<u64> {
        self.mirror.known(self.id).expect("read").get(station).copied()
    }

    fn handed_on(&mut self, station: &str, after: u64) -> Vec<u64> {
        let lines = self.mirror.lines_after(self.id, station, after, 1000).expect("read");
        lines.iter().map(|line| line.n).collect()
    }

    /// What is wrong with the files, as every command sees it.
    fn damage(&self) -> Vec<Damage> {
        let folder = &self.mirror.batch(self.id).expect("it is here").folder;
        let all = folder.read_all::<super::super::event::Event>().expect("read");
        all.damage.into_iter().map(|found| found.damage).collect()
    }
}

/// The bytes of lines in a file.
fn bytes(station: &str, numbers: &[u64]) -> String {
    numbers.iter().map(|n| line(station, *n).text + "\n").collect()
}

/// Always: Lines of other stations are in their files byte for byte, each once.
#[test]
fn a_line_that_comes_twice_is_there_once() {
    let mut copied = Copied::new();
    for numbers in [&[1, 2][..], &[2, 3], &[3, 3, 4, 4], &[4, 3, 5, 2]] {
        assert_eq!(copied.add("planer", numbers), 0, "nothing is held back");
    }
    assert_eq!(copied.text("planer"), bytes("planer", &[1, 2, 3, 4, 5]));
    assert_eq!((copied.known("planer"), copied.known("saw")), (Some(5), None));
    // Another program, which read nothing yet, finds the same.
    let at = Home::locate(Some(copied.home.path().to_owned())).expect("a folder was named");
    copied.mirror = Mirror::of(at);
    copied.mirror.look().expect("listed");
    copied.add("planer", &[1, 5, 6]);
    assert_eq!(copied.text("planer"), bytes("planer", &[1, 2, 3, 4, 5, 6]));
    assert_eq!(copied.damage(), []);
}

/// A crash leaves half a line. It isn't handed on, and the whole one takes its place.
#[test]
fn a_torn_end_goes_and_its_line_comes_again() {
    let mut copied = Copied::new();
    copied.add("planer", &[1, 2]);
    let torn = &line("planer", 3).text[..40];
    fs::write(copied.file("planer"), bytes("planer", &[1, 2]) + torn).expect("written");
    assert_eq!(copied.known("planer"), Some(2));
    assert_eq!(copied.handed_on("planer", 0), [1, 2]);
    copied.add("planer", &[3, 4]);
    assert_eq!(copied.text("planer"), bytes("planer", &[1, 2, 3, 4]));
    assert_eq!(copied.handed_on("planer", 2), [3, 4]);
    // A line that only lacks its newline is none yet either.
    let without = bytes("planer", &[1, 2, 3, 4]) + &line("planer", 5).text;
    fs::write(copied.file("planer"), without).expect("written");
    assert_eq!((copied.known("planer"), copied.handed_on("planer", 4)), (Some(4), vec![]));
}

/// What the server lacks is lacking here and every command says so: what comes behind it
/// counts, and nothing is ever put between lines.
#[test]
fn a_gap_is_told_and_stays() {
    let mut copied = Copied::new();
    copied.add("planer", &[1]);
    copied.add("planer", &[3]);
    assert_eq!(copied.known("planer"), Some(3));
    copied.add("planer", &[2]);
    assert_eq!(copied.text("planer"), bytes("planer", &[1, 3]));
    let gap = Damage::Gap { line: 2, expected: 2, found: 3 };
    assert!(copied.damage().contains(&gap), "{:?}", copied.damage());
    assert_eq!(copied.handed_on("planer", 1), [3]);
}

/// Only a line with its checksum, of that station and that number, is one.
#[test]
fn a_line_that_is_not_what_it_is_said_to_be_is_not_sound() {
    let good = line("planer", 7);
    assert!(is_sound(&good, "planer"));
    assert!(!is_sound(&good, "saw"), "another station");
    assert!(!is_sound(&MirroredLine { n: 8, ..good.clone() }, "planer"), "another number");
    let text = good.text.replace("the 7th", "the 8th");
    assert!(!is_sound(&MirroredLine { n: 7, text }, "planer"), "another text");
    let halves = MirroredLine { n: 7, text: good.text.replacen(',', ",\n", 1) };
    assert!(!is_sound(&halves, "planer"), "two lines");
}

/// A file that was put back into the wrong folder: from its first line of another batch on
/// nothing is handed on. Where such lines came from elsewhere they are here and count nowhere.
#[test]
fn lines_of_another_batch_are_refused() {
    let mut copied = Copied::new();
    let note = || json!({"note": {"op": null, "piece": null, "text": "chalk"}});
    let own = line_with("saw", 1, note(), json!({"begun": BEGUN}));
    let other = json!({"begun": "2026-10-01T08:00:00+02:00"});
    let other = line_with("saw", 2, note(), other);
    let lines = [own, other, line("saw", 3)];
    let text: String = lines.iter().map(|line| line.text.clone() + "\n").collect();
    fs::write(copied.file("saw"), &text).expect("written");
    assert_eq!(copied.handed_on("saw", 0), [1]);
    assert!(copied.handed_on("saw", 1).is_empty());
    // The same after the batch was found in its folder.
    let at = Home::locate(Some(copied.home.path().to_owned())).expect("a folder was named");
    copied.mirror = Mirror::of(at);
    copied.mirror.look().expect("listed");
    assert_eq!(copied.handed_on("saw", 0), [1]);

    let mut copied = Copied::new();
    assert_eq!(copied.mirror.add(copied.id, "saw", &lines).expect("added"), 0);
    assert_eq!(copied.text("saw"), text);
    let folder = &copied.mirror.batch(copied.id).expect("it is here").folder;
    let all = folder.journal().expect("read");
    let counted: Vec<u64> =
        all.entries.iter().filter(|line| line.station == "saw").map(|line| line.n).collect();
    assert_eq!(counted, [1]);
    let is_told = |damage: &Damage| matches!(damage, Damage::OtherBatch { lines: 2, .. });
    assert!(all.damage.iter().any(|found| is_told(&found.damage)), "{:?}", all.damage);
    // A batch that isn't here has no file to write to.
    let nowhere = BatchId::worked_out(b"another one");
    assert_eq!(copied.mirror.add(nowhere, "saw", &lines).expect("nothing to do"), 0);
    assert_eq!(copied.text("saw"), text);
}

/// Always: Lines of other stations are never written through a link.
#[cfg(unix)]
#[test]
fn a_file_swapped_by_a_link_is_left_alone() {
    let mut copied = Copied::new();
    copied.add("planer", &[1, 2]);
    let outside = copied.home.path().join("shopping list");
    fs::write(&outside, "two boards of ash\nand half a line").expect("written");
    fs::remove_file(copied.file("planer")).expect("removed");
    std::os::unix::fs::symlink(&outside, copied.file("planer")).expect("a link");
    let refused = copied.mirror.add(copied.id, "planer", &[line("planer", 3)]);
    let why = refused.expect_err("it is a link").to_string();
    assert!(why.contains("planer.jsonl") && why.contains("link"), "{why}");
    let kept = fs::read_to_string(&outside).expect("it is there");
    assert_eq!(kept, "two boards of ash\nand half a line");
    assert!(copied.handed_on("planer", 0).is_empty(), "nothing in it is a line");
    // A link to nothing makes no file either.
    fs::remove_file(&outside).expect("removed");
    copied.mirror.add(copied.id, "planer", &[line("planer", 3)]).expect_err("a link still");
    assert!(!outside.exists());
}

/// The file of a station that is open here is written by that station alone.
#[test]
fn what_is_open_here_is_written_by_nobody_else() {
    let mut copied = Copied::new();
    copied.add("planer", &[1]);
    let folder = copied.mirror.batch(copied.id).expect("it is here").folder.clone();
    let held = lock(&Disk::default(), folder.path(), "planer", "a test").expect("free");
    assert_eq!(copied.add("planer", &[1, 2, 3]), 2, "two are held back");
    assert_eq!(copied.text("planer"), bytes("planer", &[1]));
    held.unlock().expect("unlocked");
    assert_eq!(copied.add("planer", &[1, 2, 3]), 0);
    assert_eq!(copied.text("planer"), bytes("planer", &[1, 2, 3]));
}

/// A file that became shorter was put back from a copy: it is read anew.
#[test]
fn a_file_that_became_shorter_is_read_anew() {
    let mut copied = Copied::new();
    copied.add("planer", &[1, 2, 3]);
    assert!(copied.handed_on("planer", 3).is_empty());
    fs::write(copied.file("planer"), bytes("planer", &[1])).expect("written");
    assert_eq!(copied.known("planer"), Some(1));
    assert_eq!(copied.handed_on("planer", 0), [1]);
    copied.add("planer", &[2, 3]);
    assert_eq!(copied.text("planer"), bytes("planer", &[1, 2, 3]));
}
