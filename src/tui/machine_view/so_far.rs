//! Which piece the part so far is drawn for, and what it is called there.

use crate::journal::{Piece, PieceId};
use crate::plan::{PartSoFar, part_so_far};
use crate::work::{Task, WorkContext};

/// A piece as it is now, and its names, the longest first.
#[derive(Clone, Debug)]
pub(in crate::tui) struct SoFar {
    pub(in crate::tui) part: PartSoFar,
    pub(in crate::tui) names: Vec<String>,
}

impl SoFar {
    /// The piece in hand, else the next to go, else the last of all.
    pub(in crate::tui) fn of(context: &WorkContext<'_>, task: &Task) -> Option<SoFar> {
        if context.at_boards() || matches!(task, Task::Caution { .. } | Task::Boards(_)) {
            return None;
        }
        let pieces = context.pieces();
        let in_hand = in_hand(task).and_then(|id| pieces.iter().find(|piece| piece.id == *id));
        let to_go =
            |piece: &&&Piece| piece.aside.is_none() && !context.state.is_through(context.op, piece);
        let piece = in_hand.or_else(|| pieces.iter().find(to_go)).or(pieces.last())?;
        SoFar::for_piece(context, piece)
    }

    /// One piece, whatever is in hand.
    pub(in crate::tui) fn for_piece(context: &WorkContext<'_>, piece: &Piece) -> Option<SoFar> {
        let is_done = |op| context.state.is_done(op, &piece.id);
        let part = part_so_far(context.route, context.plan, &piece.label, is_done)?;
        let name = context.state.name(&piece.id);
        let mut names = vec![format!("{name} so far"), format!("{} so far", piece.label.part)];
        names.push(name.clone());
        if let Some(hand) = &piece.label.hand {
            names.insert(0, format!("{name}, {hand}, so far"));
        }
        Some(SoFar { part, names })
    }
}

/// The first piece that a task is about.
fn in_hand(task: &Task) -> Option<&PieceId> {
    match task {
        Task::Read { piece, .. } | Task::Decide { piece, .. } => Some(piece),
        Task::Cut { pieces, .. } | Task::Feed { pieces, .. } => pieces.first(),
        Task::Set(setting) => setting.pieces.first(),
        _ => None,
    }
}
