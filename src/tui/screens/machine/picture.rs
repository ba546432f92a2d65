//! Which drawing belongs to what is asked.

use std::borrow::Cow;

use crate::operation::Drawing;
use crate::operation::drawing::DrawnShape;
use crate::tui::machine_view::board_drawing;
use crate::work::{Task, WorkContext};

/// The drawing of the cut, of this pass where it has one, or of the board.
pub(super) fn drawing_of<'a>(context: &WorkContext<'a>, task: &Task) -> Option<Cow<'a, Drawing>> {
    let pass = match task {
        Task::Boards(task) => return board_drawing(context, task).map(Cow::Owned),
        Task::Caution { .. } | Task::Accept(_) | Task::Finished | Task::Tool { .. } => return None,
        Task::Set(set) => set.pass,
        Task::Feed { pass, .. } => *pass,
        _ => None,
    };
    let outcome = &context.planned()?.groups.first()?.outcome;
    let of_pass = outcome.passes.iter().find(|held| Some(held.number) == pass);
    // A piece is measured as it lies in its last pass, unless only the drawing of
    // the whole shows the place.
    let measured = outcome.passes.last().filter(|last| {
        let shows = |drawing: &Drawing| {
            drawing.shapes.iter().any(|shape| matches!(shape, DrawnShape::MeasureHere { .. }))
        };
        matches!(task, Task::Read { .. } | Task::Decide { .. })
            && (!shows(&outcome.drawing) || last.drawing.as_ref().is_some_and(shows))
    });
    let drawing = of_pass.or(measured).and_then(|held| held.drawing.as_ref());
    let drawing = drawing.unwrap_or(&outcome.drawing);
    if drawing.shapes.is_empty() {
        return None;
    }
    if context.planned()?.checks.is_empty() {
        // Nothing is measured here, so no place for the gauge is shown.
        let mut bare = drawing.clone();
        bare.shapes.retain(|shape| !matches!(shape, DrawnShape::MeasureHere { .. }));
        return Some(Cow::Owned(bare));
    }
    Some(Cow::Borrowed(drawing))
}
