//! What is missing or damaged in the files of a batch is told by station and number, and
//! everything else goes on.

use std::fs;
use std::path::PathBuf;

use benchway::journal::{
    BatchFolder, CopyBrings, Damage, Event, Home, OpenBatch, State, StoreError, damage_words,
    encode,
};
use chrono::{DateTime, Duration, FixedOffset};
use tempfile::TempDir;

use crate::bench;
use crate::walker::{SHOP, STOOL};

fn at(minute: i64) -> DateTime<FixedOffset> {
    let begun: DateTime<FixedOffset> = "2026-11-25T08:00:00+01:00".parse().expect("a time");
    begun + Duration::minutes(minute)
}

/// A batch of one stool at two stations: the cart wrote lines 1 to 4, the planer its
/// lines 1 to 3 in between, each having seen all before it.
struct TwoStations {
    _place: TempDir,
    home: Home,
}

impl TwoStations {
    fn new() -> TwoStations {
        let place = tempfile::tempdir().expect("a folder for the test");
        let home = Home::locate(Some(place.path().to_owned())).expect("a folder was named");
        let mut cart = bench::begin(&home, "stools", (STOOL, SHOP), "cart", at(0), None)
            .expect("it can be begun");
        let mut planer = OpenBatch::resume(&home, "stools", "planer", "the test").expect("opened");
        for minute in 1..=3 {
            note(&mut cart, minute);
            note(&mut planer, minute);
        }
        TwoStations { _place: place, home }
    }

    fn folder(&self) -> BatchFolder {
        BatchFolder::open(&self.home, "stools").expect("there")
    }

    fn file(&self, station: &str) -> PathBuf {
        self.folder().path().join(format!("{station}.jsonl"))
    }

    fn text(&self, station: &str) -> String {
        fs::read_to_string(self.file(station)).expect("readable")
    }

    /// Rewrites the file of a station line by line.
    fn edit(&self, station: &str, edit: impl Fn(usize, &str) -> Option<String>) {
        let text = self.text(station);
        let lines = text.lines().enumerate().filter_map(|(at, line)| edit(at + 1, line));
        let edited: String = lines.map(|line| line + "\n").collect();
        fs::write(self.file(station), edited).expect("written");
    }

    fn damage(&self) -> Vec<(String, Damage)> {
        let everything = self.folder().journal().expect("it can be read");
        everything.damage.into_iter().map(|found| (found.station, found.damage)).collect()
    }

    fn words(&self) -> Vec<String> {
        damage_words(&self.folder().journal().expect("it can be read").damage)
    }

    fn notes(&self) -> usize {
        let lines = self.folder().journal().expect("it can be read").entries;
        lines.iter().filter(|line| matches!(line.event, Event::Note { .. })).count()
    }

    fn open(&self, station: &str) -> OpenBatch {
        OpenBatch::resume(&self.home, "stools", station, "the test").expect("opened")
    }
}

fn note(open: &mut OpenBatch, minute: i64) {
    try_note(open, minute).expect("recorded");
}

fn try_note(open: &mut OpenBatch, minute: i64) -> Result<(), StoreError> {
    let text = format!("minute {minute}");
    open.append(Some("MB"), at(minute), vec![Event::Note { op: None, piece: None, text }])
}

fn flipped(line: &str) -> String {
    let middle = line.len() / 2;
    let mut bytes = line.as_bytes().to_vec();
    bytes[middle] ^= 1;
    String::from_utf8(bytes).expect("ASCII")
}

#[test]
fn nothing_is_said_of_a_sound_batch() {
    let batch = TwoStations::new();
    assert_eq!(batch.damage(), []);
    assert_eq!(batch.notes(), 6);
}

