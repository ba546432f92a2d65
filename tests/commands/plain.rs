//! The traveler line by line: the program run with its input and output in pipes,
//! as a script and a screen reader have it.

use std::fs;
use std::path::Path;
use std::process::{Command, Stdio};

use std::io::{Read, Write};

use benchway::journal::{BatchFolder, Decision, Event, Home, State};
use tempfile::TempDir;

use crate::bench::{Said, benchway, benchway_at_home};
use crate::walker::{crew, read_route};

const BENCHWAY: &str = env!("CARGO_BIN_EXE_benchway");

/// A tray's three sides, a spare and a setup piece, through four operations.
const TRAY: &str = include_str!("../support/walker/seed-tray.json");

/// Where batches are kept, and the tray's route.
struct Place {
    folder: TempDir,
}

impl Place {
    fn new() -> Place {
        let folder = tempfile::tempdir().expect("a temporary folder");
        fs::write(folder.path().join("seed-tray.json"), TRAY).expect("the folder can be written");
        Place { folder }
    }

    fn home(&self) -> std::path::PathBuf {
        self.folder.path().join("home")
    }

    /// Has the lines typed into `walk --plain` with these arguments.
    fn walk(&self, arguments: &[&str], typed: &[&str]) -> Said {
        let mut text = typed.join("\n");
        if !text.is_empty() {
            text.push('\n');
        }
        let all = [&["walk", "--plain"], arguments].concat();
        let mut child = command(self.folder.path(), &self.home(), &all)
            .spawn()
            .expect("the program was built with these tests");
        let mut input = child.stdin.take().expect("a pipe");
        let writer = std::thread::spawn(move || {
            // Whoever has left reads no more.
            let _ = input.write_all(text.as_bytes());
        });
        let ended = child.wait_with_output().expect("it ends");
        writer.join().expect("written");
        let text = |bytes| String::from_utf8(bytes).expect("the program prints text");
        let said = Said {
            code: ended.status.code().unwrap_or(-1),
            out: text(ended.stdout),
            err: text(ended.stderr),
        };
        is_plain(&said.out);
        said
    }

    /// A tray called `tray`, walked from its beginning.
    fn tray(&self, typed: &[&str]) -> Said {
        let said = self.walk(&["seed-tray.json", "--name", "tray"], typed);
        assert_eq!((said.code, said.err.as_str()), (0, ""), "{}", said.out);
        said
    }

    /// The tray continued.
    fn again(&self, typed: &[&str]) -> Said {
        let said = self.walk(&["tray"], typed);
        assert_eq!((said.code, said.err.as_str()), (0, ""), "{}", said.out);
        said
    }

    fn events(&self) -> Vec<Event> {
        events(&self.home())
    }
}

fn command(folder: &Path, home: &Path, arguments: &[&str]) -> Command {
    let mut command = Command::new(BENCHWAY);
    command.args(arguments).current_dir(folder).env_clear().env("BENCHWAY_HOME", home);
    command.stdin(Stdio::piped()).stdout(Stdio::piped()).stderr(Stdio::piped());
    command
}

fn only_batch(home: &Path) -> BatchFolder {
    let home = Home::locate(Some(home.to_owned())).expect("a folder was named");
    home.batches().expect("listed").remove(0)
}

fn events(home: &Path) -> Vec<Event> {
    let everything = only_batch(home).read_all::<Event>().expect("readable");
    assert!(everything.damage.is_empty(), "{:?}", everything.damage);
    everything.entries.into_iter().map(|line| line.event).collect()
}

/// No control sign but the end of a line, and nothing drawn.
#[track_caller]
fn is_plain(out: &str) {
    for line in out.lines() {
        assert!(!line.chars().any(char::is_control), "{line:?}");
        assert!(!line.chars().any(|sign| "█▓░▄─│┌┐└┘├┤┼".contains(sign)), "{line:?}");
        assert!(!line.contains("  "), "columns in {line:?}");
    }
}

/// These lines come in this order, whatever comes between.
#[track_caller]
fn hears(said: &Said, lines: &[&str]) {
    let mut rest = said.out.lines();
    for line in lines {
        assert!(rest.any(|heard| heard == *line), "{line:?} in its place in\n{}", said.out);
    }
}

