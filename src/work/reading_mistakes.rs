//! The mistakes that a reading suggests, from everything near it that could explain
//! it: gauge, tool, passes and the dimensions it is made from.

use super::context::WorkContext;
use super::mistakes::{self, Miss};
use super::slips::SuspectNumber;
use crate::journal::TakenReading;
use crate::measure::{Reads, Shows, Unit, Verdict};
use crate::plan::PlannedCheck;

/// Questions about likely mistakes behind a reading, from everything near that
/// could explain it.
pub fn follow_up_questions(context: &WorkContext<'_>, taken: &TakenReading) -> Vec<String> {
    miss(context, taken).map_or_else(Vec::new, |miss| mistakes::questions(&miss))
}

/// The slip a reading out of limits has the shape of, whatever was read since.
pub(super) fn shape_of_a_slip(
    context: &WorkContext<'_>,
    taken: &TakenReading,
) -> Option<&'static str> {
    if !matches!(taken.verdict(), Verdict::TooBig { .. } | Verdict::TooSmall { .. }) {
        return None;
    }
    let number = check_of(context, taken).and_then(|check| suspect(context, taken, check));
    let slip = number.and_then(|number| number.slip());
    slip.or_else(|| is_far_off(taken).then_some(FAR_OFF))
}

/// What is asked about a reading that is far off.
const FAR_OFF: &str = "That is far off: is it this piece, and this size of it?";

/// Whether a reading is further off than a setting can be wrong: by more than a quarter
/// of the size, by five times what the limits allow, and by ten times the uncertainty.
/// No setting is moved by so much (common practice, no source).
pub(super) fn is_far_off(taken: &TakenReading) -> bool {
    let (Some(size), Some(wanted)) = (taken.size(), taken.wanted().or(taken.high)) else {
        return false;
    };
    let off = (size - wanted).abs();
    let band = taken.limits().band().or(taken.high).unwrap_or_default();
    off * 4 > wanted.abs() && off > band * 5 && off > taken.uncertainty * 10
}

/// The slip a reading out of limits has the shape of; none once a second reading of
/// the piece says the same.
pub(super) fn slip(context: &WorkContext<'_>, taken: &TakenReading) -> Option<&'static str> {
    let check = check_of(context, taken)?;
    let (size, within) = (taken.size()?, taken.uncertainty);
    let mut before = context.state.readings_of(taken.op, &taken.piece, &taken.feature);
    let is_said_before = before.any(|held| {
        held.to_measure_again && held.taken.size().is_some_and(|held| (held - size).abs() <= within)
    });
    if check.kind.is_form() || is_said_before { None } else { shape_of_a_slip(context, taken) }
}

/// A dimension by its name and, up to the first semicolon, what the route says of it.
fn said(context: &WorkContext<'_>, name: &str) -> String {
    let name_in_words = name.replace('_', " ");
    let about = context.route.dims_about.get(name).and_then(|about| about.split(';').next());
    match about {
        Some(about) => format!("{name_in_words} ({about})"),
        None => name_in_words,
    }
}

/// A reading beside what was wanted; none for one without a number.
fn suspect<'a>(
    context: &WorkContext<'a>,
    taken: &'a TakenReading,
    check: &PlannedCheck,
) -> Option<SuspectNumber<'a>> {
    Some(SuspectNumber {
        number: taken.size()?,
        wanted: taken.target?,
        uncertainty: taken.uncertainty,
        unit: scale_of(context, check).0,
        typed: taken.typed.trim(),
        block: context.shop.check_blocks.get(&check.gauge).copied(),
    })
}

/// The check a reading was taken for.
fn check_of<'a>(context: &WorkContext<'a>, taken: &TakenReading) -> Option<&'a PlannedCheck> {
    let planned = context.plan.operation(taken.op)?;
    planned.checks.iter().find(|check| check.of == taken.feature)
}

/// The unit of a check's gauge, and whether its marks are printed.
fn scale_of(context: &WorkContext<'_>, check: &PlannedCheck) -> (Unit, bool) {
    match context.gauge(check).map(|gauge| &gauge.reads) {
        Some(Reads::Number { unit, shows, .. }) => (*unit, *shows == Shows::Fraction),
        _ => (context.route.unit, false),
    }
}

fn miss<'a>(context: &WorkContext<'a>, taken: &'a TakenReading) -> Option<Miss<'a>> {
    let check = check_of(context, taken)?;
    let number = suspect(context, taken, check)?;
    let planned = context.plan.operation(taken.op)?;
    let machine = planned.at.as_ref().and_then(|at| context.shop.machines.get(at));
    let tool = machine.and_then(|m| m.tools.get(planned.tool.as_ref()?));
    let group = context.group_of(&taken.piece);
    let made_from = group.map(|group| group.used.iter()).into_iter().flatten();
    let made_from = made_from.flat_map(|(name, ..)| {
        let uses = context.route.dims.uses(name).iter().map(String::as_str);
        std::iter::once(name.as_str()).chain(uses)
    });
    let made_from = made_from.filter_map(|name| {
        let value = context.route.dims.value(name, &|_| None).ok()?.length()?;
        Some((said(context, name), value))
    });
    let step = group.and_then(|group| {
        let passes = &group.outcome.passes;
        let [.., before, last] = passes.as_slice() else { return None };
        Some(before.dial.0 - last.dial.0)
    });
    Some(Miss {
        number,
        by_eye: scale_of(context, check).1 || taken.typed.contains('/'),
        tape: check.gauge.contains("tape"),
        kerf: tool.and_then(|tool| tool.kerf),
        tooth: tool.and_then(crate::shop::Tool::tooth),
        step,
        made_from: made_from.collect(),
    })
}
