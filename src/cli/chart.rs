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
mod drawn;
mod groups;
mod json;
mod numbers;
mod plot;
mod table;
mod text;
mod words;

use std::io::Write;
use std::path::{Path, PathBuf};

use clap::{Args, ValueEnum};

use super::source;
use super::{Ending, Failure};
use crate::measure::Unit;
use crate::prose::Message;
use crate::series::{
    Band, Baseline, Capability, Cusum, Ewma, Individuals, LARGEST_SUBGROUP, NoIndex, Signal,
    Summary, Sums, Within, capability, signals,
};
use groups::{ChartedGroups, Grouping, by_own_part};
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
/// readings themselves. Where the parts don't scatter alike, --part names the
/// column that says which part a reading is of: each deviation is then divided by
/// the mean range of its own part.
///
/// With --subgroup, readings are charted in groups of that many, in the order of
/// the file: the mean of each group, and its range (X-bar and R) or its standard
/// deviation (X-bar and S). Rules, EWMA and CUSUM then look at the means.
///
/// With --at, the name is that of a batch. Every reading taken at that machine is
/// charted as its deviation from its own target, in the order taken.
///
/// How the results are calculated:
///   limits    mean +- 3 sigma; sigma is the mean moving range divided by 1.128.
///             With both --target and --sigma they are about the target instead.
///             At least two readings are needed.
///   groups    sigma is the mean range divided by d2, or the mean standard
///             deviation divided by c4; a mean has 3 sigma / sqrt(size). Ranges
///             lie within D3 and D4 times their mean, standard deviations within
///             B3 and B4 times theirs; from --sigma within D1 and D2, B5 and B6
///             times it.
///   part      sigma is 1/d2, and the limits are about 0.
///   rules     counted from the centre of the limits, in that sigma. A reading
///             on a boundary is not beyond it. `at` is the reading that completes
///             the pattern, counted from 1 in cut order.
///   ewma      starts at the target, one value per reading. Limits:
///             width x sigma x the square root of weight/(2 - weight).
///   cusum     sums of deviations from the target beyond the slack; a sum over
///             --decide is a signal. Both are in the unit of the readings. With
///             --head-start both sums begin at that share of --decide (fast
///             initial response); 0.5 is usual, and finds sooner what was off
///             from the beginning.
///   cp, cpk   from the standard deviation of all readings; `low` and `high`
///             are the 95 % confidence interval of cpk.
///
/// Keys of --format json: n, mean, sd, moving_range_mean,
/// limits{low,centre,high}, signals[{rule,at}] with rules named
/// `western electric 1` to `4`, `nelson 1` to `8` and `ewma`, ewma[],
/// cusum{high[],low[],signals[]}, capability{cp,cpk,low,high} or null,
/// subgroups{size,within,means[],spreads[],sigma,spread_limits{low,centre,high},
/// out[],left_over} or null. `within` is "range" or "sd"; `out` are the groups
/// outside spread_limits; `left_over` readings at the end fill no group. With
/// subgroups, `limits`, `at`, ewma and cusum are of the means.
///
/// With --format svg or html the picture is a drawing that needs no network: a hollow
/// diamond with its number is outside --limits, a square completes a pattern.
///
/// Exits with 1 when there is a signal or a reading outside --limits.
///
///   benchway chart readings.csv --target 0.750 --limits ±0.008
///   benchway chart thickness.csv --unit mm --limits 18.8..19.2 --column 2
///   benchway chart widths.csv --subgroup 5 --within sd
///   benchway chart "reading-stool 2026-11-25" --at "stop saw"
///   benchway chart readings.csv --unit mm --format html > chart.html
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

    /// Column that says which part a reading is of, by its heading
    #[arg(long, value_name = "NAME", conflicts_with_all = ["at", "sigma", "limits"])]
    part: Option<String>,

    /// Chart groups of so many readings
    #[arg(long, value_name = "N",
          value_parser = clap::value_parser!(u8).range(2..=LARGEST_SUBGROUP as i64))]
    subgroup: Option<u8>,

    /// What says how far apart a group is; the range if omitted, sd beyond 10 readings
    #[arg(long, value_enum, requires = "subgroup", conflicts_with = "part")]
    within: Option<WithinGroup>,

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

    /// CUSUM head start, as a share of the decision limit; 0.5 is usual
    #[arg(long, value_name = "0..1", default_value = "0", allow_hyphen_values = true)]
    head_start: String,

    /// Output for people (text), for programs (json), as a drawing (svg) or a page (html)
    #[arg(long, value_enum, default_value_t = ChartFormat::Text)]
    format: ChartFormat,
}

#[derive(Clone, Copy, Debug, ValueEnum)]
enum ChartFormat {
    Text,
    Json,
    Svg,
    Html,
}

#[derive(Clone, Copy, Debug, ValueEnum)]
enum WithinGroup {
    Range,
    Sd,
}

