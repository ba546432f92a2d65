//! A spare that takes the place of a piece that is set aside: its article and its
//! hand.

use super::context::WorkContext;
use crate::journal::{Event, Piece, PieceId, State};
use crate::route::{PieceLabel, Role};

/// The spare that steps in for a piece, as an event: the one that has come furthest,
/// and of several the first that was cut. None where no spare is left, or where the
/// spares were already cut to another hand.
pub(super) fn stand_in(context: &WorkContext<'_>, piece: &PieceId) -> Option<Event> {
    let gone = context.state.piece(piece).filter(|held| held.label.role == Role::Set)?;
    let steps = || context.route.steps.iter().filter(|step| step.part == gone.label.part);
    let through =
        |spare: &Piece| steps().filter(|step| context.state.is_done(step.op, &spare.id)).count();
    // At such an operation left and right are cut differently, and a spare has no hand.
    let is_handed = |spare: &Piece| {
        gone.label.hand != spare.label.hand
            && steps()
                .any(|step| step.what.is_handed() && context.state.is_done(step.op, &spare.id))
    };
    let spares = context.state.pieces.iter().filter(|spare| {
        spare.label.role == Role::Spare
            && spare.label.part == gone.label.part
            && spare.whole
            && spare.gang == 1
            && spare.aside.is_none()
            && !is_handed(spare)
    });
    let best =
        spares.max_by_key(|spare| (through(spare), std::cmp::Reverse(spare.label.number)))?;
    let label = PieceLabel {
        role: Role::Set,
        set: gone.label.set,
        hand: gone.label.hand.clone(),
        ..best.label.clone()
    };
    Some(Event::Labelled { piece: best.id.clone(), label, joins: 0 })
}

/// What to say where spares became pieces of an article between two states: one
/// sentence each.
pub fn stood_in(before: &State, after: &State) -> Vec<String> {
    let was_spare = |piece: &&Piece| {
        let held = before.piece(&piece.id).map(|held| held.label.role);
        piece.label.role == Role::Set && held == Some(Role::Spare)
    };
    let stood_in = after.pieces.iter().filter(was_spare).map(|piece| {
        let was = before.name(&piece.id);
        let place =
            piece.label.hand.as_deref().map_or_else(String::new, |hand| format!(": {hand}"));
        format!("{was} takes its place{place}.")
    });
    stood_in.collect()
}
