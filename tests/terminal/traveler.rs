//! The traveler in a real terminal: typed at, resized, killed, and looked at.
//! The journal on the disk says what the task is; the screen is matched by few words.
#![cfg(unix)]

use std::path::{Path, PathBuf};

use crate::terminal::{Terminal, op_on};
use crate::walker::{read_route, read_shop, snapshot_of};
use benchway::journal::{BatchFolder, Event, Home, JournalLine, PieceId, Snapshot};
use benchway::measure::{Length, Unit, Verdict};
use benchway::review::{findings, wording};
use benchway::work::{Task, WorkContext, handle_input, is_finished, task};
use chrono::{DateTime, FixedOffset, Utc};
use rustix::process::Signal;
use tempfile::TempDir;

pub const BENCHWAY: &str = env!("CARGO_BIN_EXE_benchway");

/// An ordinary window.
pub const USUAL: (u16, u16) = (80, 24);

fn now() -> DateTime<FixedOffset> {
    Utc::now().fixed_offset()
}

pub fn empty_home() -> TempDir {
    tempfile::tempdir().expect("a temporary folder")
}

pub fn walk(home: &Path, arguments: &[&str], size: (u16, u16)) -> Terminal {
    let mut all = vec!["walk"];
    all.extend(arguments);
    Terminal::start(BENCHWAY, &all, home, &[], size)
}

fn batches(home: &Path) -> Vec<BatchFolder> {
    let home = Home::locate(Some(home.join("batches"))).expect("a folder was named");
    home.batches().expect("listed")
}

pub fn only_batch(home: &Path) -> BatchFolder {
    let mut batches = batches(home);
    assert_eq!(batches.len(), 1, "{batches:?}");
    batches.remove(0)
}

pub fn lines(home: &Path) -> Vec<JournalLine> {
    let everything = only_batch(home).read_all::<Event>().expect("readable");
    // A line being written has no end yet; any other fault is an error.
    everything.entries
}

fn snapshot(home: &Path, station: &str) -> Snapshot {
    let folder = only_batch(home);
    let route = read_route(&folder.route_json().expect("readable")).into();
    let shop = read_shop(&folder.shop_json().expect("readable")).into();
    let lines = folder.read_all::<Event>().expect("readable").entries;
    let snapshot = snapshot_of(folder.name(), &route, &shop, &lines);
    Snapshot { station: station.to_owned(), ..snapshot }
}

/// A length as a person types it.
fn typed(length: Length) -> String {
    format!("{:.4}", length.in_unit(Unit::Inch))
}

/// Somebody at the machine who does the task that the journal on the disk gives.
pub struct Hand {
    pub terminal: Terminal,
    home: PathBuf,
    pub station: &'static str,
    who: Option<&'static str>,
}

impl Hand {
    /// One stool, just begun.
    pub fn at_a_stool(home: &TempDir, more: &[&str]) -> Hand {
        let mut arguments = vec!["reading-stool", "--sets", "1"];
        arguments.extend(more);
        Hand::at(walk(home.path(), &arguments, USUAL), home)
    }

    pub fn at(terminal: Terminal, home: &TempDir) -> Hand {
        terminal.wait_for("is at the machine?");
        Hand { terminal, home: home.path().to_owned(), station: "cart", who: None }
    }

    pub fn op(&self) -> u32 {
        op_on(&self.terminal.text()).expect("a machine screen")
    }

    pub fn task(&self) -> Task {
        task(&snapshot(&self.home, self.station).context(self.op(), self.who, now()))
    }

