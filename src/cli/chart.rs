//! `chart`: whether readings in cut order stay steady.
//!
//! Limits of single readings use d2 = 1.128 as printed, because they then agree with
//! the handbook and with a pencil to the last digit; `2/sqrt(pi)` differs in the
//! fourth and was rejected. The limits lie about the mean, and about the target only
//! when sigma is given too: scatter is judged against itself unless there is a
//! standard to judge it by, and limits about the target would let an offset hide
//! every other pattern. There is no Cp or Cpk from fewer than 25 readings: the true
//! spread of ten lies anywhere between 0.69 and 1.83 times the one seen, and people
//! remember an index better than the warning beside it.

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
use crate::prose::Message;
use crate::series::{
    Band, Baseline, Capability, Cusum, Ewma, Individuals, NoIndex, Signal, Summary, Sums,
    capability, signals,
};
use numbers::{NumberFormat, ReadingBounds};
use table::ChartReadings;

/// Chart readings in cut order
///
/// Reads a CSV file (commas, semicolons or tabs; heading row optional) and reports
/// the scatter of the readings, which of them are unusual, and whether they drift:
/// limits for individual readings, the Western Electric and Nelson rules, an
/// exponentially weighted moving average (EWMA), and cumulative sums (CUSUM).
/// With at least 25 readings and --limits it gives Cp and Cpk.
///
/// With --unit, readings are lengths as typed in a shop (1 7/16, 0.752, 12,5 mm)
/// and results are in that unit. Without it they are plain numbers. A decimal
/// comma is accepted in files with semicolons or tabs, and in a single column
/// under a heading.
///
/// A column headed `value` needs no --column. If there is also one headed
/// `target`, the chart shows the deviation of each reading from its own target,
/// so that parts of different sizes share one chart; --column value charts the
/// readings themselves.
///
/// With --at, the name is that of a batch. Every reading taken at that machine is
/// charted as its deviation from its own target, in the order taken.
///
/// How the results are calculated:
///   limits    mean +- 3 sigma; sigma is the mean moving range divided by 1.128.
///             With both --target and --sigma they are about the target instead.
///             At least two readings are needed.
///   rules     counted from the centre of the limits, in that sigma. A reading
///             on a boundary is not beyond it. `at` is the reading that completes
///             the pattern, counted from 1 in cut order.
///   ewma      starts at the target, one value per reading. Limits:
///             width x sigma x the square root of weight/(2 - weight).
///   cusum     sums of deviations from the target beyond the slack; a sum over
///             --decide is a signal. Both are in the unit of the readings.
///   cp, cpk   from the standard deviation of all readings; `low` and `high`
///             are the 95 % confidence interval of cpk.
///
/// Keys of --format json: n, mean, sd, moving_range_mean,
/// limits{low,centre,high}, signals[{rule,at}] with rules named
/// `western electric 1` to `4`, `nelson 1` to `8` and `ewma`, ewma[],
/// cusum{high[],low[],signals[]}, capability{cp,cpk,low,high} or null.
///
/// Exits with 1 when there is a signal or a reading outside --limits.
///
///   benchway chart readings.csv --target 0.750 --limits ±0.008
///   benchway chart thickness.csv --unit mm --limits 18.8..19.2 --column 2
///   benchway chart "reading-stool 2026-11-25" --at "stop saw"
#[derive(Debug, Args)]
#[command(verbatim_doc_comment)]
pub(super) struct ChartArguments {
    /// CSV file, - for standard input, or with --at a batch
    #[arg(value_name = "FILE|BATCH")]
    file: PathBuf,

    /// Chart the readings a batch took at this machine
    #[arg(long, value_name = "MACHINE", conflicts_with_all = ["column", "unit", "target"])]
    at: Option<String>,

    /// Only the readings of this operation
    #[arg(long, value_name = "N", requires = "at")]
    op: Option<u32>,

    /// Column to chart, by its heading or its number from 1
    #[arg(long, value_name = "NAME|N")]
    column: Option<String>,

    /// Read lengths; a bare number is in this unit
    #[arg(long, value_enum)]
    unit: Option<LengthUnit>,