fn times(said: &Said, line: &str) -> usize {
    said.out.lines().filter(|heard| *heard == line).count()
}

/// Initials, cautions and both passes of the jointer: the face and the edge of the
/// first piece alone, then of all others.
const JOINTED: [&str; 6] = ["mb", "", "", "", "", ""];

/// The cautions of the cabinet saw, and the calipers on their block.
const AT_THE_FENCE: [&str; 2] = ["", "1"];

/// The setup piece, the first and the last one within 2.250 ± 1/64.
const RIPPED: [&str; 5] = ["2.240", "2.250", "2.255", "2", "2.251"];

fn ripped() -> Vec<&'static str> {
    [&JOINTED[..], &AT_THE_FENCE, &RIPPED].concat()
}

/// Every setting and verdict by hand.
///
/// The fence: 2 1/4 less the 0.012 that this saw makes too much is 2.238; its scale
/// has steps of 0.005, and wood that is too wide can be cut again, so 2.240. The stop:
/// 18 less 0.004 is 17.996. Limits: 2.250 ± 0.0156 is 2.234 to 2.266; 18 ± 0.0313 is
/// 17.969 to 18.031. A piece of 18.063 is 0.032 past that.
#[test]
fn a_whole_route_is_walked_through_a_pipe() {
    let place = Place::new();
    let crosscut = ["", "17.990", "17.996", "18.004", "17.998", "18 1/64", "18", "18.002"];
    let typed = [&ripped()[..], &crosscut, &["", ""]].concat();
    let said = place.tray(&typed);
    hears(
        &said,
        &[
            "Batch tray, Seed tray sides, 1 tray.",
            "Op 10 joint side, jointer, knives.",
            "Step 1 of 4; 0 done, 5 to go.",
            "WHO is at the machine?",
            "Your initials:",
            "> mb",
            "Caution: Cutter guard on; push blocks on the face; no hand passes over the cutter.",
            "Enter: read, and trained on this machine:",
            "> ",
            "FEED the face of the first piece alone: 2 passes, or until clean.",
            "FEED the edge of all 4: 1 pass, or until clean.",
            "Op 10 is finished: 5 done.",
            "Op 20 rip side, cabinet saw, rip blade.",
            "> 1",
            "One inch: calipers at zero.",
            "SET the fence, then type what its scale shows.",
            "Fence to 2.240, for 2 1/4 in, rip blade.",
            "The fence scale shows, inches:",
            "> 2.240",
            "Two point two four: as wanted.",
            "MEASURE first piece, side setup 1: cut it, then its width.",
            "2.234 to 2.266 in, calipers.",
            "Side setup 1 width, inches:",
            "> 2.250",
            "Two point two five: within limits.",
            "CUT side 2, 3, then measure the width of side 4 spare.",
            "> 2",
            "4 done, 1 to go.",
            "Side 4 spare width, inches:",
            "> 2.251",
            "Two point two five one: within limits.",
            "Op 20 is finished: 5 done. Leave the setting until the count agrees.",
            "Stop to 17.996, for 18 in, crosscut blade.",
            "> 17.990",
            "Seventeen point nine nine.",
            "It should show 17.996: it is 0.006 too low. Don't cut yet.",
            "> 17.996",
            "Seventeen point nine nine six: as wanted.",
            "17.969 to 18.031 in, calipers.",
            "> 18 1/64",
            "Eighteen and one sixty-fourth: within limits.",
            "WORK all 5 by hand.",
            "Every operation of this route is finished.",
        ],
    );
    // Said once, though four pieces are measured after each other.
    assert_eq!(times(&said, "17.969 to 18.031 in, calipers."), 1);
    let caution = "Caution: Straight edge to the fence, flat face down; never cut freehand.";
    assert_eq!(times(&said, caution), 1);
    let closed = place.events().into_iter().filter_map(|event| match event {
        Event::Closed { op, done, aside, .. } => Some((op, done, aside)),
        _ => None,
    });
    let all: Vec<(u32, usize, usize)> = closed.collect();
    assert_eq!(all, [(10, 5, 0), (20, 5, 0), (30, 5, 0), (40, 5, 0)]);
}

