//! What readings show of the gauges and of the people who read them: one size
//! measured twice, a known block, limits too narrow to be judged.

use std::collections::BTreeMap;

use super::{
    Evidence, FEWEST, Figure, File, FileChange, Lesson, LessonSubject, ReviewedBatch, SURE, Topic,
    counted, more_or_less,
};
use crate::journal::{Decision, Event, ReadingRecord};
use crate::measure::{Length, Reads, Unit};
use crate::operation::decimal;
use crate::series::{median, spread_factors};
use crate::shop::Shop;

/// How two readings of one size differ, later less earlier, in inches.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Repeatability {
    /// The median of the differences.
    pub by: f64,
    /// The expanded uncertainty of one reading (k = 2): twice the root mean square
    /// of the differences over sqrt 2.
    pub uncertainty: f64,
    /// The lower end of its 99.9 % interval.
    pub at_least: f64,
}

/// The repeatability from differences of repeated readings; `None` under three of
/// them.
pub fn twice(differences: &[f64]) -> Option<Repeatability> {
    if differences.len() < FEWEST {
        return None;
    }
    let squares: f64 = differences.iter().map(|by| by.powi(2)).sum();
    let sd = (squares / differences.len() as f64 / 2.0).sqrt();
    // Nothing was fitted, so every difference counts as a degree of freedom.
    let (low, _) = spread_factors(differences.len() + 1, SURE)?;
    Some(Repeatability {
        by: median(differences).ok()?,
        uncertainty: 2.0 * sd,
        at_least: 2.0 * sd * low,
    })
}

