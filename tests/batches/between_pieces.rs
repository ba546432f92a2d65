//! What happens between two pieces: a scale is moved, the stack is measured halfway,
//! the next crew measures again, another station has the machine.

use benchway::journal::Event;
use benchway::work::{
    InputKind, ReadReason, Task, advice, drift, leave, next_wake, ready, repeat_reading,
};

use crate::walker::{Walker, th};

/// Rails at the saw with the sled, whose stop has marks of 1/32, and its offcuts
/// grooved by a bit of 1/4.
fn rails(operation: &str) -> Walker {
    Walker::of(&format!(
        r#"{{ "route": "Ferry bench rails", "unit": "in", "sets": 1,
      "parts": {{ "rail": {{ "per_set": 16, "spares": 0, "setup_pieces": 0,
        "stock": {{ "thickness": "3/4", "width": "2", "length": "14" }} }} }},
      "operations": [ {{ "op": 10, "part": "rail", {operation} }} ] }}"#
    ))
}

fn cut(limits: &str, pieces: &str) -> Walker {
    rails(&format!(
        r#""do": "crosscut", "at": "saw and sled", "to": "12 1/2", "checks": [
        {{ "check": "length", "limits": "{limits}", "with": "calipers", "pieces": "{pieces}" }} ]"#
    ))
}

/// By how much the scale is moved after a first piece read so, in 32nds of an inch.
fn moved(mut walker: Walker, first: &str) -> f64 {
    assert!(matches!(walker.on(), Task::Read { why: ReadReason::First, .. }));
    walker.enter(first);
    walker.enter("v");
    walker.to_set().moved.in_unit(benchway::measure::Unit::Inch) * 32.0
}

/// A length may be left long. 0.060 over is 1.9 marks: it comes down by one. 0.050
/// short is 1.6 marks: it goes up by two. 0.020 over is less than a mark, and it
/// moves by one all the same.
#[test]
fn a_stop_moves_by_whole_marks_that_leave_wood_on() {
    assert_eq!(moved(cut("±1/32", "all"), "12.560"), -1.0);
    assert_eq!(moved(cut("±1/32", "all"), "12.450"), 2.0);
    assert_eq!(moved(cut("±1/64", "all"), "12.520"), -1.0);
}

/// A groove may be left shallow: 1/8 wanted. 0.045 less is 1.4 marks of the router's
/// height: it goes up by one. 0.055 more is 1.8 marks: down by two.
#[test]
fn a_height_moves_by_whole_marks_that_leave_wood_on() {
    let groove = || {
        rails(
            r#""do": "groove", "at": "router table", "tool": "1/4 straight bit", "makes": "slot",
            "panel": "0.242", "depth": "1/8", "from_edge": "1/2", "checks": [
            { "check": "depth", "of": "slot", "limits": "±1/64", "with": "calipers", "pieces": "all" } ]"#,
        )
    };
    assert_eq!(moved(groove(), "0.080"), 1.0);
    assert_eq!(moved(groove(), "0.180"), -2.0);
}

/// First and last of 16 differ by 0.017, so the one halfway is asked for. Whoever
/// doesn't want to measure it says x, and it isn't asked for again.
#[test]
fn the_piece_halfway_may_be_left() {
    let mut walker = cut("±1/32", "first, last");
    assert!(matches!(walker.on(), Task::Read { why: ReadReason::First, .. }));
    assert!(walker.try_enter("x").is_err(), "a first piece is measured");
    walker.enter("12.500");
    assert!(matches!(walker.on(), Task::Read { .. }));
    assert!(walker.try_enter("x").is_err(), "and so is the last");
    walker.enter("12.517");
    let Task::Read { piece, why: ReadReason::Between, .. } = walker.on() else {
        panic!("{:?}", walker.task())
    };
    assert_eq!(walker.name(&piece), "rail 8");
    let events = walker.enter("x");
    assert!(matches!(events[..], [Event::DriftLeft { op: 10, .. }]), "{events:?}");
    assert!(!matches!(walker.on(), Task::Read { why: ReadReason::Between, .. }));
}

/// The next crew may leave the last piece as it was read, too.
#[test]
fn the_last_piece_may_be_left_to_the_next_crew() {
    let mut walker = cut("±1/32", "all");
    walker.on();
    walker.enter("12.500");
    walker.push(vec![leave(&walker.context(), "bell rang")]);
    walker.who = Some("KT".to_owned());
    let Task::Read { why: ReadReason::Bridge, .. } = walker.on() else {
        panic!("{:?}", walker.task())
    };
    let events = walker.enter("x");
    assert!(matches!(events[..], [Event::RepeatSkipped { op: 10 }]), "{events:?}");
    assert!(!matches!(walker.on(), Task::Read { why: ReadReason::Bridge, .. }));
}

