//! What tells what to do at a machine is in sight, at every size.

use crate::desk::Desk;
use crate::drawn::{PLAIN, text};
use crate::walker::{MANY, Walker, crew};
use benchway::work::Task;

const SMALL: (u16, u16) = (40, 12);
const USUAL: (u16, u16) = (80, 24);
const LARGE: (u16, u16) = (120, 40);

/// Two stools, at the first task of an operation that is asked for.
fn at(op: u32, is_there: impl Fn(&Task) -> bool) -> Desk {
    let mut walker = Walker::stool(2);
    for earlier in [10, 20, 30, 40, 50, 60, 70].into_iter().filter(|earlier| *earlier < op) {
        walker.op = earlier;
        while !matches!(walker.task(), Task::Finished) {
            let typed = crew::well(&walker.context(), &walker.task()).expect("all goes well");
            walker.enter(&typed);
        }
    }
    let mut desk = Desk::stools(walker, 2, PLAIN);
    desk.enter(&["mb"]);
    desk.walker.op = op;
    desk.walker.who = Some("MB".to_owned());
    for _ in 0..MANY {
        let task = desk.walker.task();
        if is_there(&task) {
            return desk;
        }
        let typed = crew::well(&desk.walker.context(), &task).expect("all goes well");
        desk.enter(&[&typed]);
    }
    panic!("never there: {:?}", desk.walker.task());
}

/// The words of a screen beside its drawing, with the line breaks taken out.
fn said(desk: &Desk, (width, height): (u16, u16)) -> String {
    let columns = match width {
        40 => 40,
        80 => 46,
        _ => 64,
    };
    let shown = text(&desk.drawn(width, height));
    // The order has the whole row in an ordinary window.
    let room = |n: usize| if n == 2 && width == 80 { 80 } else { columns };
    let rows = shown.lines().enumerate();
    let left = rows.map(|(n, row)| row.chars().take(room(n)).collect::<String>());
    left.flat_map(|row| row.split_whitespace().map(str::to_owned).collect::<Vec<_>>())
        .collect::<Vec<_>>()
        .join(" ")
}

#[track_caller]
fn says(desk: &Desk, sizes: &[(u16, u16)], words: &str) {
    for size in sizes {
        let drawn = text(&desk.drawn(size.0, size.1));
        assert!(said(desk, *size).contains(words), "{words}\n{drawn}");
    }
}

/// Rows were blank while the route's own words stood only in help.
#[test]
fn what_the_route_says_of_a_cut_is_in_sight() {
    let all = [SMALL, USUAL, LARGE];
    let edge = |task: &Task| matches!(task, Task::Feed { pass: Some(2), alone: false, .. });
    says(&at(20, edge), &all, "Mark the face side and the face edge.");
    let rip = at(30, |task| matches!(task, Task::Cut { .. }));
    says(&rip, &all, "After each leg the blank's sawn edge goes over the jointer again");
    let mortise = at(80, |task| matches!(task, Task::Cut { .. }));
    says(&mortise, &all, "Plunge at 1/2 and 2 1/32");
    says(&mortise, &all, "Inside face up, outside face to fence.");
    // The first piece and one before a reading are cut as well, before they are measured.
    let first = at(80, |task| matches!(task, Task::Read { check: 0, .. }));
    let next = at(80, |task| matches!(task, Task::Cut { then: Some(_), .. }));
    for cut in [&first, &next] {
        says(cut, &all, "Inside face up, outside face to fence. Plunge at 1/2 and 2 1/32");
    }
    says(&first, &[USUAL, LARGE], "0.252 to 0.256 in, plug gauges.");
    says(&mortise, &[USUAL, LARGE], "on left legs the other way about");
}

/// Every step of work by hand is on the screen, or a few keys below in a small window.
#[test]
fn every_step_by_hand_is_in_sight() {
    let bench = at(70, |task| matches!(task, Task::Feed { .. }));
    for step in ["feel across the tops", "sand the four faces", "mark both outside faces again"] {
        says(&bench, &[USUAL, LARGE], step);
    }
    says(&bench, &[USUAL, LARGE], "Break the edges at the foot");
    says(&bench, &[SMALL], "Down: ");
}

/// The jointed face and edge lie on the table at every height: turned over, B would
/// copy the sawn D. The first piece is told which faces are up, and drawn so.
#[test]
fn legs_are_planed_opposite_their_jointed_faces() {
    let desk = at(40, |task| matches!(task, Task::Read { .. }));
    let plan = &desk.walker.plan;
    let passes = &plan.operation(40).expect("planed").groups[0].outcome.passes;
    for pass in passes {
        assert!(pass.faces.iter().all(|face| matches!(*face, "C" | "D")), "{pass:?}");
    }
    assert_eq!(passes.last().expect("a pass").faces, ["C", "D"]);
    says(&desk, &[SMALL, USUAL, LARGE], "feed it, faces C, D up, then its thickness");
    let up = |desk: &Desk| {
        let shown = text(&desk.drawn(80, 24));
        let right = shown.lines().skip(3).take(9).map(|row| row.chars().skip(46).collect());
        let rows: Vec<String> = right.collect();
        rows.iter().find_map(|row| row.chars().find(|sign| "ABCD".contains(*sign)))
    };
    assert_eq!(up(&desk), Some('C'));
    let sanded = at(50, |task| matches!(task, Task::Read { .. }));
    says(&sanded, &[SMALL, USUAL, LARGE], "feed it, faces C, D up, then its thickness");
    assert_eq!(up(&sanded), Some('C'));
}