/// The end of the input in the middle of an operation loses nothing: whoever comes
/// next hears how far it is.
#[test]
fn the_end_of_the_input_leaves_and_the_next_one_goes_on() {
    let place = Place::new();
    let said = place.tray(&ripped()[..11]);
    hears(
        &said,
        &[
            "Two point two five five: within limits.",
            "Side 4 spare width, inches:",
            "Left at op 20 rip side, 2 done, 3 to go.",
            "To go on: benchway walk --plain \"tray\"",
        ],
    );
    let left = |event: &Event| matches!(event, Event::Left { op: 20, done: 2, to_go: 3, .. });
    assert!(place.events().iter().any(left));
    let said = place.again(&["mb", "2", "2.250"]);
    hears(
        &said,
        &[
            "Step 2 of 4; 2 done, 3 to go.",
            "WHO is at the machine?",
            "Left half done: 2 done, 3 to go.",
            "Cabinet saw: fence at 2.240.",
            "To go: side 2 to side 3, side 4 spare.",
            "> mb",
            "> 2",
            "4 done, 1 to go.",
            "> 2.250",
            "Two point two five: within limits.",
            "Op 20 is finished: 5 done. Leave the setting until the count agrees.",
        ],
    );
}

#[test]
fn nothing_typed_at_all_leaves_too() {
    let place = Place::new();
    let said = place.tray(&[]);
    hears(&said, &["Your initials:", "> ", "Left at op 10 joint side, 0 done, 5 to go."]);
}

#[test]
fn a_bad_entry_is_asked_again_and_records_nothing() {
    let place = Place::new();
    let before = [&JOINTED[..], &AT_THE_FENCE].concat();
    place.tray(&before);
    let recorded = place.events().len();
    let bad = ["2.24o", "", "undoo", "\u{1b}[2Jx", &"9".repeat(9000)];
    let said = place.again(&[&["mb"][..], &bad].concat());
    assert_eq!(times(&said, "The fence scale shows, inches:"), 1 + bad.len(), "{}", said.out);
    let more: Vec<Event> = place.events().split_off(recorded);
    assert!(!more.iter().any(|event| matches!(event, Event::Setting { .. })), "{more:?}");
}

/// A mistyped word while pieces are counted is no note.
#[test]
fn a_mistyped_word_becomes_no_note() {
    let place = Place::new();
    let said = place.tray(&["mb", "", "peices"]);
    hears(&said, &["> peices", "`peices` means nothing here. ? lists the words."]);
    let unasked = |event: &Event| matches!(event, Event::TypedUnasked { .. });
    assert!(!place.events().iter().any(unasked));
}

#[test]
fn undo_names_what_it_undoes_and_asks() {
    let place = Place::new();
    let undone = ["2.240", "2.250", "undo", "n", "undo", "y", "2.249", "u", "y", "redo"];
    let said = place.tray(&[&JOINTED[..], &AT_THE_FENCE, &undone].concat());
    hears(
        &said,
        &[
            "> undo",
            "y undoes side setup 1 2.250 at op 20:",
            "> n",
            "Nothing was undone.",
            "> y",
            "Undone: side setup 1 2.250. z redoes it.",
            "MEASURE first piece, side setup 1: cut it, then its width.",
            "Side setup 1 width, inches:",
            "> 2.249",
            "Two point two four nine: within limits.",
            "> redo",
            "Done again: side setup 1 2.249.",
        ],
    );
    let voided = place.events().into_iter().filter(|event| matches!(event, Event::Voided { .. }));
    assert_eq!(voided.count(), 2);
}

