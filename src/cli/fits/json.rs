//! Fits for programs: stable keys, lengths as numbers in the route's unit.

use std::io::{self, Write};

use serde::Serialize;

use super::FitsReport;
use crate::cli::page::{fine, json, number};
use crate::fits::wording::{advice, verdict, wider_limits};
use crate::fits::{Contribution, ErrorSource, FitError, FitVerdict, JudgedFit, SizeRange};
use crate::fits::{NoSpread, PieceDraw, Season, Seasons};
use crate::measure::Unit;

pub(super) fn print(report: &FitsReport<'_>, out: &mut dyn Write) -> io::Result<()> {
    let unit = report.route.unit;
    let answer = FitsAnswer {
        route: &report.route.name,
        unit,
        shop: &report.shop.name,
        seed: report.seed,
        fits: report.judged.iter().map(|judged| of(report, judged)).collect(),
        may_be_let_go: wider_limits(report.judged, unit),
        troubles: report
            .troubles
            .iter()
            .map(|FitError { fit, error, .. }| TroubleAnswer {
                fit,
                what: &error.what,
                fix: error.help.as_deref(),
            })
            .collect(),
    };
    json(&answer, out)
}

#[derive(Serialize)]
struct FitsAnswer<'a> {
    route: &'a str,
    unit: Unit,
    shop: &'a str,
    seed: u64,
    fits: Vec<FitAnswer<'a>>,
    may_be_let_go: Vec<String>,
    troubles: Vec<TroubleAnswer<'a>>,
}

#[derive(Serialize)]
struct FitAnswer<'a> {
    fit: &'a str,
    is: &'a str,
    sets: &'a [u32],
    limits: RangeAnswer,
    nominal: f64,
    worst: RangeAnswer,
    likely: RangeAnswer,
    holds: &'static str,
    tried: Option<TrialsAnswer>,
    contributions: Vec<ContributionAnswer<'a>>,
    as_drawn: &'a [String],
    /// The wood movement in it, and its clearance in both seasons.
    moves: Option<SwellingAnswer>,
    winter: Option<SeasonAnswer>,
    summer: Option<SeasonAnswer>,
    /// From planned to made, once one of its dimensions was measured.
    way: Option<FitWayAnswer>,
    says: Vec<String>,
}

#[derive(Serialize)]
struct SwellingAnswer {
    species: &'static str,
    grain: &'static str,
    across: f64,
    from: f64,
    to: f64,
    made_at: f64,
    status: String,
}

#[derive(Serialize)]
struct SeasonAnswer {
    moisture: f64,
    clearance: f64,
    likely: RangeAnswer,
    holds: &'static str,
}

#[derive(Serialize)]
struct FitWayAnswer {
    planned: f64,
    made: f64,
    shares: Vec<ShareAnswer>,
    rest: f64,
}

#[derive(Serialize)]
struct ShareAnswer {
    dim: String,
    op: Option<u32>,
    wanted: f64,
    made: f64,
    times: f64,
    amount: f64,
}

#[derive(Serialize)]
struct RangeAnswer {
    low: f64,
    high: f64,
}

#[derive(Serialize)]
struct TrialsAnswer {
    trials: u32,
    fitted: u32,
    share: f64,
    low: f64,
    high: f64,
}

#[derive(Serialize)]
struct ContributionAnswer<'a> {
    dim: &'a str,
    size: f64,
    made: bool,
    op: Option<u32>,
    part: Option<&'a str>,
    feature: Option<&'a str>,
    gauge: Option<&'a str>,
    uncertainty: Option<f64>,
    off: Option<RangeAnswer>,
    slope: f64,
    followed: f64,
    moves: RangeAnswer,
    shared: f64,
    shared_by: Option<String>,
    share: f64,
    sees: Option<f64>,
    drawn: DrawAnswer<'a>,
}

#[derive(Serialize)]
struct DrawAnswer<'a> {
    r#as: &'static str,
    about: Option<f64>,
    sd: Option<f64>,
    machine: Option<&'a str>,
    held: Option<bool>,
    says: String,
}

#[derive(Serialize)]
struct TroubleAnswer<'a> {
    fit: &'a str,
    what: &'a str,
    fix: Option<&'a str>,
}