    /// Does the one task, with readings as `read` gives them.
    /// Returns the task.
    #[track_caller]
    pub fn step(&mut self, read: &dyn Fn(&WorkContext<'_>, &PieceId, usize) -> String) -> Task {
        let op = self.op();
        let snapshot = snapshot(&self.home, self.station);
        let context = snapshot.context(op, self.who, now());
        let task = task(&context);
        // A space goes before Enter, because bare Enters in quick succession count once.
        let answered = match &task {
            Task::Who => "ab".to_owned(),
            Task::Zero { block: Some(block), .. } => typed(*block),
            Task::Set(set) => set.readout.shown(set.dial.0),
            // One at a time, for tests that stop between two.
            Task::Cut { .. } => "1".to_owned(),
            Task::Read { piece, check, .. } => read(&context, piece, *check),
            Task::Decide { .. } => "a MB all shy, follow".to_owned(),
            Task::Accept(proposal) if proposal.keeps.len() > 1 => "1 MB".to_owned(),
            Task::Accept(_) => "MB".to_owned(),
            _ => " ".to_owned(),
        };
        if task == Task::Finished {
            self.terminal.send(" \r");
            self.terminal.wait("the next operation", |drawn| {
                op_on(&drawn.text()).is_some_and(|next| next != op)
            });
            return task;
        }
        let expected = handle_input(&context, &task, &answered).expect("a right answer");
        self.type_and_find(&format!("{answered}\r"), &expected);
        if task == Task::Who {
            self.who = Some("AB");
        }
        let now = self::snapshot(&self.home, self.station);
        if is_finished(&now.route, &now.state, op) {
            self.terminal.wait("the next operation", |drawn| op_on(&drawn.text()) != Some(op));
        }
        task
    }

    /// Types, and waits until the journal holds just these events more.
    #[track_caller]
    pub fn type_and_find(&mut self, keys: &str, expected: &[Event]) {
        let before = lines(&self.home).len();
        self.terminal.send(keys);
        let home = &self.home;
        let what = format!("{} more lines after {keys:?}", expected.len());
        self.terminal.wait(&what, |_| lines(home).len() >= before + expected.len());
        let written: Vec<Event> =
            lines(home).into_iter().skip(before).map(|line| line.event).collect();
        assert_eq!(written, expected, "after {keys:?}");
    }

    /// Does each task until the one the test waits for.
    #[track_caller]
    pub fn walk_to(&mut self, wanted: impl Fn(u32, &Task) -> bool) {
        for _ in 0..500 {
            if wanted(self.op(), &self.task()) {
                return;
            }
            self.step(&to_size);
        }
        panic!("never came to it; screen:\n{}", self.terminal.text());
    }
}

/// A reading in the middle of what is wanted.
pub fn to_size(context: &WorkContext<'_>, piece: &PieceId, check: usize) -> String {
    let limits = context.limits(piece, check).expect("a check has limits");
    match limits.target {
        Some(target) if target > Length::ZERO => typed(target),
        _ => "0.003".to_owned(),
    }
}

#[test]
fn legs_are_walked_to_the_bench_and_the_rails_follow() {
    let home = empty_home();
    let mut hand = Hand::at_a_stool(&home, &[]);
    // A sixteenth shy of 1 1/4 where the sander finishes them.
    let shy = |context: &WorkContext<'_>, piece: &PieceId, check: usize| match context.op {
        50 => "1.1875".to_owned(),
        _ => to_size(context, piece, check),
    };
    let mut walked = Vec::new();
    let mut decided = 0;
    let mut proposed = None;
    for _ in 0..500 {
        let op = hand.op();
        if op > 70 {
            break;
        }
        if walked.last() != Some(&op) {
            walked.push(op);
        }
        match hand.task() {
            Task::Decide { .. } => {
                hand.terminal.wait_for("TOO THIN");
                hand.terminal.wait_for("can't be saved");
                decided += 1;
            }
            Task::Accept(proposal) => {
                hand.terminal.wait_for("leg_square");
                proposed = Some(proposal);
            }
            _ => {}
        }
        hand.step(&shy);
    }
    assert_eq!(walked, [10, 20, 30, 40, 50, 60, 70]);
    // 4 legs, 4 spares and the setup piece.
    assert_eq!(decided, 9);
    let proposal = proposed.expect("the lead was asked");
    assert_eq!(proposal.made[0].dim, "leg_square");
    assert_eq!(proposal.made[0].value, Length::inch_fraction(19, 16));
    let [kept, _] = proposal.keeps.as_slice() else { panic!("{proposal:?}") };
    assert_eq!(kept.keep.as_deref(), Some("the base"));
    assert!(kept.changes.iter().any(|change| change.op == 160 && change.what == "stop"));

    // Shoulder 13 1/2 - 2 x 1 3/16 = 11 1/8, and two tenons of 5/8 make 12 3/8;
    // planned was 13 1/2 - 2 x 1 1/4 + 1 1/4 = 12 1/4.
    let snapshot = snapshot(hand.home.as_path(), "cart");
    let stop = &snapshot.plan.operation(160).expect("planned").groups[0].outcome.settings[0];
    assert_eq!((stop.name.as_str(), stop.setting.target.0), ("stop", Length::inch_fraction(99, 8)));

    // The same on the screen, once the lead opens op 160 before its time.
    let at = |op| snapshot.route.steps.iter().position(|step| step.op == op).expect("a step");
    hand.terminal.send("r");
    hand.terminal.wait_for("Enter go there");
    let down = at(160) - at(hand.op_under_way());
    hand.terminal.send(&"\x1b[B".repeat(down));
    hand.terminal.wait("op 160 selected", |drawn| {
        drawn.text().lines().any(|line| line.starts_with('>') && line.contains(" 160 "))
    });
    hand.terminal.send("\r");
    hand.terminal.wait("op 160", |drawn| op_on(&drawn.text()) == Some(160));
    hand.terminal.send("o\rMB a trial cut\r");
    // Caution and gauge check of the stop saw are from this morning, at op 60.
    hand.terminal.wait_for("12 3/8");
}