/// A side of 18.063 is 0.063 over its 18: it is cut again. One of 17.900 can't be
/// saved, and the lead accepts it.
#[test]
fn a_piece_out_of_limits_is_decided_by_a_letter() {
    let place = Place::new();
    let cut = ["", "17.996", "18.004", "18.063", "c", "18.001"];
    let lead = ["17.900", "k", "ab", "what", "", "a MB short ones go to the back"];
    let said = place.tray(&[&ripped()[..], &cut, &lead].concat());
    hears(
        &said,
        &[
            "> 18.063",
            "Eighteen point zero six three.",
            "TOO LONG side 1: 18.063. It can be cut again.",
            "c: cut it again, then measure.",
            "a: the lead accepts it: type a, initials, why.",
            "One letter (Enter: c):",
            "> c",
            "Side 1 length, inches:",
            "> 18.001",
            "TOO SHORT side 2: 17.900. It can't be saved.",
            "> k",
            "Who has the keys now: initials:",
            "> ab",
            "AB has the keys.",
            "Caution: Clamp holds before the blade rises; one stroke for one press.",
            "> what",
            "`what` means nothing here. ? lists the words.",
            "One letter (Enter: s):",
            "> a MB short ones go to the back",
            "Side 3 length, inches:",
        ],
    );
    let accepted =
        |event: &Event| matches!(event, Event::Decided { decision: Decision::Accept, .. });
    assert!(place.events().iter().any(accepted), "{:?}", place.events());
}

/// Lists, notes, another operation, a piece set aside and remade, looking back.
#[test]
fn words_do_what_keys_do() {
    let place = Place::new();
    let said = place.tray(&[
        "mb",
        "",
        "note",
        "knives are new",
        "n second thoughts",
        "operations",
        "30",
        "op 10",
        "pieces",
        "side 2",
        "",
        "aside side 3 MB a split",
        "m side 2",
        "cancel",
        "",
        "review",
        "",
        "start",
        "",
        "bell 25:00",
        "cancel",
        "?",
        "q",
        "gone for lunch",
    ]);
    hears(
        &said,
        &[
            "> note",
            "Note:",
            "> knives are new",
            "> operations",
            "Op 10 joint side, jointer: HERE.",
            "Op 30 crosscut side, stop saw: 5 to go.",
            "Operation to go to (Enter: back to the work):",
            "> 30",
            "WAIT this operation can't begin yet.",
            "> op 10",
            "FEED the face of the first piece alone: 2 passes, or until clean.",
            "> pieces",
            "Side 3: op 10 to go.",
            "> side 2",
            "> aside side 3 MB a split",
            "> m side 2",
            "Remake: lead initials, why:",
            "> cancel",
            "> review",
            "Nothing went out of limits, and the readings show no shift.",
            "> start",
            "START op 10 joint side at the jointer: 4 to go.",
            "Enter a time later today. Such as 11:40, then Enter.",
            "> ?",
            "u or undo: undoes the last entry; the record keeps it, voided.",
        ],
    );
    let events = place.events();
    let noted = |text: &str| {
        events.iter().any(|event| matches!(event, Event::Note { text: held, .. } if held == text))
    };
    assert!(noted("knives are new") && noted("second thoughts"), "{events:?}");
    assert!(events.iter().any(|event| matches!(event, Event::Decided { .. })), "{events:?}");
}

#[test]
fn a_batch_is_chosen_or_begun_from_the_list() {
    let place = Place::new();
    place.tray(&[]);
    let said = place.walk(&[], &["99", "1", "mb"]);
    assert_eq!(said.code, 0, "{}", said.err);
    hears(
        &said,
        &[
            "Batches under way:",
            "1: tray, op 10 joint side: 0 done, 0 set aside, 5 to go.",
            "Routes, each of which begins a batch:",
            "Number to open, or q to leave:",
            "Batch tray, Seed tray sides, 1 tray.",
        ],
    );
    let reading_stool = said.out.lines().find(|line| line.contains(": Lantern reading stool, "));
    let number = reading_stool.and_then(|line| line.split(':').next()).expect("it is listed");
    let said = place.walk(&[], &[number, "0", "1", "study stool", "q"]);
    hears(
        &said,
        &[
            "How many stools (Enter: 12):",
            "Enter a whole number from 1 to 1000. Such as 6, then Enter.",
            "Batch study stool, Lantern reading stool, 1 stool.",
        ],
    );
    assert_eq!(said.code, 0);
    let said = place.walk(&[], &["q"]);
    assert_eq!((said.code, said.out.lines().last()), (0, Some("No batch is open.")));
}

