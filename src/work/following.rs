//! Which operation follows at a station, by itself or when somebody comes back.

use super::context::WorkContext;
use super::gate::blocked;
use super::progress::{is_finished, next_op};
use crate::plan::shared_setups;

/// The operation that follows the one in hand: what the machine is set up for already,
/// then the same part, then any. None once all are finished.
pub fn following(context: &WorkContext<'_>) -> Option<u32> {
    let route = context.route;
    let open = |op: u32| !is_finished(route, context.state, op);
    let own = route.step(context.op).map(|step| &step.part);
    let shared = shared_setups(context.plan);
    let group = shared.iter().find(|setup| setup.operations.contains(&context.op));
    let ready = |op: u32| {
        let there = WorkContext { op, ..*context };
        there.planned().is_some_and(|planned| blocked(&there, planned).is_none())
    };
    let together = group.into_iter().flat_map(|setup| setup.operations.iter().copied());
    let mut together = together.filter(|op| open(*op) && ready(*op) && route.step(*op).is_some());
    let mut steps = route.steps.iter().filter(|step| open(step.op));
    let same = |step: &&crate::route::Step| step.op > context.op && Some(&step.part) == own;
    together
        .next()
        .or_else(|| steps.clone().find(same).map(|step| step.op))
        .or_else(|| steps.next().map(|step| step.op))
}

/// The operation a station comes back to: where it was working, or what followed there
/// by itself. Nothing is written when the work moves on, so both are worked out alike.
pub fn resumed(context: &WorkContext<'_>) -> Option<u32> {
    let (route, state) = (context.route, context.state);
    let last = state.working_at.get(context.station).copied();
    let finished = last.filter(|op| route.step(*op).is_some() && is_finished(route, state, *op));
    match finished {
        Some(op) => following(&WorkContext { op, ..*context }),
        None => next_op(route, state, context.station),
    }
}