impl Hand {
    /// The first operation that is not finished: where Enter leads to.
    fn op_under_way(&self) -> u32 {
        let snapshot = snapshot(&self.home, self.station);
        let steps = &snapshot.route.steps;
        steps.iter().map(|step| step.op).find(|op| !snapshot.state.is_closed(*op)).expect("one")
    }
}

#[test]
fn a_kill_loses_nothing_that_was_acknowledged() {
    let home = empty_home();
    let mut hand = Hand::at_a_stool(&home, &[]);
    hand.walk_to(|op, task| op == 30 && matches!(task, Task::Read { .. }));
    let Task::Read { piece: first, .. } = hand.task() else { panic!("a reading is due") };
    hand.step(&to_size);
    // Acknowledged: the entry line says what was taken.
    hand.terminal.wait_for("1.3525");
    hand.terminal.signal(Signal::KILL);
    assert!(!hand.terminal.ended().success());

    let recorded = lines(home.path());
    assert!(recorded.iter().any(|line| matches!(
        &line.event,
        Event::Reading(taken) if taken.op == 30 && taken.piece == first
    )));
    let due_then = hand.task();

    let name = only_batch(home.path()).name().to_owned();
    let mut hand = Hand::at(walk(home.path(), &[&name], USUAL), &home);
    assert_eq!(lines(home.path()), recorded);
    assert_eq!(hand.op(), 30);
    hand.step(&to_size);
    assert_eq!(hand.task(), due_then);
    assert!(matches!(due_then, Task::Read { .. } | Task::Cut { .. }), "{due_then:?}");
}

#[test]
fn resizing_loses_nothing_typed() {
    let home = empty_home();
    let mut hand = Hand::at_a_stool(&home, &[]);
    hand.walk_to(|_, task| matches!(task, Task::Set(_)));
    hand.terminal.send("17 9/32");
    hand.terminal.wait_for("17 9/32");
    hand.terminal.resize(40, 12);
    hand.terminal.wait_for("17 9/32");
    hand.terminal.resize(30, 8);
    // What it needs, and what it has.
    hand.terminal.wait_for("40x12");
    hand.terminal.wait_for("30x8");
    hand.terminal.resize(120, 40);
    hand.terminal.wait_for("17 9/32");
    hand.terminal.resize(80, 24);
    hand.terminal.wait_for("17 9/32");
    // Enter still takes it: the wrong scale goes on record.
    hand.terminal.send("\r");
    hand.terminal.wait_for("It should show");
    let last = lines(home.path()).pop().expect("a line");
    assert!(matches!(last.event, Event::Setting { typed, right: false, .. } if typed == "17 9/32"));
}

#[test]
fn every_size_of_window_is_drawn() {
    for size in [(1, 1), (20, 5), (39, 11), (40, 12), (79, 23), (200, 60)] {
        let home = empty_home();
        let mut terminal = walk(home.path(), &["reading-stool", "--sets", "1"], size);
        terminal.wait(&format!("anything at {size:?}"), |drawn| !drawn.text().trim().is_empty());
        // Keys are taken at any size, and a larger window shows what they did.
        terminal.send("ab\r");
        // Once at the start and once for each key.
        terminal.wait("four drawings", |drawn| drawn.drawings() >= 4);
        terminal.resize(80, 24);
        terminal.wait_for("before you use the chop saw");
        terminal.send("q");
        assert_eq!(terminal.ended().exit_code(), 0, "{size:?}");
        terminal.is_put_back();
    }
}

/// The numbers of every sequence that sets how letters look.
fn looks(raw: &[u8]) -> Vec<u16> {
    let text = String::from_utf8_lossy(raw);
    text.split("\x1b[")
        .skip(1)
        .filter_map(|after| after.split_once(|c: char| c.is_ascii_alphabetic() || c == '~'))
        .zip(text.split("\x1b[").skip(1))
        .filter(|((numbers, _), after)| after[numbers.len()..].starts_with('m'))
        .flat_map(|((numbers, _), _)| {
            numbers.split([';', ':']).map(|n| n.parse().unwrap_or(0)).collect::<Vec<u16>>()
        })
        .collect()
}

fn is_a_colour(look: &u16) -> bool {
    // 39, 49 and 59 are the terminal's own colours.
    matches!(look, 30..=38 | 40..=48 | 58 | 90..=97 | 100..=107)
}

