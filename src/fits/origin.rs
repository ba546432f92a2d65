//! Where a dimension gets its size: the check or scale that gives it, and what
//! was made and read of it.

use std::collections::{BTreeMap, BTreeSet};

use super::input::FitsInput;
use super::verdict::{amount, length};
use crate::formula::{Value, Web};
use crate::measure::{Gauge, Length, Limits};
use crate::operation::FeatureName;
use crate::plan::{Group, MadeOver};
use crate::route::{Becomes, Check, Part, PieceLabel, Step};

/// Where a dimension gets its size.
pub(super) struct Source<'a> {
    pub step: &'a Step,
    pub feature: FeatureName,
    pub check: Option<&'a Check>,
    pub gauge: Option<&'a Gauge>,
    pub becomes: Option<&'a Becomes>,
    /// The scale that sets it, where nobody measures it.
    pub scale: Option<&'a str>,
    pub size: Sizing,
}

/// What is known of a size before it is made.
#[derive(Clone, Copy)]
pub(super) enum Sizing {
    /// Measured: the deviations from the planned size that its limits allow, its
    /// target, and what its setting makes, where one sizes it.
    Limits { low: f64, high: f64, aimed: f64, makes: Option<f64> },
    /// Set by a scale: how far its mark is from the planned size, and its step.
    Scale { off: f64, step: f64 },
}

/// A size that was made: the value later cuts are made to, and its readings.
pub(super) struct Made {
    pub value: f64,
    pub readings: Vec<f64>,
    pub op: Option<u32>,
    pub steers: Steers,
}

/// What a size that was made steers.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Steers {
    /// Nothing: it was only measured.
    Nothing,
    /// Every later cut, through one value.
    Everything,
    /// Each later cut of a piece, through that piece's own value.
    OwnPiece,
}

pub(super) fn value(amount: f64) -> Value {
    Value { amount, ..Value::of_length(Length::ZERO) }
}

/// What a dimension was made, for one article or for all.
pub(super) fn made(
    input: &FitsInput<'_>,
    dim: &str,
    source: Option<&Source<'_>>,
    set: Option<u32>,
) -> Option<Made> {
    let mut found: Option<Made> = None;
    let mut single: BTreeMap<&PieceLabel, f64> = BTreeMap::new();
    for made in input.known.made.iter().filter(|made| made.dim == dim) {
        match &made.over {
            MadeOver::Batch => single.clear(),
            MadeOver::Set(own) if set == Some(*own) => single.clear(),
            MadeOver::Piece(label) if label.set.is_some() && set == label.set => {
                single.insert(label, amount(made.value));
                found = Some(Made {
                    value: 0.0,
                    readings: Vec::new(),
                    op: made.op,
                    steers: Steers::OwnPiece,
                });
                continue;
            }
            _ => continue,
        }
        let check = source.filter(|source| source.becomes.is_some());
        let of = if made.over == MadeOver::Batch { None } else { set };
        let mut readings = match (check, made.op) {
            (Some(source), Some(op)) if op == source.step.op => {
                readings(input, op, &source.feature, of)
            }
            _ => Vec::new(),
        };
        // A value outside all readings was entered by hand, as a "what if".
        let value = amount(made.value);
        if readings.iter().all(|read| *read < value) || readings.iter().all(|read| *read > value) {
            readings.clear();
        }
        found = Some(Made { value, readings, op: made.op, steers: Steers::Everything });
    }
    let mut found = found?;
    if !single.is_empty() {
        found.readings = single.into_values().collect();
        found.value = found.readings.iter().sum::<f64>() / found.readings.len() as f64;
    }
    Some(found)
}

/// The readings of a feature on the pieces that count, of one article or all.
fn readings(input: &FitsInput<'_>, op: u32, feature: &str, set: Option<u32>) -> Vec<f64> {
    let all = input.readings.map(|readings| readings.at(op, feature, set));
    all.into_iter().flatten().map(amount).collect()
}

/// A size that nothing follows, once its operation is closed: the mean of its
/// readings. Where makers chose it, those of other articles say nothing.
pub(super) fn closed_mean(
    input: &FitsInput<'_>,
    source: &Source<'_>,
    set: Option<u32>,
    is_chosen: bool,
) -> Option<Made> {
    source.check.filter(|check| check.becomes.is_none())?;
    let op = source.step.op;
    input.known.measured.get(&(op, source.feature.clone()))?;
    let mut readings = readings(input, op, &source.feature, set);
    if readings.is_empty() && !is_chosen {
        readings = self::readings(input, op, &source.feature, None);
    }
    let count = readings.len() as f64;
    let value = readings.iter().sum::<f64>() / count;
    (count > 0.0).then_some(Made { value, readings, op: Some(op), steers: Steers::Nothing })
}

