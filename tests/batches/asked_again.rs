//! A piece that is to be measured again is asked for again, and what was undone counts
//! for nothing.

use benchway::journal::PieceId;
use benchway::work::{NextNumber, ReadReason, Remedy, Task, choices, handle_input};
use chrono::Duration;
use crossterm::event::KeyCode;

use crate::desk::Desk;
use crate::drawn::{PLAIN, text};
use crate::walker::Walker;
use crate::walker::crew::{good, typed, well};

/// At an operation, where every one before it went well.
fn at(op: u32) -> Walker {
    let mut walker = Walker::stool(1);
    let steps: Vec<u32> = walker.route.steps.iter().map(|step| step.op).collect();
    for before in steps.into_iter().filter(|step| *step < op) {
        walker.op = before;
        while !matches!(walker.task(), Task::Finished) {
            let answer = well(&walker.context(), &walker.task()).expect("all is good");
            walker.enter(&answer);
        }
    }
    walker.op = op;
    walker
}

/// What is measured now: the piece, which check, and the name of the piece.
#[track_caller]
fn read(walker: &Walker) -> (PieceId, usize, String) {
    match walker.task() {
        Task::Read { piece, check, .. } => (piece.clone(), check, walker.name(&piece)),
        other => panic!("{other:?}"),
    }
}

/// Types what is above the limit by twice the uncertainty of the gauge.
fn out(walker: &mut Walker) {
    let (piece, check, _) = read(walker);
    let limits = walker.context().limits(&piece, check).expect("limits").limits;
    let high = limits.high.expect("a high limit");
    let context = walker.context();
    let gauge = context.gauge(&context.planned().expect("an operation").checks[check]);
    let beyond = gauge.and_then(|gauge| gauge.uncertainty()).expect("a gauge with numbers");
    let text = typed(&context, check, high + beyond * 2);
    walker.enter(&text);
}

fn well_read(walker: &mut Walker) {
    let (piece, check, _) = read(walker);
    let text = typed(&walker.context(), check, good(&walker.context(), &piece, check));
    walker.enter(&text);
}

/// Out, measured again and good, then a third time out: once more, it is still the piece
/// and the size that were to be measured again, whichever piece comes next.
#[test]
fn a_third_reading_that_is_measured_again_is_asked_for_again() {
    let mut walker = at(30);
    let mut seen = 0;
    while !matches!(walker.task(), Task::Finished) {
        let Task::Read { .. } = walker.task() else {
            let answer = well(&walker.context(), &walker.task()).expect("all is good");
            walker.enter(&answer);
            continue;
        };
        let asked = read(&walker);
        out(&mut walker);
        assert!(matches!(walker.task(), Task::Decide { .. }), "{:?}", walker.task());
        walker.enter("m");
        assert_eq!(read(&walker), asked);
        well_read(&mut walker);
        assert!(matches!(walker.task(), Task::Read { why: ReadReason::Third { .. }, .. }));
        out(&mut walker);
        walker.enter("m");
        assert_eq!(read(&walker), asked);
        well_read(&mut walker);
        seen += 1;
    }
    assert!(seen >= 3, "{seen}");
}

/// Legs to rip to 1.353, 1.321 to 1.384: the setup piece and leg 1 are good.
fn at_the_saw() -> Desk {
    let mut desk = Desk::on(at(30), PLAIN);
    desk.enter(&["mb", "", "1.000", "1.345", "1.353", "1.353"]);
    desk
}

fn screen(desk: &Desk) -> String {
    text(&desk.drawn(120, 40))
}

/// A piece that is measured again is cut already.
#[test]
fn nobody_cuts_a_piece_again_that_is_measured_again() {
    let mut desk = at_the_saw();
    desk.enter(&["1.400", "m"]);
    let shown = screen(&desk);
    assert!(shown.contains("MEASURE   leg 6 spare: its width."), "{shown}");
    desk.enter(&["1.353", "1.400", "m"]);
    let shown = screen(&desk);
    assert!(shown.contains("MEASURE   leg 6 spare: its width."), "{shown}");
    assert!(!shown.contains("a third time"), "{shown}");
}

/// 7 and 1.400 were typed by mistake and undone, so 1.353 is the only reading.
#[test]
fn what_was_undone_counts_for_nothing() {
    let mut desk = at_the_saw();
    desk.enter(&["7.000"]);
    assert!(matches!(desk.walker.task(), Task::Decide { .. }));
    desk.walker.void();
    let before = desk.walker.task();
    desk.walker.enter("1.400");
    desk.walker.void();
    assert_eq!(desk.walker.task(), before);
    desk.walker.enter("1.353");
    let shown = desk.walker.task();
    assert!(!matches!(shown, Task::Read { why: ReadReason::Third { .. }, .. }), "{shown:?}");
    assert!(desk.walker.state.readings.iter().filter(|held| held.voided).count() == 2);
}