/// Through cautions, settings, a wrong scale, readings and the other screens.
fn look_around(hand: &mut Hand) {
    hand.walk_to(|_, task| matches!(task, Task::Set(_)));
    hand.terminal.send("17\r");
    hand.terminal.wait_for("It should show");
    hand.walk_to(|op, task| op == 20 && matches!(task, Task::Read { .. }));
    // The last words of each screen, so that the whole screen is drawn. A key
    // typed while Esc still waits would be read as one key with it.
    let screens = [
        ("r", "Enter go there"),
        ("p", "in cut order"),
        ("y", "the readings show no shift"),
        ("?", "The first piece proves the setting"),
    ];
    for (key, words) in screens {
        hand.terminal.send(key);
        hand.terminal.wait_for(words);
        hand.terminal.send("\x1b");
        hand.terminal.wait_until_gone(words);
    }
    hand.step(&|_, _, _| "0.05".to_owned());
    hand.terminal.send("x\r");
    hand.terminal.wait_for("Type one of c, m, s, a");
}

#[test]
fn no_color_leaves_bold_and_reverse() {
    let home = empty_home();
    let arguments = ["walk", "reading-stool", "--sets", "1"];
    let colourless = [("NO_COLOR", "1")];
    let terminal = Terminal::start(BENCHWAY, &arguments, home.path(), &colourless, USUAL);
    let mut hand = Hand::at(terminal, &home);
    look_around(&mut hand);
    let looks = looks(&hand.terminal.drawn().raw);
    let colours: Vec<&u16> = looks.iter().filter(|look| is_a_colour(look)).collect();
    assert!(colours.is_empty(), "{colours:?}");
    assert!(looks.contains(&1), "bold");
    assert!(looks.contains(&7), "reverse");
}

#[test]
fn there_is_colour_where_it_is_wanted() {
    let home = empty_home();
    let mut hand = Hand::at_a_stool(&home, &[]);
    look_around(&mut hand);
    assert!(looks(&hand.terminal.drawn().raw).iter().any(is_a_colour));
}

#[test]
fn plain_signs_only_where_asked() {
    let home = empty_home();
    let mut hand = Hand::at_a_stool(&home, &["--ascii"]);
    look_around(&mut hand);
    let drawn = hand.terminal.drawn();
    let foreign: String =
        String::from_utf8_lossy(&drawn.raw).chars().filter(|c| !c.is_ascii()).collect();
    assert_eq!(foreign, "");
}

#[test]
fn leaving_puts_the_terminal_back() {
    let home = empty_home();
    let mut hand = Hand::at_a_stool(&home, &[]);
    assert!(hand.terminal.drawn().parser.screen().bracketed_paste());
    hand.walk_to(|_, task| matches!(task, Task::Caution { .. }));
    hand.terminal.send("q");
    assert_eq!(hand.terminal.ended().exit_code(), 0);
    hand.terminal.is_put_back();
}

#[test]
fn leaving_half_done_asks_how_it_stands() {
    let home = empty_home();
    let mut hand = Hand::at_a_stool(&home, &[]);
    hand.walk_to(|_, task| matches!(task, Task::Cut { .. }));
    hand.terminal.send("q");
    hand.terminal.wait_for("note for the next person");
    hand.terminal.send("blade is dull\r");
    assert_eq!(hand.terminal.ended().exit_code(), 0);
    hand.terminal.is_put_back();
    let events: Vec<Event> = lines(home.path()).into_iter().map(|line| line.event).collect();
    // Each is a line by itself: a program that knows one of them alone still counts it.
    let [.., left, Event::StationLeft {}] = events.as_slice() else { panic!("{events:?}") };
    assert!(
        matches!(left, Event::Left { op: 10, note, .. } if note == "blade is dull"),
        "{left:?}"
    );

    // The next person sees it before anything else.
    let name = only_batch(home.path()).name().to_owned();
    let hand = Hand::at(walk(home.path(), &[&name], USUAL), &home);
    hand.terminal.wait_for("blade is");
}

#[test]
fn told_to_end_it_puts_the_terminal_back() {
    for signal in [Signal::TERM, Signal::QUIT] {
        let home = empty_home();
        let mut hand = Hand::at_a_stool(&home, &[]);
        hand.terminal.signal(signal);
        let status = hand.terminal.ended();
        assert!(!status.success());
        hand.terminal.is_put_back();
    }
}

/// A file that may not grow any further is a full disk: what was typed stays, with the
/// reason, and the terminal is put back when somebody leaves.
#[test]
fn a_file_at_its_limit_ends_nothing() {
    if !Path::new("/bin/bash").exists() {
        return;
    }
    let home = empty_home();
    let begun = {
        let mut hand = Hand::at_a_stool(&home, &[]);
        hand.terminal.send("MB\r");
        hand.terminal.wait_until_gone("is at the machine?");
        hand.terminal.send("\x03");
        hand.terminal.ended();
        lines(home.path())
    };
    let batch = only_batch(home.path());
    let journal = home.path().join("batches").join(batch.name()).join("cart.jsonl");
    let bytes = std::fs::metadata(&journal).expect("its journal").len();
    // Bash counts in 1024 bytes: there is room for initials, and not for the note.
    let limit = (bytes + 512).div_ceil(1024);
    let command = format!("ulimit -f {limit}; exec {BENCHWAY} walk '{}'", batch.name());
    let mut terminal = Terminal::start("/bin/bash", &["-c", &command], home.path(), &[], USUAL);
    terminal.wait_for("is at the machine?");
    terminal.send("\r");
    terminal.wait_until_gone("is at the machine?");
    terminal.send("n");
    terminal.wait_for("Esc cancel");
    terminal.send(&"x".repeat(1600));
    terminal.send("\r");
    terminal.wait_for("Not recorded");
    terminal.send("\x03");
    terminal.ended();
    terminal.is_put_back();
    let everything = batch.read_all::<Event>().expect("readable");
    assert!(everything.damage.is_empty(), "{:?}", everything.damage);
    assert_eq!(everything.entries[..begun.len()], begun);
}

