//! Every bundled route from its first operation to its last, for one article:
//! the real program, real keys, a real disk. It knows no route.
#![cfg(unix)]

use std::fs::File;
use std::io::{Read, Seek, SeekFrom};
use std::path::Path;
use std::thread;

use crate::terminal::{Terminal, op_on};
use crate::walker::{crew, read_route, read_shop, snapshot_after, snapshot_of};
use benchway::journal::{BatchFolder, Event, Home, JournalLine, Snapshot, scan};
use benchway::route::BUNDLED;
use benchway::tui::MachineView;
use benchway::work::{
    NextOperation, Task, WorkContext, handle_input, is_finished, open_gate, ready, task,
};
use chrono::{DateTime, FixedOffset, Utc};
use rustix::process::Signal;
use tempfile::TempDir;

const BENCHWAY: &str = env!("CARGO_BIN_EXE_benchway");

/// An ordinary window.
const USUAL: (u16, u16) = (80, 24);

/// Far more answers than one article of any route takes.
const ANSWERS: usize = 20_000;

fn now() -> DateTime<FixedOffset> {
    Utc::now().fixed_offset()
}

/// One person with a lead beside them, who does the task that the journal on
/// the disk gives.
pub struct Hand {
    pub terminal: Terminal,
    pub home: TempDir,
    pub folder: BatchFolder,
    pub who: Option<&'static str>,
    /// The journal when last looked at, and where it then ended.
    bytes: u64,
    pub lines: Vec<JournalLine>,
    pub snapshot: Snapshot,
}

pub fn start(home: &Path, arguments: &[&str]) -> Terminal {
    let mut all = vec!["walk"];
    all.extend(arguments);
    let terminal = Terminal::start(BENCHWAY, &all, home, &[], USUAL);
    terminal.wait_for("is at the machine?");
    terminal
}

/// The whole journal, with nothing wrong in it.
#[track_caller]
fn lines(folder: &BatchFolder) -> Vec<JournalLine> {
    let everything = folder.read_all::<Event>().expect("readable");
    assert!(everything.damage.is_empty(), "{:?}", everything.damage);
    everything.entries
}

impl Hand {
    fn begins(stem: &str) -> Hand {
        let home = tempfile::tempdir().expect("a temporary folder");
        let terminal = start(home.path(), &[stem, "--sets", "1"]);
        Hand::at(terminal, home)
    }

    /// At the first batch of a home.
    pub fn at(terminal: Terminal, home: TempDir) -> Hand {
        let batches = Home::locate(Some(home.path().join("batches"))).expect("a folder was named");
        let folder = batches.batches().expect("listed").remove(0);
        let route = read_route(&folder.route_json().expect("readable")).into();
        let shop = read_shop(&folder.shop_json().expect("readable")).into();
        let lines = lines(&folder);
        let snapshot = snapshot_of(folder.name(), &route, &shop, &lines);
        let bytes = folder.path().join("cart.jsonl").metadata().expect("begun").len();
        Hand { terminal, home, folder, who: None, bytes, lines, snapshot }
    }

    /// Reads what was written since without looking.
    pub fn looks_again(&mut self) {
        self.lines = lines(&self.folder);
        let path = self.folder.path().join("cart.jsonl");
        self.bytes = path.metadata().expect("begun").len();
        let Snapshot { route, shop, .. } = &self.snapshot;
        self.snapshot = snapshot_of(self.folder.name(), route, shop, &self.lines);
    }

    /// The operation named at the head of the screen.
    pub fn op(&self) -> u32 {
        op_on(&self.terminal.drawn().text()).expect("a machine screen")
    }

