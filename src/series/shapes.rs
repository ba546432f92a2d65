//! The shapes a row may have, each fitted to it by least squares.

use super::cause::{Cause, LoneReading, RowLimits};
use super::expected::Spread;
use super::fitted::{Fitted, FittedCause, Kept, without_lone};
use super::wear::{looser, saw_tooth, wore};
use super::{fit, level, step};

/// The fewest pieces here and there that make a cause of their own. Two are two slips.
const FEW: usize = 3;

pub(super) struct FittedCauses {
    /// "Nothing happened", with every reading.
    pub steady: FittedCause,
    /// The same without the readings that lie far off, where there are any.
    pub trimmed: Option<FittedCause>,
    pub others: Vec<FittedCause>,
}

/// Every cause, fitted to a row. `steady` leaves no reading out.
pub(super) fn shapes(
    row: &[f64],
    spread: Spread,
    limits: RowLimits,
    subsets: &[Vec<bool>],
) -> FittedCauses {
    let (n, harmless) = (row.len(), limits.harmless());
    let fitted = |shape: &dyn Fn(&Kept) -> Option<Fitted>| without_lone(row, spread, limits, shape);
    let even = |cause: fn(f64) -> Cause, held: f64| {
        move |kept: &Kept| {
            let level = level(&kept.values()).ok()?.0;
            let expected = vec![level.clamp(-held, held); n];
            Some(Fitted::of(cause(level), expected))
        }
    };
    let steady = even(|level| Cause::Steady { level }, harmless);
    let all = Kept { readings: row.iter().copied().enumerate().collect() };
    let nothing = steady(&all).map(|fitted| {
        let residual = row.iter().map(|miss| (miss - fitted.expected[0]).powi(2)).sum();
        let Fitted { cause, parameters, choices, .. } = fitted;
        FittedCause { cause, residual, parameters, choices, lone: Vec::new() }
    });
    let nothing = nothing.expect("a row of at least one reading has a level");
    let mut others: Vec<FittedCause> = Vec::new();
    let trimmed = fitted(&steady).filter(|fitted| !fitted.lone.is_empty());
    others.extend(trimmed.clone().map(as_slip));
    others.extend(fitted(&even(|by| Cause::SetWrong { by }, f64::INFINITY)));
    others.extend(fitted(&|kept| crept(kept, n)));
    others.extend(fitted(&|kept| moved(kept, n)));
    others.extend(fitted(&|kept| apart(kept, n)));
    others.extend(fitted(&|kept| wore(kept, n)));
    others.extend(fitted(&|kept| saw_tooth(kept, n)));
    others.extend(fitted(&|kept| looser(kept, n, spread.sd)));
    let choices = (subsets.len().max(1) as f64).ln();
    for (subset, own) in subsets.iter().enumerate() {
        others.extend(fitted(&|kept| of_subset(kept, subset, own, choices)));
    }
    // A shape smaller than the gauge can show is no cause.
    others.retain(|shape| seen(&shape.cause, harmless, limits));
    FittedCauses { steady: nothing, trimmed, others }
}

/// Where nothing else happened, the reading farthest off is the cause.
fn as_slip(fitted: FittedCause) -> FittedCause {
    let level = match fitted.cause {
        Cause::Steady { level } => level,
        _ => 0.0,
    };
    let LoneReading { at, by } = fitted.lone[0];
    FittedCause { cause: Cause::Slip { at, by, level }, ..fitted }
}

fn crept(kept: &Kept, n: usize) -> Option<Fitted> {
    // Places that are left out are bridged, so that the slope is the row's own.
    let middle =
        kept.readings.iter().map(|(at, _)| *at as f64).sum::<f64>() / kept.readings.len() as f64;
    let values = kept.values();
    let mean = level(&values).ok()?.0;
    let across: f64 = kept.readings.iter().map(|(at, _)| (*at as f64 - middle).powi(2)).sum();
    if across <= 0.0 {
        return None;
    }
    let slope =
        kept.readings.iter().map(|(at, miss)| (*at as f64 - middle) * (miss - mean)).sum::<f64>()
            / across;
    let start = mean - slope * middle;
    let expected: Vec<f64> = (0..n).map(|at| start + slope * at as f64).collect();
    let cause = Cause::Crept { by: slope * (n - 1) as f64, start };
    Some(Fitted { parameters: 2, ..Fitted::of(cause, expected) })
}

