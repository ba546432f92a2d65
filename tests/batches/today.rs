//! What there is to do today over two batches: worked by hand from a few pieces.

use std::sync::Arc;

use benchway::journal::{Decision, Event, FreeStations, NewPiece, PieceId, Snapshot};
use benchway::route::Chosen;
use benchway::tui::theme::Theme;
use benchway::tui::{App, AppMessage, Effect, Screen, TodayRead};
use benchway::work::{
    ArticleStanding, EstimateBasis, MachineToday, OneSetting, Today, WorkStanding, WorkToday,
    article_words, today,
};
use chrono::{DateTime, FixedOffset, NaiveTime, TimeDelta};
use crossterm::event::{KeyCode, KeyEvent, KeyModifiers};
use ratatui::Terminal;
use ratatui::backend::TestBackend;

use crate::bench;
use crate::drawn::{ASCII, PLAIN, SIZES, drawn, drawn_in, text};
use crate::walker::{SHOP, Walker, named, read_route, read_shop, snapshot_of};

/// Three sides and no more, ripped to 2 1/4 and crosscut.
pub const SEED_TRAY: &str = r#"{
  "route": "Seed tray", "unit": "in", "sets": 1, "article": "tray",
  "dims": { "wide": "2 1/4" },
  "parts": {
    "side": { "per_set": 3, "species": "white oak",
      "stock": { "class": "4/4", "thickness": "3/4", "width": "2 3/4", "length": "19" },
      "length": "18", "width": "wide", "thickness": "3/4" }
  },
  "operations": [
    { "op": 10, "part": "side", "do": "joint", "at": "jointer", "sides": ["edge"] },
    { "op": 20, "part": "side", "do": "rip", "at": "cabinet saw", "tool": "rip blade", "to": "wide",
      "checks": [ { "check": "width", "limits": "±1/64", "with": "calipers", "pieces": "all" } ] },
    { "op": 30, "part": "side", "do": "crosscut", "at": "stop saw", "to": "18",
      "checks": [ { "check": "length", "limits": "±1/32", "with": "calipers", "pieces": "all" } ] }
  ]
}"#;

/// Two ends a rack, ripped to the same width, and a rail ripped to another.
pub const PEG_RACK: &str = r#"{
  "route": "Peg rack", "unit": "in", "sets": 2, "article": "rack",
  "dims": { "wide": "2 1/4" },
  "parts": {
    "end": { "per_set": 2, "species": "white oak",
      "stock": { "class": "4/4", "thickness": "3/4", "width": "2 3/4", "length": "19" },
      "length": "18", "width": "wide", "thickness": "3/4" },
    "rail": { "per_set": 1, "species": "white oak",
      "stock": { "class": "4/4", "thickness": "3/4", "width": "3 3/4", "length": "31" },
      "length": "30", "width": "3", "thickness": "3/4" }
  },
  "operations": [
    { "op": 5, "part": "end", "do": "joint", "at": "jointer", "sides": ["edge"] },
    { "op": 6, "part": "rail", "do": "joint", "at": "jointer", "sides": ["edge"] },
    { "op": 10, "part": "end", "do": "rip", "at": "cabinet saw", "tool": "rip blade", "to": "wide",
      "checks": [ { "check": "width", "limits": "±1/64", "with": "calipers", "pieces": "all" } ] },
    { "op": 20, "part": "rail", "do": "rip", "at": "cabinet saw", "tool": "rip blade", "to": "3",
      "checks": [ { "check": "width", "limits": "±1/64", "with": "calipers", "pieces": "all" } ] },
    { "op": 30, "part": "end", "do": "hand", "at": "bench", "say": ["Break every sharp edge."] }
  ]
}"#;

/// The invented shop, with a lead and two people who may each use one machine.
pub fn shop_with_people() -> String {
    let people = r#""people": { "MB": { "lead": true }, "JT": { "signed_off_on": ["cabinet saw"] },
        "RK": { "signed_off_on": ["jointer"] } }"#;
    let text = SHOP.replacen(r#""people": {}"#, people, 1);
    assert_ne!(text, SHOP);
    text
}

