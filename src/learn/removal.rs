//! What machines remove: compared with what they were set to, compared with an
//! allowance, and in one cut.

use std::collections::{BTreeMap, BTreeSet};

use super::{
    Evidence, FEWEST, Figure, File, FileChange, Files, Lesson, LessonSubject, ReviewedBatch, Topic,
    counted,
};
use crate::formula::Planned;
use crate::journal::PieceId;
use crate::measure::{Length, Unit, parse_written};
use crate::operation::{FeatureName, decimal};
use crate::route::{Route, Step};
use crate::series::median;
use crate::shop::Shop;

/// One piece through a machine that is set to a size.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Fed {
    /// Its size before.
    pub before: Length,
    /// The size the machine was set to.
    pub set: Length,
    /// Its size after.
    pub after: Length,
}

/// The share removed of what the machine was set to remove, over all pieces; `None`
/// where it was set to remove nothing.
pub fn share_taken(fed: &[Fed]) -> Option<f64> {
    let sum = |of: fn(&Fed) -> Length| fed.iter().map(of).fold(Length::ZERO, |sum, of| sum + of);
    let asked = sum(|fed| fed.before - fed.set);
    (asked > Length::ZERO).then(|| sum(|fed| fed.before - fed.after).ratio(asked))
}

/// The allowance needed: the most that was used of it, plus the uncertainty of one
/// reading. `None` under three pieces.
pub fn allowance_needed(used: &[Length], uncertainty: Length) -> Option<Length> {
    if used.len() < FEWEST {
        return None;
    }
    Some(used.iter().copied().max()? + uncertainty)
}

/// The size a piece had at its last reading before an operation.
fn before(batch: &ReviewedBatch<'_>, op: u32, piece: &PieceId, feature: &str) -> Option<Length> {
    let readings = batch.journal.state.readings.iter().filter(|reading| {
        let taken = &reading.taken;
        !reading.voided && taken.op < op && taken.piece == *piece && taken.feature == feature
    });
    readings.max_by_key(|reading| (reading.taken.op, reading.order))?.taken.size()
}

#[derive(Default)]
struct Takes {
    fed: Vec<Fed>,
    uncertainty: Length,
    planned: usize,
    taken: usize,
    batches: BTreeSet<usize>,
}

