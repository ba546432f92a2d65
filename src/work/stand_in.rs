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

/// What to say where these events make spares pieces of an article: one sentence each.
pub fn stood_in(before: &State, events: &[Event]) -> Vec<String> {
    let stands_in = |event: &Event| {
        let Event::Labelled { piece, label, .. } = event else { return None };
        let was_spare = before.piece(piece)?.label.role == Role::Spare;
        let place = label.hand.as_deref().map_or_else(String::new, |hand| format!(": {hand}"));
        (was_spare && label.role == Role::Set)
            .then(|| format!("{} takes its place{place}.", before.name(piece)))
    };
    events.iter().filter_map(stands_in).collect()
}
