//! The lead's decisions, and what changes hands: pieces made again or used
//! elsewhere, which end is kept, assemblies that wait, the next crew.

use crate::walker::{Walker, named, th};
use benchway::journal::Event;
use benchway::measure::{Length, Unit};
use benchway::route::Role;
use benchway::work::{
    ReadReason, Task, advice, handle_input, handover, leave, open_gate, ready, remake, set_aside,
    use_elsewhere,
};

#[test]
fn a_piece_made_again_goes_through_all_its_siblings_did() {
    let mut walker = Walker::stool(1);
    for op in [10, 20, 30] {
        walker.to_size(op);
    }
    let lost = named(&walker, "leg 2");
    // No initials or no reason: not decided.
    assert!(remake(&walker.context(), &lost, "").is_err());
    assert!(remake(&walker.context(), &lost, "mb").is_err());
    let events = remake(&walker.context(), &lost, "mb split at the end").unwrap();
    walker.push(events);
    let new = named(&walker, "leg 2, second");
    let (old, again) = (walker.state.piece(&lost).unwrap(), walker.state.piece(&new).unwrap());
    assert_ne!(old.id, again.id);
    // Its place, article and hand are those of the lost one.
    assert_eq!((again.label.set, &again.label.hand), (old.label.set, &old.label.hand));
    assert_eq!(again.instead_of.as_ref(), Some(&lost));

    // The operations its siblings passed are open again, for it alone.
    for op in [10, 20, 30] {
        assert!(walker.state.is_closed(op) == (op != 10), "op {op}");
    }
    walker.op = 10;
    let set = walker.to_set();
    assert_eq!(set.dial.0, th(21_000), "the dial recorded then");
    walker.enter(&set.readout.shown(set.dial.0));
    assert_eq!(walker.task(), Task::Cut { pieces: vec![new.clone()], then: None });
    walker.enter("");
    assert!(walker.state.is_closed(10));
    assert!(!walker.state.is_closed(20));
}

/// Siblings read 1.350, 1.352 and 1.354 wide: the middle one is what a piece
/// made again is held to, with the same band, not the drawing's 1.3525.
#[test]
fn a_piece_made_again_follows_its_siblings_not_the_drawing() {
    let mut walker = Walker::stool(1);
    for op in [10, 20] {
        walker.to_size(op);
    }
    walker.op = 30;
    let mut readings = ["1.351", "1.350", "1.352", "1.354"].iter();
    loop {
        match walker.on() {
            Task::Read { .. } => {
                walker.enter(readings.next().expect("setup piece, first, 1 in 5, last"));
            }
            Task::Finished => break,
            other => panic!("{other:?}"),
        }
    }
    let lost = named(&walker, "leg 3");
    let events = remake(&walker.context(), &lost, "mb knot fell out").unwrap();
    walker.push(events);
    let new = named(&walker, "leg 3, second");
    let limits = walker.context().limits(&new, 0).unwrap();
    let sibling = walker.context().limits(&named(&walker, "leg 1"), 0).unwrap();
    assert_eq!(limits.target, Some(th(1352)));
    let band = |l: benchway::plan::GroupLimits| l.limits.high.unwrap() - l.limits.low.unwrap();
    assert_eq!(band(limits), band(sibling));
    assert_eq!(sibling.target, Some(th(1352) + th(1) / 2));
}

#[test]
fn a_leg_used_as_a_rail_keeps_its_history() {
    let mut walker = Walker::stool(1);
    for op in [10, 20, 30] {
        walker.to_size(op);
    }
    let piece = named(&walker, "leg 4");
    let readings = walker.state.readings.len();
    for wrong in ["", "leg 40 mb x", "rail", "rail 30 mb x", "rail 150 mb", "door 10 mb x"] {
        assert!(use_elsewhere(&walker.context(), &piece, wrong).is_err(), "{wrong}");
    }
    let events =
        use_elsewhere(&walker.context(), &piece, "rail 150 mb too thin for a leg").unwrap();
    walker.push(events);
    let held = walker.state.piece(&piece).unwrap();
    // Rails are 4, and 3 spares: it is the eighth.
    assert_eq!(
        (held.label.part.as_str(), held.label.number, held.label.role),
        ("rail", 8, Role::Spare)
    );
    assert_eq!(walker.state.readings.len(), readings);
    let into = |part: &str, op| walker.state.pieces_into(part, op).any(|held| held.id == piece);
    assert!(!into("leg", 40) && !into("rail", 140) && into("rail", 150));
}