/// Every lesson about gauges.
pub(super) fn lessons(batches: &[ReviewedBatch<'_>], shop: &Shop) -> Vec<Lesson> {
    let mut lessons = again(batches, shop);
    lessons.extend(blocks(batches, shop));
    lessons.extend(batches.iter().flat_map(blind));
    lessons
}

/// Sizes measured twice with one gauge and nothing cut in between.
fn again(batches: &[ReviewedBatch<'_>], shop: &Shop) -> Vec<Lesson> {
    let mut by_gauge: BTreeMap<String, Vec<f64>> = BTreeMap::new();
    let mut by_people: BTreeMap<(String, String, String), Vec<(f64, f64)>> = BTreeMap::new();
    for batch in batches {
        for (one, other) in read_twice(batch) {
            let Some((first, second)) = one.taken.size().zip(other.taken.size()) else { continue };
            let by = (second - first).inches();
            let gauge = one.taken.gauge.clone();
            by_gauge.entry(gauge.clone()).or_default().push(by);
            let (Some(a), Some(b)) = (&one.who, &other.who) else { continue };
            // Always the same order of the two, whoever measured first.
            let (key, by) = if a <= b { ((a, b), by) } else { ((b, a), -by) };
            if key.0 != key.1 {
                let key = (gauge, key.0.clone(), key.1.clone());
                let uncertainty = one.taken.uncertainty.inches();
                by_people.entry(key).or_default().push((by, uncertainty));
            }
        }
    }
    let mut lessons = Vec::new();
    for (gauge, differences) in by_gauge {
        let Some(found) = twice(&differences) else { continue };
        let Some(known) = shop.gauges.get(&gauge).and_then(|held| held.uncertainty()) else {
            continue;
        };
        let unit = unit_of(&gauge, shop);
        let beyond = found.at_least > known.inches();
        let real = Length::from_inches(found.uncertainty);
        let mut says = format!("Repeated readings show an uncertainty of {}", decimal(real, unit));
        says.push_str(&if beyond {
            format!("; the shop file says {}.", decimal(known, unit))
        } else {
            format!("; the shop file says {}, which agrees.", decimal(known, unit))
        });
        let path = ["gauges", gauge.as_str(), "uncertainty"];
        let change = beyond.then(|| FileChange::of(File::Shop, &path, Figure::fine(real)));
        let evidence = of_sizes(&differences, unit, "measured twice, nothing cut in between");
        lessons.push(Lesson { change, ..about_gauge(gauge, says, evidence) });
    }
    for ((gauge, one, other), differences) in by_people {
        let by: Vec<f64> = differences.iter().map(|(by, _)| *by).collect();
        let uncertainty =
            differences.iter().map(|(_, uncertainty)| *uncertainty).fold(0.0, f64::max);
        let Some(found) = twice(&by) else { continue };
        let middle = Length::from_inches(found.by);
        let unit = unit_of(&gauge, shop);
        let says = if found.by.abs() > uncertainty {
            format!(
                "{other} reads {} than {one}: compare how they hold the gauge before you suspect a drift.",
                more_or_less(middle, unit)
            )
        } else {
            format!("{one} and {other} read the same.")
        };
        let uncertainty = Some(Length::from_inches(uncertainty));
        let evidence = Evidence { uncertainty, ..of_sizes(&by, unit, "measured by both") };
        lessons.push(about_gauge(gauge, says, evidence));
    }
    lessons
}

/// What sizes that were measured twice say.
fn of_sizes(differences: &[f64], unit: Unit, more: &str) -> Evidence {
    Evidence {
        unit,
        count: differences.len(),
        of: "size",
        batches: 0,
        range: range(differences),
        uncertainty: None,
        more: Some(more.to_owned()),
    }
}

/// A lesson about a gauge that proposes no change.
fn about_gauge(about: String, says: String, evidence: Evidence) -> Lesson {
    let (topic, subject) = (Topic::Gauge, LessonSubject::Shop);
    Lesson { topic, about, subject, says, evidence, change: None }
}

/// The unit a gauge reads in.
fn unit_of(gauge: &str, shop: &Shop) -> Unit {
    match shop.gauges.get(gauge).map(|held| &held.reads) {
        Some(Reads::Number { unit, .. }) => *unit,
        _ => shop.unit,
    }
}

fn range(values: &[f64]) -> Option<(Length, Length, Length)> {
    let least = values.iter().copied().reduce(f64::min)?;
    let most = values.iter().copied().reduce(f64::max)?;
    Some((
        Length::from_inches(least),
        Length::from_inches(median(values).ok()?),
        Length::from_inches(most),
    ))
}

/// Successive readings of one feature of one piece at one operation, without a
/// decision to cut again or a new setting between them.
fn read_twice<'a>(batch: &ReviewedBatch<'a>) -> Vec<(&'a ReadingRecord, &'a ReadingRecord)> {
    let state = batch.journal.state;
    let mut last: BTreeMap<(u32, &str, &str), &'a ReadingRecord> = BTreeMap::new();
    let mut pairs = Vec::new();
    for reading in state.readings.iter().filter(|reading| !reading.voided) {
        let taken = &reading.taken;
        let key = (taken.op, &*taken.piece.0, taken.feature.as_str());
        if let Some(before) = last.insert(key, reading) {
            let between = |order: usize| order > before.order && order < reading.order;
            let recut = state.piece(&taken.piece).is_some_and(|piece| {
                let mut rulings = piece.decisions.iter();
                rulings.any(|r| r.decision != Decision::Accept && between(r.order))
            });
            let setup = state.setups.get(&taken.op);
            let reset = setup.is_some_and(|setup| setup.shown.iter().any(|s| between(s.order)));
            if !recut && !reset && before.taken.gauge == taken.gauge {
                pairs.push((before, reading));
            }
        }
    }
    pairs
}

/// What gauges read on their blocks after they were zeroed.
fn blocks(batches: &[ReviewedBatch<'_>], shop: &Shop) -> Vec<Lesson> {
    let mut found: BTreeMap<&str, Vec<f64>> = BTreeMap::new();
    for line in batches.iter().flat_map(|batch| batch.journal.lines) {
        if let Event::GaugeZeroed { gauge, read: Some(read), block: Some(block), .. } = &line.event
        {
            found.entry(gauge).or_default().push((*read - *block).inches());
        }
    }
    let lesson = |(gauge, off): (&str, Vec<f64>)| {
        let middle = Length::from_inches(median(&off).ok()?);
        if off.len() < FEWEST || middle.is_zero() {
            return None;
        }
        let unit = unit_of(gauge, shop);
        let says = format!(
            "It reads {} than its block: wipe it, zero it, or have it checked.",
            more_or_less(middle, unit)
        );
        let (count, range) = (off.len(), range(&off));
        let evidence = Evidence {
            unit,
            count,
            of: "zeroing",
            batches: 0,
            range,
            uncertainty: None,
            more: None,
        };
        Some(about_gauge(gauge.to_owned(), says, evidence))
    };
    found.into_iter().filter_map(lesson).collect()
}

/// Checks that a gauge can't judge, or only just: the limits are under twice, or
/// under four times, its uncertainty apart.
fn blind(batch: &ReviewedBatch<'_>) -> Vec<Lesson> {
    let mut found: BTreeMap<(u32, &str, &str), (usize, Length, Length)> = BTreeMap::new();
    for reading in batch.journal.state.readings.iter().filter(|reading| !reading.voided) {
        let taken = &reading.taken;
        if let (Some(band), Some(_)) = (taken.limits().band(), taken.size())
            && band < taken.uncertainty * 4
        {
            let held = found.entry((taken.op, &taken.feature, &taken.gauge)).or_default();
            *held = (held.0 + 1, band, taken.uncertainty);
        }
    }
    let unit = batch.journal.route.unit;
    let lesson = |((op, feature, gauge), (count, band, uncertainty)): (
        (u32, &str, &str),
        (usize, Length, Length),
    )| {
        let can = if band < uncertainty * 2 { "can't judge" } else { "can only just judge" };
        Lesson {
            topic: Topic::Gauge,
            about: gauge.to_owned(),
            subject: LessonSubject::Shop,
            says: format!(
                "It {can} the {feature} at op {op}: the limits are {} apart, and the uncertainty of a \
                 reading is {}.",
                decimal(band, unit),
                decimal(uncertainty, unit)
            ),
            evidence: Evidence {
                unit,
                count: 0,
                of: "reading",
                batches: 0,
                range: None,
                uncertainty: None,
                more: Some(format!("{} affected", counted(count, "reading"))),
            },
            change: None,
        }
    };
    found.into_iter().map(lesson).collect()
}
