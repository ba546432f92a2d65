//! What can start now, over all the lines of a batch: each part's next
//! operation, ready or not and why.

use std::collections::BTreeSet;

use super::context::WorkContext;
use super::current::task;
use super::others_there::{OthersThere, others_there};
use super::progress::is_finished;
use super::task::Task;
use crate::operation::OperationKind;

/// The next operation of one part.
#[derive(Clone, Debug, PartialEq)]
pub struct NextOperation {
    /// The part, by its name in the route.
    pub part: String,
    /// The number of the operation.
    pub op: u32,
    /// The kind of operation.
    pub kind: &'static OperationKind,
    /// The machine, where there is one.
    pub at: Option<String>,
    /// Why it can't start; empty when it can.
    pub reasons: Vec<String>,
    /// Who is at it from other stations.
    pub others: Vec<OthersThere>,
    /// How many pieces still go through it.
    pub to_go: usize,
    /// Who of those present may do it, by initials.
    pub may: Vec<String>,
    /// Minutes it takes to feed these pieces through, where the feed is known.
    pub minutes: Option<u64>,
    /// Minutes of waiting ahead of this part; the longest starts first.
    pub waiting: u64,
}

impl NextOperation {
    /// Whether it can start now.
    pub fn is_ready(&self) -> bool {
        self.reasons.is_empty()
    }
}

/// One line for each part that isn't finished: those that can start first,
/// and of those the one with the longest waits ahead first.
pub fn ready(context: &WorkContext<'_>) -> Vec<NextOperation> {
    let mut lines = next_operations(context);
    for line in &mut lines {
        line.others = others_there(context, line.op);
        let Some(at) = &line.at else { continue };
        line.reasons.extend(busy(context, line.op, at));
        if !context.shop.people.is_empty() && line.may.is_empty() {
            line.reasons.push(format!("nobody here is signed off on the {at}"));
        }
    }
    lines.sort_by_key(|line| (!line.is_ready(), std::cmp::Reverse(line.waiting), line.op));
    lines
}

/// The same whoever is there and whatever else goes on, in the order of the route's parts.
pub(super) fn next_operations(context: &WorkContext<'_>) -> Vec<NextOperation> {
    let next = context.route.parts.iter().filter_map(|part| {
        let steps = context.route.steps.iter().filter(|step| step.part == part.name);
        let op =
            steps.map(|step| step.op).find(|op| !is_finished(context.route, context.state, *op))?;
        line(context, op)
    });
    next.collect()
}

fn line(context: &WorkContext<'_>, op: u32) -> Option<NextOperation> {
    let there = WorkContext { op, who: Some(context.who.unwrap_or("-")), ..*context };
    let planned = there.planned()?;
    let reasons = match task(&there) {
        Task::Blocked { reasons, .. } => reasons,
        _ => Vec::new(),
    };
    let ahead = context.plan.operations.iter().filter(|held| {
        held.part == planned.part && held.op >= op && !context.state.is_closed(held.op)
    });
    let waiting = ahead
        .flat_map(|held| held.groups.first())
        .filter_map(|group| group.outcome.wait.as_ref())
        .map(|wait| u64::from(wait.minutes))
        .sum();
    let to_go = context.state.tally(&planned.part, op).to_go;
    Some(NextOperation {
        part: planned.part.clone(),
        op,
        kind: planned.kind,
        at: planned.at.clone(),
        reasons,
        others: Vec::new(),
        to_go,
        may: may(context, planned.at.as_deref()),
        minutes: there.feeding_minutes(to_go),
        waiting,
    })
}

/// Whether another station is in the middle of something at the machine.
fn busy(context: &WorkContext<'_>, op: u32, at: &str) -> Option<String> {
    context.state.working_at.iter().find_map(|(station, working)| {
        let planned = context.plan.operation(*working)?;
        let begun = context.state.setups.get(working)?.begun.is_some();
        let open = begun && !context.state.is_closed(*working);
        let theirs = station != context.station && *working != op;
        (theirs && open && planned.at.as_deref() == Some(at))
            .then(|| format!("the {at} is in use for op {working} ({station})"))
    })
}

/// Who of those present may work at a machine, or anywhere where none is named.
fn may(context: &WorkContext<'_>, at: Option<&str>) -> Vec<String> {
    let people = context.state.people.iter();
    let people = people.filter(|(station, _)| context.state.times.left(station).is_none());
    let present: BTreeSet<&String> = people.flat_map(|(_, present)| present).collect();
    let may = |who: &&String| at.is_none_or(|at| context.is_signed_off(who, at));
    present.into_iter().filter(may).cloned().collect()
}
