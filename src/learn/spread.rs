//! The spread of a machine: how far pieces of one setting differ when nothing is
//! wrong.
//!
//! Deviations from the median of their own setting are pooled over all settings.
//! The confidence interval of the standard deviation is from chi squared
//! (NIST/SEMATECH e-Handbook 7.2.3.1). The gauge's own scatter, half its
//! uncertainty, is removed.

use std::collections::{BTreeMap, BTreeSet};

use super::mixed::{Grouped, apart};
use super::scale_reading::{ScaleReading, ScaleRow, by_setting, expected};
use super::scales::MachineScale;
use super::{Evidence, Figure, File, FileChange, Lesson, LessonSubject, SURE, Topic, counted};
use crate::measure::{Length, Unit};
use crate::series::{Spread, mean, median, spread_factors};
use crate::shop::Shop;
use crate::work::machine_spread;

/// A spread from fewer degrees of freedom is worthless.
const LEAST_FREEDOM: usize = 10;
/// A reading this many robust standard deviations from the median of its setting is
/// a slip, not scatter.
const SLIP: f64 = 4.0;
/// The median distance from the median is 0.6745 sigma.
const DISTANCE_TO_SIGMA: f64 = 1.482_6;
/// A gauge that scatters more than this many times the machine hides its spread.
const HIDES: f64 = 2.0;

/// The spread of readings of one setting, the gauge's own scatter included; one
/// standard deviation, in the unit of the readings.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Scatter {
    /// The standard deviation.
    pub sd: f64,
    /// The degrees of freedom: all readings but one a setting.
    pub freedom: usize,
    /// The lower end of its 99.9 % interval.
    pub low: f64,
    /// The upper end of its 99.9 % interval.
    pub high: f64,
}

/// The scatter within rows, each of them one setting. `None` where no row has two
/// readings.
pub fn scatter(rows: &[Vec<f64>]) -> Option<Scatter> {
    let distances = |row: &Vec<f64>| {
        let middle = median(row).unwrap_or(0.0);
        row.iter().map(|value| (value - middle).abs()).collect::<Vec<f64>>()
    };
    let all: Vec<f64> = rows.iter().filter(|row| row.len() > 1).flat_map(distances).collect();
    let robust = DISTANCE_TO_SIGMA * median(&all).ok()?;
    let (mut squares, mut freedom) = (0.0, 0);
    for row in rows {
        let middle = median(row).unwrap_or(0.0);
        let far = |value: &&f64| robust > 0.0 && (**value - middle).abs() > SLIP * robust;
        let kept: Vec<f64> = row.iter().filter(|value| !far(value)).copied().collect();
        let Ok(level) = mean(&kept) else { continue };
        squares += kept.iter().map(|value| (value - level).powi(2)).sum::<f64>();
        freedom += kept.len() - 1;
    }
    if freedom == 0 {
        return None;
    }
    let sd = (squares / freedom as f64).sqrt();
    let (low, high) = spread_factors(freedom + 1, SURE)?;
    Some(Scatter { sd, freedom, low: sd * low, high: sd * high })
}

/// One lesson for each machine.
pub(super) fn lessons(pairs: &BTreeMap<MachineScale, Vec<ScaleRow>>, shop: &Shop) -> Vec<Lesson> {
    let mut machines: BTreeMap<&str, Vec<(&MachineScale, &Vec<ScaleRow>)>> = BTreeMap::new();
    for (scale, own) in pairs {
        machines.entry(&scale.at).or_default().push((scale, own));
    }
    machines.into_iter().filter_map(|(at, scales)| lesson(at, &scales, shop)).collect()
}

