//! Pieces that nobody measures: one Enter for all of them, a number for those done
//! so far, and the next number that says the same by itself.

use benchway::journal::{Event, PieceId};
use benchway::work::{NextNumber, ReadReason, Task};

use crate::walker::{Walker, th};

fn cut(walker: &Walker) -> (Vec<PieceId>, Option<NextNumber>) {
    match walker.task() {
        Task::Cut { pieces, then } => (pieces, then),
        other => panic!("{other:?}"),
    }
}

/// Four legs, four spares and a setup piece are cut to rough length.
#[test]
fn one_enter_cuts_the_whole_stack() {
    let mut walker = Walker::stool(1);
    walker.op = 10;
    walker.to_set();
    walker.enter("21");
    let (pieces, then) = cut(&walker);
    assert_eq!((pieces.len(), then), (9, None));
    let events = walker.enter("");
    // It leaves nothing to do, so the operation is closed with it.
    assert!(matches!(
        &events[..],
        [Event::Done { pieces, .. }, Event::Closed { done: 9, aside: 0, by_answer: true, .. }]
            if pieces.len() == 9
    ));
    assert_eq!(walker.task(), Task::Finished);
    // One key takes the one answer back.
    walker.void();
    assert_eq!(cut(&walker).0.len(), 9);
}

#[test]
fn a_number_says_how_many_are_cut_so_far() {
    let mut walker = Walker::stool(1);
    walker.op = 10;
    walker.to_set();
    walker.enter("21");
    let all = cut(&walker).0;
    walker.enter("3");
    assert_eq!(cut(&walker).0, all[3..]);
    for wrong in ["0", "7"] {
        assert!(walker.try_enter(wrong).is_err(), "{wrong}");
    }
    // What a gauge sends is no count, and nothing is recorded.
    let lines = walker.lines.len();
    let refused = walker.try_enter("2.5").expect_err("a count is asked for");
    assert_eq!(refused.what, "A count is a whole number.");
    assert_eq!(walker.lines.len(), lines);
    assert_eq!(cut(&walker).0, all[3..]);
    walker.void();
    assert_eq!(cut(&walker).0, all);
}

/// First, last and 1 in 5 of eight legs are measured: setup piece and leg 1, then
/// leg 5 after three that aren't.
#[test]
fn a_reading_says_that_the_pieces_before_it_are_cut() {
    let mut walker = Walker::stool(1);
    for op in [10, 20] {
        walker.to_size(op);
    }
    walker.op = 30;
    for _ in 0..2 {
        assert!(matches!(walker.on(), Task::Read { .. }));
        walker.enter("1.352");
    }
    let (pieces, then) = cut(&walker);
    let names: Vec<String> = pieces.iter().map(|piece| walker.name(piece)).collect();
    let Some(NextNumber::Read { piece: next, why: ReadReason::Check, .. }) = then else {
        panic!("{then:?}")
    };
    let events = walker.enter("1.353");
    assert!(matches!(
        &events[..],
        [Event::Done { pieces: done, by_reading: false, .. }, Event::Reading(taken), Event::Done { by_reading: true, .. }]
            if *done == pieces && taken.piece == next && taken.size() == Some(th(1353))
    ));
    assert!(!names.contains(&walker.name(&next)), "{names:?}");
    // One answer is taken back whole: the pieces are to be cut again.
    walker.void();
    assert_eq!(cut(&walker).0, pieces);
}

