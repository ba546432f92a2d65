//! `fits --is`: one clearance of sizes whose distributions are given.

use std::io::Write;

use clap::{Args, ValueEnum};
use serde::Serialize;

use crate::cli::page::{TableRow, TextPage, json};
use crate::cli::{Ending, Failure, Format};
use crate::fits::wording::percent;
use crate::fits::{Distribution, GivenClearance, GivenSize, GivenTrials, given_clearance};
use crate::formula::Formula;
use crate::measure::{Entry, Unit, parse_entry};
use crate::prose::Message;

/// A clearance and its sizes, as they are typed.
#[derive(Debug, Args)]
pub(super) struct GivenFitArguments {
    /// A clearance of sizes given here, in place of a route
    #[arg(long, value_name = "FORMULA", conflicts_with = "named", allow_hyphen_values = true)]
    is: Option<String>,

    /// A normal size: its mean and standard deviation
    #[arg(long, value_name = "NAME=MEAN,SD", requires = "is")]
    normal: Vec<String>,

    /// A size anywhere between two
    #[arg(long, value_name = "NAME=LOW,HIGH", requires = "is")]
    uniform: Vec<String>,

    /// The least and the most that clearance may be: 0.002..0.010
    #[arg(long, value_name = "LOW..HIGH", requires = "is", allow_hyphen_values = true)]
    limits: Option<String>,

    /// What a bare number is in
    #[arg(long, value_enum, requires = "is", default_value_t = GivenUnit::In)]
    unit: GivenUnit,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
enum GivenUnit {
    In,
    Mm,
}

impl From<GivenUnit> for Unit {
    fn from(unit: GivenUnit) -> Unit {
        match unit {
            GivenUnit::In => Unit::Inch,
            GivenUnit::Mm => Unit::Millimetre,
        }
    }
}

fn refused(option: &'static str, given: &str, why: Message) -> Failure {
    Failure::Option { option, given: given.to_owned(), why }
}

/// The limits of a clearance in nanometres; where one is missing there is none.
#[derive(Clone, Copy)]
struct GivenLimits {
    low: Option<f64>,
    high: Option<f64>,
}

/// A clearance worked out, for either format.
struct GivenReport<'a> {
    formula: &'a Formula,
    sizes: &'a [GivenSize],
    limits: Option<GivenLimits>,
    trials: u32,
    found: GivenClearance,
}

impl GivenFitArguments {
    pub(super) fn run(
        &self,
        trials: u32,
        seed: u64,
        format: Format,
        out: &mut dyn Write,
    ) -> Result<Ending, Failure> {
        let (text, unit) = (self.is.as_deref().unwrap_or_default(), Unit::from(self.unit));
        let wrong = |why: Message<_>| refused("--is", text, why.anywhere());
        let formula = Formula::parse(text, unit).map_err(wrong)?;
        let sizes = self.sizes(unit)?;
        let limits = self.limits.as_deref().map(|text| read_limits(text, unit)).transpose()?;
        let between = limits.map(|GivenLimits { low, high }| {
            (low.unwrap_or(f64::NEG_INFINITY), high.unwrap_or(f64::INFINITY))
        });
        let found = given_clearance(&formula, &sizes, between, trials, seed).map_err(wrong)?;
        let held =
            between.is_none_or(|(low, high)| found.tried.low >= low && found.tried.high <= high);
        let report = GivenReport { formula: &formula, sizes: &sizes, limits, trials, found };
        match format {
            Format::Text => report.print(out)?,
            Format::Json => json(&report.answer(), out)?,
        }
        Ok(Ending::found(!held))
    }

    /// The sizes in the order of their kinds, each named once.
    fn sizes(&self, unit: Unit) -> Result<Vec<GivenSize>, Failure> {
        let mut sizes: Vec<GivenSize> = Vec::new();
        let normal = self.normal.iter().map(|text| ("--normal", text));
        for (option, text) in normal.chain(self.uniform.iter().map(|text| ("--uniform", text))) {
            let size = read_size(option, text, unit).map_err(|why| refused(option, text, why))?;
            if sizes.iter().any(|other| other.name == size.name) {
                let why = Message::error(format!("`{}` is given twice", size.name));
                return Err(refused(option, text, why));
            }
            sizes.push(size);
        }
        Ok(sizes)
    }
}

