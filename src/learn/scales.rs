//! How fat tools cut by their scales: what pieces measured beside what the
//! scale showed. Knows nothing of files and of how a change is written.
//!
//! The offset is the median of size less shown, and what it is off by is put
//! together as in the Guide to the expression of uncertainty in measurement
//! (JCGM 100:2008), each term k = 2: what the gauge can be off by; the marks
//! of the scale, step / sqrt 12 (F.2.2.1), once a setting; the scatter of the
//! pieces, a median being 1.2533 times as wide as a mean. The scale's own
//! error is the median of the slopes between all pairs (Theil and Sen).

use std::collections::BTreeMap;

use super::{Evidence, FEWEST, Figure, File, FileChange, Lesson, Looked, Topic, bigger, counted};
use crate::journal::{ReadingRecord, ScaleCheck};
use crate::measure::Length;
use crate::operation::decimal;
use crate::route::Step;
use crate::series::cause::Cause;
use crate::series::median;
use crate::shop::{ScaleOffsets, Shop};

/// A scale of a machine with a tool in it.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct MachineScale {
    pub at: String,
    pub tool: String,
    pub name: String,
}

/// What a scale showed and what came of it; in inches.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ScaleReading {
    pub shown: f64,
    pub made: f64,
    /// Expanded (k = 2), of the reading.
    pub uncertainty: f64,
    /// Which setting of the scale it was cut at.
    pub setting: usize,
    /// Whether dust or the like set some pieces of its row apart.
    pub some_apart: bool,
}

impl ScaleReading {
    pub fn over(&self) -> f64 {
        self.made - self.shown
    }
}

/// What the pairs of a scale come to; in inches.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Offset {
    pub by: f64,
    pub least: f64,
    pub most: f64,
    pub settings: usize,
    /// What `by` can be off by (k = 2).
    pub doubt: f64,
    /// By how much more an inch of the scale makes than an inch, where the
    /// settings are far enough apart to see it.
    pub slope: Option<f64>,
    /// Whether every setting tells of the same offset within its doubt.
    pub alike: bool,
}

/// A known spread counts as so many readings of it beside those seen.
const KNOWN_IS_WORTH: f64 = 20.0;
/// The standard error of a median over that of a mean, for many normal
/// readings: sqrt(pi / 2).
const MEDIAN_IS_WIDER: f64 = 1.253_314;

/// The offset of a scale with marks `step` apart, at a machine known to leave
/// pieces `spread` apart (one standard deviation). Nothing of no pairs.
pub fn offset(pairs: &[ScaleReading], step: f64, spread: f64) -> Option<Offset> {
    let over: Vec<f64> = pairs.iter().map(ScaleReading::over).collect();
    let by = median(&over).ok()?;
    let gauge = pairs.iter().map(|pair| pair.uncertainty).fold(0.0, f64::max);
    let rows = by_setting(pairs);
    let sd = sd(&rows, spread.hypot(gauge / 2.0));
    let doubt_of = |readings: usize, settings: usize| {
        let marks = 2.0 * step / 12.0_f64.sqrt() / (settings as f64).sqrt();
        let scatter = 2.0 * MEDIAN_IS_WIDER * sd / (readings as f64).sqrt();
        gauge.hypot(marks).hypot(scatter)
    };
    let doubt = doubt_of(over.len(), rows.len());
    let alike = rows
        .values()
        .all(|row| median(row).is_ok_and(|middle| (middle - by).abs() <= doubt_of(row.len(), 1)));
    Some(Offset {
        by,
        least: over.iter().copied().fold(f64::MAX, f64::min),
        most: over.iter().copied().fold(f64::MIN, f64::max),
        settings: rows.len(),
        doubt,
        slope: slope(pairs).filter(|slope| {
            let over = (slope * reach(pairs)).abs();
            over > doubt && slope.abs() > slope_doubt(pairs, sd, step)
        }),
        alike,
    })
}