fn walker(route: &str, station: &str) -> Walker {
    let route = read_route(route);
    let sets = route.sets;
    let mut walker = Walker::new(route, read_shop(&shop_with_people()), sets);
    walker.station = station.to_owned();
    walker
}

fn snapshot(walker: &Walker, name: &str) -> Snapshot {
    let text = if walker.route.name == "Seed tray" { SEED_TRAY } else { PEG_RACK };
    snapshot_of(name, &Arc::new(read_route(text)), &Arc::new(walker.shop.clone()), &walker.lines)
}

fn time(text: &str) -> DateTime<FixedOffset> {
    format!("2026-11-25T{text}:00+01:00").parse().expect("a time of that Wednesday")
}

fn through(walker: &mut Walker, op: u32, name: &str) {
    let piece = named(walker, name);
    walker.push(vec![Event::Done {
        op,
        pieces: vec![piece],
        pass: None,
        through: true,
        tool: None,
        settings: Vec::new(),
        by_reading: false,
    }]);
}

/// The tray ripped half, the racks jointed: at 10:42 MB and JT are at the station of the
/// cabinet saw since 10:12, and the glue of the rack, for which a wait was begun at 10:00, is dry at 11:00.
pub fn two_batches() -> (Walker, Walker) {
    let mut tray = walker(SEED_TRAY, "saw");
    tray.to_size(10);
    tray.now = time("10:12");
    tray.who = Some("MB".to_owned());
    tray.push(vec![Event::People { present: vec!["MB".to_owned(), "JT".to_owned()] }]);
    tray.op = 20;
    for (at, name) in [("10:20", "side 1"), ("10:24", "side 2")] {
        tray.now = time(at);
        through(&mut tray, 20, name);
    }
    let mut rack = walker(PEG_RACK, "bench");
    rack.to_size(5);
    rack.to_size(6);
    rack.now = time("10:00");
    rack.push(vec![Event::Timer { op: 10, minutes: 60, what: "glue drying".to_owned() }]);
    (tray, rack)
}

pub fn both(now: &str, bells: &[NaiveTime]) -> Today {
    let (tray, rack) = two_batches();
    let batches = [snapshot(&rack, "peg racks"), snapshot(&tray, "seed tray")];
    today(&batches, &FreeStations::default(), bells, time(now))
}

fn at<'a>(today: &'a Today, machine: &str) -> &'a MachineToday {
    let held = today.machines.iter().find(|held| held.at.as_deref() == Some(machine));
    held.unwrap_or_else(|| panic!("nothing at the {machine}"))
}

fn work<'a>(machine: &'a MachineToday, op: u32, batch: &str) -> &'a WorkToday {
    let held = machine.work.iter().find(|held| held.op == op && held.batch == batch);
    held.unwrap_or_else(|| panic!("no op {op} of {batch}: {:?}", machine.work))
}

/// Width 2 1/4 in both routes, with one blade: the fence stands alike. Of the tray one
/// side is left, of two racks all four ends. The rails are 3 wide.
#[test]
fn one_fence_serves_two_batches() {
    let today = both("10:42", &[]);
    let saw = at(&today, "cabinet saw");
    assert_eq!(saw.settings.len(), 1, "{:#?}", saw.settings);
    let one = &saw.settings[0];
    assert_eq!(one.tool.as_deref(), Some("rip blade"));
    let uses: Vec<(&str, u32, usize)> =
        one.uses.iter().map(|used| (used.batch.as_str(), used.op, used.pieces)).collect();
    assert_eq!(uses, [("peg racks", 10, 4), ("seed tray", 20, 1)]);
    // 2.250 less the 0.012 that the blade cuts over its scale is 2.238; on steps of 0.005
    // up to 2.240, the side that can still be cut.
    assert_eq!(one.shows, [("fence".to_owned(), "2.240".to_owned())]);
}