/// Four legs are cut before leg 6 is measured, about 1.353. Nobody knows whether 7 is a
/// count or a size, so it is asked about. 1.4 is too wide, and may well be what it
/// reads; 5.0 has its decimals and is a reading too.
#[test]
fn a_whole_number_that_is_neither_count_nor_size_is_asked_about() {
    for (typed, is_recorded) in [("7", false), ("0", false), ("1.4", true), ("5.0", true)] {
        let mut walker = Walker::stool(1);
        for op in [10, 20] {
            walker.to_size(op);
        }
        walker.op = 30;
        for _ in 0..2 {
            walker.on();
            walker.enter("1.352");
        }
        let (pieces, then) = cut(&walker);
        assert!(matches!((pieces.len(), &then), (4, Some(NextNumber::Read { .. }))));
        let lines = walker.lines.len();
        match walker.try_enter(typed) {
            Ok(_) => assert!(is_recorded, "{typed}"),
            Err(refused) => {
                let said = format!("{typed} is no count of 4 pieces, and far off for leg 6 spare.");
                assert_eq!(refused.what, said);
                assert_eq!(walker.lines.len(), lines);
            }
        }
    }
}

/// By hand, for 1.290 from 1.469 in bites of at most 1/16: see the heights of the
/// bundled stool. Whoever types what the scale shows next has fed the stack.
#[test]
fn a_height_says_that_the_stack_went_through_the_one_before() {
    let mut walker = Walker::stool(1);
    for op in [10, 20, 30] {
        walker.to_size(op);
    }
    walker.op = 40;
    let first = walker.to_set();
    walker.enter(&first.readout.shown(first.dial.0));
    let Task::Feed { pass: Some(1), pieces, then: Some(NextNumber::Set(next)), .. } = walker.task()
    else {
        panic!("{:?}", walker.task())
    };
    assert_eq!(next[0].pass, Some(2));
    let events = walker.enter(&next[0].readout.shown(next[0].dial.0));
    assert!(matches!(
        &events[..],
        [Event::Done { pass: Some(1), pieces: fed, .. }, Event::Setting { right: true, .. }]
            if *fed == pieces
    ));
    // A number far from any height became a note nobody wrote: it is asked about, and
    // nothing counts as fed.
    let before = walker.task();
    let refused = walker.try_enter("12.5").expect_err("no height").to_string();
    assert!(refused.contains("12.5 is none of the heights that follow"), "{refused}");
    let Task::Feed { then: Some(NextNumber::Set(next)), .. } = &before else {
        panic!("{before:?}")
    };
    let should = next[0].readout.shown(next[0].dial.0);
    assert!(refused.contains(&format!("the scale shows {should} at the next")), "{refused}");
    assert_eq!(walker.task(), before);
    // A height further down says that all between are done.
    let Task::Feed { then: Some(NextNumber::Set(next)), .. } = before else { panic!("{before:?}") };
    let last = next.last().expect("another height");
    walker.enter(&last.readout.shown(last.dial.0));
    for pass in 1..last.pass.expect("a pass") {
        assert_eq!(walker.state.setups[&40].passes[&pass].len(), pieces.len(), "pass {pass}");
    }
}

/// A height that came out high and the next that came out low took more than any
/// bite planned, and the light last bite grew with the height before it.
#[test]
fn what_a_rough_height_may_be_off_adds_to_no_bite() {
    let mut walker = Walker::stool(1);
    for op in [10, 20, 30, 40, 50] {
        walker.op = op;
        let passes = walker.plan.operation(op).unwrap().groups[0].outcome.passes.clone();
        let bites = passes.windows(2).map(|pair| pair[0].dial.0 - pair[1].dial.0);
        let biggest = bites.max();
        while !matches!(walker.task(), Task::Finished | Task::Accept(_)) {
            if let Task::Set(set) = walker.task()
                && let (Some((low, high)), Some(pass)) = (set.takes, set.pass)
            {
                assert_eq!(low, set.dial.0, "op {op} pass {pass}");
                let next = &passes[pass as usize];
                assert!(Some(high - next.dial.0) <= biggest, "op {op} pass {pass}");
                assert!((pass as usize) + 1 < passes.len(), "the last bite stays light");
            }
            let context = walker.context();
            let text = crate::walker::crew::well(&context, &walker.task()).expect("all is good");
            walker.enter(&text);
        }
    }
}