    pub fn context(&self) -> WorkContext<'_> {
        self.snapshot.context(self.op(), self.who, now())
    }

    fn task(&self) -> Task {
        task(&self.context())
    }

    /// Types, and waits until the journal holds just these events more.
    #[track_caller]
    pub fn record(&mut self, keys: &str, expected: &[Event]) {
        self.terminal.send(keys);
        let (path, from) = (self.folder.path().join("cart.jsonl"), self.bytes);
        let added = || {
            let mut added = Vec::new();
            let mut file = File::open(&path).expect("the station's file");
            file.seek(SeekFrom::Start(from)).expect("its end");
            file.read_to_end(&mut added).expect("readable");
            added
        };
        let what = format!("{} more lines after {keys:?}", expected.len());
        self.terminal.wait(&what, |_| {
            added().iter().filter(|byte| **byte == b'\n').count() >= expected.len()
        });
        let added = added();
        let added_lines = scan::<Event>(&added, "cart").entries;
        let written: Vec<&Event> = added_lines.iter().map(|line| &line.event).collect();
        assert_eq!(written, expected.iter().collect::<Vec<_>>(), "after {keys:?}");
        self.bytes += added.len() as u64;
        self.lines.extend(added_lines);
        self.snapshot = snapshot_after(&self.snapshot, &self.lines);
    }

    /// Does the one task, as the screen asks for it, and returns it.
    #[track_caller]
    pub fn step(&mut self) -> Task {
        let first = self.task();
        if matches!(first, Task::Caution { .. }) {
            let asked = MachineView::of(&self.context(), &first).prompt;
            self.reads_on(&asked);
        }
        let context = self.context();
        let (op, task) = (context.op, task(&context));
        let card = MachineView::of(&context, &task);
        let asked = if card.prompt.is_empty() { &card.order.rest } else { &card.prompt };
        self.terminal.wait_for(asked);
        match &task {
            Task::Blocked { .. } => self.goes_elsewhere(),
            Task::Finished => {
                self.terminal.send(" \r");
                self.terminal.wait("another operation or all of them", |drawn| {
                    op_on(&drawn.text()) != Some(op) && !drawn.text().trim().is_empty()
                });
            }
            task => {
                let typed = match task {
                    Task::Who => Some("ab".to_owned()),
                    task => crew::well(&context, task),
                };
                let typed = typed.unwrap_or_else(|| panic!("op {op}: {task:?}"));
                let expected = handle_input(&context, task, &typed).expect("a right answer");
                // A space goes before Enter, because bare Enters in quick succession count once.
                self.record(&format!("{typed} \r"), &expected);
                if *task == Task::Who {
                    self.who = Some("AB");
                }
                // What is finished gives way to the next operation by itself.
                if is_finished(&self.snapshot.route, &self.snapshot.state, op) {
                    self.terminal.wait("another operation or all of them", |drawn| {
                        op_on(&drawn.text()) != Some(op) && !drawn.text().trim().is_empty()
                    });
                }
            }
        }
        task
    }

    /// Reads the cautions to their end: Enter shows those that have no room.
    #[track_caller]
    fn reads_on(&mut self, asked: &str) {
        const MORE: &str = "more lines to read";
        for _ in 0..3 {
            self.terminal.wait("the cautions", |drawn| {
                let text = drawn.text();
                text.contains(asked) || text.contains(MORE)
            });
            if self.terminal.drawn().text().contains(asked) {
                return;
            }
            self.terminal.send(" \r");
            self.terminal.wait_until_gone(MORE);
        }
    }

    /// Goes to an operation that can start now; where none can, the lead opens
    /// one that only waits for its time.
    #[track_caller]
    fn goes_elsewhere(&mut self) {
        let context = self.context();
        let lines = ready(&context);
        let waits =
            |line: &NextOperation| line.reasons.iter().all(|why| why.contains("not before"));
        let at =
            lines.iter().position(waits).unwrap_or_else(|| panic!("op {}: {lines:#?}", context.op));
        let op = lines[at].op;
        let word = if lines[at].is_ready() { "START" } else { "waits" };
        self.terminal.send("t");
        self.terminal.wait_for("What can start now");
        self.terminal.send(&"\x1b[B".repeat(at));
        self.terminal.wait_for(&format!("> {word} op {op} "));
        self.terminal.send("\r");
        self.terminal.wait("its screen", |drawn| op_on(&drawn.text()) == Some(op));
        let context = self.context();
        let task = task(&context);
        if matches!(task, Task::Blocked { .. }) {
            let said = format!("{} it is dry to the touch", crew::LEAD);
            let expected = open_gate(&context, &task, &said).expect("the lead may");
            self.terminal.send("o\r");
            self.terminal.wait_for("reason");
            self.record(&format!("{said}\r"), &expected);
        }
    }

    /// Kills the program without warning, and continues where it was.
    #[track_caller]
    fn is_killed_and_goes_on(&mut self) {
        let (op, task) = (self.op(), self.task());
        self.terminal.signal(Signal::KILL);
        assert!(!self.terminal.ended().success());
        assert_eq!(lines(&self.folder), self.lines);
        self.terminal = start(self.home.path(), &[self.folder.name()]);
        assert_eq!(lines(&self.folder), self.lines);
        self.who = None;
        assert_eq!(self.op(), op);
        self.step();
        assert_eq!(self.task(), task);
    }

    fn finished(&self) -> usize {
        let Snapshot { route, state, .. } = &self.snapshot;
        route.steps.iter().filter(|step| is_finished(route, state, step.op)).count()
    }
}

fn walks_to_its_end(stem: &str) {
    let mut hand = Hand::begins(stem);
    let operations = hand.snapshot.route.steps.len();
    let mut killed = false;
    for _ in 0..ANSWERS {
        let op = hand.op();
        let task = hand.step();
        if hand.finished() == operations {
            break;
        }
        // In the middle of an operation, with a reading just taken.
        let is_under_way =
            matches!(task, Task::Read { .. }) && hand.finished() < operations && hand.op() == op;
        if !killed && hand.finished() >= operations / 2 && is_under_way {
            hand.is_killed_and_goes_on();
            killed = true;
        }
    }
    assert!(killed, "{stem} was walked in one go");
    assert_eq!(lines(&hand.folder), hand.lines);
    crew::is_all_through(&hand.snapshot.route, &hand.snapshot.state);
    hand.terminal.wait_for("Enter go there");
    hand.terminal.send("t");
    hand.terminal.wait_for("Every operation is finished.");
    hand.terminal.send("w");
    hand.terminal.wait_for("Every operation of this route is finished.");
    hand.terminal.send("q");
    assert_eq!(hand.terminal.ended().exit_code(), 0);
    hand.terminal.is_put_back();
}

/// Always: Every bundled route can be walked with keys to its end, and a kill on the way loses
/// nothing.
#[test]
fn every_bundled_route_is_walked_to_its_end() {
    thread::scope(|scope| {
        for route in BUNDLED {
            let named = thread::Builder::new().name(route.stem.to_owned());
            named.spawn_scoped(scope, || walks_to_its_end(route.stem)).expect("a thread");
        }
    });
}