/// Where a dimension gets its size: at the check that makes it, else where
/// the feature it sizes is measured or set last. Of several parts that share
/// it, the one with the widest limits.
pub(super) fn source<'a>(
    input: &FitsInput<'a>,
    web: &Web,
    dim: &str,
    set: Option<u32>,
) -> Option<Source<'a>> {
    let makes = |check: &&Check| check.becomes.as_ref().is_some_and(|to| to.dim == dim);
    let making = input.route.steps.iter().find_map(|step| {
        step.checks.iter().find(makes).map(|check| measured(input, dim, step, check))
    });
    if making.is_some() {
        return making;
    }
    let found = input.route.parts.iter().flat_map(|part| last_sources(input, web, dim, part, set));
    let found: Vec<Source<'a>> = found.collect();
    // `rev`: of equals the first.
    found.into_iter().rev().max_by_key(|source| width(input, source, set))
}

/// A check as the source of a dimension.
fn measured<'a>(input: &FitsInput<'a>, dim: &str, step: &'a Step, check: &'a Check) -> Source<'a> {
    Source {
        step,
        feature: check.of.clone(),
        check: Some(check),
        gauge: input.shop.gauges.get(&check.with),
        becomes: check.becomes.as_ref().filter(|to| to.dim == dim),
        scale: None,
        size: Sizing::Limits { low: 0.0, high: 0.0, aimed: 0.0, makes: None },
    }
}

/// Where one part's features of a dimension are measured last; else where a
/// scale sets one of them last.
fn last_sources<'a>(
    input: &FitsInput<'a>,
    web: &Web,
    dim: &str,
    part: &'a Part,
    set: Option<u32>,
) -> Vec<Source<'a>> {
    let finished: Vec<&FeatureName> = part
        .finish
        .iter()
        .filter(|(_, keyed)| keyed.formula.text().trim() == dim)
        .map(|(feature, _)| feature)
        .collect();
    let mut found: Vec<Source<'a>> = Vec::new();
    let mut last: BTreeSet<FeatureName> = BTreeSet::new();
    let mut unmeasured: Vec<Source<'a>> = Vec::new();
    for step in input.route.steps.iter().rev().filter(|step| step.part == part.name) {
        let Some(group) = group(input, step.op, set) else { continue };
        let Some(wanted) = wanted(input, web, dim, step.op, group) else { continue };
        let near = |size: Option<Length>| size.is_some_and(|size| (size - wanted).abs() <= CLOSE);
        let names_it = step.what.formulas().iter().any(|keyed| keyed.formula.text().trim() == dim);
        let ours = |feature: &FeatureName| names_it || finished.contains(&feature);
        for (check, held) in step.checks.iter().zip(&group.limits) {
            let around = check.around.as_ref().map(|around| around.formula.text().trim() == dim);
            let ours = around.unwrap_or_else(|| ours(&check.of));
            if ours && near(held.target) && last.insert(check.of.clone()) {
                found.push(measured(input, dim, step, check));
            }
        }
        for setting in &group.outcome.settings {
            let Some(feature) = setting.sizes.as_ref().filter(|feature| ours(feature)) else {
                continue;
            };
            if near(Some(setting.setting.target.0)) && !last.contains(feature) {
                unmeasured.push(Source {
                    step,
                    feature: feature.clone(),
                    check: None,
                    gauge: None,
                    becomes: None,
                    scale: Some(&setting.name),
                    size: Sizing::Scale {
                        off: amount(setting.setting.predicted - setting.setting.target.0),
                        step: amount(setting.readout.step),
                    },
                });
            }
        }
    }
    unmeasured.retain(|source| !last.contains(&source.feature));
    found.extend(unmeasured.into_iter().take(1));
    found
}

/// How wide a source leaves its dimension.
fn width(input: &FitsInput<'_>, source: &Source<'_>, set: Option<u32>) -> Length {
    let held = source.check.and_then(|check| {
        let at = source.step.checks.iter().position(|other| std::ptr::eq(other, check))?;
        group(input, source.step.op, set)?.limits.get(at)?.limits.band()
    });
    match source.size {
        Sizing::Scale { step, .. } => length(step),
        Sizing::Limits { .. } => held.unwrap_or_default(),
    }
}

