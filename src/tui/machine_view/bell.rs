//! The bell in the order line: shortly before it a piece is finished and nothing
//! else begun, whatever the task is.

use chrono::TimeDelta;

use super::view::{MachineView, Order};
use crate::work::{Task, WorkContext};

/// How long before the bell the order says so: time to finish a piece and to leave
/// the machine clean (common practice, no source).
const BEFORE: TimeDelta = TimeDelta::minutes(5);

/// Puts the bell into the order where work at the machine goes on; what would be the
/// order is said below it. Nothing stands in the way of what is out of limits.
pub(super) fn put_first(context: &WorkContext<'_>, task: &Task, view: &mut MachineView) {
    let is_work =
        matches!(task, Task::Set(_) | Task::Feed { .. } | Task::Cut { .. } | Task::Read { .. });
    let Some(bell) = context.bell.filter(|_| is_work) else { return };
    let left = bell - context.now;
    if left > BEFORE {
        return;
    }
    let order = if left > TimeDelta::zero() {
        // As many minutes as the title counts down.
        let minutes = left.num_minutes();
        let brief = format!("in {minutes} min: finish this piece");
        let rest = format!("in {minutes} min: finish this piece, then F9.");
        Order::new("BELL", format!("{minutes} min"), brief, rest)
    } else {
        Order::new(
            "BELL",
            "close up",
            "finish, then close up",
            "finish this piece, then close up: F9.",
        )
    };
    let before = std::mem::replace(&mut view.order, order);
    // What is cut where belongs to it.
    let places = std::mem::take(&mut view.places);
    view.now.splice(0..0, std::iter::once(before.line()).chain(places));
}