/// A number in the unit, or a length with its own, in nanometres.
fn read_number(text: &str, unit: Unit) -> Result<f64, Message> {
    let plain = text.trim().parse::<f64>().ok().filter(|number| number.is_finite());
    match plain {
        Some(number) => Ok(number * unit.one().nanometres() as f64),
        None => {
            let typed = parse_entry(text.trim(), &Entry { bare: unit, mark: None });
            Ok(typed.map_err(|why| why.anywhere())?.value.nanometres() as f64)
        }
    }
}

fn read_size(option: &str, text: &str, unit: Unit) -> Result<GivenSize, Message> {
    let help = match option {
        "--normal" => "write it as --normal groove=0.262,0.001",
        _ => "write it as --uniform groove=0.260,0.264",
    };
    let two = text.split_once('=').and_then(|(name, of)| {
        let (one, other) = of.split_once(',').filter(|(_, other)| !other.contains(','))?;
        Some((name.trim(), one, other))
    });
    let Some((name, one, other)) = two else {
        let what = "a name, an = and two numbers with a comma between them are expected";
        return Err(Message::error(what).help(help));
    };
    let (one, other) = (read_number(one, unit)?, read_number(other, unit)?);
    let distribution = match option {
        "--normal" if other < 0.0 => {
            return Err(Message::error("a standard deviation can't be negative"));
        }
        "--normal" => Distribution::Normal { mean: one, sd: other },
        _ if one > other => return Err(Message::error("the first is above the second")),
        _ => Distribution::Rectangular { low: one, high: other },
    };
    Ok(GivenSize { name: name.to_owned(), distribution })
}

fn read_limits(text: &str, unit: Unit) -> Result<GivenLimits, Failure> {
    let wrong = |why: Message| refused("--limits", text, why);
    let (low, high) = text.split_once("..").ok_or_else(|| {
        wrong(Message::error("two sizes with .. between them are expected").help("0.002..0.010"))
    })?;
    let end = |text: &str| match text.trim() {
        "" => Ok(None),
        text => read_number(text, unit).map(Some).map_err(wrong),
    };
    match (end(low)?, end(high)?) {
        (None, None) => Err(wrong(Message::error("a number is needed on one side of .."))),
        (Some(low), Some(high)) if low > high => {
            Err(wrong(Message::error("the low limit is above the high one")))
        }
        (low, high) => Ok(GivenLimits { low, high }),
    }
}

#[derive(Serialize)]
struct GivenFitAnswer<'a> {
    is: &'a str,
    unit: Unit,
    limits: Option<GivenLimitsAnswer>,
    nominal: f64,
    sd: f64,
    normal_share: Option<f64>,
    tried: GivenTrialsAnswer,
    sizes: Vec<GivenSizeAnswer<'a>>,
}

#[derive(Serialize)]
struct GivenLimitsAnswer {
    low: Option<f64>,
    high: Option<f64>,
}

#[derive(Serialize)]
struct GivenTrialsAnswer {
    trials: u32,
    mean: f64,
    sd: f64,
    low: f64,
    high: f64,
    fitted: Option<u32>,
    share: Option<f64>,
}

#[derive(Serialize)]
struct GivenSizeAnswer<'a> {
    name: &'a str,
    distribution: &'static str,
    mean: f64,
    sd: f64,
    slope: f64,
    share: f64,
}

/// Column where the numbers begin.
const NUMBERS: usize = 12;
/// Widest bar of a share.
const BAR: usize = 10;