/// The value of a dimension for the pieces of a group when they are cut.
fn wanted(input: &FitsInput<'_>, web: &Web, dim: &str, op: u32, group: &Group) -> Option<Length> {
    let pieces = &input.plan.operation(op)?.pieces;
    let piece = group.pieces.first().and_then(|piece| pieces.get(*piece));
    let made = |name: &str| {
        let known = input.known.made.iter().rev().find(|made| {
            let ours = match &made.over {
                MadeOver::Batch => true,
                MadeOver::Set(set) => piece.is_some_and(|piece| piece.set == Some(*set)),
                MadeOver::Piece(label) => piece == Some(label),
            };
            ours && made.dim == name && made.op.is_none_or(|at| at < op)
        });
        known.map(|made| Value::of_length(made.value))
    };
    web.value(dim, &made).ok()?.length()
}

/// Sizes nearer than this are the same: the difference is rounding.
const CLOSE: Length = Length::from_nanometres(100);

/// The pieces of an article at an operation, or the first group of all.
fn group<'a>(input: &FitsInput<'a>, op: u32, set: Option<u32>) -> Option<&'a Group> {
    let planned = input.plan.operation(op)?;
    let ours = set.and_then(|set| {
        let place = planned.pieces.iter().position(|piece| piece.set == Some(set))?;
        planned.group_of(place)
    });
    ours.or_else(|| planned.groups.first())
}

/// Whether the pieces of one article have different targets at an operation.
fn differs(input: &FitsInput<'_>, op: u32, set: u32) -> bool {
    input.plan.operation(op).is_some_and(|planned| {
        let ours = |group: &&Group| {
            group.pieces.iter().any(|piece| planned.pieces[*piece].set == Some(set))
        };
        planned.groups.iter().filter(ours).count() > 1
    })
}

/// Fills in the deviations that the limits of a measured size allow, now that
/// its planned size is known.
pub(super) fn set_limits(
    input: &FitsInput<'_>,
    source: &mut Source<'_>,
    nominal: f64,
    set: Option<u32>,
) {
    let Some(check) = source.check else { return };
    let place = source.step.checks.iter().position(|other| std::ptr::eq(other, check));
    let Some(group) = group(input, source.step.op, set) else { return };
    let Some(held) = place.and_then(|place| group.limits.get(place)) else { return };
    // Where each piece of the article has its own target, the first piece says
    // nothing of the others: the limits then lie about each target.
    let nominal = match held.target {
        Some(target) if set.is_some_and(|set| differs(input, source.step.op, set)) => {
            amount(target)
        }
        _ => nominal,
    };
    let aimed = held.target.map_or(0.0, |target| amount(target) - nominal);
    let Limits { low, high } = held.limits;
    let [low, high] = [low, high].map(|limit| limit.map(|limit| amount(limit) - nominal));
    let (low, high) = both_sides(low, high, aimed);
    let makes = setting_makes(source, group).map(|size| amount(size) - nominal);
    source.size = Sizing::Limits { low, high, aimed, makes };
}

/// The size that the setting for a checked feature makes; none where no setting sizes it.
fn setting_makes(source: &Source<'_>, group: &Group) -> Option<Length> {
    let named = source.step.sizing(&group.outcome.settings, &source.feature)?;
    Some(named.setting.predicted)
}

/// The limits on both sides of what is aimed at. A single limit says nothing of the
/// other side, which is taken as far.
fn both_sides(low: Option<f64>, high: Option<f64>, aimed: f64) -> (f64, f64) {
    match (low, high) {
        (Some(low), Some(high)) => (low, high),
        (Some(low), None) => (low, aimed + (aimed - low).abs()),
        (None, Some(high)) => (aimed - (high - aimed).abs(), high),
        (None, None) => (aimed, aimed),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// By hand, in hundredths: aimed at 2, a low limit of -1 is 3 below, so 5 is as far
    /// above; a high limit of 6 is 4 above, so -2 is as far below.
    #[test]
    fn a_single_limit_is_taken_as_far_to_the_other_side() {
        assert_eq!(both_sides(Some(-1.0), None, 2.0), (-1.0, 5.0));
        assert_eq!(both_sides(None, Some(6.0), 2.0), (-2.0, 6.0));
        assert_eq!(both_sides(Some(-1.0), Some(6.0), 2.0), (-1.0, 6.0));
        assert_eq!(both_sides(None, None, 2.0), (2.0, 2.0));
    }
}