/// Two shelves planed to 3/4, from 15/16 and from 7/8: whatever heights come before, both
/// end where the table shows 0.755, for the knives make 0.005 less than it shows.
#[test]
fn the_last_height_of_two_batches_is_one_setting() {
    let of = |stock: &str| {
        let text = format!(
            r#"{{ "route": "Shelf from {stock}", "unit": "in", "sets": 2, "article": "shelf",
              "parts": {{ "shelf": {{ "per_set": 1, "species": "white oak",
                "stock": {{ "thickness": "{stock}", "width": "6", "length": "24" }},
                "length": "24", "width": "6", "thickness": "3/4" }} }},
              "operations": [
                {{ "op": 10, "part": "shelf", "do": "joint", "at": "jointer", "sides": ["face"] }},
                {{ "op": 20, "part": "shelf", "do": "plane", "at": "planer", "tool": "knives", "to": "3/4" }}
              ] }}"#
        );
        let mut shelf = walker(&text, "mill");
        shelf.to_size(10);
        let shop = Arc::new(shelf.shop.clone());
        snapshot_of(stock, &Arc::new(read_route(&text)), &shop, &shelf.lines)
    };
    let today = today(&[of("15/16"), of("7/8")], &FreeStations::default(), &[], time("10:42"));
    let planer = at(&today, "planer");
    let is_last =
        |setting: &&OneSetting| setting.shows == [("table".to_owned(), "0.755".to_owned())];
    let last = planer.settings.iter().find(is_last);
    let last = last.unwrap_or_else(|| panic!("{:#?}", planer.settings));
    let uses: Vec<(&str, usize, bool)> = last
        .uses
        .iter()
        .map(|used| (used.batch.as_str(), used.pieces, used.pass.is_some()))
        .collect();
    assert_eq!(uses, [("15/16", 2, true), ("7/8", 2, true)]);
    // The feed of the planer is known.
    assert!(planer.work.iter().all(|work| work.estimate.by == EstimateBasis::Feed));
}

/// One side is begun; the ends of the rack can start; its rails too.
#[test]
fn what_can_start_stands_by_machine() {
    let today = both("10:42", &[]);
    let saw = at(&today, "cabinet saw");
    let standings: Vec<(&str, u32, bool)> = saw
        .work
        .iter()
        .map(|work| (work.batch.as_str(), work.op, work.standing == WorkStanding::Begun))
        .collect();
    assert_eq!(
        standings,
        [("seed tray", 20, true), ("peg racks", 10, false), ("peg racks", 20, false)]
    );
    assert_eq!(work(saw, 10, "peg racks").standing, WorkStanding::Ready);
    assert_eq!(work(saw, 10, "peg racks").to_go, 4);
}

/// JT is signed off on the saw, MB leads; RK may only at the jointer.
#[test]
fn who_may_and_who_is_here() {
    let today = both("10:42", &[]);
    let saw = at(&today, "cabinet saw");
    let may: Vec<(&str, bool)> =
        saw.work[0].may.iter().map(|held| (held.who.as_str(), held.is_here)).collect();
    assert_eq!(may, [("JT", true), ("MB", true)]);
    let people: Vec<(&str, &str, Option<u32>)> =
        saw.people.iter().map(|held| (held.who.as_str(), held.station.as_str(), held.op)).collect();
    assert_eq!(people, [("JT", "saw", Some(20)), ("MB", "saw", Some(20))]);
    // At the operation since its first entry; at the station since 10:12.
    assert!(saw.people.iter().all(|held| held.since == time("10:20")));
    assert!(saw.people.iter().all(|held| held.wrote == time("10:24")));
}

/// Whoever came on another day isn't here.
#[test]
fn nobody_is_here_from_the_day_before() {
    let (tray, _) = two_batches();
    let next_day = "2026-11-26T08:00:00+01:00".parse().expect("a Thursday");
    let today = today(&[snapshot(&tray, "seed tray")], &FreeStations::default(), &[], next_day);
    assert!(today.elsewhere.is_empty());
    assert!(today.machines.iter().all(|machine| machine.people.is_empty()));
}