/// Text from a file can move no cursor.
#[test]
fn control_signs_of_a_route_are_written_out() {
    let place = Place::new();
    let hostile = TRAY.replace("Break every sharp edge.", "Break \\u001b[2J\\u202eevery edge.");
    assert_ne!(hostile, TRAY);
    fs::write(place.folder.path().join("seed-tray.json"), hostile).expect("written");
    let said = place.tray(&["mb", "op 40", "o MB it is only a try"]);
    hears(&said, &["Break \\u{1b}[2J\\u{202e}every edge."]);
}

#[test]
fn a_new_batch_is_named_on_the_command_line() {
    let place = Place::new();
    place.tray(&[]);
    for (name, why) in [
        ("tray", "a batch of this name is under way"),
        ("../tray", "it can't be the name of a folder, because it contains /"),
        ("con", "it can't be the name of a folder, because some systems keep it for a device"),
        ("", "it can't be the name of a folder, because it is empty"),
    ] {
        let said = place.walk(&["seed-tray.json", "--name", name], &[]);
        assert_eq!((said.code, said.out.as_str()), (2, ""), "{name}");
        assert!(said.err.contains(why), "{name}: {}", said.err);
    }
    let said = place.walk(&["tray", "--name", "other"], &[]);
    assert_eq!(said.code, 2);
    assert!(said.err.contains("this batch has already begun"), "{}", said.err);
}

#[test]
fn options_that_make_no_sense_together_are_refused() {
    for arguments in [
        &["walk", "--plain", "--ascii", "reading-stool"][..],
        &["walk", "--plain", "--ground", "dark", "reading-stool"],
        &["--plain", "--ascii"],
        &["walk", "--name", "stools"],
        &["walk", "--boards", "stool-boards"],
    ] {
        let said = benchway(arguments);
        assert_eq!((said.code, said.out.as_str()), (2, ""), "{arguments:?}");
    }
}

/// A station that another program holds, and a lead's word that never comes: the
/// reason is said, and the exit code tells a script.
#[test]
fn what_can_not_be_opened_fails() {
    let place = Place::new();
    // A sixteenth off the face of a side of 3/4 leaves less than 3/4.
    let faulty = TRAY.replace("\"thickness\": \"13/16\"", "\"thickness\": \"3/4\"");
    assert_ne!(faulty, TRAY);
    fs::write(place.folder.path().join("seed-tray.json"), faulty).expect("written");
    let said = place.walk(&["seed-tray.json"], &["MB"]);
    assert_eq!(said.code, 2, "{}", said.out);
    assert!(said.err.contains("no batch was begun"), "{}", said.err);
    hears(&said, &["Begin all the same: lead's initials, why:", "> MB"]);
}

/// Whoever listens may go away at any time.
#[test]
fn a_closed_output_ends_it_quietly() {
    let place = Place::new();
    let mut child =
        command(place.folder.path(), &place.home(), &["walk", "--plain", "seed-tray.json"])
            .spawn()
            .expect("the program was built with these tests");
    drop(child.stdout.take());
    let mut input = child.stdin.take().expect("a pipe");
    let _ = input.write_all(b"mb\n\n\n");
    drop(input);
    let mut said = String::new();
    child.stderr.take().expect("a pipe").read_to_string(&mut said).expect("text");
    assert_eq!((child.wait().expect("it ends").code(), said.as_str()), (Some(0), ""));
}

/// Without a word of it a bare call still prints its help where there is no terminal.
#[test]
fn a_bare_call_asks_only_where_it_is_told_to() {
    let home = tempfile::tempdir().expect("a temporary folder");
    let said = benchway_at_home(home.path(), &[]);
    assert!(said.out.contains("Usage:"), "{}", said.out);
    let said = benchway_at_home(home.path(), &["--plain"]);
    assert_eq!(said.code, 0, "{}", said.err);
    hears(&said, &["Routes, each of which begins a batch:", "Number to open, or q to leave:"]);
}

