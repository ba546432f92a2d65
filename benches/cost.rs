//! What an entry costs as a batch grows, and what whole computations cost. Every number
//! is a ratio of two medians taken in turn in one run, because computers differ.
//!
//! `cargo bench --bench cost` prints the table of `benches/cost.md`.

use std::fs::{File, OpenOptions};
use std::hint::black_box;
use std::io::Write;
use std::time::Duration;

use benchway::document::Document;
use benchway::journal::{
    BatchId, Beginning, Event, Home, JournalEntry, JournalLine, OpenBatch, initial_pieces,
};
use benchway::plan::{Known, walk};
use benchway::route::{self, Route};
use benchway::shop::{self, Shop};
use benchway::tui::screens::draw;
use benchway::tui::theme::Theme;
use benchway::tui::{App, AppMessage, Effect};
use benchway::work::{Task, handle_input, next_op, task};
use chrono::{DateTime, FixedOffset};
use crossterm::event::{KeyCode, KeyEvent, KeyModifiers};
use ratatui::Terminal;
use ratatui::backend::TestBackend;

#[path = "../tests/support/walker/crew.rs"]
#[allow(dead_code, reason = "a bench answers only what it is asked")]
mod crew;
mod ratio;
#[path = "cost/whole.rs"]
mod whole;

use ratio::{ratio, timed};

const SHOP: &str = include_str!("../routes/shop.json");
const STATION: &str = "cart";

/// Four parts to an article, cut to length, each measured.
const ROUTE: &str = r#"{
  "route": "Strips", "unit": "in", "sets": SETS, "dims": { "w": "2" },
  "parts": { "strip": { "per_set": 4, "stock": { "thickness": "3/4", "width": "2", "length": "20" }, "width": "w", "length": "15" } },
  "operations": [
    { "op": 20, "part": "strip", "do": "crosscut", "at": "stop saw", "to": "15",
      "checks": [ { "check": "length", "limits": "±1/32", "with": "calipers", "pieces": "all" } ] } ] }"#;

fn at() -> DateTime<FixedOffset> {
    "2026-11-25T08:00:00+01:00".parse().expect("a time with its zone")
}

fn route(sets: usize) -> (String, Route) {
    let text = ROUTE.replace("SETS", &sets.to_string());
    let route = read_route(&text);
    (text, route)
}

fn read_route(text: &str) -> Route {
    let document = Document::read("route.json", text).expect("JSON");
    route::read(&document).unwrap_or_else(|_| panic!("a sound route")).0
}

fn the_shop() -> Shop {
    let document = Document::read("shop.json", SHOP).expect("JSON");
    shop::read(&document).unwrap_or_else(|_| panic!("a sound shop file"))
}

/// A terminal program with its batch, as the traveler runs it.
struct Desk {
    _place: tempfile::TempDir,
    home: Home,
    open: OpenBatch,
    app: App,
    screen: Terminal<TestBackend>,
}

impl Desk {
    fn new(begin: impl FnOnce(&Home) -> OpenBatch) -> Desk {
        let place = tempfile::tempdir().expect("a folder");
        let home = Home::locate(Some(place.path().to_owned())).expect("a folder was named");
        let open = begin(&home);
        let mut app = App::new(Theme::new(true, false));
        app.update(AppMessage::Opened(Box::new(open.snapshot()), at()));
        let screen = Terminal::new(TestBackend::new(80, 24)).expect("a screen in memory");
        Desk { _place: place, home, open, app, screen }
    }

    /// A batch of so many pieces, at its first reading.
    fn of_pieces(pieces: usize) -> Desk {
        let (text, _) = route(pieces / 4);
        let mut desk = Desk::new(|home| {
            let beginning = Beginning {
                name: "strips",
                id: BatchId::random(),
                route: &text,
                shop: SHOP,
                station: STATION,
                holder: "the bench",
                at: at(),
                word: None,
                boards: &[],
                makers: &[],
            };
            OpenBatch::start(home, &beginning).unwrap_or_else(|why| panic!("{why}"))
        });
        desk.until_a_reading();
        desk
    }

