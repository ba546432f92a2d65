//! The part so far on the machine screen: beside the drawing where there is room,
//! in place of the readings where nothing is measured.

use crate::bench::snapshot;
use crate::desk::Desk;
use crate::drawn::{ASCII, PLAIN, text};
use crate::walker::{Walker, crew};
use benchway::operation::CutShape;
use benchway::plan::part_so_far;
use benchway::tui::theme::Theme;
use benchway::work::{ReadReason, Task};

/// Everything before an operation done, and somebody at it.
pub fn before(op: u32, theme: Theme) -> Desk {
    let mut walker = Walker::stool(1);
    while let Some(next) = walker.next_op().filter(|next| *next < op) {
        walker.to_size(next);
        if let Task::Accept(_) = walker.task() {
            walker.enter("MB");
        }
    }
    walker.op = op;
    let mut desk = Desk::on(walker, theme);
    desk.enter(&["mb"]);
    desk
}

/// Sanded legs of finished length, all faces alike.
#[test]
fn where_nothing_is_measured_it_takes_the_readings_rows() {
    let desk = before(70, PLAIN);
    let shown = text(&desk.drawn(80, 24));
    let rows: Vec<&str> = shown.lines().skip(13).take(3).collect();
    assert!(rows[0].contains("so far") && rows[0].ends_with("far end"), "{shown}");
    // Of 32 columns 9 are the label, 3 the gap and 2 the ends.
    assert_eq!(rows[1].get(48..), Some(format!("all faces   |{}|", "=".repeat(18)).as_str()));
    snapshot("part-so-far-80x24", &shown);
    let ascii = text(&before(70, ASCII).drawn(80, 24));
    let wood = |shown: &str| shown.lines().nth(14).map(|row| row[48..].to_owned());
    assert_eq!(wood(&ascii), wood(&shown));
}

/// Before the lower mortise the upper ones are there.
#[test]
fn what_is_cut_is_seen_at_the_next_operation() {
    let shown = text(&before(90, PLAIN).drawn(120, 40));
    let faces: Vec<&str> = shown.lines().skip(14).take(4).collect();
    let with = |row: &&&str| row.contains('█');
    assert_eq!(faces.iter().filter(with).count(), 2, "{shown}");
    assert!(faces.iter().all(|row| row.trim_end().ends_with("=|")), "{shown}");
}

/// Sixteen rails crosscut at a stop, the first and the last of them measured.
const RAILS: &str = r#"{ "route": "Ferry bench rails", "unit": "in", "sets": 1,
  "parts": { "rail": { "per_set": 16, "spares": 0, "setup_pieces": 0,
    "stock": { "thickness": "3/4", "width": "2", "length": "14" } } },
  "operations": [ { "op": 10, "part": "rail", "do": "crosscut", "at": "saw and sled", "to": "12 1/2",
    "checks": [ { "check": "length", "limits": "±1/32", "with": "calipers", "pieces": "first, last" } ] } ] }"#;

/// The last rail reads 0.017 more than the first, so rail 8, halfway, is measured when all are
/// through: it is in hand, and neither the last nor the next.
#[test]
fn the_piece_that_is_measured_again_is_the_one_shown() {
    let mut desk = Desk::of(RAILS, PLAIN);
    desk.enter(&["mb"]);
    desk.walker.who = Some("MB".to_owned());
    let mut sizes = ["12.500", "12.517"].into_iter();
    loop {
        let task = desk.walker.task();
        match &task {
            Task::Read { why: ReadReason::Between, .. } => break,
            Task::Read { .. } => desk.enter(&[sizes.next().expect("two are measured")]),
            _ => {
                let well = crew::well(&desk.walker.context(), &task);
                desk.enter(&[&well.expect("nothing goes wrong")])
            }
        };
    }
    let shown = text(&desk.drawn(120, 40));
    assert!(shown.contains("rail 8 so far"), "{shown}");
}

/// Aprons with a groove, a lap and a mortise, each in the face that its operation names.
const APRONS: &str = r#"{ "route": "aprons", "unit": "in", "sets": 1,
  "parts": { "apron": { "per_set": 2, "species": "ash",
    "stock": { "thickness": "3/4", "width": "3", "length": "20" } } },
  "operations": [
    { "op": 10, "part": "apron", "do": "groove", "at": "router table", "tool": "1/4 straight bit",
      "panel": "1/4", "clearance": "0", "depth": "1/4", "from_edge": "1/4", "into": "edge", "face": "B" },
    { "op": 20, "part": "apron", "do": "half lap", "at": "saw and sled", "width": "3/4",
      "from_end": "5", "face": "A" },
    { "op": 30, "part": "apron", "do": "mortise", "at": "mortiser", "tool": "1/4 chisel",
      "from_face": "1/4", "width": "1/4", "depth": "1/2", "length": "1", "from_top": "9", "faces": ["D"] },
    { "op": 35, "part": "apron", "do": "mortise", "at": "mortiser", "tool": "1/4 chisel",
      "from_face": "1/4", "width": "1/4", "depth": "1/2", "length": "1", "from_top": "2",
      "faces": ["lower edge, at the head"] },
    { "op": 36, "part": "apron", "do": "mortise", "at": "mortiser", "tool": "1/4 chisel",
      "from_face": "1/4", "width": "1/4", "depth": "1/2", "length": "1", "from_top": "16",
      "faces": ["lower edge, at the foot"] },
    { "op": 40, "part": "apron", "do": "hand", "at": "bench", "say": ["Break the edges."] } ] }"#;

/// A groove and a lap stood on C whatever the operation said, and a mortise into D or B
/// by what the route called it.
#[test]
fn what_is_cut_is_on_the_face_the_operation_names() {
    let walker = Walker::of(APRONS);
    let piece = &walker.route.pieces(&walker.route.parts[0])[0];
    let so_far = part_so_far(&walker.route, &walker.plan, piece, |_| true).expect("a part");
    let cuts: Vec<Vec<CutShape>> = so_far
        .faces
        .iter()
        .map(|face| face.cuts.iter().map(|(shape, ..)| *shape).collect())
        .collect();
    // The likeliest free face of an edge is D, whatever it is called besides.
    let expected =
        [vec![CutShape::Groove], vec![CutShape::Groove], vec![], vec![CutShape::Mortise; 3]];
    assert_eq!(cuts, expected);
    let groove = &walker.plan.operations[0].groups[0].outcome;
    assert_eq!(groove.steps[0], "Face B down, the marked face to the fence, every piece.");
    assert_eq!(groove.drawing.seen, "end view, face B down");
    // 1/4 deep into an edge that is 3 wide is not more than half of it.
    assert!(groove.findings.is_empty(), "{:?}", groove.findings);
}
