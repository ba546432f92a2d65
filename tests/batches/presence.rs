//! Who is where, who left, who vanished, and where two would begin the same thing: from
//! journals written by hand.

use std::sync::Arc;

use benchway::journal::{Event, FreeStations, Snapshot, State, encode};
use benchway::tui::AppMessage;
use benchway::work::{
    Presence, PresenceStanding, Today, last_answer, machine_lines, others_before, others_there,
    ready, station_leaves, today, waiting_lines,
};
use chrono::{DateTime, FixedOffset};
use crossterm::event::KeyCode;

use crate::desk::Desk;
use crate::drawn::{PLAIN, SIZES, text};
use crate::today::{SEED_TRAY, shop_with_people, two_batches};
use crate::walker::{Walker, named, read_route, read_shop, snapshot_of};

fn time(text: &str) -> DateTime<FixedOffset> {
    format!("2026-11-25T{text}:00+01:00").parse().expect("a time of that Wednesday")
}

fn snapshot(walker: &Walker) -> Snapshot {
    let (route, shop) = (Arc::new(read_route(SEED_TRAY)), read_shop(&shop_with_people()));
    snapshot_of("seed tray", &route, &Arc::new(shop), &walker.lines)
}

fn at(walker: &Walker, free: &[&str], now: &str) -> Today {
    let mut stations = FreeStations::default();
    free.iter().for_each(|station| stations.add("seed tray", station));
    today(&[snapshot(walker)], &stations, &[], time(now))
}

fn said(walker: &mut Walker, now: &str, event: Event) {
    walker.now = time(now);
    walker.push(vec![event]);
}

fn come(walker: &mut Walker, now: &str, who: &[&str]) {
    let present = who.iter().map(|who| (*who).to_owned()).collect();
    said(walker, now, Event::People { present });
}

fn done(op: u32, walker: &Walker, piece: &str) -> Event {
    Event::Done {
        op,
        pieces: vec![named(walker, piece)],
        pass: None,
        through: true,
        tool: None,
        settings: Vec::new(),
        by_reading: false,
    }
}

fn everybody(today: &Today) -> Vec<&Presence> {
    let at_machines = today.machines.iter().flat_map(|machine| &machine.people);
    at_machines.chain(&today.elsewhere).chain(&today.left).collect()
}

fn page(today: &Today) -> String {
    let lines = machine_lines(today).into_iter().chain(waiting_lines(today));
    lines.map(|line| line.text + "\n").collect()
}

/// MB and JT are at the saw until they leave at 10:50; nobody counts as here then.
#[test]
fn who_left_is_here_no_more() {
    let (mut tray, _) = two_batches();
    let may_here = |today: &Today| {
        let saw = today.machines.iter().find(|held| held.at.as_deref() == Some("cabinet saw"));
        saw.expect("work there").work[0].may.iter().filter(|held| held.is_here).count()
    };
    let before = at(&tray, &[], "10:49");
    assert!(everybody(&before).iter().all(|held| held.standing == PresenceStanding::Here));
    assert_eq!((everybody(&before).len(), may_here(&before)), (2, 2));
    said(&mut tray, "10:50", Event::StationLeft {});
    let after = at(&tray, &[], "10:51");
    assert_eq!(may_here(&after), 0);
    assert!(after.machines.iter().all(|machine| machine.people.is_empty()));
    let left: Vec<(&str, PresenceStanding)> =
        after.left.iter().map(|held| (held.who.as_str(), held.standing)).collect();
    let at_ten_fifty = PresenceStanding::Left(time("10:50"));
    assert_eq!(left, [("JT", at_ten_fifty), ("MB", at_ten_fifty)]);
    let words = page(&after);
    assert!(words.contains("JT and MB left saw at 10:50: op 20 of seed tray"), "{words}");
    // A lock that nobody holds tells nothing more of whoever left.
    assert_eq!(at(&tray, &["saw"], "10:51"), after);
    // The next line of the station ends it.
    come(&mut tray, "11:00", &["MB", "JT"]);
    let back = at(&tray, &[], "11:01");
    assert!(everybody(&back).iter().all(|held| held.standing == PresenceStanding::Here));
    assert!(everybody(&back).iter().all(|held| held.since == time("11:00")));
}