pub(super) fn by_setting(pairs: &[ScaleReading]) -> BTreeMap<usize, Vec<f64>> {
    let mut rows: BTreeMap<usize, Vec<f64>> = BTreeMap::new();
    for pair in pairs {
        rows.entry(pair.setting).or_default().push(pair.over());
    }
    rows
}

/// How far readings of one setting are apart: what was known, and what is seen.
fn sd(rows: &BTreeMap<usize, Vec<f64>>, known: f64) -> f64 {
    let (mut squares, mut freedom) = (0.0, 0);
    for row in rows.values() {
        let middle = median(row).unwrap_or(0.0);
        squares += row.iter().map(|over| (over - middle).powi(2)).sum::<f64>();
        freedom += row.len() - 1;
    }
    let worth = KNOWN_IS_WORTH + freedom as f64;
    ((KNOWN_IS_WORTH * known.powi(2) + squares) / worth).sqrt()
}

/// How far apart the settings are.
fn reach(pairs: &[ScaleReading]) -> f64 {
    let shown = || pairs.iter().map(|pair| pair.shown);
    shown().fold(f64::MIN, f64::max) - shown().fold(f64::MAX, f64::min)
}

/// How many settings are apart by more than a tenth of their reach: through
/// two places there is always a line.
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
    let mut slopes = Vec::new();
    for (at, one) in pairs.iter().enumerate() {
        for other in &pairs[at + 1..] {
            let apart = other.shown - one.shown;
            if apart != 0.0 {
                slopes.push((other.over() - one.over()) / apart);
            }
        }
    }
    median(&slopes).ok()
}