/// A gauge that only says within or not is answered by a letter, `b` too, which is a
/// word for the bell elsewhere.
#[test]
fn a_gauge_without_a_number_is_answered_by_a_letter() {
    let place = Place::new();
    let slot = "\"slot\": { \"go_no_go\": true }, \"calipers\": {";
    let shop = benchway(&["bundled", "shop"]).out.replacen("\"calipers\": {", slot, 1);
    fs::write(place.folder.path().join("shop.json"), shop).expect("written");
    let by_slot = TRAY.replacen("\"with\": \"calipers\"", "\"with\": \"slot\"", 1);
    fs::write(place.folder.path().join("seed-tray.json"), by_slot).expect("written");
    let typed = [&JOINTED[..], &["", "2.240", "b", "m", "i", "undo", "y"]].concat();
    let said = place.walk(&["seed-tray.json", "--shop", "shop.json"], &typed);
    hears(
        &said,
        &[
            "i: within limits, b: too big, s: too small.",
            "Side setup 1 width:",
            "> b",
            "TOO WIDE side setup 1. It can be cut again.",
            "> m",
            "> i",
            "Within limits.",
            "Undone: side setup 1 i. z redoes it.",
        ],
    );
}

/// Boards are told in words and figures, laid out, accepted and marked.
#[test]
fn boards_are_entered_and_laid_out_line_by_line() {
    let place = Place::new();
    let board = ["A", "", "7/8", "7/8", "7/8", "8", "24", "", "", "", "7.5", "knot 2 to 3", ""];
    let rack = ["mb", "op 0"];
    let said = place.tray(&[&rack[..], &board, &["", "mb"]].concat());
    hears(
        &said,
        &[
            "NAME the new board: what is its name?",
            "Its name (Enter: 1):",
            "> A",
            "MEASURE how thick is board A at its marked end?",
            "Thickness, marked end, inches:",
            "> 7/8",
            "Seven eighths.",
            "Length, inches:",
            "> 24",
            "Twenty-four inches.",
            "Moisture (Enter: none), percent:",
            "LOOK for knots, splits and other flaws of board A: enter one at a time.",
            "A flaw (Enter: no more):",
            "LAY OUT 1 board entered. Another one, or lay them out?",
            "Lead's initials to accept:",
            "> mb",
            // Behind the knot, and 19 further on.
            "MARK board A at 3, mark 1 of 2.",
            "From the marked end of board A 3 in; next mark at 22 in.",
        ],
    );
    // Each size was read back in words and isn't repeated.
    assert!(!said.out.contains("So far:"), "{}", said.out);
    let accepted = |event: &Event| matches!(event, Event::LayoutAccepted { .. });
    assert!(place.events().iter().any(accepted), "{:?}", place.events());
}

/// What another station changed meanwhile is said before anything is answered.
#[test]
fn an_answer_to_what_changed_meanwhile_is_not_taken() {
    let place = Place::new();
    place.tray(&JOINTED[..2]);
    let arguments = ["walk", "--plain", "tray"];
    let mut child = command(place.folder.path(), &place.home(), &arguments)
        .spawn()
        .expect("the program was built with these tests");
    let mut input = child.stdin.take().expect("a pipe");
    let mut output = child.stdout.take().expect("a pipe");
    let mut all = String::new();
    let mut until = |all: &mut String, words: &str| {
        let mut byte = [0];
        while !all.ends_with(words) {
            assert_eq!(output.read(&mut byte).expect("readable"), 1, "{all}");
            all.push(char::from(byte[0]));
        }
    };
    until(&mut all, "Your initials:\n> ");
    writeln!(input, "mb").expect("it listens");
    until(&mut all, "Enter: it is clean:\n> ");
    // The other station says that the first piece is clean, and so are all others.
    let other = place.walk(&["tray", "--station", "bench"], &["ab", "", "", ""]);
    assert_eq!(other.code, 0, "{}{}", other.out, other.err);
    // It is said with nothing typed, and a line that may have been begun before isn't taken.
    until(&mut all, "Another station moved on. This is what is asked now.\n");
    writeln!(input).expect("it listens");
    until(&mut all, "Something changed meanwhile. This is what is asked now.\n");
    drop(input);
    until(&mut all, "To go on: benchway walk --plain \"tray\"\n");
    assert!(child.wait().expect("it ends").success(), "{all}");
}

