//! `chart`: readings from anywhere, in cut order, and whether they stay steady.
//! Knows nothing of formulas: it hands numbers to `series` and prints what comes back.

mod batch;
mod json;
mod numbers;
mod plot;
mod table;
mod text;

use std::io::Write;
use std::path::{Path, PathBuf};

use clap::{Args, ValueEnum};

use super::source;
use super::{Ending, Failure, Format};
use crate::measure::Unit;
use crate::series::{
    Band, Baseline, Capability, Cusum, Ewma, Individuals, NoIndex, Signal, Summary, Sums,
    capability, signals,
};
use numbers::{NumberFormat, ReadingBounds};
use table::ChartReadings;

/// Chart readings from anywhere, in cut order
///
/// Reads a CSV file (commas, semicolons or tabs; a heading row or none) and
/// says how the readings scatter, which of them are out of the ordinary, and
/// whether they wander: limits for single readings, the rules of Western
/// Electric and of Nelson, a slow average (EWMA) and sums of deviations
/// (CUSUM). With 25 readings or more and --limits it gives Cp and Cpk.
///
/// With --unit readings are lengths as a shop types them (1 7/16, 0.752,
/// 12,5 mm) and answers are in that unit. Without, they are plain numbers; a
/// decimal comma will do in a file with semicolons or tabs, and in one column
/// under a heading.
///
/// A column headed `value` needs no --column. With one headed `target` beside
/// it, it is charted how far each reading is from its own target, so that
/// parts of different size share one chart; --column value charts the
/// readings as they are.
///
/// What is worked out, and from what:
///   limits    mean and 3 sigma either way; sigma is the mean moving range
///             divided by 1.128. With both --target and --sigma they lie
///             about the target instead.
///             Two readings are the least.
///   rules     counted from the centre of the limits, in that sigma. A
///             reading on a boundary is not beyond it. `at` is the reading
///             that completes the pattern, counted from 1 in cut order.
///   ewma      starts at the target, one value for each reading. Limits:
///             width x sigma x the root of weight/(2 - weight).
///   cusum     sums of deviations from the target beyond the slack; over
///             --decide is a signal. Both are in the readings' own unit.
///   cp, cpk   from the standard deviation of all readings; `low` and `high`
///             are the 95 % interval of cpk.
///
/// The keys of --format json: n, mean, sd, moving_range_mean,
/// limits{low,centre,high}, signals[{rule,at}] with rules named
/// `western electric 1` to `4`, `nelson 1` to `8` and `ewma`, ewma[],
/// cusum{high[],low[],signals[]}, capability{cp,cpk,low,high} or null.
///
/// Ends with 1 when there is a signal or a reading outside --limits.
///
/// With --at the name is a batch, and every reading taken at that machine is
/// charted, each less its own target, in the order they were taken.
///
///   benchway chart readings.csv --target 0.750 --limits ±0.008
///   benchway chart thickness.csv --unit mm --limits 18.8..19.2 --column 2
///   benchway chart "reading-stool 2026-11-25" --at "stop saw"
#[derive(Debug, Args)]
#[command(verbatim_doc_comment)]
pub struct ChartArguments {
    /// A CSV file, - for what is piped in, or with --at a batch
    #[arg(value_name = "FILE|BATCH")]
    file: PathBuf,

    /// The machine of a batch whose readings are charted
    #[arg(long, value_name = "MACHINE", conflicts_with_all = ["column", "unit", "target"])]
    at: Option<String>,

    /// Only those of one operation there
    #[arg(long, value_name = "N", requires = "at")]
    op: Option<u32>,

    /// Which column, by its heading or its number from 1
    #[arg(long, value_name = "NAME|N")]
    column: Option<String>,

    /// Readings are lengths; a bare number is in this unit
    #[arg(long, value_enum)]
    unit: Option<LengthUnit>,

    /// What was aimed at; the mean if left out
    #[arg(long, value_name = "SIZE", allow_hyphen_values = true)]
    target: Option<String>,

    /// What a reading may be: ±0.008 about the target, or 0.742..0.758
    #[arg(long, value_name = "LIMITS", allow_hyphen_values = true)]
    limits: Option<String>,

    /// The scatter of one reading, where it is known
    #[arg(long, value_name = "SIZE", allow_hyphen_values = true)]
    sigma: Option<String>,

    /// What the newest reading counts for in the slow average
    #[arg(long, value_name = "0..1", default_value = "0.2", allow_hyphen_values = true)]
    weight: String,

    /// How many of its own sigmas the slow average may wander
    #[arg(long, value_name = "N", default_value = "3", allow_hyphen_values = true)]
    width: String,

    /// Deviations up to this are let pass in the sums; half a sigma if left out
    #[arg(long, value_name = "SIZE", allow_hyphen_values = true)]
    slack: Option<String>,

    /// A sum over this is a signal; 5 sigma if left out
    #[arg(long, value_name = "SIZE", allow_hyphen_values = true)]
    decide: Option<String>,

    /// For people, or for machines
    #[arg(long, value_enum, default_value_t = Format::Text)]
    format: Format,
}

#[derive(Clone, Copy, Debug, ValueEnum)]
enum LengthUnit {
    In,
    Mm,
}

impl From<LengthUnit> for Unit {
    fn from(unit: LengthUnit) -> Unit {
        match unit {
            LengthUnit::In => Unit::Inch,
            LengthUnit::Mm => Unit::Millimetre,
        }
    }
}

