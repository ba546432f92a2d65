//! What whoever comes next must know: how the machine is set, which pieces are
//! done, what is waited for, what to check first.

use super::context::WorkContext;
use super::gate::at_words;
use crate::journal::{Piece, PieceId};

/// The hand-over of the operation someone works at, one sentence a line.
pub fn handover(context: &WorkContext<'_>) -> Vec<String> {
    let mut lines = Vec::new();
    let Some(planned) = context.planned() else { return lines };
    if let (Some(setup), Some(at)) = (context.setup(), &planned.at) {
        let outcome = planned.groups.first().map(|group| &group.outcome);
        let readout = |name: &str| {
            outcome?.settings.iter().find(|setting| setting.name == name).map(|s| s.readout)
        };
        for stored in setup.in_force() {
            let shown = readout(&stored.setting).map(|readout| readout.shown(stored.dial.0));
            if let Some(shown) = shown {
                lines.push(format!("{at}: {} at {shown}.", stored.setting));
            }
        }
        if let Some(tool) = context.state.tools.get(at) {
            lines.push(format!("{at}: the {tool} is fitted."));
        }
    }
    let (done, to_go): (Vec<&Piece>, Vec<&Piece>) = context
        .pieces()
        .into_iter()
        .filter(|piece| piece.aside.is_none())
        .partition(|piece| context.state.is_done(context.op, &piece.id));
    if !done.is_empty() {
        lines.push(format!("Done: {}.", names(&done)));
    }
    if !to_go.is_empty() {
        lines.push(format!("To go: {}.", names(&to_go)));
    }
    for wait in context.state.waits.iter().filter(|wait| wait.until > context.now) {
        lines.push(format!("{}: not before {}.", wait.what, at_words(wait.until, context.now)));
    }
    // A piece brings along what was written about it at earlier operations.
    let comes = |piece: &PieceId| to_go.iter().any(|held| held.id == *piece);
    let own = context
        .state
        .remarks
        .iter()
        .filter(|note| note.op == Some(context.op) || note.piece.as_ref().is_some_and(comes));
    lines.extend(own.map(|note| format!("Note {}", context.state.remark_line(note))));
    let bridge = context.setup().and_then(|setup| setup.bridge.clone());
    let mut first = vec!["count both stacks".to_owned(), "zero the gauges".to_owned()];
    first.extend(bridge.map(|piece| format!("measure {} again", context.state.name(&piece))));
    first.push("prove the setting on a setup piece".to_owned());
    lines.push(format!("First: {}.", first.join(", ")));
    lines
}

/// `leg 1 to leg 12, leg 14`: pieces in cut order, neighbours together.
fn names(pieces: &[&Piece]) -> String {
    let mut runs: Vec<(&Piece, &Piece)> = Vec::new();
    for piece in pieces {
        match runs.last_mut() {
            Some((_, last))
                if last.label.part == piece.label.part
                    && last.label.role == piece.label.role
                    && last.label.make == piece.label.make
                    && last.label.number + 1 == piece.label.number =>
            {
                *last = piece;
            }
            _ => runs.push((piece, piece)),
        }
    }
    let words = runs.iter().map(|(first, last)| {
        if first.id == last.id {
            first.label.to_string()
        } else {
            format!("{} to {}", first.label, last.label)
        }
    });
    words.collect::<Vec<_>>().join(", ")
}
