//! The offsets of scales: what pieces measured beside what the scale showed.
//!
//! The offset is the median of size less shown. Its uncertainty is combined as in
//! the Guide to the expression of uncertainty in measurement (JCGM 100:2008), each
//! term with k = 2: the gauge's uncertainty; the marks of the scale, step / sqrt 12
//! (F.2.2.1), once a setting; and the scatter of the pieces, where the standard
//! error of a median is 1.2533 times that of a mean. The scale's own error is the
//! median of the slopes between all pairs (Theil and Sen).
//!
//! How far pieces come apart is what `review` expects of the machine: the spread in
//! the shop file, or a usual one that is worth less, pooled with what is seen. Where
//! readings differ by wood, by batch or by person more than that, no offset is
//! proposed (`mixed.rs`).

use std::collections::{BTreeMap, BTreeSet};

use super::mixed::mixed;
use super::scale_reading::{
    MEDIAN_IS_WIDER, ScaleReading, ScaleRow, by_setting, coarsest, expected, pooled_sd,
};
use super::{
    Evidence, FEWEST, Figure, File, FileChange, Lesson, LessonSubject, ReviewedBatch, Topic,
    counted, more_or_less,
};
use crate::journal::{ReadingRecord, ScaleCheck};
use crate::measure::Length;
use crate::operation::decimal;
use crate::route::Step;
use crate::series::{Cause, MachineSpread, median};
use crate::shop::{ScaleOffsets, Shop};
use crate::work::machine_spread;

/// A scale of a machine with a tool in it.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct MachineScale {
    /// The machine.
    pub at: String,
    /// The tool.
    pub tool: String,
    /// The scale.
    pub name: String,
}

/// More readings than this are compared setting by setting, because their pairs grow with the
/// square: a year of batches has thousands.
const MANY: usize = 1000;

/// The offset of a scale, in inches.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Offset {
    /// The median of size less shown.
    pub by: f64,
    /// The least.
    pub least: f64,
    /// The most.
    pub most: f64,
    /// At how many settings.
    pub settings: usize,
    /// Expanded uncertainty (k = 2) of `by`.
    pub uncertainty: f64,
    /// The error of the scale per inch, where the settings are far enough apart to
    /// see it.
    pub slope: Option<f64>,
    /// Whether every setting shows the same offset within its uncertainty.
    pub alike: bool,
}

/// The offset of a scale with marks `step` apart, at a machine of that spread, all in
/// inches. `None` without readings.
pub fn offset(pairs: &[ScaleReading], step: f64, spread: MachineSpread) -> Option<Offset> {
    let over: Vec<f64> = pairs.iter().map(ScaleReading::over).collect();
    let by = median(&over).ok()?;
    let gauge = coarsest(pairs);
    let rows = by_setting(pairs);
    let sd = pooled_sd(rows.values(), expected(spread, pairs));
    let uncertainty_of = |readings: usize, settings: usize| {
        let marks = 2.0 * step / 12.0_f64.sqrt() / (settings as f64).sqrt();
        let scatter = 2.0 * MEDIAN_IS_WIDER * sd / (readings as f64).sqrt();
        gauge.hypot(marks).hypot(scatter)
    };
    let uncertainty = uncertainty_of(over.len(), rows.len());
    let alike = rows.values().all(|row| {
        median(row).is_ok_and(|middle| (middle - by).abs() <= uncertainty_of(row.len(), 1))
    });
    Some(Offset {
        by,
        least: over.iter().copied().fold(f64::MAX, f64::min),
        most: over.iter().copied().fold(f64::MIN, f64::max),
        settings: rows.len(),
        uncertainty,
        slope: slope(pairs).filter(|slope| {
            let over = (slope * reach(pairs)).abs();
            over > uncertainty && slope.abs() > slope_uncertainty(pairs, sd, step)
        }),
        alike,
    })
}

/// The range of the settings.
fn reach(pairs: &[ScaleReading]) -> f64 {
    let shown = || pairs.iter().map(|pair| pair.shown);
    shown().fold(f64::MIN, f64::max) - shown().fold(f64::MAX, f64::min)
}

/// How many places the settings are at, more than a tenth of their range apart.
/// Two places always fit a line, so a slope takes three.
fn places(pairs: &[ScaleReading]) -> usize {
    let mut shown: Vec<f64> = pairs.iter().map(|pair| pair.shown).collect();
    shown.sort_by(f64::total_cmp);
    let apart = reach(pairs) / 10.0;
    1 + shown.windows(2).filter(|two| two[1] - two[0] > apart).count()
}