/// Input that names the terminal another way is the terminal all the same; some systems
/// can't wait for it.
#[test]
fn a_terminal_by_its_other_name_is_read() {
    if !Path::new("/bin/bash").exists() {
        return;
    }
    let home = empty_home();
    let command = format!("exec {BENCHWAY} walk reading-stool --sets 1 </dev/tty");
    let mut terminal = Terminal::start("/bin/bash", &["-c", &command], home.path(), &[], USUAL);
    terminal.wait_for("is at the machine?");
    terminal.send("MB\r");
    terminal.wait_until_gone("is at the machine?");
    terminal.send("\x03");
    assert_eq!(terminal.ended().exit_code(), 0);
    terminal.is_put_back();
}

#[test]
fn a_closed_window_ends_it() {
    let home = empty_home();
    let mut hand = Hand::at_a_stool(&home, &[]);
    hand.walk_to(|_, task| matches!(task, Task::Set(_)));
    let recorded = lines(home.path());
    assert!(!hand.terminal.hang_up().success());
    assert_eq!(lines(home.path()), recorded);
}

#[test]
fn stopped_by_the_shell_and_called_back() {
    if !Path::new("/bin/bash").exists() {
        return;
    }
    let home = empty_home();
    // A lone program has no shell to wake it and would not stop.
    let shell = ["--norc", "--noprofile", "--noediting", "-i"];
    let mut terminal =
        Terminal::start("/bin/bash", &shell, home.path(), &[("PS1", "ready> ")], USUAL);
    terminal.wait_for("ready>");
    terminal.send(&format!("{BENCHWAY} walk reading-stool --sets 1\r"));
    terminal.wait_for("is at the machine?");
    terminal.send("ab");
    terminal.wait_for("ab");
    terminal.send("\x1a");
    terminal.wait_for("Stopped");
    terminal.is_put_back();
    // The shell hears every letter again.
    terminal.send("echo still $((40 + 2))\r");
    terminal.wait_for("still 42");
    terminal.send("fg\r");
    terminal.wait("the machine again", |drawn| {
        drawn.parser.screen().alternate_screen() && drawn.text().contains("is at the machine?")
    });
    assert!(terminal.drawn().parser.screen().bracketed_paste());
    // The text begun before is still there.
    terminal.wait_for("ab");
    terminal.send("\r");
    terminal.wait_for("before you use the chop saw");
    terminal.send("q");
    terminal.wait("the shell again", |drawn| !drawn.parser.screen().alternate_screen());
    terminal.is_put_back();
}

#[test]
fn wrong_entries_stay_with_the_reason() {
    let home = empty_home();
    let mut hand = Hand::at_a_stool(&home, &[]);
    hand.walk_to(|_, task| matches!(task, Task::Set(_)));
    let recorded = lines(home.path());
    for wrong in ["7/0", "99999999999999999999", "1e999", "12..5", "1/2/3", "--4", "21 banana", "²"]
    {
        hand.terminal.send(wrong);
        hand.terminal.wait_for(wrong);
        let before = hand.terminal.text();
        hand.terminal.send("\r");
        hand.terminal.wait(&format!("a reason against {wrong}"), |drawn| {
            drawn.text() != before && drawn.text().contains(wrong)
        });
        // Control-U empties the line.
        hand.terminal.send("\x15");
        hand.terminal.wait(&format!("{wrong} gone"), |drawn| !drawn.text().contains(wrong));
    }
    assert_eq!(lines(home.path()), recorded);
    // Control characters and half a letter do no harm.
    hand.terminal.send("\x01\x02\x05\x07\x0e\x1f\x7f\x1b[200~\x1b[31m\x07\x00red\x1b[201~");
    hand.terminal.wait_for("red");
    hand.terminal.send("\x15");
    hand.terminal.wait_until_gone("red");
    // Millimetres where inches are usual: 21 in is 533.4 mm.
    hand.terminal.send("533.4mm\r");
    hand.terminal.wait("a line", |_| lines(home.path()).len() > recorded.len());
    let last = lines(home.path()).pop().expect("a line").event;
    assert!(
        matches!(&last, Event::Setting { right: true, typed, .. } if typed == "533.4mm"),
        "{last:?}"
    );
}