/// How much planers and sanders remove of what they are set to remove.
pub(super) fn takes(batches: &[ReviewedBatch<'_>], shop: &Shop) -> Vec<Lesson> {
    let mut found: BTreeMap<(String, String), Takes> = BTreeMap::new();
    for (number, batch) in batches.iter().enumerate() {
        for step in batch.journal.route.steps.iter().filter(|step| step.what.comes_down_in_passes())
        {
            takes_at((number, batch), step, &mut found);
        }
    }
    let lesson = |((at, tool), takes): ((String, String), Takes)| {
        if takes.fed.len() < FEWEST {
            return None;
        }
        let share = share_taken(&takes.fed)?;
        let count = takes.fed.len() as i64;
        let total = |of: fn(&Fed) -> Length| {
            takes.fed.iter().map(of).fold(Length::ZERO, |sum, of| sum + of) / count
        };
        let (asked, taken) = (total(|f| f.before - f.set), total(|f| f.before - f.after));
        // A share of an amount within the uncertainty means nothing.
        if asked <= takes.uncertainty {
            return None;
        }
        let unit = shop.unit;
        let mut says = format!(
            "Set to remove {}, it removed {} a piece: a share of {share:.2}.",
            decimal(asked, unit),
            decimal(taken, unit)
        );
        if takes.planned > 0 {
            says.push_str(&format!(
                " {} planned, {} set.",
                counted(takes.planned, "height"),
                takes.taken
            ));
        }
        Some(Lesson {
            topic: Topic::Take,
            about: format!("{at}, {tool}"),
            subject: LessonSubject::Machine(at),
            says,
            evidence: Evidence {
                unit,
                count: takes.fed.len(),
                of: "piece",
                batches: takes.batches.len(),
                range: None,
                uncertainty: Some(takes.uncertainty),
                more: None,
            },
            change: None,
        })
    };
    found.into_iter().filter_map(lesson).collect()
}

fn takes_at(
    (number, batch): (usize, &ReviewedBatch<'_>),
    step: &Step,
    found: &mut BTreeMap<(String, String), Takes>,
) {
    let state = batch.journal.state;
    let Some((at, setup)) = step.at.clone().zip(state.setups.get(&step.op)) else { return };
    let Some(machine) = batch.journal.shop.machines.get(&at) else { return };
    let mut counted_passes = false;
    let mut seen = BTreeSet::new();
    for reading in state.readings.iter().filter(|r| !r.voided && r.taken.op == step.op) {
        let taken = &reading.taken;
        if !seen.insert((&taken.piece, &taken.feature)) {
            continue;
        }
        let Some(named) = batch.sizing(step, &taken.feature) else { continue };
        let shown = setup.shown.iter().rev().find(|shown| {
            shown.right && shown.order < reading.order && shown.stored.setting == named.name
        });
        let Some((shown, tool)) = shown.and_then(|shown| Some((shown, shown.tool.clone()?))) else {
            continue;
        };
        let Some(fat) = machine.tools.get(&tool).map(|held| held.scale_offset(&named.name, true).0)
        else {
            continue;
        };
        let sizes = before(batch, step.op, &taken.piece, &taken.feature).zip(taken.size());
        let Some((before, after)) = sizes else { continue };
        let takes = found.entry((at.clone(), tool)).or_default();
        takes.fed.push(Fed { before, set: shown.shown + fat, after });
        takes.uncertainty = takes.uncertainty.max(taken.uncertainty);
        takes.batches.insert(number);
        if !counted_passes {
            counted_passes = true;
            let planned = batch.planned(step).and_then(|planned| planned.groups.first());
            let passes = planned.map_or(&[][..], |group| &group.outcome.passes);
            takes.planned += passes.iter().filter(|pass| !pass.kiss).count();
            takes.taken +=
                setup.shown.iter().filter(|s| s.right && s.stored.pass.is_some()).count();
        }
    }
}

/// The one dimension by which the targets of two operations differ: the allowance
/// that the first leaves for the second.
fn left_on(route: &Route, first: &Step, second: &Step) -> Option<String> {
    let scope = Planned(&route.dims);
    let to = |step: &Step| {
        let formulas = step.what.formulas();
        let to = formulas.into_iter().find(|keyed| keyed.key == "to")?;
        to.formula.evaluate(&scope).ok().map(|value| value.slope)
    };
    let (one, other) = (to(first)?, to(second)?);
    let names: BTreeSet<&String> = one.keys().chain(other.keys()).collect();
    let slope = |of: &BTreeMap<String, f64>, name: &String| of.get(name).copied().unwrap_or(0.0);
    let differing: Vec<(&String, f64)> = names
        .into_iter()
        .map(|name| (name, slope(&one, name) - slope(&other, name)))
        .filter(|(_, by)| by.abs() > 1e-9)
        .collect();
    match differing.as_slice() {
        [(name, by)] if (by - 1.0).abs() < 1e-9 => Some((*name).clone()),
        _ => None,
    }
}

/// The allowances that have a name in the route, and how much of them was used.
pub(super) fn allowances(batches: &[ReviewedBatch<'_>], files: Files<'_>) -> Vec<Lesson> {
    let route = files.route;
    let mut used: BTreeMap<String, (Vec<Length>, Length)> = BTreeMap::new();
    for batch in batches.iter().filter(|batch| batch.journal.route.name == route.name) {
        for (place, second) in route.steps.iter().enumerate() {
            for sized in second.what.sizes() {
                let first = route.steps[..place].iter().rev().find(|step| {
                    step.part == second.part
                        && step.what.sizes().iter().any(|held| held.feature == sized.feature)
                });
                let Some(first) = first else { continue };
                if let Some(name) = left_on(route, first, second) {
                    let held = used.entry(name).or_default();
                    used_between(batch, first, second, &sized.feature, held);
                }
            }
        }
    }
    used.into_iter()
        .filter_map(|(name, (used, uncertainty))| lesson(route, name, &used, uncertainty))
        .collect()
}

fn used_between(
    batch: &ReviewedBatch<'_>,
    first: &Step,
    second: &Step,
    feature: &str,
    held: &mut (Vec<Length>, Length),
) {
    let state = batch.journal.state;
    for piece in &state.pieces {
        let one =
            state.reading_in_force(first.op, &piece.id, feature).map(|reading| &reading.taken);
        let other =
            state.reading_in_force(second.op, &piece.id, feature).map(|reading| &reading.taken);
        if let Some((one, other)) = one.zip(other)
            && let Some((before, after)) = one.size().zip(other.size())
        {
            held.0.push(before - after);
            held.1 = held.1.max(one.uncertainty).max(other.uncertainty);
        }
    }
}

fn lesson(route: &Route, name: String, used: &[Length], uncertainty: Length) -> Option<Lesson> {
    let unit = route.unit;
    let needed = allowance_needed(used, uncertainty)?;
    let text = route.dims.definition(&name)?.formula.text();
    // A dimension that follows from others can't be changed by itself.
    let planned = parse_written(text, unit).ok()?;
    let to = rounded_up(needed, unit, text.contains('/'));
    let sizes: Vec<f64> = used.iter().copied().map(Length::inches).collect();
    let range = (
        *used.iter().min()?,
        Length::from_inches(median(&sizes).ok()?),
        used.iter().copied().max()?,
    );
    let less = to < planned && planned - needed > uncertainty;
    let words = |length| decimal(length, unit);
    let says = if less {
        format!(
            "The allowance is {}, and {} would have been enough.",
            words(planned),
            words(needed)
        )
    } else {
        format!("The allowance is {}, and less might not have been enough.", words(planned))
    };
    let change = less.then(|| FileChange::of(File::Route, &["dims", &name], Figure::size(to)));
    let evidence = Evidence {
        unit,
        count: used.len(),
        of: "piece",
        batches: 0,
        range: Some(range),
        uncertainty: Some(uncertainty),
        more: Some("measured before and after".to_owned()),
    };
    let subject = LessonSubject::Route(route.name.clone());
    Some(Lesson { topic: Topic::Allowance, about: name, subject, says, evidence, change })
}

/// Rounded up to the next 64th where the route is written in fractions, else to the
/// next thousandth of an inch or tenth of a millimetre.
fn rounded_up(length: Length, unit: Unit, in_fractions: bool) -> Length {
    let step = match unit {
        Unit::Inch if in_fractions => Length::inch_fraction(1, 64),
        Unit::Inch => Length::thousandths(1),
        Unit::Millimetre => Length::MILLIMETRE / 10,
    };
    let (wanted, step) = (length.nanometres(), step.nanometres());
    Length::from_nanometres((wanted + step - 1).div_euclid(step) * step)
}

/// Grooves that one blade made in one cut.
#[derive(Default)]
struct Grooves {
    widths: Vec<f64>,
    uncertainty: Length,
    batches: BTreeSet<usize>,
}

/// Kerfs, from grooves made in one cut.
pub(super) fn kerfs(batches: &[ReviewedBatch<'_>], shop: &Shop) -> Vec<Lesson> {
    let mut found: BTreeMap<(String, String), Grooves> = BTreeMap::new();
    for (number, batch) in batches.iter().enumerate() {
        for step in &batch.journal.route.steps {
            let Some((tool, feature)) = one_cut(batch, step) else { continue };
            let Some(at) = step.at.clone() else { continue };
            let held = found.entry((at, tool)).or_default();
            let mut seen = BTreeSet::new();
            for reading in batch.journal.state.readings.iter().filter(|r| !r.voided) {
                let taken = &reading.taken;
                let own = taken.op == step.op && taken.feature == feature;
                if let Some(size) = taken.size().filter(|_| own)
                    && seen.insert(&taken.piece)
                {
                    held.widths.push(size.inches());
                    held.uncertainty = held.uncertainty.max(taken.uncertainty);
                    held.batches.insert(number);
                }
            }
        }
    }
    let lesson = |((at, tool), grooves): ((String, String), Grooves)| {
        let Grooves { widths, uncertainty, batches } = grooves;
        if widths.len() < FEWEST {
            return None;
        }
        let known = shop.machines.get(&at)?.tools.get(&tool)?.kerf?;
        let kerf = Length::from_inches(median(&widths).ok()?);
        let beyond = (kerf - known).abs() > uncertainty;
        let held = decimal(known, shop.unit);
        let says = if beyond {
            format!("It cuts {} wide; the shop file says {held}.", decimal(kerf, shop.unit))
        } else {
            format!("It cuts {} wide, as the shop file says.", decimal(kerf, shop.unit))
        };
        let path = ["machines", at.as_str(), "tools", tool.as_str(), "kerf"];
        let change = beyond.then(|| FileChange::of(File::Shop, &path, Figure::size(kerf)));
        let least = widths.iter().copied().fold(f64::MAX, f64::min);
        let most = widths.iter().copied().fold(f64::MIN, f64::max);
        Some(Lesson {
            topic: Topic::Kerf,
            about: format!("{at}, {tool}"),
            subject: LessonSubject::Machine(at),
            says,
            evidence: Evidence {
                unit: shop.unit,
                count: widths.len(),
                of: "groove",
                batches: batches.len(),
                range: Some((Length::from_inches(least), kerf, Length::from_inches(most))),
                uncertainty: Some(uncertainty),
                more: Some("made in one cut".to_owned()),
            },
            change,
        })
    };
    found.into_iter().filter_map(lesson).collect()
}

/// The blade, and the width of a groove it cuts in one pass.
fn one_cut(batch: &ReviewedBatch<'_>, step: &Step) -> Option<(String, FeatureName)> {
    let width = step.what.shows_the_kerf()?;
    let planned = batch.planned(step)?;
    let tool = planned.tool.clone()?;
    let machine = batch.journal.shop.machines.get(step.at.as_ref()?)?;
    let kerf = machine.tools.get(&tool)?.kerf?;
    let after = &planned.groups.first()?.outcome.after;
    (after.most(&width) == Some(kerf)).then_some((tool, width))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// By hand: 1/64 is 0.015625; a hundredth of a millimetre over 2.3 is 2.4.
    #[test]
    fn an_allowance_is_rounded_up_to_what_people_write() {
        let thousandths = Length::thousandths;
        let inch = |length, fractions| rounded_up(length, Unit::Inch, fractions);
        assert_eq!(inch(thousandths(15), true), Length::inch_fraction(1, 64));
        assert_eq!(inch(Length::inch_fraction(1, 64), true), Length::inch_fraction(1, 64));
        assert_eq!(inch(thousandths(16), true), Length::inch_fraction(2, 64));
        assert_eq!(inch(thousandths(16), false), thousandths(16));
        assert_eq!(inch(thousandths(16) + Length::from_nanometres(1), false), thousandths(17));
        let tenth = Length::MILLIMETRE / 10;
        let metric = |length| rounded_up(length, Unit::Millimetre, true);
        assert_eq!(metric(tenth * 23), tenth * 23);
        assert_eq!(metric(tenth * 23 + Length::MILLIMETRE / 100), tenth * 24);
        // What was never used asks for less than nothing: up is toward zero.
        assert_eq!(metric(-tenth * 23 - Length::MILLIMETRE / 100), -tenth * 23);
    }
}