#[test]
fn a_piece_set_aside_anywhere_leaves_what_follows() {
    let mut walker = Walker::stool(1);
    walker.to_size(10);
    let piece = named(&walker, "leg 1");
    let events = set_aside(&walker.context(), &piece, "mb dropped on concrete").unwrap();
    walker.push(events);
    assert_eq!(walker.state.tally("leg", 10).done, 9);
    assert_eq!(walker.state.tally("leg", 20).aside, 1);
    assert!(!walker.state.pieces_into("leg", 30).any(|held| held.id == piece));
}

/// A stand of legs and rails whose base or whose rails may be kept.
const STAND: &str = r#"{
  "route": "Quay lamp stand", "unit": "in", "sets": 1,
  "dims": { "leg": "1 1/2", "base": "16", "shoulder": "base - 2 * leg" },
  "parts": {
    "leg": { "per_set": 2, "stock": { "thickness": "2", "width": "2", "length": "30" } },
    "rail": { "per_set": 2, "stock": { "thickness": "1", "width": "4", "length": "20" } },
    "frame": { "per_set": 1, "assembled_from": ["leg", "rail"] }
  },
  "operations": [
    { "op": 10, "part": "leg", "do": "measure",
      "checks": [ { "check": "thickness", "limits": "±1", "with": "calipers", "pieces": "all", "around": "leg",
                    "becomes": { "dim": "leg", "take": "smallest", "of": "batch" } } ] },
    { "op": 20, "part": "rail", "do": "crosscut", "at": "stop saw", "to": "shoulder" },
    { "op": 30, "part": "frame", "do": "hand", "say": ["Stand it together dry."], "cant_be_undone": true }
  ],
  "keep": {
    "the base":  { "about": "the rails follow" },
    "the rails": { "about": "the base follows", "dims": { "shoulder": "13", "base": "shoulder + 2 * leg" } }
  }
}"#;

/// Common practice, no source; by hand: legs 1 11/32 with the base kept at 16
/// make rails of 16 - 2 11/16 = 13 5/16; with the rails kept they stay 13.
#[test]
fn the_lead_chooses_which_end_is_kept() {
    let dial = |keep: &str| {
        let mut walker = Walker::of(STAND);
        walker.op = 10;
        for _ in 0..2 {
            walker.on();
            walker.enter("1.34375");
        }
        walker.on();
        let Task::Accept(proposal) = walker.task() else { panic!("{:?}", walker.task()) };
        let names: Vec<_> = proposal.keeps.iter().map(|kept| kept.keep.as_deref()).collect();
        assert_eq!(names, [Some("the base"), Some("the rails")]);
        assert_eq!(proposal.keeps[0].changes.len(), 1);
        assert!(proposal.keeps[1].changes.is_empty());
        assert!(handle_input(&walker.context(), &walker.task(), "mb").is_err(), "which one?");
        assert!(handle_input(&walker.context(), &walker.task(), "3 mb").is_err());
        walker.enter(keep);
        assert_eq!(walker.task(), Task::Finished);
        walker.plan.operation(20).unwrap().groups[0].outcome.settings[0].setting.target.0
    };
    assert_eq!(dial("1 mb"), Length::inch_fraction(213, 16));
    assert_eq!(dial("2MB"), th(13_000));
}

#[test]
fn an_assembly_waits_for_all_its_parts() {
    let mut walker = Walker::of(STAND);
    walker.op = 30;
    let Task::Blocked { reasons, openable: true } = walker.task() else {
        panic!("{:?}", walker.task())
    };
    assert_eq!(reasons, ["op 10 (measure leg) is not finished"]);
    let lines = ready(&walker.context());
    let at = |part: &str| lines.iter().find(|line| line.part == part).unwrap();
    assert!(at("leg").is_ready());
    assert!(!at("rail").is_ready(), "the shoulder is only planned");
    assert!(!at("frame").is_ready());
    let order: Vec<&str> = lines.iter().map(|line| line.part.as_str()).collect();
    assert_eq!(order, ["leg", "rail", "frame"]);
}

/// Legs that came out as drawn change nothing, so nobody has to accept them.
#[test]
fn what_came_out_as_drawn_is_settled_by_itself() {
    let mut walker = Walker::of(STAND);
    walker.op = 10;
    for _ in 0..2 {
        walker.on();
        walker.enter("1.5");
    }
    assert_eq!(walker.on(), Task::Finished);
    assert!(walker.lines.iter().any(|line| matches!(line.event, Event::Accepted { op: 10, .. })));
}