/// A step before the last or after the first piece can't be told from a slip.
fn moved(kept: &Kept, n: usize) -> Option<Fitted> {
    let found = step(&kept.values()).ok()?;
    if !(2..=kept.readings.len() - 2).contains(&found.after) {
        return None;
    }
    // The place among all pieces.
    let after = kept.readings[found.after - 1].0 + 1;
    let (before_level, after_level) = (found.before_level, found.after_level);
    let expected = (0..n).map(|at| if at < after { before_level } else { after_level }).collect();
    let cause = Cause::Moved { after, before_level, after_level };
    Some(Fitted { parameters: 3, ..Fitted::of(cause, expected) })
}

/// The few pieces, at most half of the row, whose being apart leaves the least
/// unexplained.
fn apart(kept: &Kept, n: usize) -> Option<Fitted> {
    let mut sorted = kept.readings.clone();
    sorted.sort_by(|one, other| one.1.total_cmp(&other.1));
    let values: Vec<f64> = sorted.iter().map(|(_, miss)| *miss).collect();
    let m = values.len();
    if m < 2 * FEW {
        return None;
    }
    let mut best: Option<(f64, Fitted)> = None;
    for below in fit::best_cuts(&values, FEW..=m - FEW) {
        let (low, high) = values.split_at(below);
        let ((low_level, one), (high_level, other)) = (level(low).ok()?, level(high).ok()?);
        let is_below = below * 2 <= m;
        let (count, by, rest) = if is_below {
            (below, low_level - high_level, high_level)
        } else {
            (m - below, high_level - low_level, low_level)
        };
        let mut expected = vec![rest; n];
        let few = if is_below { &sorted[..below] } else { &sorted[below..] };
        few.iter().for_each(|(at, _)| expected[*at] = rest + by);
        let choices = ln_choices(m, count);
        let cause = Cause::Apart { count, by, level: rest };
        let cost = one.residual + other.residual;
        let fitted = Fitted { parameters: 2, choices, ..Fitted::of(cause, expected) };
        let is_better =
            best.as_ref().is_none_or(|(held, least)| (cost, choices) < (*held, least.choices));
        if is_better {
            best = Some((cost, fitted));
        }
    }
    best.map(|(_, fitted)| fitted)
}

/// One subset on one level and the rest on another; it takes two of each.
fn of_subset(kept: &Kept, subset: usize, own: &[bool], choices: f64) -> Option<Fitted> {
    let of = |wanted: bool| -> Vec<f64> {
        let readings = kept.readings.iter().filter(|(at, _)| own[*at] == wanted);
        readings.map(|(_, miss)| *miss).collect()
    };
    let (these, rest) = (of(true), of(false));
    if these.len() < 2 || rest.len() < 2 {
        return None;
    }
    let (theirs, others) = (level(&these).ok()?.0, level(&rest).ok()?.0);
    let expected = own.iter().map(|is| if *is { theirs } else { others }).collect();
    let cause = Cause::Subset { subset, by: theirs - others, level: others };
    Some(Fitted { parameters: 2, choices, ..Fitted::of(cause, expected) })
}

/// The logarithm of the number of ways to choose `k` from `n`.
fn ln_choices(n: usize, k: usize) -> f64 {
    (0..k).map(|i| ((n - i) as f64 / (i + 1) as f64).ln()).sum()
}

/// Whether a cause is bigger than the uncertainty of one reading.
fn seen(cause: &Cause, harmless: f64, limits: RowLimits) -> bool {
    match cause {
        Cause::SetWrong { by } => by.abs() > harmless,
        Cause::WoreIn { by, .. }
        | Cause::SawTooth { by, .. }
        | Cause::Crept { by, .. }
        | Cause::Slip { by, .. }
        | Cause::Apart { by, .. }
        | Cause::Subset { by, .. } => by.abs() > limits.uncertainty,
        Cause::Moved { before_level, after_level, .. } => {
            (after_level - before_level).abs() > limits.uncertainty
        }
        Cause::Steady { .. } | Cause::Scattered { .. } | Cause::Loosened { .. } => true,
    }
}

#[cfg(test)]
mod tests;