/// Nobody holds the lock and nobody left: they went after their last entry.
#[test]
fn who_vanished_stands_at_the_machine() {
    let (tray, _) = two_batches();
    let gone = at(&tray, &["saw"], "10:42");
    let saw = gone.machines.iter().find(|held| held.at.as_deref() == Some("cabinet saw"));
    let saw = saw.expect("work there");
    assert!(saw.people.iter().all(|held| held.standing == PresenceStanding::Vanished));
    assert!(saw.work[0].may.iter().all(|held| !held.is_here));
    let words = page(&gone);
    let wanted = "JT and MB no longer at saw: op 20 of seed tray, went after 10:24 without leaving";
    assert!(words.contains(wanted), "{words}");
    // Another station that nobody has open says nothing of this one.
    let here = at(&tray, &["bench"], "10:42");
    assert!(everybody(&here).iter().all(|held| held.standing == PresenceStanding::Here));
}

/// Their lines come through a server which has no connection with their terminal: they went,
/// or its network did. Whoever left before it closed left.
#[test]
fn who_is_out_of_reach_is_not_said_to_be_here() {
    let (mut tray, _) = two_batches();
    let at = |tray: &Walker, distant: &[&str], unconnected: &[&str]| {
        let mut stations = FreeStations::default();
        distant.iter().for_each(|station| stations.add_distant("seed tray", station));
        stations.unconnected(unconnected.iter().map(|name| (*name).to_owned()).collect());
        today(&[snapshot(tray)], &stations, &[], time("10:42"))
    };
    let gone = at(&tray, &["saw"], &["bench", "saw"]);
    let saw = gone.machines.iter().find(|held| held.at.as_deref() == Some("cabinet saw"));
    let saw = saw.expect("work there");
    assert!(saw.people.iter().all(|held| held.standing == PresenceStanding::OutOfReach));
    assert!(saw.work[0].may.iter().all(|held| !held.is_here));
    let words = page(&gone);
    let wanted = "JT and MB at saw: op 20 of seed tray, not connected, last entry 10:24; went \
                  without leaving, or has no network";
    assert!(words.contains(wanted), "{words}");
    // A connected one is silent, and one that is open in this folder needs no server.
    for here in [at(&tray, &["saw"], &["bench"]), at(&tray, &[], &["saw"])] {
        assert!(everybody(&here).iter().all(|held| held.standing == PresenceStanding::Here));
    }
    said(&mut tray, "10:30", Event::StationLeft {});
    let left = at(&tray, &["saw"], &["saw"]);
    assert_eq!(left.left[0].standing, PresenceStanding::Left(time("10:30")));
}

/// Since they began there: handing the keys on begins nothing, another operation does.
#[test]
fn since_when_is_since_they_began() {
    let (mut tray, _) = two_batches();
    let since = |tray: &Walker| everybody(&at(tray, &[], "11:30"))[0].since;
    assert_eq!(since(&tray), time("10:20"));
    come(&mut tray, "10:30", &["JT", "MB"]);
    assert_eq!(since(&tray), time("10:20"));
    // RK takes over at 10:40 and works on at the same operation.
    come(&mut tray, "10:40", &["RK"]);
    assert_eq!(since(&tray), time("10:40"));
    let next = done(30, &tray, "side 1");
    said(&mut tray, "11:05", next);
    let next = done(30, &tray, "side 2");
    said(&mut tray, "11:10", next);
    assert_eq!(since(&tray), time("11:05"));
}

/// Whoever left one station and is at another is here.
#[test]
fn who_went_over_is_here() {
    let (mut tray, _) = two_batches();
    tray.station = "bench".to_owned();
    come(&mut tray, "10:30", &["MB"]);
    tray.station = "saw".to_owned();
    said(&mut tray, "10:35", Event::StationLeft {});
    let today = at(&tray, &[], "10:42");
    let standing = |who: &str| {
        let held = everybody(&today).into_iter().find(|held| held.who == who);
        held.map(|held| (held.station.clone(), held.standing)).expect("known")
    };
    assert_eq!(standing("MB"), ("bench".to_owned(), PresenceStanding::Here));
    assert_eq!(standing("JT"), ("saw".to_owned(), PresenceStanding::Left(time("10:35"))));
}