    /// Target size; the mean if omitted
    #[arg(long, value_name = "SIZE", allow_hyphen_values = true)]
    target: Option<String>,

    /// Tolerance: ±0.008 about the target, or 0.742..0.758
    #[arg(long, value_name = "LIMITS", allow_hyphen_values = true)]
    limits: Option<String>,

    /// Standard deviation of one reading, if known
    #[arg(long, value_name = "SIZE", allow_hyphen_values = true)]
    sigma: Option<String>,

    /// Weight of the newest reading in the EWMA
    #[arg(long, value_name = "0..1", default_value = "0.2", allow_hyphen_values = true)]
    weight: String,

    /// Width of the EWMA limits, in its own sigmas
    #[arg(long, value_name = "N", default_value = "3", allow_hyphen_values = true)]
    width: String,

    /// CUSUM slack: deviations up to this are ignored; half a sigma if omitted
    #[arg(long, value_name = "SIZE", allow_hyphen_values = true)]
    slack: Option<String>,

    /// CUSUM decision limit; 5 sigma if omitted
    #[arg(long, value_name = "SIZE", allow_hyphen_values = true)]
    decide: Option<String>,

    /// Output for people (text) or for programs (json)
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

/// What both formats print.
struct ChartReport {
    readings: ChartReadings,
    unit: Option<Unit>,
    /// The target as given.
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
    /// Present when there are limits to judge by.
    capability: Option<Result<Capability, NoIndex>>,
    /// Readings outside the limits, counted from 1.
    outside: Vec<usize>,
}

impl ChartArguments {
    pub(super) fn run(&self, home: Option<&Path>, out: &mut dyn Write) -> Result<Ending, Failure> {
        let (readings, unit, ending) = match &self.at {
            Some(machine) => {
                let name = self.file.to_string_lossy();
                let (readings, unit, ending) = batch::read(&name, machine, self.op, home)?;
                (readings, Some(unit), ending)
            }
            None => {
                let unit = self.unit.map(Unit::from);
                let source = source::table(&self.file)?;
                (table::read(&source, self.column.as_deref(), unit)?, unit, Ending::Fine)
            }
        };
        let numbers = NumberFormat { unit, comma: true };
        let report = self.report(numbers, readings)?;
        match self.format {
            Format::Text => text::print(&report, out)?,
            Format::Json => json::print(&report, out)?,
        }
        Ok(Ending::found(report.has_findings()).and(ending))
    }

    fn report(
        &self,
        numbers: NumberFormat,
        readings: ChartReadings,
    ) -> Result<ChartReport, Failure> {
        let too_few = |_| {
            readings.refused("one reading can't be charted", "at least two readings are needed")
        };
        let values = &readings.values;
        let summary = Summary::of(values).map_err(too_few)?;
        let individuals = Individuals::of(values).map_err(too_few)?;

        let target = given("--target", &self.target, |text| numbers.read(text))?;
        if let (Some(text), true) = (&self.target, readings.from_targets) {
            let what = "the file has a target for each reading";
            let help = "omit --target, or choose a --column";
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
        // Target and sigma together are a standard, whatever mean these readings have.
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
        // Identical readings have no scatter to judge by.
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

/// The numbers, counted from 1, of the values that fail a test.
fn outside(values: &[f64], holds: impl Fn(f64) -> bool) -> Vec<usize> {
    let all = values.iter().enumerate().filter(|(_, value)| !holds(**value));
    all.map(|(i, _)| i + 1).collect()
}

fn refused(option: &'static str, given: &str, what: &str, help: &str) -> Failure {
    Failure::Option { option, given: given.to_owned(), why: Message::error(what).help(help) }
}

/// Reads an option that may be absent.
fn given<T, S: AsRef<str>>(
    option: &'static str,
    text: &Option<S>,
    read: impl Fn(&str) -> Result<T, Message>,
) -> Result<Option<T>, Failure> {
    let Some(text) = text.as_ref().map(AsRef::as_ref) else { return Ok(None) };
    let refused = |why| Failure::Option { option, given: text.to_owned(), why };
    read(text).map(Some).map_err(refused)
}