/// The wait of an hour from 10:00 ends at 11:00, and is over then.
#[test]
fn a_wait_ends_by_the_clock() {
    let waits = both("10:42", &[]).waits;
    assert_eq!(waits.len(), 1);
    assert_eq!(
        (waits[0].batch.as_str(), waits[0].op, waits[0].until),
        ("peg racks", 10, time("11:00"))
    );
    assert!(both("11:00", &[]).waits.is_empty());
}

/// Nothing is timed yet: two minutes a piece are guessed, 4 x 2 = 8. Once three gaps of 4,
/// 4 and 7 minutes are on record, the median of 4 makes 4 x 4 = 16, in the other batch too.
#[test]
fn a_time_is_learned_where_pieces_were_timed() {
    let today_of = |tray: &Walker, rack: &Walker| {
        today(
            &[snapshot(rack, "peg racks"), snapshot(tray, "seed tray")],
            &FreeStations::default(),
            &[],
            time("10:42"),
        )
    };
    let (mut tray, rack) = two_batches();
    let guessed = today_of(&tray, &rack);
    let ends = work(at(&guessed, "cabinet saw"), 10, "peg racks").estimate;
    assert_eq!((ends.minutes, ends.by), (8, EstimateBasis::Guess));
    tray.now = time("10:28");
    through(&mut tray, 20, "side 3");
    // One gap of 10:20 to 10:24, and one to 10:28: still too few.
    let few = today_of(&tray, &rack);
    let ends = work(at(&few, "cabinet saw"), 10, "peg racks").estimate;
    assert_eq!(ends.by, EstimateBasis::Guess);
    let mut other = walker(SEED_TRAY, "saw");
    for (at, name) in [("09:00", "side 1"), ("09:04", "side 2"), ("09:11", "side 3")] {
        other.now = time(at);
        through(&mut other, 20, name);
    }
    let batches =
        [snapshot(&rack, "peg racks"), snapshot(&tray, "seed tray"), snapshot(&other, "other")];
    let timed = today(&batches, &FreeStations::default(), &[], time("10:42"));
    let ends = work(at(&timed, "cabinet saw"), 10, "peg racks").estimate;
    assert_eq!((ends.minutes, ends.by), (16, EstimateBasis::OtherBatches(4)));
}

/// A gap of an hour is a break, and what was undone took no time.
#[test]
fn breaks_and_undone_pieces_are_not_timed() {
    let mut tray = walker(SEED_TRAY, "saw");
    tray.op = 20;
    for (at, name) in [("09:00", "side 1"), ("10:00", "side 2"), ("10:05", "side 3")] {
        tray.now = time(at);
        through(&mut tray, 20, name);
    }
    // 10:00 to 10:05 are 300 seconds.
    assert_eq!(tray.state.times.seconds(20), [300]);
    tray.void();
    assert!(tray.state.times.seconds(20).is_empty());
}

/// Eight minutes of work and fifteen to clean up need 23: at 10:42 they end by 11:05.
#[test]
fn the_bell_says_what_ends_in_time() {
    let bell = |hour, minute| NaiveTime::from_hms_opt(hour, minute, 0).expect("a time of day");
    let ends_by = |bells: &[NaiveTime]| {
        let today = both("10:42", bells);
        let ends = work(at(&today, "cabinet saw"), 10, "peg racks").by_the_bell;
        (today.bell, ends)
    };
    assert_eq!(ends_by(&[]), (None, None));
    assert_eq!(ends_by(&[bell(11, 4)]), (Some(time("11:04")), Some(false)));
    assert_eq!(ends_by(&[bell(9, 0), bell(11, 5), bell(15, 0)]), (Some(time("11:05")), Some(true)));
    assert_eq!(ends_by(&[bell(10, 42)]), (None, None));
}