/// What is over on one side of the first reading and on the other of the last is
/// found by halves: 1 to 16, 8 like the first, 12 like the last, 10 like the first,
/// 11 like the last. Then it moved after the tenth.
#[test]
fn a_jump_is_found_by_halves() {
    let mut walker = cut("±1/32", "first, last");
    walker.on();
    walker.enter("12.500");
    walker.on();
    walker.enter("12.517");
    let mut asked = Vec::new();
    while let Task::Read { piece, why: ReadReason::Between, .. } = walker.on() {
        let name = walker.name(&piece);
        let place: u32 = name.trim_start_matches("rail ").parse().unwrap();
        asked.push(place);
        walker.enter(if place <= 10 { "12.501" } else { "12.516" });
    }
    assert_eq!(asked, [8, 12, 10, 11]);
    let context = walker.context();
    let check = &context.plan.operation(10).unwrap().checks[0];
    let found = drift(&context, check, 0).unwrap();
    assert_eq!((found.by, found.next), (th(17), None));
}

/// A quarter of 1/16 is 0.0156, more than three times the 0.003 of the calipers: that
/// much and no more is no drift.
#[test]
fn a_quarter_of_the_band_is_no_drift() {
    for (last, is_drift) in
        [("12.5155", false), ("12.516", true), ("12.4845", false), ("12.484", true)]
    {
        let mut walker = cut("±1/32", "first, last");
        walker.on();
        walker.enter("12.500");
        walker.on();
        walker.enter(last);
        let halfway = matches!(walker.on(), Task::Read { why: ReadReason::Between, .. });
        assert_eq!(halfway, is_drift, "{last}");
    }
}

/// Two parts that rest and are then cut at one saw.
const RESTED: &str = r#"{
  "route": "Two that rest", "unit": "in", "sets": 1,
  "parts": {
    "long": { "per_set": 1, "stock": { "thickness": "1", "width": "4", "length": "20" } },
    "brief": { "per_set": 1, "stock": { "thickness": "1", "width": "4", "length": "20" } }
  },
  "operations": [
    { "op": 10, "part": "brief", "do": "rest", "minutes": 60 },
    { "op": 20, "part": "brief", "do": "crosscut", "at": "stop saw", "to": "18" },
    { "op": 30, "part": "long", "do": "rest", "minutes": 120 },
    { "op": 40, "part": "long", "do": "crosscut", "at": "stop saw", "to": "18" }
  ]
}"#;

fn at_the_saw() -> Walker {
    let mut walker = Walker::of(RESTED);
    for op in [10, 30] {
        walker.op = op;
        walker.on();
    }
    walker.pass_time(121);
    walker.op = 20;
    walker.push(vec![Event::GateOpened { op: 20, by: "MB".to_owned(), why: "a trial".to_owned() }]);
    walker
}

/// A saw that another station works at is busy for every operation but its own, from
/// the first answer there until the operation is closed.
#[test]
fn a_machine_is_busy_where_somebody_works_at_it() {
    let mut walker = at_the_saw();
    let says = |walker: &Walker, op: u32| {
        let lines = ready(&walker.context());
        let line = lines.into_iter().find(|line| line.op == op).expect("still to be done");
        line.reasons.join("; ")
    };
    let busy = "the stop saw is in use for op 20 (bench-a)";
    walker.station = "bench-b".to_owned();
    assert!(!says(&walker, 40).contains(busy));
    walker.station = "bench-a".to_owned();
    walker.to_set();
    walker.plainly();
    assert!(!says(&walker, 40).contains(busy), "one's own work is in nobody's way");
    walker.station = "bench-b".to_owned();
    assert!(says(&walker, 40).contains(busy), "{}", says(&walker, 40));
    assert!(!says(&walker, 20).contains(busy));
}

/// What can begin stands before what has to wait.
#[test]
fn what_can_begin_comes_first() {
    let mut walker = Walker::of(RESTED);
    walker.op = 30;
    walker.on();
    // `long` waits for its rest, and nothing waits for `brief`, which rests an hour.
    let order: Vec<(String, bool, u64)> = ready(&walker.context())
        .into_iter()
        .map(|line| (line.part.clone(), line.is_ready(), line.waiting))
        .collect();
    assert_eq!(order, [("brief".to_owned(), true, 60), ("long".to_owned(), false, 0)]);
}

