//! What people write: about an operation, or about one piece.

use super::context::WorkContext;
use crate::journal::{Event, PieceId};

/// What begins a note that is about the operation after all, though one piece is in
/// hand.
const NOT_THE_PIECE: char = '-';

/// A note, as an event. It is about the operation where the piece goes through it.
pub fn note(context: &WorkContext<'_>, piece: Option<PieceId>, typed: &str) -> Event {
    let text = typed.trim();
    let (piece, text) = match text.strip_prefix(NOT_THE_PIECE).filter(|_| piece.is_some()) {
        Some(rest) => (None, rest.trim()),
        None => (piece, text),
    };
    let part = context.planned().map(|planned| planned.part.as_str());
    let is_elsewhere = piece.as_ref().is_some_and(|piece| {
        let held = context.state.piece(piece);
        held.is_some_and(|held| Some(held.label.part.as_str()) != part)
    });
    let op = (!is_elsewhere).then_some(context.op);
    Event::Note { op, piece, text: text.to_owned() }
}