    /// A batch whose journal has so many lines, nearly all of them notes.
    fn of_lines(lines: usize) -> Desk {
        let (text, route) = route(1);
        let plan = walk(&route, &the_shop(), &Known::default());
        let pieces = initial_pieces(&route, &plan, STATION);
        let started = Event::Started {
            batch: "strips".to_owned(),
            route: route.name.clone(),
            sets: route.sets,
            pieces,
            id: None,
        };
        let note = |n: usize| Event::Note { op: None, piece: None, text: format!("note {n}") };
        let events = [Event::Invented { seed: 1, faults: Vec::new() }, started];
        let all = events.into_iter().chain((3..=lines).map(note));
        let lines: Vec<JournalLine> = all.zip(1..).map(|(event, n)| line(n, event)).collect();
        Desk::new(|home| {
            OpenBatch::invented(home, "strips", (&text, SHOP), "the bench", lines)
                .unwrap_or_else(|why| panic!("{why}"))
        })
    }

    /// Does what the program does with what its screens ask for.
    fn perform(&mut self, effects: Vec<Effect>) {
        for effect in effects {
            if let Effect::Append { who, events } = effect {
                self.app.hand_back();
                self.open.append(who.as_deref(), at(), events).expect("recorded");
                let snapshot = Box::new(self.open.snapshot());
                self.app.update(AppMessage::Recorded(snapshot, at()));
            }
        }
    }

    fn key(&mut self, code: KeyCode) {
        if self.open.has_news().expect("readable") {
            self.app.hand_back();
            self.open.refresh().expect("readable");
            let snapshot = Box::new(self.open.snapshot());
            self.app.update(AppMessage::Refreshed(snapshot));
        }
        let key = KeyEvent::new(code, KeyModifiers::NONE);
        let effects = self.app.update(AppMessage::Key(key, at()));
        self.perform(effects);
        let app = &self.app;
        self.screen.draw(|frame| _ = draw(app, frame)).expect("drawn");
    }

    fn type_line(&mut self, text: &str) {
        text.chars().for_each(|letter| self.key(KeyCode::Char(letter)));
        self.key(KeyCode::Enter);
    }

    /// Answers everything until a piece is to be measured.
    fn until_a_reading(&mut self) {
        self.type_line("mb");
        for _ in 0..200 {
            let snapshot = self.open.snapshot();
            let op = next_op(&snapshot.route, &snapshot.state, STATION).expect("work to do");
            let context = snapshot.context(op, Some(crew::LEAD), at());
            let asked = task(&context);
            if matches!(asked, Task::Read { .. }) && !snapshot.state.readings.is_empty() {
                break;
            }
            let typed = crew::well(&context, &asked).expect("nothing goes wrong");
            let events = handle_input(&context, &asked, &typed).expect("a good answer");
            self.open.append(Some(crew::LEAD), at(), events).expect("recorded");
            self.app.update(AppMessage::Refreshed(Box::new(self.open.snapshot())));
        }
        // What others recorded changed what is asked, so the first Enter only says so.
        self.type_line("15.001");
        self.key(KeyCode::Enter);
    }

    fn figure(&mut self) -> Duration {
        let time = timed(|| self.key(KeyCode::Char('1')));
        self.key(KeyCode::Backspace);
        time
    }

    /// From Enter to the screen that shows that it is recorded.
    fn reading(&mut self) -> Duration {
        // The gauge is zeroed now and then.
        if self.screen.backend().to_string().contains("calipers on the block") {
            self.type_line("1.000");
        }
        "15.001".chars().for_each(|letter| self.key(KeyCode::Char(letter)));
        let before = self.open.snapshot().state.readings.len();
        let time = timed(|| self.key(KeyCode::Enter));
        let is_recorded = self.open.snapshot().state.readings.len() > before;
        assert!(is_recorded, "no reading is recorded:\n{}", self.screen.backend());
        time
    }