fn lesson(at: &str, scales: &[(&MachineScale, &Vec<ScaleRow>)], shop: &Shop) -> Option<Lesson> {
    let machine = shop.machines.get(at)?;
    let known = machine.spread.unwrap_or(machine.kind.usual_spread());
    let hidden = |pair: &ScaleReading| pair.uncertainty / 2.0 > HIDES * known.inches();
    let (mut rows, mut gauge, mut batches) = (Vec::new(), Vec::new(), BTreeSet::new());
    for (scale, of_scale) in scales {
        let usable = of_scale.iter();
        let usable = usable.filter(|row| !row.reading.some_apart && !hidden(&row.reading));
        let usable: Vec<ScaleRow> = usable.cloned().collect();
        batches.extend(usable.iter().map(|row| row.batch));
        gauge.extend(usable.iter().map(|row| (row.reading.uncertainty / 2.0).powi(2)));
        let step = machine.readout(&scale.name, shop.unit).map_or(0.0, |scale| scale.step.inches());
        let readings: Vec<ScaleReading> = usable.iter().map(|row| row.reading).collect();
        let usual = expected(machine_spread(shop, Some(at)), &readings);
        rows.extend(at_one_setting(&usable, step, usual));
    }
    let found = scatter(&rows)?;
    let gauge = mean(&gauge).ok()?.sqrt();
    let without = |sd: f64| Length::from_inches((sd.powi(2) - gauge.powi(2)).max(0.0).sqrt());
    let own = without(found.sd);
    let expected = known.inches().hypot(gauge);
    let beyond = expected < found.low || expected > found.high;
    let own_unit = machine.readouts.values().next().and_then(|readout| readout.unit);
    let unit = own_unit.unwrap_or(shop.unit);
    let words = |length: Length| fine(length, unit);
    let held = match machine.spread {
        Some(spread) => format!("the shop file says {}", words(spread)),
        None => format!("{} is usual for its kind", words(known)),
    };
    let mut change = None;
    let says = if found.freedom < LEAST_FREEDOM {
        return None;
    } else if own.is_zero() {
        format!("The gauge varies as much as the pieces do; {held}.")
    } else if !beyond {
        format!("The standard deviation at one setting is {}; {held}, which agrees.", words(own))
    } else {
        let to = Figure::fine(own);
        change = Some(FileChange::of(File::Shop, &["machines", at, "spread"], to));
        format!("The standard deviation at one setting is {}; {held}.", words(own))
    };
    Some(Lesson {
        topic: Topic::Spread,
        about: at.to_owned(),
        subject: LessonSubject::Machine(at.to_owned()),
        says,
        evidence: Evidence {
            unit,
            count: found.freedom,
            of: "independent reading",
            batches: batches.len(),
            range: None,
            uncertainty: None,
            more: Some(format!(
                "at {}, the gauge's own scatter removed; {} to {} with {} % confidence",
                counted(rows.len(), "setting"),
                words(without(found.low)),
                words(without(found.high)),
                SURE * 100.0,
            )),
        },
        change,
    })
}

/// The readings of each setting; where people read otherwise, those of each person, so that
/// what they differ by is not taken for the machine's spread.
fn at_one_setting(rows: &[ScaleRow], step: f64, expected: Spread) -> Vec<Vec<f64>> {
    let readings =
        |rows: &[&ScaleRow]| -> Vec<ScaleReading> { rows.iter().map(|row| row.reading).collect() };
    let all: Vec<&ScaleRow> = rows.iter().collect();
    if apart(rows, Grouped::Person, step, expected).is_none() {
        return by_setting(&readings(&all)).into_values().collect();
    }
    let mut people: BTreeMap<&Option<String>, Vec<&ScaleRow>> = BTreeMap::new();
    for row in rows {
        people.entry(&row.who).or_default().push(row);
    }
    people.values().flat_map(|own| by_setting(&readings(own)).into_values()).collect()
}

/// A length to a ten-thousandth of an inch, or a thousandth of a millimetre.
fn fine(length: Length, unit: Unit) -> String {
    length.decimal(unit, if unit == Unit::Inch { 4 } else { 3 })
}
