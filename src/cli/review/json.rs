//! A batch in review, for programs: stable keys, lengths as numbers in the route's
//! unit.

use std::io::{self, Write};

use serde::Serialize;

use super::who::{LeadRow, ReadTwiceRow, SealRow, VoidedRow};
use super::wood::WoodRow;
use crate::cli::notes::NoteRow;
use crate::cli::page::{fine, json, number};
use crate::measure::{Length, Unit};
use crate::review::{Attribution, BatchReview, CheckDiagnosis, next_action, wording};
use crate::route::Route;
use crate::series::Diagnosis;
use crate::work::{RepeatCause, RepeatReading};

pub(super) fn print(report: &BatchReview<'_>, out: &mut dyn Write) -> io::Result<()> {
    json(&ReviewAnswer::of(report), out)
}

pub(super) fn print_piece(ways: &[Attribution], unit: Unit, out: &mut dyn Write) -> io::Result<()> {
    let ways: Vec<WayAnswer<'_>> = ways.iter().map(|way| WayAnswer::of(way, unit)).collect();
    json(&ways, out)
}

#[derive(Serialize)]
struct ReviewAnswer<'a> {
    batch: &'a str,
    route: &'a str,
    unit: Unit,
    sets: u32,
    readings: usize,
    out: Vec<OutRow<'a>>,
    checks: Vec<CheckRow<'a>>,
    gauges: Vec<GaugeRow<'a>>,
    read_again: Vec<AgainRow<'a>>,
    wood: Vec<WoodRow>,
    lead: Vec<LeadRow<'a>>,
    voided: Vec<VoidedRow<'a>>,
    read_twice: Vec<ReadTwiceRow<'a>>,
    seals: Vec<SealRow<'a>>,
    notes: Vec<NoteRow>,
}

#[derive(Serialize)]
struct OutRow<'a> {
    op: u32,
    piece: &'a str,
    feature: &'a str,
    value: f64,
    wanted: f64,
    verdict: &'static str,
    became: String,
    way: Option<WayAnswer<'a>>,
}

#[derive(Serialize)]
struct CheckRow<'a> {
    op: u32,
    part: &'a str,
    #[serde(rename = "do")]
    kind: &'static str,
    at: Option<&'a str>,
    feature: &'a str,
    pieces: usize,
    readings: Vec<PointRow<'a>>,
    out: usize,
    too_close: usize,
    story: Option<&'static str>,
    sentence: String,
    points_over_nothing: f64,
    runner_up: Option<RunnerRow>,
    explained_by_gauge: bool,
    far_off: Vec<FarOffRow<'a>>,
    asked: &'a [String],
    next: Option<&'static str>,
}

/// A reading that lies far off, whatever the rest looks like.
#[derive(Serialize)]
struct FarOffRow<'a> {
    piece: &'a str,
    by: f64,
    /// Whether a second reading says the same; without one it may be a misreading.
    confirmed: bool,
}

#[derive(Serialize)]
struct PointRow<'a> {
    piece: &'a str,
    value: f64,
    wanted: f64,
    uncertainty: f64,
    gauge: &'a str,
    at: String,
}

#[derive(Serialize)]
struct RunnerRow {
    story: &'static str,
    points_behind: f64,
}

#[derive(Serialize)]
struct GaugeRow<'a> {
    gauge: &'a str,
    by: f64,
    ops: &'a [u32],
    sentence: String,
}

#[derive(Serialize)]
struct AgainRow<'a> {
    op: u32,
    before_op: u32,
    part: &'a str,
    feature: &'a str,
    gauge: &'a str,
    pieces: usize,
    was: f64,
    by: f64,
    block: Option<f64>,
    uncertainty: f64,
    why: &'static str,
    points: Option<[f64; 2]>,
    sentence: String,
}

#[derive(Serialize)]
struct WayAnswer<'a> {
    feature: &'a str,
    miss: f64,
    measured: Vec<StopRow<'a>>,
    added: Vec<AddedRow<'a>>,
    good_at: Option<u32>,
    out_at: Option<u32>,
}

#[derive(Serialize)]
struct StopRow<'a> {
    op: u32,
    feature: &'a str,
    value: f64,
    wanted: f64,
    uncertainty: f64,
    verdict: &'static str,
}

#[derive(Serialize)]
struct AddedRow<'a> {
    ops: &'a [u32],
    feature: &'a str,
    times: i64,
    rest: bool,
    amount: f64,
    uncertainty: f64,
}