/// Somebody who knows nothing but what is said to them, and types what is asked.
#[derive(Default)]
struct Listener {
    /// The numbers last heard: what a scale is set to, limits, a block.
    set: String,
    limits: String,
    block: String,
    /// Whether Enter alone was said to do.
    enter_will_do: bool,
    /// Whether the gauge gives no number.
    no_number: bool,
    /// What can start, and what only waits for its time.
    startable: Vec<String>,
    waiting: Vec<String>,
    has_looked: bool,
    decided: usize,
}

impl Listener {
    fn hears(&mut self, line: &str) {
        let word = line.split(' ').next().unwrap_or_default();
        if word.len() > 2 && word.chars().all(char::is_uppercase) && word != "START" {
            self.enter_will_do = false;
        }
        self.enter_will_do |= line.starts_with("Enter alone: ");
        if word == "Op" {
            self.no_number = false;
        }
        self.no_number |= line.starts_with("i: within limits, b: too big");
        if let Some((_, rest)) = line.split_once(" to ").filter(|_| line.contains(", for ")) {
            let number = rest.split(", for ").next().unwrap_or_default();
            if number.starts_with(|sign: char| sign.is_ascii_digit()) {
                self.set = number.to_owned();
            }
        }
        let begins_with_figure = line.starts_with(|sign: char| sign.is_ascii_digit());
        let limits = line.split_once(", ").map(|(limits, _)| limits);
        let is_size = |text: &&str| text.ends_with(" in") || text.contains(" in or ");
        if let Some(limits) = limits.filter(is_size).filter(|_| begins_with_figure) {
            self.limits = limits.to_owned();
        }
        if let Some(block) = line.strip_prefix("Then measure the check block: ") {
            self.block = block.trim_end_matches(" in.").to_owned();
        }
        if let Some(op) = line.strip_prefix("START op ") {
            self.startable.extend(op.split(' ').next().map(str::to_owned));
        }
        if let Some(op) = line.strip_prefix("Waits op ") {
            self.waiting.extend(op.split(' ').next().map(str::to_owned));
        }
        // It waits for more than its time: nobody opens that.
        let is_time = line.contains("not before") || line.contains("of waiting time left");
        if !self.waiting.is_empty() && !line.starts_with("Waits op ") && !is_time {
            self.waiting.pop();
        }
    }

    /// The middle of the limits last heard.
    fn middle(&self) -> String {
        let inches = |text: &str| {
            let part = |text: &str| match text.split_once('/') {
                Some((over, under)) => {
                    over.parse::<f64>().expect(text) / under.parse::<f64>().expect(text)
                }
                None => text.parse().expect(text),
            };
            text.split(' ').map(part).sum::<f64>()
        };
        let limits = self.limits.trim_end_matches(" in");
        if let Some((low, high)) = limits.split_once(" to ") {
            return format!("{:.4} in", (inches(low) + inches(high)) / 2.0);
        }
        let (one, _) = limits.split_once(" in or ").unwrap_or((limits, ""));
        format!("{:.4} in", inches(one) / 2.0)
    }

    fn answers(&mut self, question: &str) -> String {
        match question {
            "Your initials:" => "ab".to_owned(),
            "Lead beside you: initials:" | "Lead's initials to accept:" => "MB".to_owned(),
            "Option and lead's initials:" => "1 MB".to_owned(),
            "What now? A word, or ? for all words:" => {
                let opens = std::mem::replace(&mut self.has_looked, true);
                if opens { "o MB it is dry to the touch" } else { "t" }.to_owned()
            }
            _ if question.starts_with("Operation to go to") => {
                self.has_looked = self.startable.is_empty();
                let first = self.startable.drain(..).chain(self.waiting.drain(..)).next();
                first.unwrap_or_default()
            }
            _ if question.starts_with("One letter") => {
                self.decided += 1;
                "a MB it will do".to_owned()
            }
            _ if question.contains("on the block, ") => self.block.clone(),
            _ if self.enter_will_do => String::new(),
            _ if question.contains("scale shows, ") => self.set.clone(),
            _ if question.ends_with(", inches:") || question.ends_with(", millimetres:") => {
                self.middle()
            }
            _ if self.no_number && !question.contains("Enter") => "i".to_owned(),
            _ => String::new(),
        }
    }
}