#[test]
fn the_next_crew_measures_the_last_piece_again() {
    let mut walker = Walker::stool(1);
    for op in [10, 20] {
        walker.to_size(op);
    }
    walker.op = 30;
    // The setup piece and the first leg, then the bell.
    for size in ["1.352", "1.352"] {
        walker.on();
        walker.enter(size);
    }
    let event = leave(&walker.context(), "bell rang");
    assert!(matches!(event, Event::Left { done: 2, to_go: 7, .. }));
    walker.push(vec![event]);
    let lines = handover(&walker.context());
    assert!(lines.iter().any(|line| line.contains("fence at 1.345")), "{lines:?}");
    assert!(lines.iter().any(|line| line.contains("Done: leg setup 1, leg 1.")), "{lines:?}");
    assert!(lines.iter().any(|line| line.contains("leg 2 to leg 4")), "{lines:?}");

    // The same hands a little later just go on.
    assert!(!matches!(walker.on(), Task::Read { why: ReadReason::Bridge, .. }));
    walker.who = Some("KT".to_owned());
    let Task::Read { piece, why: ReadReason::Bridge, .. } = walker.on() else {
        panic!("{:?}", walker.task())
    };
    assert_eq!(walker.state.name(&piece), "leg 1");
    // 0.005 more than the 0.003 the calipers can be off by.
    walker.enter("1.357");
    let last = walker.state.readings.last().unwrap();
    let said = advice(&walker.context(), last).unwrap();
    assert!(said.next.iter().any(|line| line.starts_with("It read 1.352 before")), "{said:?}");
    assert!(!matches!(walker.on(), Task::Read { why: ReadReason::Bridge, .. }));
}

/// A piece made again is named as what it is, never swallowed by a run.
#[test]
fn the_next_crew_sees_pieces_made_again() {
    let mut walker = Walker::stool(1);
    for lost in ["leg 2", "leg 1", "leg 2, second"] {
        let lost = named(&walker, lost);
        let events = remake(&walker.context(), &lost, "mb split at the end").unwrap();
        walker.push(events);
    }
    let lines = handover(&walker.context());
    let to_go = lines.iter().find(|line| line.starts_with("To go: ")).expect("all are to go");
    assert!(to_go.contains("leg 3 to leg 4"), "{to_go}");
    assert!(to_go.contains("leg 1, second, leg 2, third"), "{to_go}");
}

/// A rest of two hours is named until it is over, and not after.
#[test]
fn the_next_crew_hears_of_waits_that_are_not_over() {
    let mut walker = Walker::of(RESTED);
    walker.op = 30;
    walker.on();
    assert!(walker.state.is_closed(30));
    let named = |walker: &Walker| {
        handover(&walker.context()).iter().filter(|line| line.contains("not before")).count()
    };
    assert_eq!(walker.state.waits.len(), 1);
    walker.pass_time(119);
    assert_eq!(named(&walker), 1);
    walker.pass_time(2);
    assert_eq!(named(&walker), 0);
}

/// A part that rests for two hours, and one that rests for one.
const RESTED: &str = r#"{
  "route": "Two that rest", "unit": "in", "sets": 1,
  "parts": {
    "long": { "per_set": 1, "stock": { "thickness": "1", "width": "4", "length": "20" } },
    "brief": { "per_set": 1, "stock": { "thickness": "1", "width": "4", "length": "20" } }
  },
  "operations": [
    { "op": 10, "part": "brief", "do": "rest", "minutes": 60 },
    { "op": 20, "part": "brief", "do": "rip", "at": "cabinet saw", "tool": "rip blade", "to": "3" },
    { "op": 30, "part": "long", "do": "rest", "minutes": 120 },
    { "op": 40, "part": "long", "do": "rip", "at": "cabinet saw", "tool": "rip blade", "to": "3" }
  ]
}"#;

/// What waits longest starts first, and the wait of the next operation itself
/// counts: 120 minutes before 60.
#[test]
fn the_longest_wait_starts_first() {
    let walker = Walker::of(RESTED);
    let lines = ready(&walker.context());
    let order: Vec<(&str, u64)> =
        lines.iter().map(|line| (line.part.as_str(), line.waiting)).collect();
    assert_eq!(order, [("long", 120), ("brief", 60)]);
}

