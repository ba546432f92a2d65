//! The mistakes that a reading suggests, from everything near it that could explain
//! it: gauge, tool, passes and the dimensions it is made from.

use super::context::WorkContext;
use super::mistakes::{self, Miss};
use super::slips::SuspectNumber;
use crate::journal::TakenReading;
use crate::measure::{Length, Reads, Shows, Verdict};

/// Questions about likely mistakes behind a reading, from everything near that
/// could explain it.
pub fn follow_up_questions(context: &WorkContext<'_>, taken: &TakenReading) -> Vec<String> {
    with_miss(context, taken, mistakes::questions).unwrap_or_default()
}

/// The slip a reading out of limits has the shape of, whatever was read since.
pub(super) fn shape_of_a_slip(
    context: &WorkContext<'_>,
    taken: &TakenReading,
) -> Option<&'static str> {
    let is_out = matches!(taken.verdict(), Verdict::TooBig { .. } | Verdict::TooSmall { .. });
    let slip = with_miss(context, taken, |miss| miss.number.slip()).flatten();
    slip.or_else(|| is_far_off(taken).then_some(FAR_OFF)).filter(|_| is_out)
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
    let check = context.plan.operation(taken.op)?.checks.iter().find(|c| c.of == taken.feature)?;
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

fn with_miss<T>(
    context: &WorkContext<'_>,
    taken: &TakenReading,
    asks: fn(&Miss<'_>) -> T,
) -> Option<T> {
    let (size, target) = (taken.size()?, taken.target?);
    let planned = context.plan.operation(taken.op)?;
    let check = planned.checks.iter().find(|check| check.of == taken.feature)?;
    let machine = planned.at.as_ref().and_then(|at| context.shop.machines.get(at));
    let tool = machine.and_then(|m| m.tools.get(planned.tool.as_ref()?));
    let gauge = context.gauge(check);
    let (unit, printed) = match gauge.map(|gauge| &gauge.reads) {
        Some(Reads::Number { unit, shows, .. }) => (*unit, *shows == Shows::Fraction),
        _ => (context.route.unit, false),
    };
    let made_from: Vec<(String, Length)> = context
        .group_of(&taken.piece)
        .map(|group| group.used.iter())
        .into_iter()
        .flatten()
        .flat_map(|(name, ..)| {
            std::iter::once(name.as_str())
                .chain(context.route.dims.uses(name).iter().map(String::as_str))
        })
        .filter_map(|name| {
            let value = context.route.dims.value(name, &|_| None).ok()?.length()?;
            Some((said(context, name), value))
        })
        .collect();
    let step = context.group_of(&taken.piece).and_then(|group| {
        let passes = &group.outcome.passes;
        let [.., before, last] = passes.as_slice() else { return None };
        Some(before.dial.0 - last.dial.0)
    });
    let number = SuspectNumber {
        number: size,
        wanted: target,
        uncertainty: taken.uncertainty,
        unit,
        typed: taken.typed.trim(),
        block: context.shop.check_blocks.get(&check.gauge).copied(),
    };
    Some(asks(&Miss {
        number,
        by_eye: printed || taken.typed.contains('/'),
        tape: check.gauge.contains("tape"),
        kerf: tool.and_then(|tool| tool.kerf),
        tooth: tool.and_then(crate::shop::Tool::tooth),
        step,
        made_from: &made_from,
    }))
}
