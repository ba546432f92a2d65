//! A chart for programs: numbers in the readings' own unit, not rounded.

use std::io::{self, Write};

use serde::Serialize;

use super::ChartReport;
use crate::cli::page::json;

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
        limits: ChartLimits {
            low: report.limits.low,
            centre: report.limits.centre,
            high: report.limits.high,
        },
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
    };
    json(&chart, out)
}