impl From<WithinGroup> for Within {
    fn from(within: WithinGroup) -> Within {
        match within {
            WithinGroup::Range => Within::Range,
            WithinGroup::Sd => Within::StandardDeviation,
        }
    }
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
    /// Present when the chart is of groups.
    groups: Option<ChartedGroups>,
    /// What is charted: the readings, or the means of the groups.
    charted: Vec<f64>,
    /// Whether sigma was given.
    sigma_given: bool,
    /// The standard deviation of what is charted.
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
    /// The batch it reads, where it reads one.
    #[cfg(feature = "meet")]
    pub(super) fn batch(&self) -> Option<&str> {
        self.at.as_ref().and(self.file.to_str())
    }

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
                let (column, part) = (self.column.as_deref(), self.part.as_deref());
                (table::read(&source, column, part, unit)?, unit, Ending::Fine)
            }
        };
        let numbers = NumberFormat { unit, comma: true };
        let report = self.report(numbers, readings)?;
        match self.format {
            ChartFormat::Text => text::print(&report, out)?,
            ChartFormat::Json => json::print(&report, out)?,
            ChartFormat::Svg => drawn::print_svg(&report, out)?,
            ChartFormat::Html => drawn::print_html(&report, out)?,
        }
        Ok(Ending::found(report.has_findings()).and(ending))
    }

    fn report(
        &self,
        numbers: NumberFormat,
        mut readings: ChartReadings,
    ) -> Result<ChartReport, Failure> {
        let grouping =
            self.subgroup.map(|size| Grouping::of(size.into(), self.within.map(Within::from)));
        let of_parts = by_own_part(&mut readings, grouping)?;
        // In ranges of its part a reading has no unit.
        let unit = numbers.unit.filter(|_| of_parts.is_none());
        let too_few = |_| {
            readings.refused("one reading can't be charted", "at least two readings are needed")
        };
        let summary = Summary::of(&readings.values).map_err(too_few)?;
        let individuals = Individuals::of(&readings.values).map_err(too_few)?;
        let standard = self.standard(numbers, &readings)?;
        let sigma = standard.sigma.or(of_parts);
        let aim = standard.aim;
        let groups = match grouping {
            Some(grouping) => Some(ChartedGroups::of(&readings, grouping, aim, sigma)?),
            None => None,
        };
        let charted =
            groups.as_ref().map_or(&readings.values, |groups| &groups.chart.means).clone();
        let (limits, spread) = match &groups {
            Some(ChartedGroups { chart, .. }) => {
                (chart.mean_limits, chart.sigma / (chart.size as f64).sqrt())
            }
            None => {
                let spread = sigma.unwrap_or(individuals.sigma);
                // Target and sigma together are a standard, whatever mean these readings have.
                let centre = aim.filter(|_| sigma.is_some()).unwrap_or(summary.mean);
                (Band::about(centre, 3.0 * spread), spread)
            }
        };
        let centre = aim.unwrap_or(limits.centre);
        let (ewma, cusum) = self.sums_about(numbers, centre, spread)?;
        let averages = ewma.averages(&charted);
        let mut sums = cusum.sums(&charted);
        let (mut rules, mut wandered) = (Vec::new(), Vec::new());
        // Identical readings have no scatter to judge by.
        if spread > 0.0 {
            rules = signals(&charted, &Baseline { centre: limits.centre, sigma: spread });
            wandered = outside(&averages, |average| ewma.steady().holds(average));
        } else if self.decide.is_none() {
            sums.signals.clear();
        }
        let bounds = standard.bounds;
        let values = &readings.values;
        let capability = bounds.map(|bounds| capability(values, bounds.low, bounds.high));
        let outside =
            bounds.map_or(Vec::new(), |bounds| outside(values, |value| bounds.hold(value)));
        Ok(ChartReport {
            readings,
            unit,
            target: aim,
            bounds,
            summary,
            individuals,
            groups,
            charted,
            sigma_given: standard.sigma.is_some(),
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

    /// What was given to judge by.
    fn standard(
        &self,
        numbers: NumberFormat,
        readings: &ChartReadings,
    ) -> Result<ChartStandard, Failure> {
        let target = given("--target", &self.target, |text| numbers.read(text))?;
        if let (Some(text), true) = (&self.target, readings.from_targets) {
            let what = "the file has a target for each reading";
            let help = "omit --target, or choose a --column";
            return Err(refused("--target", text, what, help));
        }
        let aim = if readings.from_targets { Some(0.0) } else { target };
        let bounds = given("--limits", &self.limits, |text| numbers.bounds(text, aim))?;
        let sigma = given("--sigma", &self.sigma, |text| numbers.over_zero(text))?;
        Ok(ChartStandard { aim, bounds, sigma })
    }

    /// The moving average and the cumulative sums about a centre, of numbers with that spread.
    fn sums_about(
        &self,
        numbers: NumberFormat,
        centre: f64,
        sigma: f64,
    ) -> Result<(Ewma, Cusum), Failure> {
        let slack = given("--slack", &self.slack, |text| numbers.zero_or_over(text))?;
        let decide = given("--decide", &self.decide, |text| numbers.over_zero(text))?;
        let plain = NumberFormat { unit: None, ..numbers };
        let weight = given("--weight", &Some(&self.weight), |text| plain.share(text))?;
        let width = given("--width", &Some(&self.width), |text| plain.over_zero(text))?;
        let ahead = given("--head-start", &Some(&self.head_start), |text| plain.below_one(text))?;
        let ewma =
            Ewma { centre, sigma, weight: weight.unwrap_or(0.2), width: width.unwrap_or(3.0) };
        let decide = decide.unwrap_or(5.0 * sigma);
        let slack = slack.unwrap_or(0.5 * sigma);
        let head_start = ahead.unwrap_or(0.0) * decide;
        Ok((ewma, Cusum { target: centre, slack, decide, head_start }))
    }
}

/// What was given to judge readings by.
struct ChartStandard {
    aim: Option<f64>,
    bounds: Option<ReadingBounds>,
    sigma: Option<f64>,
}

impl ChartReport {
    fn has_findings(&self) -> bool {
        !(self.signals.is_empty()
            && self.wandered.is_empty()
            && self.sums.signals.is_empty()
            && self.outside.is_empty()
            && self.groups.as_ref().is_none_or(|groups| groups.out.is_empty()))
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
