//! What has to be in sight while hands are on the work: where to cut, what to do
//! first, and the one number to set now.

use crate::desk::Desk;
use crate::drawn::{PLAIN, text};
use crate::part_so_far::before;
use crate::walker::crew;
use benchway::measure::Unit;
use benchway::tui::MachineView;
use benchway::work::Task;

/// The words of a drawn screen with one space between them.
fn words(desk: &Desk, (width, height): (u16, u16)) -> String {
    flat(&text(&desk.drawn(width, height)))
}

fn flat(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

/// The words in the first columns of a screen.
fn left(desk: &Desk, (width, height): (u16, u16), columns: usize) -> String {
    let shown = text(&desk.drawn(width, height));
    let rows = shown.lines().map(|row| row.chars().take(columns).collect::<String>());
    flat(&rows.collect::<Vec<_>>().join(" "))
}

/// Answers what is asked as it is wanted.
fn answer(desk: &mut Desk) {
    let task = desk.walker.task();
    let typed = match (&task, crew::plainly(&desk.walker.context(), &task)) {
        (_, Some(typed)) => typed,
        (Task::Read { piece, check, .. }, _) => {
            desk.walker.target(piece, *check).decimal(Unit::Inch, 4)
        }
        (other, _) => panic!("{other:?}"),
    };
    desk.enter(&[&typed]);
}

/// The mortise is 1 3/4 + 1/32 long, 1/2 from the top; the chisel cuts 0.254. So the last
/// plunge is 1.527 from the first, in nine parts of 0.170, each no more than three
/// quarters of the chisel. On a rule of 1/32: 0.670 is 21/32, 0.839 is 27/32, 1.009 is 1,
/// 1.179 is 1 3/16, 1.348 is 1 11/32, 1.518 is 1 17/32, 1.688 is 1 11/16, 1.858 is
/// 1 27/32, 2.027 is 2 1/32.
#[test]
fn plunges_stand_beside_the_drawing() {
    let mut desk = before(80, PLAIN);
    desk.enter(&[""]);
    // Both ends, then every second one between them that touches neither, then the rest.
    let plunges = "Plunge at 1/2 and 2 1/32, then 27/32, 1 3/16, 1 17/32 in: near edge from \
                   the top end. Last 21/32, 1, 1 11/32, 1 11/16, 1 27/32.";
    let mut seen = [false; 3];
    for _ in 0..12 {
        let task = desk.walker.task();
        let is_cut_now = match &task {
            Task::Set(_) => Some(0),
            Task::Read { check: 0, .. } => Some(1),
            Task::Cut { .. } => Some(2),
            _ => None,
        };
        if let Some(kind) = is_cut_now {
            for (size, columns) in [((80, 24), 46), ((120, 40), 64)] {
                let shown = left(&desk, size, columns);
                assert!(shown.contains(plunges), "{task:?} {size:?}\n{shown}");
            }
            seen[kind] = true;
        }
        answer(&mut desk);
    }
    assert_eq!(seen, [true; 3]);
}

/// With its neighbour still whole, and turned with the first mortise in its side.
#[test]
fn a_leg_is_drawn_again_as_it_lies_when_it_is_turned() {
    let mut desk = before(80, PLAIN);
    desk.enter(&[""]);
    for (width, height) in [(80, 24), (120, 40)] {
        let shown = text(&desk.drawn(width, height));
        assert!(shown.contains("turned") && shown.contains("end views"), "{shown}");
        let chisels = shown.lines().map(|row| row.matches("//").count()).max();
        assert_eq!(chisels, Some(2), "{shown}");
    }
}

/// Squaring stood in small print among the steps.
#[test]
fn squaring_one_end_is_an_order() {
    let mut desk = before(60, PLAIN);
    desk.enter(&[""]);
    let mut orders = Vec::new();
    while orders.len() < 4 {
        let shown = text(&desk.drawn(80, 24));
        orders.push(shown.lines().nth(2).expect("an order").to_owned());
        answer(&mut desk);
    }
    assert_eq!(
        orders,
        [
            "SET   the stop, then type what its scale shows.",
            "MEASURE   first piece, leg setup 1: square one end, cut it, then its length.",
            "MEASURE   leg 1: square one end, cut it, then its length.",
            "CUT   leg 2 3 4 5: square one end, cut, then measure the length of leg 6 spare",
        ]
    );
}

/// The legs come at 1.290 and the first pass leaves 1.278: the table stands at 1.278, and
/// 1.290 is the size of a piece.
#[test]
fn no_second_number_is_named_for_the_scale_in_hand() {
    let mut desk = before(50, PLAIN);
    desk.enter(&[""]);
    let shown = left(&desk, (80, 24), 46);
    assert!(shown.contains("The thickest is 1.290 in: come down."), "{shown}");
    assert!(!shown.contains("table at"), "{shown}");
    assert!(!words(&desk, (120, 40)).contains("table at"));
}

/// Always: In the smallest window the whole order of a cut is in sight, and how and where
/// the piece is cut, or else everything that is done now.
#[test]
fn a_small_window_loses_nothing_of_what_to_do() {
    let mut seen = 0;
    for op in [30, 40, 50, 60, 70, 80, 130, 170] {
        let mut desk = before(op, PLAIN);
        for _ in 0..14 {
            let task = desk.walker.task();
            // Whoever came gave initials already.
            if matches!(task, Task::Who | Task::Caution { .. }) {
                desk.enter(&[""]);
                continue;
            }
            if matches!(task, Task::Finished | Task::Accept(_)) || desk.walker.op != op {
                break;
            }
            let view = MachineView::of(&desk.walker.context(), &task);
            let shown = words(&desk, (40, 12));
            if matches!(task, Task::Cut { .. } | Task::Feed { .. } | Task::Read { .. }) {
                let order = flat(&view.order.line());
                assert!(shown.contains(&order), "op {op} {order:?}\n{}", text(&desk.drawn(40, 12)));
                seen += 1;
            }
            // How the piece after those that are cut is measured is said when it is, and
            // what Enter does is in the line of keys too.
            let is_now = |text: &&String| match task {
                Task::Cut { .. } => false,
                Task::Read { .. } => view.places.is_empty() && !text.starts_with("Enter alone"),
                _ => !text.starts_with("Enter alone"),
            };
            let is_cut = matches!(task, Task::Cut { .. } | Task::Read { .. });
            // Places that have no room are one key away; which piece it is and how it
            // lies are not.
            let first = view.places.iter().position(|text| text.starts_with("Plunge at"));
            let first = first.unwrap_or(view.places.len());
            let places = view.places.iter().take(if is_cut { first } else { 0 });
            for sentence in view.now.iter().filter(is_now).chain(places) {
                let drawn = text(&desk.drawn(40, 12));
                assert!(shown.contains(&flat(sentence)), "op {op} {sentence:?}\n{drawn}");
            }
            answer(&mut desk);
        }
    }
    assert!(seen > 30, "{seen}");
}
