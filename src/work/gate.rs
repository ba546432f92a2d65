//! What comes before the work itself: an operation that must wait, cautions, a
//! gauge to be zeroed, a tool to be changed.

use chrono::{DateTime, Duration, FixedOffset};

use super::context::WorkContext;
use super::progress::is_through;
use super::task::{SettingTask, Task, ToolChange};
use crate::journal::RunningWait;
use crate::operation::MayOverride;
use crate::plan::hours::Through;
use crate::plan::{PlanFinding, PlannedOperation};
use crate::prose::Level;
use crate::shop::{Machine, MachineKind};

/// A gauge is zeroed again after this many readings (common practice, no source).
const READINGS_A_ZERO: u32 = 20;

/// And after this many minutes (common practice, no source).
const MINUTES_A_ZERO: i64 = 30;

/// Whether the operation has to wait, and why.
pub(super) fn blocked(context: &WorkContext<'_>, planned: &PlannedOperation) -> Option<Task> {
    let begun = context.setup().is_some_and(|setup| setup.begun.is_some());
    let errors: Vec<&PlanFinding> =
        planned.findings.iter().filter(|finding| finding.level == Level::Error).collect();
    let limits: Vec<String> = errors
        .iter()
        .filter(|finding| finding.place.may_override == MayOverride::Nobody)
        .map(|finding| sentence(finding))
        .collect();
    if !limits.is_empty() {
        return Some(Task::Blocked { reasons: limits, openable: false });
    }
    if begun || context.setup().is_some_and(|setup| setup.opened_early.is_some()) {
        return None;
    }
    let mut reasons: Vec<String> = errors.iter().map(|finding| sentence(finding)).collect();
    if let Some(step) = context.route.step(context.op) {
        let mut before: Vec<_> = context.route.before(step).collect();
        before.sort_by_key(|earlier| earlier.op);
        if let Some(earlier) = before.iter().find(|earlier| !is_through(context.state, earlier)) {
            let (op, kind, part) = (earlier.op, earlier.kind, &earlier.part);
            reasons.push(if *part == planned.part {
                format!("op {op} ({kind}) is not finished for these pieces")
            } else {
                format!("op {op} ({kind} {part}) is not finished")
            });
        }
        for earlier in before {
            let running = running_waits(context).filter(|wait| wait.op == earlier.op);
            if let Some(wait) = running.max_by_key(|wait| wait.until) {
                let (op, at) = (earlier.op, at_words(wait.until, context.now));
                reasons.push(format!("op {op}, {}: not before {at}", wait.what));
            }
        }
    }
    if planned.cant_be_undone {
        for need in &planned.needs {
            if !context.state.made.iter().any(|made| made.made.dim == need.dim) {
                reasons.push(format!(
                    "{} is only planned: it is measured at op {}, and this cut can't be undone",
                    need.dim, need.op
                ));
            }
        }
    }
    (!reasons.is_empty()).then_some(Task::Blocked { reasons, openable: true })
}

/// What is waited for now.
pub(super) fn running_waits<'a>(
    context: &WorkContext<'a>,
) -> impl Iterator<Item = &'a RunningWait> {
    let context = *context;
    let waits = context.state.waits.iter();
    waits.filter(move |wait| wait.until > context.now && !is_cut_short(&context, wait))
}

/// Whether a lead opened an operation on this wood during the wait: wood that went
/// on once does not wait again for the same thing.
fn is_cut_short(context: &WorkContext<'_>, wait: &RunningWait) -> bool {
    context.state.setups.iter().any(|(op, setup)| {
        let opened = setup.opened_early.as_ref();
        let step = context.route.step(*op).filter(|_| opened.is_some_and(|o| o.order > wait.order));
        step.is_some_and(|step| context.route.before(step).any(|before| before.op == wait.op))
    })
}