/// A wall of about 0.2 that reads 0.66 would move the fence below zero, and a leg of
/// 0.5 in place of 1.353 would move it by more than half. Both are measured again
/// first. Twice the same, the piece is set aside, and the setting still isn't moved.
#[test]
fn what_is_far_off_moves_no_setting() {
    for (op, check, wrong) in [(80, 1, "0.66"), (30, 0, "0.5"), (30, 0, "7")] {
        let mut walker = at(op);
        loop {
            match walker.task() {
                Task::Read { check: asked, .. } if asked == check => break,
                task => {
                    let answer = well(&walker.context(), &task).expect("all is good");
                    walker.enter(&answer);
                }
            }
        }
        let asked = read(&walker);
        walker.enter(wrong);
        let open = choices(&walker.context(), &walker.task());
        assert_eq!(open, [Remedy::MeasureAgain, Remedy::Accept], "op {op}: {wrong}");
        walker.enter("");
        assert_eq!(read(&walker), asked);
        walker.enter(wrong);
        let open = choices(&walker.context(), &walker.task());
        assert_eq!(open.first(), Some(&Remedy::SetAside), "op {op}: {wrong}");
        assert!(!open.contains(&Remedy::MoveTheSetting), "op {op}: {wrong}");
    }
}

/// What was undone confirms nothing: 0.5 is typed, undone and typed again.
#[test]
fn what_was_undone_is_no_second_reading() {
    let mut walker = at(30);
    while !matches!(walker.task(), Task::Read { .. }) {
        let answer = well(&walker.context(), &walker.task()).expect("all is good");
        walker.enter(&answer);
    }
    walker.enter("0.5");
    walker.void();
    walker.enter("0.5");
    let open = choices(&walker.context(), &walker.task());
    assert_eq!(open, [Remedy::MeasureAgain, Remedy::Accept]);
}

/// Legs 2 to 5 are cut before leg 6 is measured: four, whether leg 6 is good or not.
#[test]
fn the_pieces_before_a_reading_are_counted_rightly() {
    for typed in ["1.353", "1.400"] {
        let mut desk = at_the_saw();
        desk.enter(&[typed]);
        let shown = screen(&desk);
        assert!(shown.contains("4 before it counted as done."), "{typed}: {shown}");
    }
}

/// A leg too wide by 0.016 is cut again before it is measured, and the order says so.
#[test]
fn the_order_after_a_decision_to_cut_again_is_to_cut() {
    let mut desk = at_the_saw();
    desk.enter(&["1.400", "c"]);
    let shown = screen(&desk);
    assert!(shown.contains("CUT AGAIN   leg 6 spare, then measure its width."), "{shown}");
    // It is cut then, and measured twice.
    desk.enter(&["1.390", "m"]);
    let shown = screen(&desk);
    assert!(shown.contains("MEASURE   leg 6 spare: its width."), "{shown}");
}

/// An edge out of square by 0.012 is put right before it is measured.
#[test]
fn the_order_after_a_decision_to_put_right_says_so() {
    let mut walker = at(20);
    while !matches!(walker.task(), Task::Read { .. }) {
        let answer = well(&walker.context(), &walker.task()).expect("all is good");
        walker.enter(&answer);
    }
    let mut desk = Desk::on(walker, PLAIN);
    desk.enter(&["mb", "0.020", "c"]);
    let shown = screen(&desk);
    assert!(shown.contains("PUT RIGHT   "), "{shown}");
    assert!(shown.contains(", then measure its squareness."), "{shown}");
}

/// A Backspace 0.6 s after another is one held down, and says so; a second later it
/// undoes again.
#[test]
fn a_backspace_that_is_held_back_says_so() {
    let mut desk = at_the_saw();
    let counting =
        |desk: &Desk| desk.walker.state.readings.iter().filter(|held| !held.voided).count();
    let before = counting(&desk);
    desk.key(KeyCode::Backspace);
    assert_eq!(counting(&desk), before - 1);
    desk.walker.now -= Duration::milliseconds(400);
    desk.key(KeyCode::Backspace);
    assert_eq!(counting(&desk), before - 1);
    assert!(screen(&desk).contains("A Backspace held down undoes nothing."), "{}", screen(&desk));
    desk.key(KeyCode::Backspace);
    assert_eq!(counting(&desk), before - 2);
}

/// Another station's reading of the same piece arrives between a key and what is written
/// for it. Both are kept, and it is said: one of the two may have meant another piece.
#[test]
fn a_piece_that_two_stations_read_at_once_is_said() {
    let mut desk = at_the_saw();
    // Whoever types it has cut the four before it.
    let Task::Cut { then: Some(NextNumber::Read { piece, .. }), .. } = desk.walker.task() else {
        panic!("{:?}", desk.walker.task())
    };
    let name = desk.walker.name(&piece);
    desk.letters("1.353");
    let context = desk.walker.context();
    let theirs = handle_input(&context, &desk.walker.task(), "1.352").expect("a reading");
    desk.walker.station = "planer".to_owned();
    desk.walker.push(theirs);
    desk.walker.station = "bench-a".to_owned();
    desk.key(KeyCode::Enter);
    let shown = text(&desk.drawn(40, 12));
    let flat = shown.split_whitespace().collect::<Vec<_>>().join(" ");
    let said = format!("{name} was read at planer too, just now: 1.352 there, 1.353 here.");
    assert!(flat.contains(&said), "{shown}");
}