/// The median of the slopes between all pairs at different settings, where
/// these are at three places or more.
fn slope(pairs: &[ScaleReading]) -> Option<f64> {
    if places(pairs) < FEWEST {
        return None;
    }
    let points = match pairs.len() > MANY {
        true => middles(pairs),
        false => pairs.iter().map(|pair| (pair.shown, pair.over())).collect(),
    };
    let mut slopes = Vec::new();
    for (at, one) in points.iter().enumerate() {
        for other in &points[..at] {
            let apart = one.0 - other.0;
            if apart != 0.0 {
                slopes.push((one.1 - other.1) / apart);
            }
        }
    }
    median(&slopes).ok()
}

/// What the scale showed at each setting, and the median of size less shown there.
fn middles(pairs: &[ScaleReading]) -> Vec<(f64, f64)> {
    let shown: BTreeMap<usize, f64> = pairs.iter().map(|pair| (pair.setting, pair.shown)).collect();
    let rows = by_setting(pairs);
    let middle =
        |(setting, row): (&usize, &Vec<f64>)| Some((*shown.get(setting)?, median(row).ok()?));
    rows.iter().filter_map(middle).collect()
}

/// The uncertainty of a slope: three standard errors of a straight line through the
/// settings, because a scale is examined after every batch.
fn slope_uncertainty(pairs: &[ScaleReading], sd: f64, step: f64) -> f64 {
    let mut settings: BTreeMap<usize, (f64, f64)> = BTreeMap::new();
    for pair in pairs {
        let held = settings.entry(pair.setting).or_insert((pair.shown, 0.0));
        held.1 += 1.0;
    }
    let count = settings.len() as f64;
    let level = settings.values().map(|(shown, _)| shown).sum::<f64>() / count;
    let squares = settings.values().map(|(shown, _)| (shown - level).powi(2)).sum::<f64>();
    let variance = |readings: f64| (MEDIAN_IS_WIDER * sd).powi(2) / readings + step.powi(2) / 12.0;
    let mean = settings.values().map(|(_, readings)| variance(*readings)).sum::<f64>() / count;
    3.0 * (mean / squares).sqrt()
}