/// Begins no setting that can't be finished fifteen minutes before the bell, unless
/// the lead opens it.
pub(super) fn before_the_bell(context: &WorkContext<'_>, task: Task) -> Task {
    let Task::Set(SettingTask { pass: Some(pass), .. }) = &task else { return task };
    let opened = context.setup().is_some_and(|setup| setup.opened_early.is_some());
    if opened || context.through(*pass) != Some(Through::No) {
        return task;
    }
    let bell = context.bell.map_or_else(String::new, |at| at_words(at, context.now));
    let reasons = vec![format!(
        "this setting can't be finished for all pieces fifteen minutes before the bell at {bell}"
    )];
    Task::Blocked { reasons, openable: true }
}

fn sentence(finding: &PlanFinding) -> String {
    match &finding.help {
        Some(fix) => format!("{} ({fix})", finding.what),
        None => finding.what.clone(),
    }
}

pub(super) fn caution_task(context: &WorkContext<'_>, planned: &PlannedOperation) -> Option<Task> {
    let machine = planned.at.clone()?;
    if planned.cautions.is_empty() {
        return None;
    }
    let tool = planned.tool.clone();
    let who = context.who.unwrap_or_default().to_owned();
    // Nothing is switched on at a bench: its cautions stand beside the work.
    let is_bench = |machine: &Machine| machine.kind == MachineKind::Bench;
    let is_plain = context.shop.machines.get(&machine).is_some_and(is_bench);
    if is_plain && context.is_signed_off(&who, &machine) {
        return None;
    }
    let key = (who, machine.clone(), tool.clone(), context.now.date_naive());
    (!context.state.cautions_read.contains(&key)).then_some(Task::Caution { machine, tool })
}

/// Whether a gauge must be zeroed before it is used again.
pub(super) fn zeroing_task(context: &WorkContext<'_>, gauge: &str) -> Option<Task> {
    let held = context.shop.gauges.get(gauge)?;
    held.entry()?;
    let key = (context.station.to_owned(), gauge.to_owned());
    let fresh = context.state.zeroed.get(&key).is_some_and(|zeroing| {
        zeroing.readings_since < READINGS_A_ZERO
            && context.now.signed_duration_since(zeroing.at) < Duration::minutes(MINUTES_A_ZERO)
            && zeroing.at.date_naive() == context.now.date_naive()
    });
    let block = context.shop.check_blocks.get(gauge).copied();
    // Rules and tapes have no check block and no zero to set.
    (!fresh && block.is_some()).then(|| Task::Zero { gauge: gauge.to_owned(), block })
}

/// The tool that must be changed, where another one is in the machine.
pub(super) fn tool_change(context: &WorkContext<'_>, tool: Option<&str>) -> Option<ToolChange> {
    let planned = context.planned()?;
    let machine = planned.at.as_ref()?;
    let tool = tool?;
    // With one tool there is nothing to change.
    if context.shop.machines.get(machine)?.tools.len() < 2 {
        return None;
    }
    let was = context.state.tools.get(machine);
    (was.map(String::as_str) != Some(tool)).then(|| ToolChange {
        machine: machine.clone(),
        tool: tool.to_owned(),
        was: was.cloned(),
    })
}

/// When the next gauge must be zeroed or the next wait ends, so that a sleeping
/// terminal knows when to wake.
pub fn next_wake(context: &WorkContext<'_>) -> Option<DateTime<FixedOffset>> {
    let zeroings = context
        .state
        .zeroed
        .iter()
        .filter(|((station, _), _)| station == context.station)
        .map(|(_, zeroing)| zeroing.at + Duration::minutes(MINUTES_A_ZERO));
    let waits = context.state.waits.iter().map(|wait| wait.until);
    zeroings.chain(waits).filter(|at| *at > context.now).min()
}

/// `14:30`, or with its date when that is another day.
pub fn at_words(at: DateTime<FixedOffset>, now: DateTime<FixedOffset>) -> String {
    let same_day = at.date_naive() == now.date_naive();
    at.format(if same_day { "%H:%M" } else { "%a %e %b %H:%M" }).to_string()
}