/// Always: A bundled route can be walked to its end by somebody who only listens.
#[test]
fn a_bundled_route_is_walked_by_listening() {
    let place = Place::new();
    let arguments = ["walk", "--plain", "reading-stool", "--articles", "1"];
    let mut child = command(place.folder.path(), &place.home(), &arguments)
        .spawn()
        .expect("the program was built with these tests");
    let mut input = child.stdin.take().expect("a pipe");
    let mut output = child.stdout.take().expect("a pipe");
    let (mut all, mut heard) = (String::new(), 0);
    let mut listener = Listener::default();
    let mut bytes = [0; 4096];
    for _ in 0..1500 {
        while !all[heard..].ends_with("\n> ") {
            let read = output.read(&mut bytes).expect("readable");
            assert_ne!(read, 0, "it ended early:\n{all}");
            all += std::str::from_utf8(&bytes[..read]).expect("text in whole signs");
        }
        let new = all[heard..].trim_end_matches("\n> ");
        if new.contains("Every operation of this route is finished.")
            || new.contains("Every operation is finished.")
        {
            break;
        }
        // The first line repeats what was typed.
        let lines: Vec<&str> = new.lines().skip(usize::from(heard > 0)).collect();
        let (question, said) = lines.split_last().expect("a question");
        said.iter().for_each(|line| listener.hears(line));
        let answer = listener.answers(question);
        heard = all.len();
        writeln!(input, "{answer}").expect("it listens");
    }
    drop(input);
    output.read_to_string(&mut all).expect("text");
    assert!(child.wait().expect("it ends").success(), "{all}");
    is_plain(&all);
    assert_eq!(listener.decided, 0, "{all}");
    let folder = only_batch(&place.home());
    let route = read_route(&folder.route_json().expect("readable"));
    let lines = folder.read_all::<Event>().expect("readable").entries;
    let state = State::fold(&lines);
    assert!(route.steps.iter().all(|step| state.is_closed(step.op)), "{all}");
    crew::is_all_through(&route, &state);
}

/// A route file can be named where a batch is chosen, and another terminal has no say in
/// what is only looked back on.
#[test]
fn a_list_takes_a_file_and_looks_back_beside_another_terminal() {
    let place = Place::new();
    let said = place.walk(&[], &["seed-tray.json", "1", "tray", "mb", "q"]);
    assert_eq!(said.code, 0, "{}{}", said.out, said.err);
    hears(
        &said,
        &["> seed-tray.json", "How many trays (Enter: 1):", "Batch tray, Seed tray sides, 1 tray."],
    );
    let arguments = ["walk", "--plain", "tray"];
    let mut child = command(place.folder.path(), &place.home(), &arguments)
        .spawn()
        .expect("the program was built with these tests");
    let mut output = child.stdout.take().expect("a pipe");
    let mut all = String::new();
    let mut byte = [0];
    while !all.ends_with("Your initials:\n> ") {
        assert_eq!(output.read(&mut byte).expect("readable"), 1, "{all}");
        all.push(char::from(byte[0]));
    }
    let said = place.walk(&[], &["review 1", "", "none.json", "q"]);
    assert_eq!(said.code, 0, "{}{}", said.out, said.err);
    assert!(!said.out.contains("is in use"), "{}", said.out);
    hears(
        &said,
        &[
            "> review 1",
            "Number to hear more (Enter: back to the list):",
            "Number to open, or q to leave:",
            "> none.json",
        ],
    );
    assert!(said.out.contains("None.json: "), "{}", said.out);
    drop(child.stdin.take());
    assert!(child.wait().expect("it ends").success());
}