/// The readings of every scale: the first reading of each piece at each operation,
/// beside what its scale showed then. A series that crept, or that a gauge
/// explains, says nothing about a scale; of one that moved, only the pieces before
/// the move count.
pub(super) fn pairs(batches: &[ReviewedBatch<'_>]) -> BTreeMap<MachineScale, Vec<ScaleRow>> {
    let mut found: BTreeMap<MachineScale, Vec<ScaleRow>> = BTreeMap::new();
    let mut settings: BTreeMap<(usize, u32, usize), usize> = BTreeMap::new();
    let called = names(batches);
    for (number, batch) in batches.iter().enumerate() {
        let readings = &batch.journal.state.readings;
        let mut seen = BTreeSet::new();
        for reading in readings.iter().filter(|reading| !reading.voided) {
            let taken = &reading.taken;
            let first = (taken.op, &taken.piece, &taken.feature);
            if !seen.insert(first) {
                continue;
            }
            let Some((scale, shown)) = scale_of(batch, reading) else { continue };
            let Some(made) = taken.size().filter(|_| steady(batch, reading)) else { continue };
            let next = settings.len();
            let setting = *settings.entry((number, taken.op, shown.order)).or_insert(next);
            let scale_reading = ScaleReading {
                shown: shown.shown.inches(),
                made: made.inches(),
                uncertainty: taken.uncertainty.inches(),
                setting,
                some_apart: some_apart(batch, reading),
            };
            found.entry(scale).or_default().push(ScaleRow {
                reading: scale_reading,
                wood: wood_of(batch, taken.op),
                batch: number + 1,
                called: called[number].clone(),
                who: reading.who.clone(),
            });
        }
    }
    found
}

/// What each batch is called: its name, or its number where two have one name.
fn names(batches: &[ReviewedBatch<'_>]) -> Vec<String> {
    let own = || batches.iter().map(|batch| batch.journal.state.batch.as_str());
    let is_each_its_own = own().collect::<BTreeSet<_>>().len() == batches.len();
    let number = |(at, name): (usize, &str)| match is_each_its_own {
        true => name.to_owned(),
        false => format!("batch {}", at + 1),
    };
    own().enumerate().map(number).collect()
}

/// The wood of the pieces of an operation, as the route names it.
fn wood_of(batch: &ReviewedBatch<'_>, op: u32) -> Option<String> {
    let route = batch.journal.route;
    route.part(&route.step(op)?.part)?.species.clone()
}

/// Whether the scale still applied when this piece was cut.
fn steady(batch: &ReviewedBatch<'_>, reading: &ReadingRecord) -> bool {
    let Some(account) = batch.diagnosis(reading.taken.op, &reading.taken.feature) else {
        return true;
    };
    let place = || {
        let mut points = account.series.points.iter();
        points.position(|point| point.piece == reading.taken.piece)
    };
    !account.by_gauge
        && match account.diagnosis.cause() {
            Some(
                Cause::Crept { .. }
                | Cause::WoreIn { .. }
                | Cause::SawTooth { .. }
                | Cause::Scattered { .. },
            ) => false,
            Some(Cause::Moved { after, .. } | Cause::Loosened { after, .. }) => {
                place().is_none_or(|place| place < *after)
            }
            _ => true,
        }
}

fn some_apart(batch: &ReviewedBatch<'_>, reading: &ReadingRecord) -> bool {
    let account = batch.diagnosis(reading.taken.op, &reading.taken.feature);
    account.is_some_and(|account| {
        matches!(account.diagnosis.cause(), Some(Cause::Apart { .. } | Cause::Slip { .. }))
    })
}

/// The scale a piece was cut by, and what it showed then.
fn scale_of<'a>(
    batch: &ReviewedBatch<'a>,
    reading: &ReadingRecord,
) -> Option<(MachineScale, &'a ScaleCheck)> {
    let taken = &reading.taken;
    let (shop, state) = (batch.journal.shop, batch.journal.state);
    let step = batch.journal.route.step(taken.op)?;
    let named = batch.sizing(step, &taken.feature)?;
    let at = step.at.as_ref()?;
    let machine = shop.machines.get(at)?;
    machine.readouts.get(&named.name)?;
    let setup = state.setups.get(&taken.op)?;
    let shown = setup.shown.iter().rev().find(|shown| {
        shown.right
            && shown.order < reading.order
            && shown.stored.setting == named.name
            && (shown.pieces.is_empty() || shown.pieces.contains(&taken.piece))
    })?;
    let tool = shown.tool.clone().or_else(|| batch.planned(step)?.tool.clone())?;
    // A scale that counts from another zero says nothing about the tool.
    let fat = machine.tools.get(&tool)?.scale_offset(&named.name, true).0;
    let whole = named.setting.predicted - named.setting.dial.0 == fat;
    let cut = was_cut(batch, step, reading);
    let scale = MachineScale { at: at.clone(), tool, name: named.name.clone() };
    (whole && cut).then_some((scale, shown))
}

/// Whether the machine certainly removed something. A piece that was smaller than
/// the setting says nothing about it.
fn was_cut(batch: &ReviewedBatch<'_>, step: &Step, reading: &ReadingRecord) -> bool {
    let taken = &reading.taken;
    let before = batch.journal.state.readings.iter().rfind(|other| {
        !other.voided
            && other.taken.op < step.op
            && other.taken.piece == taken.piece
            && other.taken.feature == taken.feature
    });
    let size = |reading: &ReadingRecord| reading.taken.size();
    before
        .and_then(size)
        .zip(taken.size())
        .is_none_or(|(before, after)| (before - after).abs() > taken.uncertainty)
}

/// One lesson for each scale.
pub(super) fn lessons(pairs: &BTreeMap<MachineScale, Vec<ScaleRow>>, shop: &Shop) -> Vec<Lesson> {
    let lesson = |(scale, rows): (&MachineScale, &Vec<ScaleRow>)| {
        let machine = shop.machines.get(&scale.at)?;
        let tool = machine.tools.get(&scale.tool)?;
        let readout = machine.readout(&scale.name, shop.unit)?;
        let spread = machine_spread(shop, Some(&scale.at));
        let step = readout.step.inches();
        let pairs: Vec<ScaleReading> = rows.iter().map(|row| row.reading).collect();
        let found = offset(&pairs, step, spread)?;
        let unit = readout.unit;
        let known = tool.scale_offset(&scale.name, true).0;
        let (by, uncertainty) =
            (Length::from_inches(found.by), Length::from_inches(found.uncertainty));
        let beyond = (by - known).abs() > uncertainty;
        let mut says = if decimal(by.abs(), unit) == decimal(Length::ZERO, unit) {
            "It makes what its scale shows".to_owned()
        } else {
            format!("It makes {} than its scale shows", more_or_less(by, unit))
        };
        let mut change = None;
        if pairs.len() < FEWEST {
            says.push_str("; too few readings to learn from.");
        } else if let Some(slope) = found.slope {
            let more = Length::from_inches(slope * reach(&pairs)).abs();
            says.push_str(&format!(
                " on average, but the error changes by {} over {} of the scale. No single offset fits: \
                 check how the scale is fixed, and set it with a known length.",
                decimal(more, unit),
                decimal(Length::from_inches(reach(&pairs)), unit),
            ));
        } else if let Some(mixed) = mixed(rows, step, expected(spread, &pairs)) {
            says = format!("It makes {}.", mixed.words(unit));
        } else if !found.alike {
            says.push_str(
                " on average, but not at every setting: the setups were more likely off than the \
                 scale.",
            );
        } else if !beyond {
            says.push_str(&format!(
                "; the shop file says {}, which agrees within the uncertainty.",
                decimal(known, unit)
            ));
        } else if let Some(held) = change_of(scale, shop, Figure::size(by)) {
            says.push_str(&format!("; the shop file says {}.", decimal(known, unit)));
            change = Some(held);
        } else {
            says.push_str(&format!(
                "; the shop file has one number, {}, for all scales of this tool. Give each \
                 scale its own first.",
                decimal(known, unit)
            ));
        }
        let range = (Length::from_inches(found.least), by, Length::from_inches(found.most));
        Some(Lesson {
            topic: Topic::Scale,
            about: format!("{}, {}, {}", scale.at, scale.tool, scale.name),
            subject: LessonSubject::Machine(scale.at.clone()),
            says,
            evidence: Evidence {
                unit,
                count: pairs.len(),
                of: "reading",
                batches: rows.iter().map(|row| row.batch).collect::<BTreeSet<_>>().len(),
                range: Some(range),
                uncertainty: Some(uncertainty),
                more: Some(format!("at {}", counted(found.settings, "setting"))),
            },
            change,
        })
    };
    pairs.iter().filter_map(lesson).collect()
}

/// The change of the offset in the shop file. One number for several scales can't
/// be changed for one of them.
fn change_of(scale: &MachineScale, shop: &Shop, to: Figure) -> Option<FileChange> {
    let machine = shop.machines.get(&scale.at)?;
    let tool = machine.tools.get(&scale.tool)?;
    let mut path = vec!["machines", &scale.at, "tools", &scale.tool, "scale_offset"];
    match &tool.scale_offset {
        Some(ScaleOffsets::Sizing(_)) if machine.readouts.len() == 1 => {}
        Some(ScaleOffsets::Sizing(_)) => return None,
        Some(ScaleOffsets::PerScale(_)) | None => path.push(&scale.name),
    }
    Some(FileChange::of(File::Shop, &path, to))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn pair(setting: usize, shown: f64, over: f64) -> ScaleReading {
        ScaleReading { shown, made: shown + over, uncertainty: 0.0, setting, some_apart: false }
    }

    fn near(found: f64, expected: f64) {
        assert!((found - expected).abs() < 1e-9, "{found}, not {expected}");
    }

    /// From 1 to 2 the error rises by 0.3, from 1 to 4 by 0.5 over 3, from 2 to 4 by
    /// 0.2 over 2: slopes of 0.3, 0.16667 and 0.1. Two readings at one setting have no
    /// slope between them; another at 4 and 0.5 adds 0.16667 and 0.1, so that the
    /// median of five is still 0.16667.
    #[test]
    fn a_slope_is_the_median_over_all_pairs() {
        let mut pairs = vec![pair(0, 1.0, 0.0), pair(1, 2.0, 0.3), pair(2, 4.0, 0.5)];
        near(slope(&pairs).unwrap(), 0.5 / 3.0);
        pairs.push(pair(2, 4.0, 0.5));
        near(slope(&pairs).unwrap(), 0.5 / 3.0);
        // A reading far out at 10 adds -0.5/9, -0.8/8 and twice -1/6: in order
        // -0.167 -0.167 -0.1 -0.056 0.1 0.1 0.167 0.167 0.3.
        pairs.push(pair(3, 10.0, -0.5));
        near(slope(&pairs).unwrap(), 0.1);
        assert_eq!(slope(&pairs[..2]), None, "two places always fit a line");
    }

    /// The range is 10, and places are more than 1 apart.
    #[test]
    fn places_are_more_than_a_tenth_of_the_range_apart() {
        let at = |shown: &[f64]| -> Vec<ScaleReading> {
            shown.iter().map(|shown| pair(0, *shown, 0.0)).collect()
        };
        assert_eq!(reach(&at(&[3.0, -2.0, 8.0])), 10.0);
        assert_eq!(places(&at(&[10.0, 0.0, 1.0])), 2);
        assert_eq!(places(&at(&[10.0, 0.0, 1.5])), 3);
        assert_eq!(places(&at(&[5.0, 5.0])), 1);
    }

    /// Settings at 1, 2 and 6, mean 3: squares 4 + 1 + 9 = 14. One reading varies by
    /// (1.253314 x 0.01)^2 = 0.00015707960, the marks by 0.012^2 / 12 = 0.000012; with
    /// four readings at the second setting the variances are 0.00016907960,
    /// 0.00005126990 and 0.00016907960, mean 0.00012980970; 3 sqrt(that / 14).
    #[test]
    fn what_a_slope_can_be_off_by() {
        let mut pairs = vec![pair(0, 1.0, 0.0), pair(2, 6.0, 0.0)];
        pairs.extend([pair(1, 2.0, 0.0); 4]);
        assert!((slope_uncertainty(&pairs, 0.01, 0.012) - 0.009_135_047).abs() < 1e-8);
    }
}
