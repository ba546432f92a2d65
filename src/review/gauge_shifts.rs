//! Gauges whose zero moved: the same shift at the same time at machines that share
//! nothing but the gauge. One machine alone can't tell a gauge from itself.

use super::readings::{Series, SeriesPoint};
use crate::journal::{ReadingRecord, State};
use crate::measure::Length;
use crate::series::Cause;

/// A gauge that reads differently from some time on, at every machine.
#[derive(Clone, Debug, PartialEq)]
pub struct GaugeShift {
    /// The gauge.
    pub gauge: String,
    /// How much more it reads since then.
    pub by: Length,
    /// The last reading before, and the first after.
    pub between: (Option<SeriesPoint>, SeriesPoint),
    /// The operations whose readings show it.
    pub ops: Vec<u32>,
}

/// A check as far as a gauge is concerned: its readings and their likely cause.
type GaugedRow<'a> = (&'a Series, Option<&'a Cause>);

/// A shift in one series, and from which of its readings on.
pub(super) struct Shift<'a> {
    series: &'a Series,
    pub(super) by: Length,
    pub(super) last_before: Option<&'a SeriesPoint>,
    pub(super) first_after: &'a SeriesPoint,
    /// How many uncertainties more it may differ from others: one reading of a piece
    /// scatters as the machine does, and a row hardly.
    doubt: i64,
}

/// One reading scatters by about the uncertainty, one standard deviation; common
/// practice, no source.
const ONE_READING: i64 = 2;

/// Every gauge whose zero moved, by name.
pub(super) fn gauge_shifts(rows: &[GaugedRow<'_>], state: &State) -> Vec<GaugeShift> {
    let mut names: Vec<&str> =
        rows.iter().flat_map(|(series, _)| &series.points).map(|p| p.gauge.as_str()).collect();
    names.sort_unstable();
    names.dedup();
    names.into_iter().filter_map(|gauge| moved(gauge, rows, state)).collect()
}

fn moved(gauge: &str, rows: &[GaugedRow<'_>], state: &State) -> Option<GaugeShift> {
    let own = |(series, _): &GaugedRow<'_>| series.points.iter().all(|point| point.gauge == gauge);
    let read: Vec<GaugedRow<'_>> = rows.iter().copied().filter(own).collect();
    let mut shifts: Vec<Shift<'_>> = read.iter().filter_map(|row| shift(*row, state)).collect();
    shifts.sort_by_key(|shift| shift.first_after.order);
    let first = shifts.first()?;
    let since = first.first_after.order;
    let mut sizes: Vec<Length> = shifts.iter().map(|shift| shift.by).collect();
    sizes.sort_unstable();
    let middle = sizes.get(sizes.len() / 2).copied()?;
    let within = |times: i64| {
        let near = |shift: &Shift<'_>| {
            (shift.by - middle).abs() <= shift.series.uncertainty() * (times + shift.doubt)
        };
        shifts.iter().all(near)
    };
    // Settings differ by up to twice the uncertainty. Where the shifts differ by
    // that much, a third machine must show the same.
    let enough = match (within(1), within(2)) {
        (true, _) => 2,
        (false, true) => 3,
        (false, false) => return None,
    };
    let agree = shifts.iter().all(|shift| {
        shift.last_before.is_none_or(|before| before.order < since || shift.by == first.by)
    });
    // A series read wholly afterwards that shows no shift clears the gauge.
    let cleared = read.iter().any(|(series, cause)| {
        let after = series.points.iter().all(|point| point.order >= since);
        let is_shift = shifts.iter().any(|shift| std::ptr::eq(shift.series, *series));
        after && !is_shift && matches!(cause, Some(Cause::Steady { .. }))
    });
    let mut machines: Vec<&str> =
        shifts.iter().filter_map(|shift| shift.series.at.as_deref()).collect();
    machines.sort_unstable();
    machines.dedup();
    let last_before = read
        .iter()
        .flat_map(|(series, _)| &series.points)
        .filter(|point| point.order < since)
        .max_by_key(|point| point.order);
    // Without an earlier good reading it could be two machines set wrong alike;
    // three mean the gauge.
    let needed = if last_before.is_some() { enough } else { 3 };
    if machines.len() < needed || !agree || cleared {
        return None;
    }
    let sum: Length = shifts.iter().map(|shift| shift.by).fold(Length::ZERO, |sum, by| sum + by);
    Some(GaugeShift {
        gauge: gauge.to_owned(),
        by: sum / shifts.len() as i64,
        between: (last_before.cloned(), first.first_after.clone()),
        ops: shifts.iter().map(|shift| shift.series.op).collect(),
    })
}

/// The shift that a check shows: in its readings, or in its first piece where people moved
/// the setting by what they read on it. Then the later readings are as wanted, and the
/// pieces are off by what the gauge was.
pub(super) fn shift<'a>((series, cause): GaugedRow<'a>, state: &State) -> Option<Shift<'a>> {
    let points = &series.points;
    let first_after = points.iter().min_by_key(|point| point.order)?;
    match cause? {
        Cause::SetWrong { by } => Some(Shift {
            series,
            by: Length::from_inches(*by),
            last_before: None,
            first_after,
            doubt: 0,
        }),
        Cause::Moved { after, before_level, after_level } => Some(Shift {
            series,
            by: Length::from_inches(after_level - before_level),
            last_before: points.get(after - 1),
            first_after: points.get(*after)?,
            doubt: 0,
        }),
        Cause::Steady { .. } | Cause::Slip { .. } => {
            let by = mended(series, state)?;
            Some(Shift { series, by, last_before: None, first_after, doubt: ONE_READING })
        }
        _ => None,
    }
}

/// What people read on a first piece before they first moved the setting of an operation,
/// less what was wanted.
fn mended(series: &Series, state: &State) -> Option<Length> {
    let moved = *state.setups.get(&series.op)?.moved.first()?;
    let before = |reading: &&ReadingRecord| {
        let taken = &reading.taken;
        let own = taken.op == series.op && taken.feature == series.feature;
        own && !reading.voided
    };
    let last = state.readings.up_to(|reading| reading.order < moved).rfind(before)?;
    Some(last.taken.size()? - last.taken.wanted()?)
}
