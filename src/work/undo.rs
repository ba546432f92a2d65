//! Undoing what this station answered last, and redoing it.

use std::sync::Arc;

use super::context::WorkContext;
use super::refusal::refusal;
use crate::journal::{DoneAnswer, Event, Undoable};
use crate::prose::Message;

/// The answer that would be undone next at this station: its operation, and what it
/// did, in words such as `leg 4 20.063`.
pub fn last_answer(context: &WorkContext<'_>) -> Option<(Option<u32>, String)> {
    let last = last(context)?;
    let name = |piece| context.state.name(piece);
    let words = match &last.did {
        Undoable::Read { piece, typed } => format!("{} {typed}", name(piece)),
        Undoable::Set { setting, typed } => format!("{setting} {typed}"),
        Undoable::Through { first, count: 1 } => format!("{} done", name(first)),
        Undoable::Through { first, count } => format!("{count} done from {}", name(first)),
        Undoable::Closed => "all done".to_owned(),
        Undoable::Decided { piece, decision } => format!("{} {}", name(piece), decision.outcome()),
        Undoable::Board(board) => {
            let named = context.state.boards.board(board).map(|bought| bought.is.name.as_str());
            format!("board {}", named.filter(|name| !name.is_empty()).unwrap_or(&board.0))
        }
        Undoable::LaidOut => "the layout".to_owned(),
    };
    Some((last.op, words))
}

fn last<'a>(context: &WorkContext<'a>) -> Option<&'a DoneAnswer> {
    context.state.last_done.get(context.station).and_then(|done| done.last()).map(Arc::as_ref)
}

/// Voids the last answer of this station, whole.
pub fn void(context: &WorkContext<'_>) -> Result<Event, Message> {
    match last(context) {
        Some(answer) => {
            Ok(Event::Voided { what: answer.reference.clone(), to_measure_again: false })
        }
        None => Err(refusal(
            "This station has nothing to undo.",
            "what others answered is undone where they are",
        )),
    }
}

/// Restores what this station voided last, where it answered nothing since.
pub fn redo(context: &WorkContext<'_>) -> Result<Event, Message> {
    match context.state.last_undone.get(context.station).and_then(|undone| undone.last()) {
        Some(what) => Ok(Event::Restored { what: what.clone() }),
        None => {
            Err(refusal("Nothing was undone just now.", "z redoes only what Backspace undid last"))
        }
    }
}