/// An edge out of square was drawn with the face on the table.
#[test]
fn the_edge_is_drawn_while_it_is_jointed_again() {
    let mut desk = at(20, |task| matches!(task, Task::Read { .. }));
    desk.enter(&["0.020"]);
    assert!(matches!(desk.walker.task(), Task::Decide { .. }));
    for (width, height) in [USUAL, LARGE] {
        let shown = text(&desk.drawn(width, height));
        assert!(shown.contains("end view, jointed face ag"), "{shown}");
    }
    let small = text(&desk.drawn(40, 12));
    desk.enter(&["q"]);
    let refused = text(&desk.drawn(40, 12));
    for row in small.lines().filter(|row| row.starts_with("c ") || row.contains(" m ")) {
        assert!(refused.contains(row), "{row}\n{refused}");
    }
}

/// `then measure` stood without what is measured.
#[test]
fn an_order_names_what_is_measured() {
    let four =
        |task: &Task| matches!(task, Task::Cut { pieces, then: Some(_) } if pieces.len() > 3);
    says(&at(30, four), &[SMALL, USUAL, LARGE], "then measure the width of leg");
    says(&at(60, |task| matches!(task, Task::Read { .. })), &[LARGE], "square one end, cut it");
    says(&at(80, |task| matches!(task, Task::Read { .. })), &[USUAL, LARGE], "cut it, then its");
}

/// The caution for the hand stays beside the cut.
#[test]
fn the_push_stick_stays_in_sight() {
    let rip = at(30, |task| matches!(task, Task::Cut { .. }));
    says(&rip, &[SMALL], "Push stick between fence and blade.");
    let stands = |task: &Task| matches!(task, Task::Feed { .. });
    assert!(!said(&at(20, stands), SMALL).contains("1/32,"));
}

/// Two dimensions that may keep their size, and a lead who chooses.
const CHOICE: &str = r#"{
  "route": "Slip stand", "unit": "in", "sets": 1,
  "dims": { "leg": "1 1/2", "base": "16", "shoulder": "base - 2 * leg", "shelf": "shoulder - 1" },
  "parts": {
    "leg": { "per_set": 1, "stock": { "thickness": "2", "width": "2", "length": "30" } },
    "rail": { "per_set": 1, "stock": { "thickness": "1", "width": "4", "length": "20" } }
  },
  "operations": [
    { "op": 10, "part": "leg", "do": "measure",
      "checks": [ { "check": "thickness", "limits": "±1", "with": "calipers", "pieces": "all", "around": "leg",
                    "becomes": { "dim": "leg", "take": "smallest", "of": "batch" } } ] },
    { "op": 20, "part": "rail", "do": "crosscut", "at": "stop saw", "to": "shoulder" },
    { "op": 30, "part": "rail", "do": "crosscut", "at": "stop saw", "to": "shelf" }
  ],
  "keep": {
    "the outside of the base": { "about": "the rails follow" },
    "the rails": { "about": "the base follows", "dims": { "shoulder": "13", "base": "shoulder + 2 * leg" } },
    "the shelf between the rails": { "about": "the base follows", "dims": { "shoulder": "shelf + 1", "shelf": "12", "base": "shoulder + 2 * leg" } }
  }
}"#;

/// The second choice was cut off the smallest window, and the third.
#[test]
fn every_choice_of_the_lead_is_in_sight() {
    let mut desk = Desk::of(CHOICE, PLAIN);
    desk.enter(&["mb"]);
    desk.walker.op = 10;
    desk.walker.who = Some("MB".to_owned());
    for _ in 0..MANY {
        match desk.walker.task() {
            Task::Accept(_) => break,
            Task::Read { .. } => desk.enter(&["1.400"]),
            task => {
                let typed = crew::well(&desk.walker.context(), &task).expect("all goes well");
                desk.enter(&[&typed])
            }
        };
    }
    let Task::Accept(proposal) = desk.walker.task() else { panic!("{:?}", desk.walker.task()) };
    assert_eq!(proposal.keeps.len(), 3);
    for (size, word) in [(SMALL, ""), (USUAL, "Option "), (LARGE, "Option ")] {
        for kept in ["the outside of the base", "the rails", "the shelf between the rails"] {
            let n = proposal.keeps.iter().position(|held| held.keep.as_deref() == Some(kept));
            let n = n.expect("a choice") + 1;
            let keep = if size == SMALL { " keep " } else { ", keep " };
            says(&desk, &[size], &format!("{word}{n}{keep}{kept}:"));
        }
    }
}