/// The planer's file is gone. The cart had seen the planer's lines 1 and 2 when it wrote
/// its last line; nobody else saw the planer's line 3, so nobody can miss it.
#[test]
fn a_file_that_is_gone_is_missed_as_far_as_others_had_seen_it() {
    let batch = TwoStations::new();
    fs::remove_file(batch.file("planer")).expect("removed");
    assert_eq!(batch.damage(), [("planer".to_owned(), Damage::Missing { numbers: 1..=2 })]);
    assert!(batch.words()[0].starts_with("planer.jsonl: numbers 1 to 2 are not here yet, or lost"));
    assert_eq!(batch.notes(), 3);
}

/// An older copy of the cart's file is put back, without its last two lines. The planer
/// had seen all four. No number is used again: the next is 5.
#[test]
fn an_older_copy_is_noticed_and_no_number_is_used_again() {
    let batch = TwoStations::new();
    batch.edit("cart", |n, line| (n <= 2).then(|| line.to_owned()));
    assert_eq!(batch.damage(), [("cart".to_owned(), Damage::Missing { numbers: 3..=4 })]);
    note(&mut batch.open("cart"), 9);
    assert!(batch.text("cart").lines().last().expect("a line").contains("\"n\":5,"));
}

/// Older programs did not write what they had seen. But each place in the order is taken
/// by a line; here the places 2, 4 and 6 are empty.
#[test]
fn old_lines_are_missed_by_their_places_in_the_order() {
    let batch = TwoStations::new();
    let folder = batch.folder();
    let lines = folder.journal().expect("it can be read").entries;
    for station in ["cart", "planer"] {
        let own = lines.iter().filter(|line| line.station == station);
        let text: String = own
            .map(|line| {
                let mut line = line.clone();
                line.seen.clear();
                line.begun = None;
                encode(&line)
            })
            .collect();
        fs::write(batch.file(station), text).expect("written");
    }
    assert_eq!(batch.damage(), []);
    fs::remove_file(batch.file("cart")).expect("removed");
    let damage = batch.damage();
    // The cart's lines stood at 1, 2, 4 and 6; the planer's at 3, 5 and 7.
    assert_eq!(damage, [(String::new(), Damage::MissingSomewhere { lines: 4 })]);
    assert!(batch.words()[0].starts_with("At least 4 lines of a station are missing"));
}

#[test]
fn changed_ends_of_lines_spoil_nothing() {
    let batch = TwoStations::new();
    batch.edit("planer", |_, line| Some(format!("{line}\r")));
    assert_eq!(batch.damage(), [("planer".to_owned(), Damage::ChangedEnds { lines: 3 })]);
    assert_eq!(batch.notes(), 6);
    note(&mut batch.open("planer"), 9);
    assert_eq!(batch.notes(), 7);
}

/// A program that shares folders keeps two versions of a file side by side.
#[test]
fn a_copy_under_another_name_is_known_as_one() {
    let batch = TwoStations::new();
    let copy = batch.file("planer (conflicted copy)");
    fs::copy(batch.file("planer"), &copy).expect("copied");
    let of = |differing| Damage::Copied { of: "planer".to_owned(), differing };
    let name = "planer (conflicted copy)".to_owned();
    assert_eq!(batch.damage(), [(name.clone(), of(0))]);
    assert!(batch.words()[0].contains("planer.jsonl has every line of it"));
    // The copy went on by itself: its third line says something else.
    let mut lines = batch.folder().journal().expect("it can be read").entries;
    lines.retain(|line| line.station == "planer");
    lines[2].event = Event::Note { op: None, piece: None, text: "otherwise".to_owned() };
    let text: String = lines.iter().map(encode).collect();
    fs::write(&copy, text).expect("written");
    assert_eq!(batch.damage(), [(name, of(1))]);
    assert_eq!(batch.notes(), 6);
}