#[test]
fn a_gauge_that_types_counts_once() {
    let home = empty_home();
    let mut hand = Hand::at_a_stool(&home, &[]);
    hand.walk_to(|op, task| op == 30 && matches!(task, Task::Read { .. }));
    let known = lines(home.path()).len();
    let readings = |home: &TempDir| -> Vec<String> {
        lines(home.path())
            .into_iter()
            .skip(known)
            .filter_map(|line| match line.event {
                Event::Reading(taken) => Some(taken.typed),
                _ => None,
            })
            .collect()
    };
    // Figures and two Enters in one go, as a bouncing gauge sends them.
    hand.terminal.send("1.352\r\r");
    hand.terminal.wait("the first reading", |_| readings(&home) == ["1.352"]);
    // With the comma of a gauge from elsewhere, and a unit.
    hand.terminal.send("1,353in\r\r");
    hand.terminal.wait("the second reading", |_| readings(&home) == ["1.352", "1,353in"]);
    assert_eq!(hand.op(), 30);
    // Every line was asked for: no extra Enter fed or closed anything.
    let after: Vec<Event> = lines(home.path())
        .into_iter()
        .skip(known)
        .map(|line| line.event)
        .filter(|event| !matches!(event, Event::Reading(_)))
        .collect();
    assert!(
        after.iter().all(|event| matches!(
            event,
            Event::FirstPiece { .. } | Event::Done { by_reading: true, .. }
        )),
        "{after:?}"
    );
}

/// Where pieces are counted, a reading is no count: it stays on the line, and nothing is
/// recorded.
#[test]
fn a_reading_is_no_count() {
    let home = empty_home();
    let mut hand = Hand::at_a_stool(&home, &[]);
    hand.walk_to(|_, task| matches!(task, Task::Cut { .. }));
    let (task, before) = (hand.task(), lines(home.path()));
    hand.terminal.send("12.345\r\r");
    hand.terminal.wait_for("A count is a whole number.");
    hand.terminal.wait_for("> 12.345");
    assert_eq!((hand.task(), lines(home.path())), (task, before));
}

#[test]
fn an_enter_held_down_counts_once() {
    let home = empty_home();
    let mut hand = Hand::at_a_stool(&home, &[]);
    hand.walk_to(|_, task| matches!(task, Task::Cut { .. }));
    let before = lines(home.path()).len();
    // The space shows that the first Enter is meant, not a bounce of the one before.
    hand.terminal.send("1\r\r\r");
    hand.look_it_up();
    assert_eq!(lines(home.path()).len(), before + 1);
}

/// A gauge may send a number while cautions are on the screen.
#[test]
fn a_number_accepts_no_cautions() {
    let home = empty_home();
    let mut hand = Hand::at_a_stool(&home, &[]);
    hand.walk_to(|op, task| op == 20 && matches!(task, Task::Caution { .. }));
    let before = lines(home.path());
    hand.terminal.send("12.345\r");
    hand.terminal.wait_for("No number is asked for");
    assert_eq!((hand.op(), lines(home.path())), (20, before));
}

/// Each line answers what is asked then. One that is refused stays, and those behind it,
/// the second Enters of a gauge, count for nothing.
#[test]
fn a_paste_of_many_lines_is_taken_line_by_line() {
    let home = empty_home();
    let mut hand = Hand::at_a_stool(&home, &[]);
    hand.walk_to(|_, task| matches!(task, Task::Set(_)));
    let before = lines(home.path()).len();
    hand.terminal.send("\x1b[200~21\r\nsecond line\r\n\r\n\r\n\x1b[201~");
    hand.terminal.wait_for("A count is a whole number.");
    hand.terminal.wait_for("> second line");
    let after: Vec<Event> =
        lines(home.path()).into_iter().skip(before).map(|line| line.event).collect();
    assert!(matches!(after.as_slice(), [Event::Setting { right: true, .. }]), "{after:?}");
}