impl GivenReport<'_> {
    /// In the unit, rounded only where binary numbers leave a trace.
    fn number(&self, nanometres: f64) -> f64 {
        let number = nanometres / self.formula.unit().one().nanometres() as f64;
        (number * 1e9).round() / 1e9
    }

    fn answer(&self) -> GivenFitAnswer<'_> {
        let GivenClearance { nominal, sd, normal_share, tried, .. } = &self.found;
        let of = |amount: f64| self.number(amount);
        let sizes = self.sizes.iter().zip(self.found.slopes.iter().zip(&self.found.shares));
        let size = |(size, (slope, share)): (&'_ GivenSize, (&f64, &f64))| {
            let distribution = match size.distribution {
                Distribution::Normal { .. } => "normal",
                Distribution::Rectangular { .. } => "uniform",
            };
            (distribution, of(size.distribution.mean()), of(size.distribution.sd()), *slope, *share)
        };
        GivenFitAnswer {
            is: self.formula.text(),
            unit: self.formula.unit(),
            limits: self.limits.map(|limits| GivenLimitsAnswer {
                low: limits.low.map(of),
                high: limits.high.map(of),
            }),
            nominal: of(*nominal),
            sd: of(*sd),
            normal_share: *normal_share,
            tried: GivenTrialsAnswer {
                trials: self.trials,
                mean: of(tried.mean),
                sd: of(tried.sd),
                low: of(tried.low),
                high: of(tried.high),
                fitted: tried.inside.map(|share| share.fitted),
                share: tried.inside.map(|share| share.found()),
            },
            sizes: sizes
                .map(|pair| {
                    let (distribution, mean, sd, slope, share) = size(pair);
                    let name = pair.0.name.as_str();
                    GivenSizeAnswer { name, distribution, mean, sd, slope, share }
                })
                .collect(),
        }
    }

    /// A number to four significant digits of the scatter, or as given where there is none.
    fn shown(&self, nanometres: f64) -> String {
        let (number, sd) = (self.number(nanometres), self.number(self.found.sd));
        let places = if sd > 0.0 { (3.0 - sd.log10().floor()).clamp(0.0, 9.0) } else { 6.0 };
        format!("{number:.*}", places as usize)
    }

    fn print(&self, out: &mut dyn Write) -> std::io::Result<()> {
        let GivenClearance { nominal, sd, normal_share, tried, .. } = &self.found;
        let GivenTrials { mean, sd: tried_sd, low, high, inside } = tried;
        let mut page = TextPage::new(out, 2);
        let unit = self.formula.unit();
        let unit = match unit {
            Unit::Inch => "inches",
            Unit::Millimetre => "millimetres",
        };
        page.line(0, &format!("a clearance of given sizes, in {unit}"))?;
        page.line(2, &format!("= {}", self.formula.text()))?;
        let mut entry = |name: &str, is: &str| page.entry(TableRow::new(2, name), NUMBERS, is);
        let limits = self.limits.map_or(String::new(), |limits| {
            let end = |end: Option<f64>| end.map_or(String::new(), |end| self.shown(end));
            format!(", limits {}..{}", end(limits.low), end(limits.high))
        });
        entry("nominal", &format!("{}{limits}", self.shown(*nominal)))?;
        entry("sd", &format!("{}, by the derivatives", self.shown(*sd)))?;
        entry("simulated", &format!("mean {}, sd {}", self.shown(*mean), self.shown(*tried_sd)))?;
        entry(
            "likely",
            &format!("{} to {}, the middle 95 %", self.shown(*low), self.shown(*high)),
        )?;
        if let Some(share) = normal_share {
            entry("fits", &format!("{:.3} % if the clearance is normal", share * 100.0))?;
        }
        if let Some(share) = inside {
            let (low, high) = share.between();
            let fine = |share: f64| format!("{:.2}", share * 100.0);
            entry(
                "fits",
                &format!(
                    "{} % of {} simulated ({} to {} %)",
                    fine(share.found()),
                    share.trials,
                    fine(low),
                    fine(high)
                ),
            )?;
        }
        for (size, (slope, share)) in
            self.sizes.iter().zip(self.found.slopes.iter().zip(&self.found.shares))
        {
            let given = match size.distribution {
                Distribution::Normal { mean, sd } => {
                    format!("normal, {} sd {}", self.shown(mean), self.shown(sd))
                }
                Distribution::Rectangular { low, high } => {
                    format!("uniform, {} to {}", self.shown(low), self.shown(high))
                }
            };
            let bar = "#".repeat((share * BAR as f64).round() as usize);
            let row = TableRow::new(4, &size.name)
                .cell(20, &given)
                .cell(50, &format!("x {slope:+.3}"))
                .cell(60, &bar)
                .right(76, &percent(*share));
            page.row(row)?;
        }
        Ok(())
    }
}