#[test]
fn a_file_of_another_batch_is_told_and_left_out() {
    let batch = TwoStations::new();
    let other = TwoStations::new();
    // The other batch began a day later; only then its planer was opened.
    fs::remove_file(other.file("planer")).expect("removed");
    fs::remove_file(other.file("cart")).expect("removed");
    fs::remove_dir_all(other.folder().path()).expect("removed");
    let day = 24 * 60;
    bench::begin(&other.home, "stools", (STOOL, SHOP), "cart", at(day), None).expect("begun");
    let mut planer = other.open("planer");
    note(&mut planer, day + 1);
    fs::copy(other.file("planer"), batch.file("planer")).expect("copied");
    let damage = batch.damage();
    let foreign = Damage::OtherBatch { lines: 1, begun: at(day) };
    assert!(damage.contains(&("planer".to_owned(), foreign)), "{damage:?}");
    assert_eq!(batch.notes(), 3);
}

/// One flipped bit in the first line, and everything else still counts, the pieces too.
#[test]
fn a_damaged_first_line_is_worked_out_again() {
    let batch = TwoStations::new();
    let before = State::fold(&batch.folder().journal().expect("it can be read").entries);
    batch.edit("cart", |n, line| Some(if n == 1 { flipped(line) } else { line.to_owned() }));
    assert_eq!(batch.damage(), [("cart".to_owned(), Damage::BeginningWorkedOut)]);
    let mut after = State::fold(&batch.folder().journal().expect("it can be read").entries);
    // Only the random identity is lost: nothing else holds it.
    assert!(before.id.is_some() && after.id.is_none());
    after.id = before.id;
    assert_eq!(after, before);
    note(&mut batch.open("cart"), 9);
}

/// An older program can't know what a newer one meant, so it only looks.
#[test]
fn a_line_of_a_newer_version_makes_this_one_look_only() {
    let batch = TwoStations::new();
    let body = r#"{"v":3,"n":4,"station":"planer","anything":[]"#;
    let line = format!("{body},\"crc\":\"{:08x}\"}}\n", crc32fast::hash(body.as_bytes()));
    fs::write(batch.file("planer"), batch.text("planer") + &line).expect("written");
    let mut cart = batch.open("cart");
    let before = batch.text("cart");
    let refused = try_note(&mut cart, 9).expect_err("read only");
    assert!(matches!(refused, StoreError::Newer), "{refused}");
    assert_eq!(batch.text("cart"), before);
    assert!(cart.snapshot().damage[0].contains("newer version"));
}

/// A right checksum and an absurd number stop nobody.
#[test]
fn a_made_up_number_stops_no_station() {
    let batch = TwoStations::new();
    for (n, after) in [(4_u64, (1_u64 << 53) - 1), ((1_u64 << 53) - 1, 9)] {
        let body = format!(
            r#"{{"v":1,"n":{n},"after":{after},"at":"2026-11-25T09:00:00Z","station":"planer","who":null,"event":{{"note":{{"op":null,"text":"made up"}}}}"#
        );
        let line = format!("{body},\"crc\":\"{:08x}\"}}\n", crc32fast::hash(body.as_bytes()));
        let kept = batch.text("planer");
        fs::write(batch.file("planer"), format!("{kept}{line}")).expect("written");
        note(&mut batch.open("cart"), 9);
        note(&mut batch.open("planer"), 9);
        fs::write(batch.file("planer"), kept).expect("written");
    }
}

/// The damage of a hundred lines is one sentence.
#[test]
fn many_damaged_lines_are_told_once() {
    let batch = TwoStations::new();
    let mut planer = batch.open("planer");
    (4..=103).for_each(|minute| note(&mut planer, minute));
    drop(planer);
    batch.edit("planer", |n, line| Some(if n > 3 { flipped(line) } else { line.to_owned() }));
    let words = batch.words();
    assert_eq!(words.len(), 1, "{words:?}");
    assert!(words[0].starts_with("planer.jsonl: lines 4 to 103 are not as they were written"));
}

/// A batch that is read anew and one that only read what was added are the same.
#[test]
fn what_is_read_bit_by_bit_is_what_is_read_at_once() {
    let batch = TwoStations::new();
    let (mut cart, mut planer) = (batch.open("cart"), batch.open("planer"));
    for minute in 10..20 {
        note(&mut cart, minute);
        if minute % 3 == 0 {
            note(&mut planer, minute);
        }
        if minute % 4 == 0 {
            planer.refresh().expect("readable");
        }
    }
    cart.refresh().expect("readable");
    planer.refresh().expect("readable");
    let anew = State::fold(&batch.folder().journal().expect("it can be read").entries);
    assert_eq!(*cart.snapshot().state, anew);
    assert_eq!(*planer.snapshot().state, anew);
}

