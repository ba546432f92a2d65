//! A chart for programs: numbers in the readings' own unit, not rounded.

use std::io::{self, Write};

use serde::Serialize;

use super::ChartReport;
use super::groups::ChartedGroups;
use crate::cli::page::json;
use crate::series::{Band, Within};

#[derive(Serialize)]
struct ChartAnswer<'r> {
    n: usize,
    mean: f64,
    sd: f64,
    moving_range_mean: f64,
    limits: ChartLimits,
    signals: Vec<SignalAnswer>,
    ewma: &'r [f64],
    cusum: CusumAnswer<'r>,
    capability: Option<CapabilityAnswer>,
    subgroups: Option<SubgroupsAnswer<'r>>,
}

#[derive(Serialize)]
struct SubgroupsAnswer<'r> {
    size: usize,
    within: &'static str,
    means: &'r [f64],
    spreads: &'r [f64],
    sigma: f64,
    spread_limits: ChartLimits,
    out: &'r [usize],
    left_over: usize,
}

impl<'r> SubgroupsAnswer<'r> {
    fn of(groups: &'r ChartedGroups) -> SubgroupsAnswer<'r> {
        let ChartedGroups { chart, left_over, out } = groups;
        SubgroupsAnswer {
            size: chart.size,
            within: match chart.within {
                Within::Range => "range",
                Within::StandardDeviation => "sd",
            },
            means: &chart.means,
            spreads: &chart.spreads,
            sigma: chart.sigma,
            spread_limits: ChartLimits::of(&chart.spread_limits),
            out,
            left_over: *left_over,
        }
    }
}

impl ChartLimits {
    fn of(band: &Band) -> ChartLimits {
        ChartLimits { low: band.low, centre: band.centre, high: band.high }
    }
}

#[derive(Serialize)]
struct ChartLimits {
    low: f64,
    centre: f64,
    high: f64,
}

#[derive(Serialize)]
struct SignalAnswer {
    rule: &'static str,
    at: usize,
}

#[derive(Serialize)]
struct CusumAnswer<'r> {
    high: &'r [f64],
    low: &'r [f64],
    signals: Vec<usize>,
}

#[derive(Serialize)]
struct CapabilityAnswer {
    cp: Option<f64>,
    cpk: f64,
    low: f64,
    high: f64,
}

pub(super) fn print(report: &ChartReport, out: &mut dyn Write) -> io::Result<()> {
    let rules = report.signals.iter();
    let wandered = report.wandered.iter().map(|at| SignalAnswer { rule: "ewma", at: *at });
    let mut signals: Vec<SignalAnswer> = rules
        .map(|signal| SignalAnswer { rule: signal.rule.name(), at: signal.at })
        .chain(wandered)
        .collect();
    signals.sort_by_key(|signal| signal.at);
    let capability = report.capability.and_then(Result::ok);
    let chart = ChartAnswer {
        n: report.summary.n,
        mean: report.summary.mean,
        sd: report.summary.sd,
        moving_range_mean: report.individuals.moving_range_mean,
        limits: ChartLimits::of(&report.limits),
        signals,
        ewma: &report.averages,
        cusum: CusumAnswer {
            high: &report.sums.high,
            low: &report.sums.low,
            signals: report.sums.at(),
        },
        capability: capability.map(|found| CapabilityAnswer {
            cp: found.cp,
            cpk: found.cpk.value,
            low: found.cpk.low,
            high: found.cpk.high,
        }),
        subgroups: report.groups.as_ref().map(SubgroupsAnswer::of),
    };
    json(&chart, out)
}