/// What a slope can be off by: three standard errors of a straight line
/// through the settings, for a scale is looked at after every batch.
fn slope_doubt(pairs: &[ScaleReading], sd: f64, step: f64) -> f64 {
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

/// The pairs of every scale that sizes what was measured: the first reading of
/// each piece at each operation, beside what its scale showed then. Rows that
/// crept, or that a gauge explains, say nothing of a scale, and of one that
/// moved only the pieces before it did.
pub(super) fn pairs(looked: &[Looked<'_>]) -> BTreeMap<MachineScale, Vec<ScaleReading>> {
    let mut found: BTreeMap<MachineScale, Vec<ScaleReading>> = BTreeMap::new();
    let mut settings: Vec<(usize, u32, usize)> = Vec::new();
    for (batch, looked) in looked.iter().enumerate() {
        let readings = &looked.journal.state.readings;
        let mut seen = Vec::new();
        for reading in readings.iter().filter(|reading| !reading.voided) {
            let taken = &reading.taken;
            let first = (taken.op, &taken.piece, &taken.feature);
            if seen.contains(&first) {
                continue;
            }
            seen.push(first);
            let Some((scale, shown)) = scale_of(looked, reading) else { continue };
            let Some(made) = taken.size().filter(|_| steady(looked, reading)) else { continue };
            let setting = (batch, taken.op, shown.order);
            let known = settings.iter().position(|held| *held == setting);
            let setting = known.unwrap_or_else(|| {
                settings.push(setting);
                settings.len() - 1
            });
            found.entry(scale).or_default().push(ScaleReading {
                shown: shown.shown.inches(),
                made: made.inches(),
                uncertainty: taken.uncertainty.inches(),
                setting,
                some_apart: some_apart(looked, reading),
            });
        }
    }
    found
}

/// Whether the scale still said of this piece what was read on it.
fn steady(looked: &Looked<'_>, reading: &ReadingRecord) -> bool {
    let Some(account) = looked.account(reading.taken.op, &reading.taken.feature) else {
        return true;
    };
    let place = || {
        let mut points = account.series.points.iter();
        points.position(|point| point.piece == reading.taken.piece)
    };
    !account.by_gauge
        && match account.diagnosis.cause() {
            Some(Cause::Crept { .. } | Cause::Scattered { .. }) => false,
            Some(Cause::Moved { after, .. }) => place().is_none_or(|place| place < *after),
            _ => true,
        }
}

fn some_apart(looked: &Looked<'_>, reading: &ReadingRecord) -> bool {
    let account = looked.account(reading.taken.op, &reading.taken.feature);
    account.is_some_and(|account| {
        matches!(account.diagnosis.cause(), Some(Cause::Apart { .. } | Cause::Slip { .. }))
    })
}

/// The scale a piece was cut by, and what it showed then.
fn scale_of<'a>(
    looked: &Looked<'a>,
    reading: &ReadingRecord,
) -> Option<(MachineScale, &'a ScaleCheck)> {
    let taken = &reading.taken;
    let (shop, state) = (looked.journal.shop, looked.journal.state);
    let step = looked.journal.route.step(taken.op)?;
    let named = looked.sizing(step, &taken.feature)?;
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
    let tool = shown.tool.clone().or_else(|| looked.planned(step)?.tool.clone())?;
    // A scale that counts from somewhere else says nothing of the tool.
    let fat = machine.tools.get(&tool)?.scale_offset(&named.name, true).0;
    let whole = named.setting.predicted - named.setting.dial.0 == fat;
    let cut = was_cut(looked, step, reading);
    let scale = MachineScale { at: at.clone(), tool, name: named.name.clone() };
    (whole && cut).then_some((scale, shown))
}

/// Whether the machine surely took something: a piece that was smaller than
/// the setting says nothing of it.
fn was_cut(looked: &Looked<'_>, step: &Step, reading: &ReadingRecord) -> bool {
    let taken = &reading.taken;
    let before = looked.journal.state.readings.iter().rfind(|other| {
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

/// What the scales teach, one lesson each.
pub(super) fn lessons(
    pairs: &BTreeMap<MachineScale, Vec<ScaleReading>>,
    shop: &Shop,
) -> Vec<Lesson> {
    let lesson = |(scale, pairs): (&MachineScale, &Vec<ScaleReading>)| {
        let machine = shop.machines.get(&scale.at)?;
        let tool = machine.tools.get(&scale.tool)?;
        let readout = machine.readout(&scale.name, shop.unit)?;
        let spread = machine.spread.unwrap_or(machine.kind.usual_spread());
        let found = offset(pairs, readout.step.inches(), spread.inches())?;
        let unit = readout.unit;
        let known = tool.scale_offset(&scale.name, true).0;
        let (by, doubt) = (Length::from_inches(found.by), Length::from_inches(found.doubt));
        let beyond = (by - known).abs() > doubt;
        let mut says = format!("Pieces come {} than the scale shows", bigger(by, unit));
        let mut change = None;
        if pairs.len() < FEWEST {
            says.push_str("; too few readings to learn from.");
        } else if let Some(slope) = found.slope {
            let more = Length::from_inches(slope * reach(pairs)).abs();
            says.push_str(&format!(
                " on the whole, and not alike along it: {} in {}. One number can't say that; \
                 look how the scale is fixed, and set it by a known length.",
                decimal(more, unit),
                decimal(Length::from_inches(reach(pairs)), unit),
            ));
        } else if !found.alike {
            says.push_str(
                " on the whole, but not at every setting: setups were off, more likely than the \
                 scale.",
            );
        } else if !beyond {
            says.push_str(&format!(
                "; {} in the shop file is right within the doubt.",
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
            says,
            evidence: Evidence {
                unit,
                count: pairs.len(),
                of: "reading",
                range: Some(range),
                doubt: Some(doubt),
                more: Some(format!("at {}", counted(found.settings, "setting"))),
            },
            change,
        })
    };
    pairs.iter().filter_map(lesson).collect()
}

/// Where the offset stands in the shop file. One number for several scales
/// can't follow one of them.
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
