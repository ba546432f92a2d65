//! Events by which pieces go through an operation or one of its passes.

use super::context::WorkContext;
use crate::journal::{Event, PieceId};

pub(super) fn fed(context: &WorkContext<'_>, pass: Option<u32>, pieces: &[PieceId]) -> Event {
    let group = pieces.first().and_then(|piece| context.group_of(piece));
    let last = group.and_then(|group| group.outcome.passes.last()).map(|pass| pass.number);
    let setup = context.setup();
    Event::Done {
        op: context.op,
        pieces: pieces.to_vec(),
        pass,
        // When a first piece was too big, this height is not the last one.
        through: pass.is_none()
            || (pass == last && setup.is_none_or(|setup| setup.moves.is_empty())),
        tool: setup.and_then(|setup| setup.tool.clone()),
        settings: setup.map(|setup| setup.in_force()).unwrap_or_default(),
        by_reading: false,
    }
}

pub(super) fn done(context: &WorkContext<'_>, piece: &PieceId, by_reading: bool) -> Event {
    match fed(context, None, std::slice::from_ref(piece)) {
        Event::Done { op, pieces, pass, through, tool, settings, .. } => {
            Event::Done { op, pieces, pass, through, tool, settings, by_reading }
        }
        other => other,
    }
}

/// Whether all pieces go through each pass together, so that a pass counts them.
pub(super) fn is_stack(context: &WorkContext<'_>, piece: &PieceId) -> bool {
    context.group_of(piece).is_some_and(|group| !group.outcome.passes.is_empty())
}