#[test]
fn two_terminals_need_two_names() {
    let home = empty_home();
    let mut cart = Hand::at_a_stool(&home, &[]);
    let name = only_batch(home.path()).name().to_owned();
    let mut refused = walk(home.path(), &[&name], USUAL);
    // By whom, since when, and what to do; the routes are still listed.
    refused.wait_for("The station cart is in use");
    refused.wait_for(&format!("process {}", cart.terminal.process().as_raw_nonzero()));
    refused.wait_for("Lantern reading stool");
    refused.send("\r");
    refused.wait_for("is at the machine?");
    refused.wait_for("cart-2");
    refused.send("\x03");
    assert_eq!(refused.ended().exit_code(), 0);
    refused.is_put_back();

    let mut bench = Hand::at(walk(home.path(), &[&name, "--station", "bench"], USUAL), &home);
    bench.station = "bench";
    cart.step(&to_size);
    cart.walk_to(|_, task| matches!(task, Task::Cut { .. }));
    bench.step(&to_size);
    // The caution is read by the same person; the stop is set by the cart.
    bench.walk_to(|_, task| matches!(task, Task::Cut { .. }));
    let ticked = |home: &TempDir| {
        lines(home.path())
            .iter()
            .filter(|line| matches!(line.event, Event::Done { .. }))
            .map(|line| line.station.clone())
            .collect::<Vec<String>>()
    };
    cart.step(&to_size);
    // What the cart did changed what is asked at the bench, so its first Enter only says so.
    bench.terminal.send("1\r");
    bench.terminal.wait_for("Another station moved on.");
    bench.terminal.send("\x15");
    bench.step(&to_size);
    cart.terminal.send("1\r");
    cart.terminal.wait_for("Another station moved on.");
    cart.terminal.send("\x15");
    cart.step(&to_size);
    assert_eq!(ticked(&home), ["cart", "bench", "cart"]);
    // The bench hears of it with no key.
    bench.terminal.wait_for("3 of ");
    cart.terminal.wait_for("3 of ");
}

/// How much work a process has done so far, by the system's own count.
#[cfg(target_os = "linux")]
fn ticks(process: rustix::process::Pid) -> u64 {
    let stat = std::fs::read_to_string(format!("/proc/{}/stat", process.as_raw_nonzero()))
        .expect("still running");
    let (_, after_name) = stat.rsplit_once(')').expect("a name in brackets");
    // The third field follows the name; work in and for the program are the 14th and 15th.
    after_name
        .split_whitespace()
        .skip(11)
        .take(2)
        .map(|n| n.parse::<u64>().expect("a number"))
        .sum()
}

#[cfg(target_os = "linux")]
#[test]
fn waiting_costs_nothing() {
    let home = empty_home();
    let mut hand = Hand::at_a_stool(&home, &[]);
    // With a zeroed gauge there is a time to wake for.
    hand.walk_to(|op, task| op == 30 && matches!(task, Task::Read { .. }));
    hand.terminal.wait_for("then its");
    let second = std::time::Duration::from_secs(1);
    // The clock in the title moves once a minute; then the next second is quiet.
    for is_last in [false, true] {
        // The last drawing has been taken in when nothing more comes for a while.
        std::thread::sleep(second / 4);
        let (before, drawn) = (ticks(hand.terminal.process()), hand.terminal.drawn().raw.len());
        let title = hand.terminal.text();
        std::thread::sleep(second);
        if hand.terminal.text() != title && !is_last {
            continue;
        }
        assert_eq!(hand.terminal.drawn().raw.len(), drawn, "drawn while idle");
        assert!(ticks(hand.terminal.process()) <= before + 1, "worked while idle");
        break;
    }
}

#[test]
fn a_folder_gone_keeps_the_reading_on_the_line() {
    let home = empty_home();
    let mut hand = Hand::at_a_stool(&home, &[]);
    hand.walk_to(|op, task| op == 20 && matches!(task, Task::Read { .. }));
    let folder = only_batch(home.path()).path().to_owned();
    let aside = home.path().join("aside");
    let recorded = lines(home.path());
    std::fs::rename(&folder, &aside).expect("renamed");
    hand.terminal.send("0.0045\r");
    hand.terminal.wait("the reason", |drawn| {
        drawn.text().contains("0.0045") && drawn.text().contains("not there")
    });
    // A folder put in its place that is no batch doesn't help.
    std::fs::create_dir(&folder).expect("made");
    hand.terminal.send("\x150.0046\r");
    hand.terminal.wait("the reason again", |drawn| {
        drawn.text().contains("0.0046") && drawn.text().contains("not there")
    });
    std::fs::remove_dir(&folder).expect("empty still");
    std::fs::rename(&aside, &folder).expect("put back");
    assert_eq!(lines(home.path()), recorded);
    // Put back, it is only a matter of entering it again.
    hand.terminal.send("\r");
    hand.until_recorded("0.0046");
}

#[test]
fn a_journal_gone_keeps_the_reading_on_the_line() {
    let home = empty_home();
    let mut hand = Hand::at_a_stool(&home, &[]);
    hand.walk_to(|op, task| op == 20 && matches!(task, Task::Read { .. }));
    let folder = only_batch(home.path()).path().to_owned();
    let (journal, aside) = (folder.join("cart.jsonl"), home.path().join("aside"));
    std::fs::rename(&journal, &aside).expect("renamed");
    hand.terminal.send("0.0045\r");
    hand.terminal.wait("the reason", |drawn| {
        drawn.text().contains("0.0045") && drawn.text().contains("not there")
    });
    // Nothing replaces it, and the work done still shows.
    assert!(!journal.exists());
    assert_eq!(hand.op(), 20);
    std::fs::rename(&aside, &journal).expect("put back");
    hand.terminal.send("\x150.0045\r");
    hand.until_recorded("0.0045");
}