/// Away from the boards nothing is typed where an operation is finished.
#[test]
fn a_finished_operation_takes_no_words() {
    let mut walker = Walker::of(RESTED);
    walker.op = 10;
    walker.on();
    assert_eq!(walker.task(), Task::Finished);
    assert!(matches!(walker.task().input_kind(&walker.context()), InputKind::EnterOnly));
}

/// Read at op 20 and then, the day after, at op 10: in that order it may have been
/// cut in between or not, so nothing is said of the difference.
#[test]
fn readings_in_another_order_than_the_route_say_nothing() {
    let check = r#""checks": [ { "check": "thickness", "limits": "±1/16", "with": "calipers", "pieces": "all" } ]"#;
    let mut walker = Walker::of(&format!(
        r#"{{ "route": "Ferry bench rails", "unit": "in", "sets": 1,
      "parts": {{ "rail": {{ "per_set": 1,
        "stock": {{ "thickness": "3/4", "width": "2", "length": "14" }} }} }},
      "operations": [ {{ "op": 10, "part": "rail", "do": "measure", {check} }},
        {{ "op": 20, "part": "rail", "do": "measure", {check} }} ] }}"#
    ));
    walker.op = 10;
    walker.on();
    walker.enter("0.750");
    walker.pass_time(24 * 60);
    walker.op = 20;
    walker.on();
    walker.enter("0.756");
    assert_eq!(walker.state.readings.len(), 2);
    let (first, second) = (&walker.state.readings[0], &walker.state.readings[1]);
    let again = repeat_reading(&walker.route, &walker.state, second).expect("a day apart");
    assert_eq!((again.by, again.before_op), (th(6), 10));
    let (mut late, mut state) = (first.clone(), walker.state.clone());
    (late.order, late.at) = (second.order + 1, second.at + chrono::Duration::days(1));
    state.readings.push(late.clone());
    assert!(repeat_reading(&walker.route, &state, &late).is_none());
}

/// The next thing to wake for: a gauge is zeroed again half an hour after it was, and a
/// rest of two hours ends later.
#[test]
fn a_sleeping_terminal_wakes_for_the_next_gauge_or_wait() {
    let mut walker = cut("±1/32", "all");
    let wakes =
        |walker: &Walker| next_wake(&walker.context()).map(|at| (at - walker.now).num_minutes());
    assert_eq!(wakes(&walker), None);
    walker.on();
    assert_eq!(wakes(&walker), Some(30));
    walker.pass_time(29);
    assert_eq!(wakes(&walker), Some(1));
    // Another station's gauge wakes nobody here.
    walker.station = "bench-b".to_owned();
    assert_eq!(wakes(&walker), None);
    walker.station = "bench-a".to_owned();
    walker.pass_time(2);
    assert_eq!(wakes(&walker), None);
    let mut resting = Walker::of(RESTED);
    resting.op = 30;
    resting.on();
    assert_eq!(wakes(&resting), Some(120));
}

/// Calipers are off by up to 0.003: a last piece that the next crew reads 0.003 otherwise
/// reads the same, 0.004 is asked about.
#[test]
fn what_the_next_crew_reads_otherwise_is_asked_about() {
    for (again, asked) in [("12.503", false), ("12.504", true), ("12.496", true), ("12.497", false)]
    {
        let mut walker = cut("±1/32", "all");
        walker.on();
        walker.enter("12.500");
        walker.push(vec![leave(&walker.context(), "bell rang")]);
        walker.who = Some("KT".to_owned());
        assert!(matches!(walker.on(), Task::Read { why: ReadReason::Bridge, .. }));
        walker.enter(again);
        let last = walker.state.readings.last().unwrap();
        let said = advice(&walker.context(), last).unwrap();
        let differs = said.next.iter().any(|line| line.starts_with("It read 12.500 before"));
        assert_eq!(differs, asked, "{again}: {said:?}");
    }
}

/// By hand: nine legs of 21 in with 4 in between them are 225 in; at 16 ft a minute
/// and six feeds that is 7.03 minutes. Who may is who is here: MB, and nobody signs
/// off anybody in the bundled shop. A saw's feed is not known.
#[test]
fn what_can_start_says_how_long_it_feeds_and_who_may() {
    let mut walker = Walker::stool(1);
    for op in [10, 20, 30] {
        walker.to_size(op);
    }
    walker.push(vec![Event::People { present: vec!["MB".to_owned()] }]);
    let lines = ready(&walker.context());
    let line = |part: &str| lines.iter().find(|line| line.part == part).expect("to be done");
    let leg = line("leg");
    assert_eq!((leg.op, leg.to_go, leg.minutes), (40, 9, Some(8)));
    assert_eq!(leg.may, ["MB"]);
    assert_eq!(line("rail").minutes, None);
}
