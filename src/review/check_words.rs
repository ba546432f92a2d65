//! A check in review, line by line, and how its readings share one chart.

use super::advice::next_action;
use super::findings::CheckDiagnosis;
use super::gauge_shifts::GaugeShift;
use super::readings::{Series, SeriesPoint};
use super::wording;
use crate::measure::{Length, Unit};
use crate::operation::decimal;
use crate::series::Cause;

/// What follows the likely cause of a check: what is asked, what to do next, the gauges of
/// `moved` that explain it, how sure it is, and what was measured.
pub fn check_lines(
    check: &CheckDiagnosis,
    asked: &[String],
    moved: &[GaugeShift],
    (unit, plus_minus): (Unit, &str),
) -> Vec<String> {
    let mut lines: Vec<String> = asked.to_vec();
    lines.extend(next_action(check).map(str::to_owned));
    if check.by_gauge {
        let moved = moved.iter().filter(|moved| moved.ops.contains(&check.series.op));
        lines.extend(moved.map(|moved| wording::gauge_shift_sentence(moved, unit)));
    }
    lines.extend(wording::how_sure(check).map(|sure| format!("How sure: {sure}.")));
    lines.push(format!("Measured: {}.", wording::basis(&check.series, unit, plus_minus)));
    lines.extend(wording::too_close(check));
    lines
}

/// `leg 11: 20.035, wanted 20.000: too long by 0.004: can be cut again`.
pub fn point_words(check: &CheckDiagnosis, point: &SeriesPoint, unit: Unit) -> String {
    let places = if unit == Unit::Inch { 3 } else { 2 };
    format!(
        "{}: {}, wanted {}: {}",
        point.name,
        decimal(point.value, unit),
        decimal(point.wanted, unit),
        point.verdict.words(check.series.words, unit, places)
    )
}

/// `leg 11: 20.035, too long by 0.004`: a reading that is out, beside its chart.
pub fn out_words(check: &CheckDiagnosis, point: &SeriesPoint, unit: Unit) -> String {
    let places = if unit == Unit::Inch { 3 } else { 2 };
    let verdict = point.verdict.words(check.series.words, unit, places);
    let too = verdict.split(':').next().unwrap_or_default();
    format!("{}: {}, {too}", point.name, decimal(point.value, unit))
}

/// How the readings of a check share one chart: as sizes, or, where pieces of different
/// size are among them, as what each missed by.
#[derive(Clone, Copy, Debug)]
pub struct ChartedSeries<'a> {
    /// The first reading, whose limits are drawn.
    pub first: &'a SeriesPoint,
    /// Whether all are wanted alike, so that sizes are shown.
    pub is_alike: bool,
    /// What lengths are written in.
    pub unit: Unit,
}

impl<'a> ChartedSeries<'a> {
    /// How a series is charted; none without a reading.
    pub fn of(series: &'a Series, unit: Unit) -> Option<ChartedSeries<'a>> {
        let first = series.points.first()?;
        let is_like = |p: &SeriesPoint| (p.wanted, p.limits) == (first.wanted, first.limits);
        Some(ChartedSeries { first, is_alike: series.points.iter().all(is_like), unit })
    }

    /// What is shown of a size of a piece that was to be `wanted`.
    pub fn shown(&self, length: Length, wanted: Length) -> Length {
        if self.is_alike { length } else { length - wanted }
    }

    /// What is shown, in figures; a miss has its sign.
    pub fn text(&self, shown: Length) -> String {
        match (self.is_alike, shown.is_negative()) {
            (true, _) | (_, true) => decimal(shown, self.unit),
            (false, false) => format!("+{}", decimal(shown, self.unit)),
        }
    }
}

/// After how many pieces a check moved, where that is its likely cause, and the places,
/// from zero, to name first in its chart: those at the step, or those that lie far off.
pub fn told_places(check: &CheckDiagnosis) -> (Option<usize>, Vec<usize>) {
    match check.diagnosis.cause() {
        Some(Cause::Moved { after, .. }) => (Some(*after), vec![after - 1, *after]),
        _ => (None, check.diagnosis.lone().iter().map(|lone| lone.at - 1).collect()),
    }
}