impl Hand {
    /// Opens the help: by then every key before it has been understood.
    #[track_caller]
    fn look_it_up(&mut self) {
        self.terminal.send("?");
        self.terminal.wait("the help", |drawn| op_on(&drawn.text()).is_none());
    }

    #[track_caller]
    fn until_recorded(&mut self, typed: &str) {
        let home = &self.home;
        self.terminal.wait(&format!("{typed} on record"), |_| {
            lines(home)
                .iter()
                .any(|line| matches!(&line.event, Event::Reading(taken) if taken.typed == typed))
        });
    }
}

#[test]
fn bare_it_opens_on_routes_and_batches() {
    let home = empty_home();
    let mut terminal = Terminal::start(BENCHWAY, &[], home.path(), &[], USUAL);
    terminal.wait_for("Lantern reading stool");
    terminal.send("\r");
    terminal.wait_for("how many stools");
    for wrong in ["0", "two", "1001", "-3", "1.5"] {
        terminal.send(&format!("\x15{wrong}\r"));
        terminal.wait(&format!("a refusal of {wrong}"), |drawn| {
            drawn.text().contains("1 to 1000")
                && drawn.text().lines().any(|line| line.trim_end() == format!("> {wrong}"))
        });
    }
    terminal.send("\x151\r");
    terminal.wait_for("name of the batch");
    terminal.send("\x15../../x\r");
    terminal.wait_for("cannot name a batch");
    assert!(batches(home.path()).is_empty());
    assert!(!home.path().parent().expect("a parent").join("x").exists());
    terminal.send("\x15spring stools\r");
    terminal.wait_for("is at the machine?");
    assert_eq!(only_batch(home.path()).name(), "spring stools");
    terminal.send("\x03");
    assert_eq!(terminal.ended().exit_code(), 0);

    // Now there is a batch under way, and it comes first.
    let mut terminal = Terminal::start(BENCHWAY, &[], home.path(), &[], USUAL);
    terminal.wait_for("spring stools");
    terminal.send("\r");
    terminal.wait_for("is at the machine?");
    terminal.wait_for("op 10");
}

/// Always: Looking back writes nothing.
///
/// Dust at the stop: the lead asks why rails are short, at the machine and
/// before anybody typed initials. Looking back writes nothing.
#[test]
fn a_lead_looks_back_at_the_machine() {
    const F9: &str = "\x1b[20~";
    const F12: &str = "\x1b[24~";
    const ESC: &str = "\x1b";
    let home = empty_home();
    let invented = ["--sets", "4", "--until", "160", "--name", "dusty"];
    let mut arguments = vec!["simulate", "reading-stool", "--fault", "op 160 stop dust 1/32"];
    arguments.extend(invented);
    let mut making = Terminal::start(BENCHWAY, &arguments, home.path(), &[], USUAL);
    assert_eq!(making.ended().exit_code(), 0, "{}", making.text());

    let held = snapshot(home.path(), "cart");
    let found = findings(&held.route, &held.shop, &held.state);
    let told = found.notable();
    let dusty = told.first().expect("dust is found");
    let out = |verdict| matches!(verdict, Verdict::TooSmall { .. });
    let short = dusty.series.points.iter().find(|point| out(point.verdict));
    let short = &short.expect("a short rail").name;
    let written = lines(home.path()).len();

    let mut terminal = walk(home.path(), &["invented-dusty"], USUAL);
    terminal.wait_for("is at the machine?");
    terminal.send(F12);
    terminal.wait_for("invented: What went out of limits, and why");
    terminal.send(&"\x1b[B".repeat(found.grouped_out().len() + found.gauges.len()));
    terminal.wait("the check selected", |drawn| {
        drawn.text().lines().any(|line| line.starts_with("> op 160 crosscut rail"))
    });
    terminal.send("\r");
    let sentence = wording::sentence(dusty, Unit::Inch);
    terminal.wait_for(&sentence);
    terminal.wait_for("Dust or a chip between end and stop");
    terminal.wait_for(&format!("{short}: "));
    terminal.send("\r");
    terminal.wait_for(&format!("invented: {short}: what each operation added"));
    terminal.wait_for("too short");
    terminal.send(ESC);
    terminal.wait_for(&sentence);
    terminal.send(ESC);
    terminal.wait_for("What went out of limits, and why");
    terminal.send(ESC);
    terminal.wait_for("is at the machine?");
    terminal.send(F9);
    assert_eq!(terminal.ended().exit_code(), 0);
    terminal.is_put_back();
    assert_eq!(lines(home.path()).len(), written);
}