/// The one tray: op 10 is done, of op 20 two of three sides, op 30 waits. The racks have
/// not begun.
#[test]
fn every_article_has_a_sign_for_each_operation() {
    use ArticleStanding::{Done, UnderWay, Waiting};
    let today = both("10:42", &[]);
    let [racks, tray] = today.batches.as_slice() else { panic!("{:?}", today.batches) };
    assert_eq!(tray.parts[0].ops, [10, 20, 30]);
    assert_eq!(tray.articles.len(), 1);
    assert_eq!(tray.articles[0].stands, [[Some(Done), Some(UnderWay), Some(Waiting)]]);
    assert_eq!(racks.articles.len(), 2);
    let jointed = [vec![Some(Done), Some(Waiting), Some(Waiting)], vec![Some(Done), Some(Waiting)]];
    assert!(racks.articles.iter().all(|rack| rack.stands == jointed));
}

/// Two racks are alike until one of them is somebody's.
#[test]
fn an_article_has_its_owner() {
    let (tray, mut rack) = two_batches();
    let (owner, chosen) = (Some("RK".to_owned()), Chosen::default());
    rack.push(vec![Event::Chosen { article: 2, owner, chosen, pieces: Vec::new() }]);
    let batches = [snapshot(&rack, "peg racks"), snapshot(&tray, "seed tray")];
    let racks = &today(&batches, &FreeStations::default(), &[], time("10:42")).batches[0];
    let owners: Vec<Option<&str>> =
        racks.articles.iter().map(|rack| rack.owner.as_deref()).collect();
    assert_eq!(owners, [None, Some("RK")]);
    let words = article_words(racks);
    assert_eq!(words[1], "rack 2 RK: end at op 10, rail at op 20");
}

/// The tray has three sides: with one set aside at op 20 it lacks one there, though all
/// three came through op 10. Its remake takes its place.
#[test]
fn a_piece_set_aside_shows_until_it_is_replaced() {
    use ArticleStanding::{Aside, Done, UnderWay, Waiting};
    let (mut tray, rack) = two_batches();
    let piece = named(&tray, "side 3");
    let (decision, why) = (Decision::SetAside, "split".to_owned());
    tray.push(vec![Event::Decided { op: 20, piece: piece.clone(), decision, why }]);
    let stands = |tray: &Walker| {
        let batches = [snapshot(&rack, "peg racks"), snapshot(tray, "seed tray")];
        today(&batches, &FreeStations::default(), &[], time("10:42")).batches[1].articles[0].stands
            [0]
        .clone()
    };
    assert_eq!(stands(&tray), [Some(Done), Some(Aside), Some(Waiting)]);
    let mut label = tray.state.piece(&piece).expect("side 3").label.clone();
    label.make = 2;
    let again = NewPiece { id: PieceId::new("saw", 9), label, gang: 1 };
    tray.push(vec![Event::Remade { of: piece, piece: again }]);
    // What is made again begins with op 10.
    assert_eq!(stands(&tray), [Some(UnderWay), Some(UnderWay), Some(Waiting)]);
}

/// Today on the screen, with a bell at 11:05.
fn screen(now: &str, theme: Theme) -> App {
    let (tray, rack) = two_batches();
    let mut app = App::new(theme);
    app.update(AppMessage::TodayRead(Box::new(read(now, &tray, &rack))));
    app
}

fn read(now: &str, tray: &Walker, rack: &Walker) -> TodayRead {
    let bells = vec![NaiveTime::from_hms_opt(11, 5, 0).expect("a time of day")];
    let batches = vec![snapshot(rack, "peg racks"), snapshot(tray, "seed tray")];
    TodayRead { now: time(now), batches, free: FreeStations::default(), unread: Vec::new(), bells }
}

fn pressed(app: &mut App, code: KeyCode, now: &str) -> Vec<Effect> {
    app.update(AppMessage::Key(KeyEvent::new(code, KeyModifiers::NONE), time(now)))
}

