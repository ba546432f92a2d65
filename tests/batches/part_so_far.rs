//! The part so far on the machine screen: beside the drawing where there is room,
//! in place of the readings where nothing is measured.

use crate::bench::snapshot;
use crate::desk::Desk;
use crate::drawn::{ASCII, PLAIN, text};
use crate::walker::Walker;
use benchway::tui::theme::Theme;
use benchway::work::Task;

/// Everything before an operation done, and somebody at it.
fn before(op: u32, theme: Theme) -> Desk {
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