fn of<'a>(report: &FitsReport<'a>, judged: &'a JudgedFit) -> FitAnswer<'a> {
    let unit = report.route.unit;
    FitAnswer {
        fit: &judged.fit,
        is: &judged.is,
        sets: &judged.sets,
        limits: range(judged.limits, unit),
        nominal: number(judged.nominal, unit),
        worst: range(judged.worst, unit),
        likely: range(judged.likely, unit),
        holds: holds(judged.holds()),
        tried: judged.share.map(|share| {
            let (low, high) = share.between();
            TrialsAnswer {
                trials: share.trials,
                fitted: share.fitted,
                share: fine(share.found()),
                low: fine(low),
                high: fine(high),
            }
        }),
        contributions: judged.contributions.iter().map(|one| moves(one, unit)).collect(),
        as_drawn: &judged.as_drawn,
        moves: judged.seasons.as_ref().map(|seasons| swelling(seasons, unit)),
        winter: judged.seasons.as_ref().map(|seasons| season(&seasons.winter, unit)),
        summer: judged.seasons.as_ref().map(|seasons| season(&seasons.summer, unit)),
        way: report.way(judged).map(|way| FitWayAnswer {
            planned: number(way.planned, unit),
            made: number(way.made, unit),
            shares: way
                .shares
                .into_iter()
                .map(|share| ShareAnswer {
                    wanted: number(share.wanted, unit),
                    made: number(share.made, unit),
                    times: fine(share.times),
                    amount: number(share.amount, unit),
                    dim: share.dim,
                    op: share.op,
                })
                .collect(),
            rest: number(way.rest, unit),
        }),
        says: std::iter::once(verdict(judged, unit)).chain(advice(judged, unit)).collect(),
    }
}

fn holds(holds: FitVerdict) -> &'static str {
    match holds {
        FitVerdict::Worst => "worst",
        FitVerdict::Likely => "likely",
        FitVerdict::Not => "not",
        FitVerdict::Nominal => "nominal",
    }
}

fn swelling(seasons: &Seasons, unit: Unit) -> SwellingAnswer {
    let swells = seasons.swells;
    SwellingAnswer {
        species: swells.wood.name(),
        grain: swells.grain.words(),
        across: number(seasons.across, unit),
        from: fine(swells.driest.in_percent()),
        to: fine(swells.dampest.in_percent()),
        made_at: fine(swells.made.in_percent()),
        status: seasons.summer.by.status(),
    }
}

fn season(season: &Season, unit: Unit) -> SeasonAnswer {
    SeasonAnswer {
        moisture: fine(season.moisture.in_percent()),
        clearance: number(season.clearance, unit),
        likely: range(season.likely, unit),
        holds: holds(season.holds),
    }
}

fn moves(one: &Contribution, unit: Unit) -> ContributionAnswer<'_> {
    let gauge = one.gauge.as_ref();
    ContributionAnswer {
        dim: &one.dim,
        size: number(one.size, unit),
        made: one.made,
        op: one.op,
        part: one.part.as_deref(),
        feature: one.feature.as_deref(),
        gauge: gauge.map(|gauge| gauge.name.as_str()),
        uncertainty: gauge.and_then(|gauge| gauge.uncertainty()).map(|off| number(off, unit)),
        off: one.off.map(|off| range(off, unit)),
        slope: fine(one.slope),
        followed: fine(one.followed),
        moves: range(one.moves, unit),
        shared: number(one.shared, unit),
        shared_by: one.shared_by.as_ref().map(ErrorSource::words),
        share: fine(one.share),
        sees: one.sees.map(fine),
        drawn: drawn(&one.drawn, unit),
    }
}

fn drawn(draw: &PieceDraw, unit: Unit) -> DrawAnswer<'_> {
    let (about, sd, machine, held) = match draw {
        PieceDraw::Normal { about, sd, machine, held } => {
            (Some(number(*about, unit)), Some(number(*sd, unit)), Some(machine), Some(*held))
        }
        PieceDraw::Uniform(NoSpread::Machine(machine)) => (None, None, Some(machine), None),
        _ => (None, None, None, None),
    };
    let machine = machine.map(String::as_str);
    DrawAnswer { r#as: draw.kind(), about, sd, machine, held, says: draw.words(unit) }
}

fn range(between: SizeRange, unit: Unit) -> RangeAnswer {
    RangeAnswer { low: number(between.low, unit), high: number(between.high, unit) }
}