/// What either format prints.
struct ChartReport {
    readings: ChartReadings,
    unit: Option<Unit>,
    /// As given; what is charted about it may be the mean.
    target: Option<f64>,
    bounds: Option<ReadingBounds>,
    summary: Summary,
    individuals: Individuals,
    /// Whether sigma was given.
    sigma_given: bool,
    sigma: f64,
    limits: Band,
    signals: Vec<Signal>,
    ewma: Ewma,
    averages: Vec<f64>,
    wandered: Vec<usize>,
    cusum: Cusum,
    sums: Sums,
    /// There are bounds to judge by.
    capability: Option<Result<Capability, NoIndex>>,
    /// Readings beyond the bounds.
    outside: Vec<usize>,
}

impl ChartArguments {
    pub fn run(&self, home: Option<&Path>, out: &mut dyn Write) -> Result<Ending, Failure> {
        let (readings, unit) = match &self.at {
            Some(machine) => {
                let name = self.file.to_string_lossy();
                let (readings, unit) = batch::read(&name, machine, self.op, home)?;
                (readings, Some(unit))
            }
            None => {
                let unit = self.unit.map(Unit::from);
                let source = source::text(&self.file)?;
                (table::read(&source, self.column.as_deref(), unit)?, unit)
            }
        };
        let numbers = NumberFormat { unit, comma: true };
        let report = self.report(numbers, readings)?;
        match self.format {
            Format::Text => text::print(&report, out)?,
            Format::Json => json::print(&report, out)?,
        }
        Ok(Ending::found(report.has_findings()))
    }

    fn report(
        &self,
        numbers: NumberFormat,
        readings: ChartReadings,
    ) -> Result<ChartReport, Failure> {
        let too_few = |_| readings.refused("1 reading can't be charted", "two are the least");
        let values = &readings.values;
        let summary = Summary::of(values).map_err(too_few)?;
        let individuals = Individuals::of(values).map_err(too_few)?;

        let target = given("--target", &self.target, |text| numbers.read(text))?;
        if let (Some(text), true) = (&self.target, readings.from_targets) {
            let what = "the file has a target for each reading";
            let help = "leave --target out, or name a --column";
            return Err(refused("--target", text, what, help));
        }
        let aim = if readings.from_targets { Some(0.0) } else { target };
        let bounds = given("--limits", &self.limits, |text| numbers.bounds(text, aim))?;
        let sigma = given("--sigma", &self.sigma, |text| numbers.over_zero(text))?;
        let slack = given("--slack", &self.slack, |text| numbers.zero_or_over(text))?;
        let decide = given("--decide", &self.decide, |text| numbers.over_zero(text))?;
        let plain = NumberFormat { unit: None, ..numbers };
        let weight = given("--weight", &Some(&self.weight), |text| plain.share(text))?;
        let width = given("--width", &Some(&self.width), |text| plain.over_zero(text))?;

        let spread = sigma.unwrap_or(individuals.sigma);
        let centre = aim.unwrap_or(summary.mean);
        // Both given is a standard to be held to, whatever these readings scatter about.
        let limits = match (aim, sigma) {
            (Some(target), Some(sigma)) => Band::about(target, 3.0 * sigma),
            _ => Band::about(summary.mean, 3.0 * spread),
        };
        let ewma = Ewma {
            centre,
            sigma: spread,
            weight: weight.unwrap_or(0.2),
            width: width.unwrap_or(3.0),
        };
        let cusum = Cusum {
            target: centre,
            slack: slack.unwrap_or(0.5 * spread),
            decide: decide.unwrap_or(5.0 * spread),
            head_start: 0.0,
        };
        let averages = ewma.averages(values);
        let mut sums = cusum.sums(values);
        let (mut rules, mut wandered) = (Vec::new(), Vec::new());
        // Readings all alike give no scatter to judge by.
        if spread > 0.0 {
            rules = signals(values, &Baseline { centre: limits.centre, sigma: spread });
            wandered = outside(&averages, |average| ewma.steady().holds(average));
        } else if decide.is_none() {
            sums.signals.clear();
        }
        let capability = bounds.map(|bounds| capability(values, bounds.low, bounds.high));
        let outside =
            bounds.map_or(Vec::new(), |bounds| outside(values, |value| bounds.hold(value)));
        Ok(ChartReport {
            readings,
            unit: numbers.unit,
            target: aim,
            bounds,
            summary,
            individuals,
            sigma_given: sigma.is_some(),
            sigma: spread,
            limits,
            signals: rules,
            ewma,
            averages,
            wandered,
            cusum,
            sums,
            capability,
            outside,
        })
    }
}

impl ChartReport {
    fn has_findings(&self) -> bool {
        !(self.signals.is_empty()
            && self.wandered.is_empty()
            && self.sums.signals.is_empty()
            && self.outside.is_empty())
    }
}

/// The places, from 1, of the numbers that don't hold.
fn outside(values: &[f64], holds: impl Fn(f64) -> bool) -> Vec<usize> {
    let all = values.iter().enumerate().filter(|(_, value)| !holds(**value));
    all.map(|(i, _)| i + 1).collect()
}

fn refused(option: &'static str, given: &str, what: &str, help: &str) -> Failure {
    Failure::Given {
        option,
        given: given.to_owned(),
        what: what.to_owned(),
        help: Some(help.to_owned()),
    }
}

/// An option read, when there is one.
fn given<T, S: AsRef<str>>(
    option: &'static str,
    text: &Option<S>,
    read: impl Fn(&str) -> Result<T, numbers::NoNumber>,
) -> Result<Option<T>, Failure> {
    let Some(text) = text.as_ref().map(AsRef::as_ref) else { return Ok(None) };
    let refused = |refused: numbers::NoNumber| Failure::Given {
        option,
        given: text.to_owned(),
        what: refused.what,
        help: refused.help,
    };
    read(text).map(Some).map_err(refused)
}