#[test]
fn the_screen_at_every_size() {
    let app = screen("10:42", PLAIN);
    for (width, height) in SIZES {
        let shown = text(&drawn(&app, width, height));
        assert!(shown.contains("10:42"), "{shown}");
        bench::snapshot(&format!("screen-today-{width}x{height}"), &shown);
    }
    let shown = text(&drawn(&screen("10:42", ASCII), 80, 24));
    assert!(shown.is_ascii(), "{shown}");
    bench::snapshot("screen-today-ascii-80x24", &shown);
}

#[test]
fn a_key_of_the_list_opens_it_and_escape_closes_it() {
    let mut app = App::new(PLAIN);
    assert_eq!(pressed(&mut app, KeyCode::F(7), "10:42"), [Effect::Today]);
    assert_eq!(app.screen(), Screen::Opening);
    let (tray, rack) = two_batches();
    app.update(AppMessage::TodayRead(Box::new(read("10:42", &tray, &rack))));
    assert_eq!(app.screen(), Screen::Today);
    // Letters look for nothing here, and Enter opens nothing.
    pressed(&mut app, KeyCode::Char('x'), "10:42");
    assert_eq!((pressed(&mut app, KeyCode::Enter, "10:42"), app.typed()), (vec![], ""));
    pressed(&mut app, KeyCode::Esc, "10:42");
    assert_eq!(app.screen(), Screen::Opening);
    assert!(app.update(AppMessage::Woke(time("11:42"))).is_empty());
}

/// With no key pressed the batches are read again after fifteen seconds, and what was
/// read then is shown.
#[test]
fn it_is_read_again_with_no_key_pressed() {
    let mut app = screen("10:42", PLAIN);
    let at = |seconds| time("10:42") + TimeDelta::seconds(seconds);
    assert!(app.update(AppMessage::Woke(at(14))).is_empty());
    assert_eq!(app.update(AppMessage::Woke(at(15))), [Effect::Today]);
    assert!(app.update(AppMessage::Woke(at(16))).is_empty());
    let (mut tray, rack) = two_batches();
    assert!(text(&drawn(&app, 80, 24)).contains("op 20 rip side: 1 to go"));
    tray.now = at(15);
    through(&mut tray, 20, "side 3");
    app.update(AppMessage::TodayRead(Box::new(read("10:43", &tray, &rack))));
    assert!(!text(&drawn(&app, 80, 24)).contains("op 20 rip side: 1 to go"));
}

/// The wait until 11:00 is over by the clock alone.
#[test]
fn the_clock_alone_ends_a_wait() {
    let mut app = screen("10:59", PLAIN);
    assert!(text(&drawn(&app, 120, 40)).contains("until 11:00, 1 min"));
    app.update(AppMessage::Woke(time("11:00")));
    assert!(!text(&drawn(&app, 120, 40)).contains("until 11:00"));
}

/// A page longer than a small window turns by itself while nobody scrolls, and begins
/// again after its end.
#[test]
fn a_long_page_turns_by_itself() {
    let mut app = screen("10:42", PLAIN);
    let mut terminal = Terminal::new(TestBackend::new(40, 12)).expect("a backend in memory");
    let mut at = time("10:42");
    let mut first_rows = Vec::new();
    for _ in 0..12 {
        let unread = drawn_in(&mut terminal, &app);
        first_rows.push(unread.first.expect("it is scrolled"));
        app.update(AppMessage::Drawn(unread));
        at += TimeDelta::seconds(15);
        app.update(AppMessage::Woke(at));
    }
    // Ten rows of text: each page begins nine lines below the one before.
    assert_eq!(first_rows[..2], [0, 9]);
    assert!(first_rows[1..].contains(&0), "{first_rows:?}");
    // Whoever scrolls is left alone for a minute.
    app.update(AppMessage::Key(KeyEvent::new(KeyCode::Up, KeyModifiers::NONE), at));
    let unread = drawn_in(&mut terminal, &app);
    app.update(AppMessage::Drawn(unread));
    app.update(AppMessage::Woke(at + TimeDelta::seconds(30)));
    assert_eq!(drawn_in(&mut terminal, &app).first, unread.first);
}
