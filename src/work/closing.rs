//! The end of an operation: people close it, or the answer that leaves nothing to
//! do closes it.

use std::collections::BTreeMap;

use super::context::WorkContext;
use super::current::task;
use super::proposal::proposal;
use super::sequence::Sequence;
use super::task::Task;
use crate::journal::{Event, JournalLine, Piece, PieceId, State};

/// Closing starts whatever wait follows, such as glue that dries.
pub(super) fn closed(
    context: &WorkContext<'_>,
    done: usize,
    aside: usize,
    by_answer: bool,
) -> Vec<Event> {
    let mut events = vec![Event::Closed { op: context.op, done, aside, by_answer }];
    let groups = context.planned().map(|planned| planned.groups.as_slice()).unwrap_or_default();
    let waits = groups.iter().filter_map(|group| group.outcome.wait.as_ref());
    if let Some(wait) = waits.max_by_key(|wait| wait.minutes) {
        let (minutes, what) = (wait.minutes, wait.what.clone());
        events.push(Event::Timer { op: context.op, minutes, what });
    }
    events
}

/// What closes the operation after these events, where they leave nothing to do and
/// no piece is set aside: then every piece was counted or measured, and the count of
/// the stack can't disagree.
pub(super) fn closed_by(context: &WorkContext<'_>, events: &[Event]) -> Vec<Event> {
    let Some(planned) = context.planned() else { return Vec::new() };
    let through = events.iter().filter_map(|event| match event {
        Event::Done { pieces, through: true, .. } => Some(pieces.len()),
        _ => None,
    });
    let is_last = context.state.has_at_most_to_go(&planned.part, context.op, through.sum());
    // What closes is undone with the answer, so the answer must be one that can be.
    if !is_last || !events.iter().any(Event::can_be_voided) {
        return Vec::new();
    }
    if wants_another(context, events) {
        return Vec::new();
    }
    let state = after(context, events);
    match task(&WorkContext { state: &state, ..*context }) {
        Task::Close { done, aside: 0 } => {
            let events = closed(context, done, 0, true);
            let settled = settled(&WorkContext { state: &state, ..*context }, &events);
            [events, settled].concat()
        }
        _ => Vec::new(),
    }
}

/// Whether a piece that these events don't name still wants something, which is seen
/// before they are written. Pieces that come or go may change what others want, so
/// then nothing is known yet.
fn wants_another(context: &WorkContext<'_>, events: &[Event]) -> bool {
    let mut named: Vec<&PieceId> = Vec::new();
    for event in events {
        match event {
            Event::Reading(taken) => named.push(&taken.piece),
            Event::Done { pieces, .. } => named.extend(pieces),
            // One that leaves makes its neighbour wanted, never one less.
            Event::Decided { piece, .. } => named.push(piece),
            Event::Labelled { .. } | Event::Remade { .. } | Event::Split { .. } => return false,
            _ => {}
        }
    }
    let is_named = |piece: &Piece| {
        named.iter().any(|held| **held == piece.id || Some(*held) == piece.from.as_ref())
    };
    let Some(sequence) = Sequence::of(context) else { return false };
    sequence.unsettled().any(|piece| !is_named(piece))
}

/// What follows from the readings of an operation that these events close, where it
/// changes nothing: then nobody has to accept it.
pub(super) fn settled(context: &WorkContext<'_>, closing: &[Event]) -> Vec<Event> {
    let makes = context.route.step(context.op);
    if !makes.is_some_and(|step| step.checks.iter().any(|check| check.becomes.is_some())) {
        return Vec::new();
    }
    let state = after(context, closing);
    match proposal(&WorkContext { state: &state, ..*context }) {
        Some(proposal) if proposal.changes_nothing() => proposal.accepted(&proposal.keeps[0], None),
        _ => Vec::new(),
    }
}

/// The state once these events are written.
fn after(context: &WorkContext<'_>, events: &[Event]) -> State {
    let mut state = context.state.clone();
    for (n, event) in events.iter().enumerate() {
        let line = JournalLine {
            n: u64::MAX,
            after: u64::MAX,
            at: context.now,
            station: context.station.to_owned(),
            who: context.who.map(str::to_owned),
            answer: None,
            seen: BTreeMap::new(),
            begun: None,
            event: event.clone(),
        };
        // Later than everything there is.
        state.take_in(&line, usize::MAX - events.len() + n);
    }
    state
}
