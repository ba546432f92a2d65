//! How far a batch has come: which operation is next, and which are finished.

use super::proposal;
use crate::journal::{BOARDS, State};
use crate::route::{Route, Step};

/// The operation to go on with at a station: where it was working, or the
/// first that is not finished.
pub fn next_op(route: &Route, state: &State, station: &str) -> Option<u32> {
    let open = |op: u32| !is_finished(route, state, op);
    let has_boards = route.step(BOARDS).is_none() && state.boards.is_begun() && open(BOARDS);
    let begun = state.setups.values().any(|setup| setup.begun.is_some());
    state
        .working_at
        .get(station)
        .copied()
        .filter(|op| (route.step(*op).is_some() && open(*op)) || (*op == BOARDS && has_boards))
        .or((has_boards && !begun).then_some(BOARDS))
        .or_else(|| route.steps.iter().map(|step| step.op).find(|op| open(*op)))
}

/// Whether an operation is closed with every piece through, and whatever it makes
/// is accepted.
pub fn is_finished(route: &Route, state: &State, op: u32) -> bool {
    let Some(step) = route.step(op) else {
        return if op == BOARDS { state.boards.is_finished() } else { state.is_closed(op) };
    };
    is_through(state, step) && !proposal::waits_for_the_lead(route, state, op)
}

/// Whether an operation is closed and holds no piece that came back to the
/// batch afterwards: half a batch never counts as a whole one.
pub(super) fn is_through(state: &State, step: &Step) -> bool {
    state.is_closed(step.op) && state.has_at_most_to_go(&step.part, step.op, 0)
}