/// Always: Leaving changes nothing but who is there.
#[test]
fn leaving_undoes_nothing() {
    let (mut tray, _) = two_batches();
    let (before, answer) = (tray.state.clone(), last_answer(&tray.context()));
    assert!(answer.is_some());
    let leaves = station_leaves(&tray.context()).expect("people are there");
    said(&mut tray, "10:50", leaves);
    let mut beside_times = tray.state.clone();
    beside_times.times = before.times.clone();
    assert_eq!(beside_times, before);
    assert_eq!(State::fold(&tray.lines), tray.state);
    assert_eq!(last_answer(&tray.context()), answer);
    assert_eq!(station_leaves(&tray.context()), None, "they left already");
    let line = encode(tray.lines.last().expect("a line"));
    assert!(line.starts_with(r#"{"v":1,"#), "{line}");
    assert!(line.contains(r#""event":{"station-left":{}}"#), "{line}");
    // Whoever comes back undoes what they answered before.
    tray.void();
    let through = |walker: &Walker| walker.state.tally("side", 20).done;
    assert_eq!(through(&tray), 1);
    // A station where nobody said who they are is left by nobody.
    tray.station = "bench".to_owned();
    assert_eq!(station_leaves(&tray.context()), None);
}

/// MB stands at the cart before op 10, at which AK is at the planer station.
fn before_ak() -> Desk {
    let mut desk = Desk::of(SEED_TRAY, PLAIN);
    let own = std::mem::replace(&mut desk.walker.station, "planer".to_owned());
    come(&mut desk.walker, "10:02", &["AK"]);
    let first = done(10, &desk.walker, "side 1");
    said(&mut desk.walker, "10:12", first);
    desk.walker.station = own;
    desk.walker.now = time("10:20");
    let snapshot = desk.snapshot();
    desk.app.update(AppMessage::Refreshed(Box::new(snapshot)));
    // The first Enter says that another station moved on.
    desk.key(KeyCode::Enter);
    desk.enter(&["mb", ""]);
    desk
}

const AK: &str = "AK has been at this operation at the planer station since 10:12.";

fn in_one_line(shown: &str) -> String {
    shown.split_whitespace().collect::<Vec<_>>().join(" ")
}

/// It is said before anything is begun, in every window, and once.
#[test]
fn where_two_would_begin_the_same_it_is_said() {
    let mut desk = before_ak();
    for (width, height) in SIZES {
        let shown = text(&desk.drawn(width, height));
        // A drawing may stand beside the words, so each of them is looked for.
        let is_said = match width {
            40 => in_one_line(&shown).contains(AK),
            _ => shown.contains("AK has been at this operation"),
        };
        assert!(is_said, "{shown}");
    }
    desk.enter(&["1"]);
    let shown = text(&desk.drawn(80, 24));
    assert!(!shown.contains("AK has been"), "{shown}");
    // Lists go on saying it, also from another operation.
    desk.letters("r").key(KeyCode::Down).key(KeyCode::Enter).letters("r");
    let route = text(&desk.drawn(80, 24));
    assert!(route.contains("AK there"), "{route}");
    desk.key(KeyCode::Esc);
    desk.letters("t");
    for size in [(80, 24), (40, 12)] {
        let shown = in_one_line(&text(&desk.drawn(size.0, size.1)));
        assert!(shown.contains(AK), "{shown}");
    }
}

/// Nothing is said of people who left, of a closed operation, of another one, of whoever
/// entered nothing for more than half an hour, nor of one's own station.
#[test]
fn it_is_said_of_whoever_is_there_now() {
    let desk = before_ak();
    let mut walker = desk.walker;
    (walker.op, walker.now) = (10, time("10:42"));
    assert_eq!(others_before(&walker.context()).len(), 1);
    assert_eq!(ready(&walker.context())[0].others, others_before(&walker.context()));
    assert!(others_there(&walker.context(), 20).is_empty());
    walker.now = time("10:43");
    assert!(others_before(&walker.context()).is_empty(), "31 minutes after 10:12");
    walker.now = time("10:30");
    let own = std::mem::replace(&mut walker.station, "planer".to_owned());
    assert!(others_there(&walker.context(), 10).is_empty());
    let mut left = walker.lines.len();
    said(&mut walker, "10:31", Event::StationLeft {});
    walker.station = own;
    assert!(others_there(&walker.context(), 10).is_empty());
    left += 1;
    assert_eq!(walker.lines.len(), left);
    assert!(ready(&walker.context())[0].may.iter().all(|who| who != "AK"));
}
