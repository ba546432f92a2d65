//! Which drawing belongs to what is asked.

use std::borrow::Cow;

use crate::operation::Drawing;
use crate::tui::boards_view;
use crate::work::{Due, Stand};

/// The drawing of the cut, of this pass where it has one, or of the board.
pub(super) fn drawing_of<'a>(context: &Stand<'a>, task: &Due) -> Option<Cow<'a, Drawing>> {
    let pass = match task {
        Due::Rack(task) => return boards_view::drawing(context, task).map(Cow::Owned),
        Due::Caution { .. } | Due::Accept(_) | Due::Finished | Due::Tool { .. } => return None,
        Due::Set(set) => set.pass,
        Due::Feed { pass, .. } => *pass,
        _ => None,
    };
    let outcome = &context.planned()?.groups.first()?.outcome;
    let pass = outcome.passes.iter().find(|held| Some(held.number) == pass);
    let drawing = pass.and_then(|held| held.drawing.as_ref()).unwrap_or(&outcome.drawing);
    (!drawing.shapes.is_empty()).then_some(Cow::Borrowed(drawing))
}
