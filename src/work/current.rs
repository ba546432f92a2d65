//! The one task now, computed from the state alone, so that anybody can go on
//! where somebody left off.

use super::boards_task;
use super::context::WorkContext;
use super::drift::{bridge_task, drift_task};
use super::gate::{before_the_bell, blocked, caution_task, zeroing_task};
use super::progress::is_through;
use super::proposal;
use super::sequence::Sequence;
use super::task::Task;
use crate::journal::PieceTally;

/// The one task now.
pub fn task(context: &WorkContext<'_>) -> Task {
    if context.at_boards() {
        return if context.who.is_none() { Task::Who } else { boards_task::task(context) };
    }
    let Some(planned) = context.planned() else { return Task::Finished };
    if context.who.is_none() {
        return Task::Who;
    }
    if context.route.step(context.op).is_some_and(|step| is_through(context.state, step)) {
        return match proposal::proposal(context) {
            Some(proposal) => Task::Accept(Box::new(proposal)),
            None => Task::Finished,
        };
    }
    let begun = context.setup().is_some_and(|setup| setup.begun.is_some());
    let early =
        blocked(context, planned).or_else(|| caution_task(context, planned)).or_else(|| {
            // Once work has begun, a gauge is zeroed when it is about to be used.
            let gauges = planned.checks.iter().map(|check| check.gauge.as_str());
            gauges.into_iter().filter(|_| !begun).find_map(|gauge| zeroing_task(context, gauge))
        });
    if let Some(task) = early {
        return task;
    }
    if let Some(bridge) = bridge_task(context, planned) {
        return bridge;
    }
    let Some(sequence) = Sequence::of(context) else { return Task::Finished };
    let worked = sequence.next();
    let worked = worked.map(|task| before_the_bell(context, task));
    worked.or_else(|| drift_task(context, planned)).unwrap_or_else(|| {
        let PieceTally { done, aside, .. } = context.state.tally(&planned.part, context.op);
        Task::Close { done, aside }
    })
}