impl<'a> WayAnswer<'a> {
    fn of(way: &'a Attribution, unit: Unit) -> WayAnswer<'a> {
        let left = way.left_limits();
        WayAnswer {
            feature: &way.feature,
            miss: number(way.miss, unit),
            measured: way
                .stages
                .iter()
                .map(|stop| StopRow {
                    op: stop.op,
                    feature: &stop.feature,
                    value: number(stop.value, unit),
                    wanted: number(stop.wanted, unit),
                    uncertainty: number(stop.uncertainty, unit),
                    verdict: stop.verdict.plain(),
                })
                .collect(),
            added: way
                .added
                .iter()
                .map(|added| AddedRow {
                    ops: &added.ops,
                    feature: &added.feature,
                    times: added.times,
                    rest: added.remainder,
                    amount: number(added.amount, unit),
                    uncertainty: number(added.uncertainty, unit),
                })
                .collect(),
            good_at: left.and_then(|(good, _)| good).map(|stop| stop.op),
            out_at: left.map(|(_, out)| out.op),
        }
    }
}

impl<'a> ReviewAnswer<'a> {
    fn of(report: &'a BatchReview<'a>) -> ReviewAnswer<'a> {
        let BatchReview { batch, route, state, found, asked, wood, words, .. } = report;
        let BatchReview { voided, twice, seals, .. } = report;
        let unit = route.unit;
        ReviewAnswer {
            batch,
            route: &route.name,
            unit,
            sets: state.sets,
            readings: found.readings,
            out: found
                .out
                .iter()
                .map(|out| OutRow {
                    op: out.op,
                    piece: &out.name,
                    feature: &out.feature,
                    value: number(out.value, unit),
                    wanted: number(out.wanted, unit),
                    verdict: out.verdict.plain(),
                    became: wording::outcome(out, unit),
                    way: out.attribution.as_ref().map(|way| WayAnswer::of(way, unit)),
                })
                .collect(),
            checks: found
                .checks
                .iter()
                .zip(asked)
                .map(|(account, asked)| check_row(account, asked, unit))
                .collect(),
            gauges: found
                .gauges
                .iter()
                .map(|moved| GaugeRow {
                    gauge: &moved.gauge,
                    by: number(moved.by, unit),
                    ops: &moved.ops,
                    sentence: wording::gauge_shift_sentence(moved, unit),
                })
                .collect(),
            wood: wood.iter().map(|used| WoodRow::of(used, unit)).collect(),
            lead: words.iter().map(LeadRow::of).collect(),
            read_twice: twice.iter().map(|twice| ReadTwiceRow::of(twice, state)).collect(),
            seals: seals.iter().map(SealRow::of).collect(),
            voided: voided.iter().map(|voided| VoidedRow::of(voided, route, state)).collect(),
            notes: state.remarks.iter().map(|note| NoteRow::of(state, note)).collect(),
            read_again: found.repeats.iter().map(|again| again_row(again, route)).collect(),
        }
    }
}

fn again_row<'a>(again: &'a RepeatReading, route: &Route) -> AgainRow<'a> {
    let species = route.part(&again.part).and_then(|part| part.species.as_deref());
    let tells_of_wood = again.why == RepeatCause::Wood;
    let points = again.points(species).filter(|_| tells_of_wood);
    AgainRow {
        op: again.op,
        before_op: again.before_op,
        part: &again.part,
        feature: &again.feature,
        gauge: &again.gauge,
        pieces: again.pieces.len(),
        was: number(again.was, route.unit),
        by: number(again.by, route.unit),
        block: again.block.map(|block| number(block, route.unit)),
        uncertainty: number(again.uncertainty, route.unit),
        why: again.why.word(),
        points: points.map(|(least, most)| [fine(least), fine(most)]),
        sentence: wording::repeat_sentence(again, route),
    }
}

fn check_row<'a>(account: &'a CheckDiagnosis, asked: &'a [String], unit: Unit) -> CheckRow<'a> {
    let series = &account.series;
    let runner = match &account.diagnosis {
        Diagnosis::Found { runner_up, .. } => runner_up.as_ref(),
        Diagnosis::TooFew { .. } => None,
    };
    CheckRow {
        op: series.op,
        part: &series.part,
        kind: series.kind.name(),
        at: series.at.as_deref(),
        feature: &series.feature,
        pieces: series.pieces,
        readings: series
            .points
            .iter()
            .map(|point| PointRow {
                piece: &point.name,
                value: number(point.value, unit),
                wanted: number(point.wanted, unit),
                uncertainty: number(point.uncertainty, unit),
                gauge: &point.gauge,
                at: point.at.to_rfc3339(),
            })
            .collect(),
        out: account.out,
        too_close: account.close,
        story: account.diagnosis.cause().map(wording::cause_name),
        sentence: wording::sentence(account, unit),
        points_over_nothing: tenth(account.strength()),
        runner_up: runner.map(|held| RunnerRow {
            story: wording::cause_name(&held.cause),
            points_behind: tenth(held.behind),
        }),
        explained_by_gauge: account.by_gauge,
        far_off: far_off(account, unit),
        asked,
        next: next_action(account),
    }
}

fn far_off(account: &CheckDiagnosis, unit: Unit) -> Vec<FarOffRow<'_>> {
    let all = account.diagnosis.lone().iter();
    let rows = all.filter_map(|lone| {
        let point = account.series.points.get(lone.at - 1)?;
        let by = number(Length::from_inches(lone.by), unit);
        Some(FarOffRow { piece: &point.name, by, confirmed: point.is_confirmed })
    });
    rows.collect()
}

fn tenth(points: f64) -> f64 {
    (points * 10.0).round() / 10.0
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn points_have_one_decimal_place() {
        for (points, rounded) in [(0.0, 0.0), (7.26, 7.3), (12.34, 12.3), (-0.06, -0.1)] {
            assert_eq!(tenth(points), rounded);
        }
    }
}