    fn note(&mut self) -> Duration {
        let note = Event::Note { op: None, piece: None, text: "a note".to_owned() };
        timed(|| {
            self.perform(vec![Effect::Append { who: None, events: vec![note] }]);
            let app = &self.app;
            self.screen.draw(|frame| _ = draw(app, frame)).expect("drawn");
        })
    }

    /// Only what is durable: from the events to their acknowledgement.
    fn append(&mut self) -> Duration {
        let note = Event::Note { op: None, piece: None, text: "a note".to_owned() };
        timed(|| {
            self.app.hand_back();
            self.open.append(None, at(), vec![note]).expect("recorded");
        })
    }

    /// The first key after another station wrote a line.
    fn key_after_another(&mut self, other: &mut OpenBatch) -> Duration {
        let text = "elsewhere".to_owned();
        other
            .append(None, at(), vec![Event::Note { op: None, piece: None, text }])
            .expect("recorded");
        timed(|| self.key(KeyCode::F(20)))
    }
}

fn line(n: u64, event: Event) -> JournalLine {
    JournalEntry {
        n,
        after: n,
        at: at(),
        station: STATION.to_owned(),
        who: None,
        answer: None,
        seen: std::collections::BTreeMap::new(),
        begun: None,
        event,
    }
}

/// A line of the same length added to a file, and the disk waited for: the least that a
/// durable entry can cost.
struct Bare(File);

impl Bare {
    fn new(desk: &Desk) -> Bare {
        let path = desk.home.path().join("bare");
        Bare(OpenOptions::new().create(true).append(true).open(path).expect("opened"))
    }

    fn append(&mut self) -> Duration {
        let text = [b'x'; 170];
        timed(|| {
            self.0.write_all(black_box(&text)).expect("written");
            self.0.sync_data().expect("synced");
        })
    }
}

fn row(what: &str, ratio: f64, goal: f64) {
    println!("| {what} | {ratio:.2} | {goal} |");
}

fn main() {
    println!("| what | ratio | goal, at most |");
    println!("| --- | --- | --- |");
    let (mut few, mut many) = (Desk::of_pieces(100), Desk::of_pieces(3000));
    row(
        "figure at a reading, 3,000 pieces over 100",
        ratio(60, || many.figure(), || few.figure()),
        1.5,
    );
    row("reading, 3,000 pieces over 100", ratio(40, || many.reading(), || few.reading()), 1.5);
    drop((few, many));
    let (mut short, mut long) = (Desk::of_lines(1_000), Desk::of_lines(100_000));
    row("note, 100,000 lines over 1,000", ratio(40, || long.note(), || short.note()), 1.5);
    let mut bare = Bare::new(&short);
    row(
        "entry made durable, over a bare append",
        ratio(40, || short.append(), || bare.append()),
        1.5,
    );
    let resume = |desk: &Desk| {
        OpenBatch::resume(&desk.home, "strips", "planer", "the bench")
            .unwrap_or_else(|why| panic!("{why}"))
    };
    let (mut near, mut far) = (resume(&short), resume(&long));
    row(
        "key after another station's line, 100,000 lines over 1,000",
        ratio(20, || long.key_after_another(&mut far), || short.key_after_another(&mut near)),
        2.0,
    );
    drop((short, long));
    row(
        "simulate, 128 sets over 64",
        ratio(3, || whole::simulate(128), || whole::simulate(64)),
        2.3,
    );
    let fits = whole::FitTrials::new();
    row(
        "fits, a million trials over its formula in Rust",
        ratio(5, || fits.by_the_program(), || fits.in_rust()),
        2.0,
    );
    let (long, short) = (whole::Journal::of(100_000), whole::Journal::of(10_000));
    row("review, 100,000 lines over 10,000", ratio(3, || long.review(), || short.review()), 12.0);
    drop((long, short));
    let file = whole::JournalFile::of(1_000_000);
    row(
        "review of a file of 1,000,000 lines, over a plain parse of them",
        ratio(3, || file.review(), || file.plain_parse()),
        3.0,
    );
}