#[cfg(unix)]
#[test]
fn a_lock_file_that_is_a_link_is_not_followed() {
    let batch = TwoStations::new();
    let elsewhere = batch.home.path().join("elsewhere");
    fs::write(&elsewhere, "kept").expect("written");
    let lock = batch.folder().path().join("sander.lock");
    std::os::unix::fs::symlink(&elsewhere, lock).expect("linked");
    assert!(OpenBatch::resume(&batch.home, "stools", "sander", "the test").is_err());
    assert_eq!(fs::read_to_string(elsewhere).expect("readable"), "kept");
}

/// A folder in the place of a file can be read by nobody, and keeps nobody from the rest.
#[cfg(unix)]
#[test]
fn a_file_that_cannot_be_read_stops_no_other() {
    let batch = TwoStations::new();
    // A link that leads to itself can't be opened, whoever tries.
    let broken = batch.file("broken");
    std::os::unix::fs::symlink(&broken, &broken).expect("linked");
    let damage = batch.damage();
    assert!(
        matches!(&damage[..], [(station, Damage::Unreadable { .. })] if station == "broken"),
        "{damage:?}"
    );
    note(&mut batch.open("cart"), 9);
    assert_eq!(batch.notes(), 7);
}

/// Two terminals worked as the planer in two copies of the folder, which were joined later.
/// By hand: both wrote two more lines after line 3, so two lines of the copy went another
/// way. They become lines 1 and 2 of a station of their own, and nothing is damaged then.
#[test]
fn lines_of_a_copy_that_went_another_way_are_taken_in() {
    let batch = TwoStations::new();
    let before = batch.text("planer");
    let mut planer = batch.open("planer");
    note(&mut planer, 10);
    note(&mut planer, 11);
    drop(planer);
    let one = batch.text("planer");
    fs::write(batch.file("planer"), &before).expect("written");
    let mut planer = batch.open("planer");
    note(&mut planer, 20);
    note(&mut planer, 21);
    drop(planer);
    let copy = "planer (conflicted copy)";
    fs::write(batch.file(copy), one).expect("written");
    assert_eq!(batch.notes(), 8);
    let copies = batch.folder().copies().expect("readable");
    let [found] = &copies[..] else { panic!("{copies:?}") };
    assert!(
        matches!(&found.brings, CopyBrings::AnotherWay { station, lines } if station == "planer-2" && lines.len() == 2),
        "{found:?}"
    );
    batch.folder().take_in(found, "the test").expect("taken in");
    assert_eq!((batch.notes(), batch.damage()), (10, vec![]));
    assert_eq!(batch.folder().copies().expect("readable"), []);
    assert!(batch.folder().path().join(format!("{copy}.jsonl.taken-in")).exists());
}

/// The file here is the beginning of the copy, as after an older backup was put back: the
/// copy takes its place, and the shorter file stays beside it.
#[test]
fn a_copy_that_only_goes_on_takes_the_place_of_the_file() {
    let batch = TwoStations::new();
    let whole = batch.text("planer");
    batch.edit("planer", |n, line| (n <= 1).then(|| line.to_owned()));
    fs::write(batch.file("planer-backup"), &whole).expect("written");
    let copies = batch.folder().copies().expect("readable");
    assert_eq!(copies[0].brings, CopyBrings::TheRest { lines: 2 });
    batch.folder().take_in(&copies[0], "the test").expect("taken in");
    assert_eq!((batch.notes(), batch.damage()), (6, vec![]));
    assert_eq!(batch.text("planer"), whole);
    assert!(batch.folder().path().join("planer.jsonl.before").exists());
}
