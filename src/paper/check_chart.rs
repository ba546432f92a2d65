//! The chart of a check in review: its readings in cut order with their verdicts, and what is
//! known to have happened between two of them.

use std::collections::BTreeSet;

use super::chart::{RowChart, RowLine, RowLineKind, RowMoment, RowPlace, RowReading, RowShape};
use crate::journal::{PieceId, State};
use crate::measure::{Length, Unit, Verdict};
use crate::review::{ChartedSeries, CheckDiagnosis, told_places, wording};

/// The chart of a check; none where it has no readings. Readings that were struck out are in
/// it, crossed, where their piece is.
pub fn check_chart(check: &CheckDiagnosis, state: &State, unit: Unit) -> Option<RowChart> {
    let series = &check.series;
    let charted = ChartedSeries::of(series, unit)?;
    let place = |point: &crate::review::SeriesPoint| {
        let shown = charted.shown(point.value, point.wanted);
        let value = shown.in_unit(unit);
        let text = charted.text(shown);
        let reading = RowReading { value, text, shape: shape_of(&point.verdict) };
        let mut readings = struck_out(check, &point.piece, state, &charted);
        readings.push(reading);
        RowPlace { name: point.name.clone(), readings }
    };
    let (first, uncertainty) = (charted.first, series.uncertainty());
    let line = |name: &str, at: Length, kind| {
        let at = charted.shown(at, first.wanted);
        RowLine { at: at.in_unit(unit), words: format!("{name} {}", charted.text(at)), kind }
    };
    let limits = first.limits;
    let most = limits.high.map(|high| line("most", high, RowLineKind::Limit));
    let least = limits.low.map(|low| line("least", low, RowLineKind::Limit));
    let target = line("wanted", first.wanted, RowLineKind::Target);
    let off = if charted.is_alike { "" } else { ", each less what was wanted" };
    Some(RowChart {
        title: format!("{}{off}", wording::check_name(series)),
        unit: if charted.is_alike { unit.sign() } else { "off by" }.to_owned(),
        is_signed: !charted.is_alike,
        least_margin: least_margin(unit),
        each: String::new(),
        places: series.points.iter().map(place).collect(),
        lines: most.into_iter().chain([target]).chain(least).collect(),
        uncertainty: uncertainty.in_unit(unit),
        moments: moments(check, state),
        named: told_places(check).1,
    })
}

/// A thousandth of an inch, or a fiftieth of a millimetre, keeps equal readings off the edges.
pub(super) fn least_margin(unit: Unit) -> f64 {
    match unit {
        Unit::Inch => 0.001,
        Unit::Millimetre => 0.02,
    }
}

fn shape_of(verdict: &Verdict) -> RowShape {
    match verdict {
        Verdict::In => RowShape::Within,
        Verdict::TooClose { .. } => RowShape::TooClose,
        Verdict::TooBig { .. } | Verdict::TooSmall { .. } => RowShape::Out,
    }
}

/// The readings of a piece that count no more.
fn struck_out(
    check: &CheckDiagnosis,
    piece: &PieceId,
    state: &State,
    charted: &ChartedSeries<'_>,
) -> Vec<RowReading> {
    let series = &check.series;
    let own = state.readings_of(series.op, piece, &series.feature).filter(|held| held.voided);
    let struck = own.filter_map(|held| {
        let shown = charted.shown(held.taken.size()?, held.taken.wanted()?);
        let (value, text) = (shown.in_unit(charted.unit), charted.text(shown));
        Some(RowReading { value, text, shape: RowShape::Struck })
    });
    struck.collect()
}

/// Where it moved, as the likely cause says; and where, while pieces were cut, a scale was
/// set again.
fn moments(check: &CheckDiagnosis, state: &State) -> Vec<RowMoment> {
    let points = &check.series.points;
    let moved = told_places(check).0;
    let mut moments: Vec<RowMoment> = Vec::new();
    moments.extend(moved.map(|after| RowMoment { after, words: "it moved".to_owned() }));
    let Some(setup) = state.setups.get(&check.series.op) else { return moments };
    let shown = setup.shown.iter().map(|shown| shown.order);
    let touched: BTreeSet<usize> = shown.chain(setup.moved.iter().copied()).collect();
    let is_between = |after: &usize| {
        let (before, next) = (points[after - 1].order, points[*after].order);
        touched.range(before.min(next)..before.max(next)).next().is_some()
    };
    for after in (1..points.len()).filter(is_between) {
        match moments.iter_mut().find(|held| held.after == after) {
            Some(held) => held.words.push_str(", set again"),
            None => moments.push(RowMoment { after, words: "set again".to_owned() }),
        }
    }
    moments.sort_by_key(|moment| moment.after);
    moments
}