/// Only a lead opens a gate, where the shop names its people.
#[test]
fn a_gate_stays_shut_for_whoever_is_no_lead() {
    let mut walker = Walker::stool(1);
    let person = |lead| benchway::shop::Person { lead, ..Default::default() };
    walker.shop.people.insert("TK".to_owned(), person(false));
    walker.shop.people.insert("AR".to_owned(), person(true));
    walker.op = 20;
    let task = walker.task();
    assert!(matches!(task, Task::Blocked { openable: true, .. }), "{task:?}");
    assert!(open_gate(&walker.context(), &task, "tk cut at the yard").is_err());
    assert!(open_gate(&walker.context(), &task, "zz cut at the yard").is_err());
    assert!(open_gate(&walker.context(), &task, "ar cut at the yard").is_ok());
}

/// Two stools have eight legs, two of each hand; the setup piece proves the
/// fence, and spares have no hand.
#[test]
fn all_of_one_hand_go_through_before_the_next() {
    let mut walker = Walker::stool(2);
    walker.op = 80;
    walker.push(vec![Event::GateOpened { op: 80, by: "MB".to_owned(), why: "a trial".to_owned() }]);
    let order: Vec<String> =
        walker.context().pieces().iter().map(|piece| walker.name(&piece.id)).collect();
    assert_eq!(
        order,
        [
            "leg setup 1",
            "leg 1",
            "leg 5",
            "leg 2",
            "leg 6",
            "leg 3",
            "leg 7",
            "leg 4",
            "leg 8",
            "leg 9 spare",
            "leg 10 spare",
            "leg 11 spare",
            "leg 12 spare"
        ]
    );
    let tally = |walker: &Walker| {
        let hands = walker.context().hands_through();
        hands.iter().map(|(hand, done, all)| format!("{hand} {done}/{all}")).collect::<Vec<_>>()
    };
    assert_eq!(
        tally(&walker),
        ["front left 0/2", "front right 0/2", "back left 0/2", "back right 0/2"]
    );
    let through = |walker: &Walker| walker.state.setups.get(&80).map_or(0, |held| held.done.len());
    while through(&walker) < 3 {
        if walker.plainly() {
            continue;
        }
        let Task::Read { piece, check, .. } = walker.task() else { panic!("{:?}", walker.task()) };
        // A mortise may be deeper, not shallower: the middle is clearly within limits.
        let held = walker.context().limits(&piece, check).unwrap().limits;
        let middle = (held.low.unwrap() + held.high.unwrap()) / 2;
        walker.enter(&middle.decimal(Unit::Inch, 4));
    }
    // The setup piece and legs 1 and 5.
    assert_eq!(
        tally(&walker),
        ["front left 2/2", "front right 0/2", "back left 0/2", "back right 0/2"]
    );
    // At the saw left and right lie alike.
    walker.op = 60;
    assert!(walker.context().hands_through().is_empty());
}

#[test]
fn who_is_not_passed_begins_with_the_lead_beside() {
    let mut walker = Walker::stool(1);
    let person = |lead| benchway::shop::Person { lead, ..Default::default() };
    walker.shop.people.insert("TK".to_owned(), person(false));
    walker.shop.people.insert("AR".to_owned(), person(true));
    walker.who = Some("TK".to_owned());
    assert!(matches!(walker.task(), Task::Caution { .. }));
    for refused in ["", "tk", "12"] {
        assert!(walker.try_enter(refused).is_err(), "{refused}");
    }
    let events = walker.enter("ar");
    assert!(matches!(&events[..], [Event::CautionRead { beside: Some(lead), .. }] if lead == "AR"));
    assert!(!matches!(walker.task(), Task::Caution { .. }));
    // The lead needs nobody beside.
    walker.who = Some("AR".to_owned());
    let events = walker.enter("");
    assert!(matches!(&events[..], [Event::CautionRead { beside: None, .. }]));
    // Somebody the list doesn't name is not passed either.
    walker.who = Some("ZZ".to_owned());
    assert!(walker.try_enter("").is_err());
}

/// The lead opened the mortiser before the legs were sanded: what was cut is
/// located from faces that the sander then moves.
#[test]
fn an_operation_taken_up_again_names_what_shifts_with_it() {
    let mut walker = Walker::stool(1);
    walker.op = 80;
    walker.push(vec![Event::GateOpened { op: 80, by: "MB".to_owned(), why: "a trial".to_owned() }]);
    let set = walker.to_set();
    walker.enter(&set.readout.shown(set.dial.0));
    walker.op = 50;
    assert_eq!(walker.context().disturbs(), [("rail mortise".to_owned(), 80)]);
    // Rails have other faces.
    walker.op = 150;
    assert!(walker.context().disturbs().is_empty());
}
