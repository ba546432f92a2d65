//! What can start now, over all the lines of a batch: each part's next
//! operation, ready or not and why. Knows nothing of screens.

use super::due::{Due, Stand, due, is_finished};

/// The next operation of one part.
#[derive(Clone, Debug, PartialEq)]
pub struct Line {
    pub part: String,
    pub op: u32,
    pub kind: &'static str,
    pub at: Option<String>,
    /// Why it can't start; nothing when it can.
    pub reasons: Vec<String>,
    pub to_go: usize,
    /// Minutes of waiting still inside this line: the longest starts first.
    pub waiting: u64,
}

impl Line {
    pub fn is_ready(&self) -> bool {
        self.reasons.is_empty()
    }
}

/// One line for each part that isn't finished: those that can start first,
/// and of those the one with the longest waits ahead first.
pub fn ready(stand: &Stand<'_>) -> Vec<Line> {
    let mut lines: Vec<Line> = stand
        .route
        .parts
        .iter()
        .filter_map(|part| {
            let steps = stand.route.steps.iter().filter(|step| step.part == part.name);
            let op =
                steps.map(|step| step.op).find(|op| !is_finished(stand.route, stand.state, *op))?;
            line(stand, op)
        })
        .collect();
    lines.sort_by_key(|line| (!line.is_ready(), std::cmp::Reverse(line.waiting), line.op));
    lines
}

fn line(stand: &Stand<'_>, op: u32) -> Option<Line> {
    let there = Stand { op, who: Some(stand.who.unwrap_or("-")), ..*stand };
    let planned = there.planned()?;
    let mut reasons = match due(&there) {
        Due::Shut { reasons, .. } => reasons,
        _ => Vec::new(),
    };
    if let Some(at) = &planned.at {
        reasons.extend(busy(stand, op, at));
        if !anybody_passed(stand, at) {
            reasons.push(format!("nobody here is passed on the {at}"));
        }
    }
    let ahead = stand.plan.operations.iter().filter(|held| {
        held.part == planned.part && held.op >= op && !stand.state.is_closed(held.op)
    });
    let waiting = ahead
        .flat_map(|held| held.groups.first())
        .filter_map(|group| group.outcome.wait.as_ref())
        .map(|wait| u64::from(wait.minutes))
        .sum();
    Some(Line {
        part: planned.part.clone(),
        op,
        kind: planned.kind,
        at: planned.at.clone(),
        reasons,
        to_go: stand.state.tally(&planned.part, op).to_go,
        waiting,
    })
}

/// Whether another station is in the middle of something at the machine.
fn busy(stand: &Stand<'_>, op: u32, at: &str) -> Option<String> {
    stand.state.working_at.iter().find_map(|(station, working)| {
        let planned = stand.plan.operation(*working)?;
        let begun = stand.state.setups.get(working)?.begun.is_some();
        let open = begun && !stand.state.is_closed(*working);
        let theirs = station != stand.station && *working != op;
        (theirs && open && planned.at.as_deref() == Some(at))
            .then(|| format!("the {at} is in use for op {working} ({station})"))
    })
}

/// Whether somebody present is passed on a machine.
fn anybody_passed(stand: &Stand<'_>, at: &str) -> bool {
    let mut present = stand.state.people.values().flatten();
    stand.shop.people.is_empty() || present.any(|who| stand.shop.is_passed(who, at))
}
