//! A clearance of sizes whose distributions are given, without a route: what it comes
//! to by its derivatives, and by trials through its formula.
//!
//! The derivatives give the standard deviation (JCGM 100:2008, 5.1.2); where every size
//! is normal and the formula a sum, the clearance is normal too. The trials propagate the
//! distributions themselves (JCGM 101:2008, 7), so they hold for any formula.

use statrs::distribution::{ContinuousCDF, Normal};

use super::stack::Range;
use super::trials::{Draws, Share};
use crate::formula::{DimensionKind, Formula, Program, Scope, Value, Web};
use crate::measure::Length;
use crate::prose::{Message, Span};

/// How a size is distributed, in nanometres.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Distribution {
    /// N(mean, sd^2).
    Normal {
        /// The mean.
        mean: f64,
        /// The standard deviation.
        sd: f64,
    },
    /// R(low, high): every size between as likely.
    Rectangular {
        /// The least.
        low: f64,
        /// The most.
        high: f64,
    },
}

impl Distribution {
    /// The mean.
    pub fn mean(self) -> f64 {
        match self {
            Distribution::Normal { mean, .. } => mean,
            Distribution::Rectangular { low, high } => f64::midpoint(low, high),
        }
    }

    /// The standard deviation; of a rectangle its width by the root of twelve
    /// (JCGM 100:2008, 4.3.7).
    pub fn sd(self) -> f64 {
        match self {
            Distribution::Normal { sd, .. } => sd,
            Distribution::Rectangular { low, high } => (high - low) / 12f64.sqrt(),
        }
    }

    fn drawn(self, draws: &mut Draws) -> f64 {
        match self {
            Distribution::Normal { mean, sd } => mean + sd * draws.normal(),
            Distribution::Rectangular { low, high } => draws.between(low, high),
        }
    }
}

/// A size by its name.
#[derive(Clone, Debug, PartialEq)]
pub struct GivenSize {
    /// What the formula calls it.
    pub name: String,
    /// How it is distributed.
    pub distribution: Distribution,
}

/// A clearance of given sizes, worked out; lengths in nanometres.
#[derive(Clone, Debug, PartialEq)]
pub struct GivenClearance {
    /// With every size at its mean.
    pub nominal: f64,
    /// Its standard deviation by the derivatives.
    pub sd: f64,
    /// How it grows as each size grows by one, in the order given.
    pub slopes: Vec<f64>,
    /// The share of each size in the variance; all zero where nothing varies.
    pub shares: Vec<f64>,
    /// The share inside the limits if it is normal; with limits only.
    pub normal_share: Option<f64>,
    /// What the trials gave.
    pub tried: GivenTrials,
}

/// What trials of a clearance gave.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct GivenTrials {
    /// The mean.
    pub mean: f64,
    /// The standard deviation.
    pub sd: f64,
    /// The middle 95 %: one in forty below, one in forty above.
    pub low: f64,
    /// The upper end of that.
    pub high: f64,
    /// How many were inside the limits; with limits only.
    pub inside: Option<Share>,
}

struct Means<'a>(&'a [GivenSize]);

impl Scope for Means<'_> {
    fn value(&self, name: &str) -> Result<Value, Message> {
        let size = self.0.iter().find(|size| size.name == name);
        let mean = size.map(|size| size.distribution.mean());
        let mean = mean.ok_or_else(|| {
            Message::<()>::error(format!("nothing says how `{name}` is distributed"))
                .help(format!("add --normal {name}=MEAN,SD or --uniform {name}=LOW,HIGH"))
        })?;
        let length = Value::of_length(Length::ZERO);
        Ok(Value::root(name, Value { amount: mean, ..length }))
    }
}

/// Works out a clearance of given sizes. `limits` are the least and the most it may be, in
/// nanometres, each of them optional.
pub fn given_clearance(
    formula: &Formula,
    sizes: &[GivenSize],
    limits: Option<(f64, f64)>,
    trials: u32,
    seed: u64,
) -> Result<GivenClearance, Message<Span>> {
    let value = formula.evaluate_as(DimensionKind::Length, &Means(sizes))?;
    let slopes: Vec<f64> =
        sizes.iter().map(|size| value.slope.get(&size.name).copied().unwrap_or(0.0)).collect();
    let moved = sizes.iter().zip(&slopes).map(|(size, slope)| slope * size.distribution.sd());
    let squares: Vec<f64> = moved.map(|by| by * by).collect();
    let variance: f64 = squares.iter().sum();
    let sd = variance.sqrt();
    let share = |square: &f64| if variance > 0.0 { square / variance } else { 0.0 };
    let limits = limits.map(|(low, high)| Range { low, high });
    Ok(GivenClearance {
        nominal: value.amount,
        sd,
        shares: squares.iter().map(share).collect(),
        slopes,
        normal_share: limits.map(|limits| normal_share(value.amount, sd, &limits)),
        tried: tried(formula, sizes, limits, trials, seed)?,
    })
}

/// The share of a normal distribution inside limits; without scatter all of it or none.
fn normal_share(mean: f64, sd: f64, limits: &Range) -> f64 {
    match Normal::new(mean, sd) {
        Ok(normal) if sd > 0.0 => normal.cdf(limits.high) - normal.cdf(limits.low),
        _ => f64::from(u8::from(Range { low: mean, high: mean }.within(limits))),
    }
}

fn tried(
    formula: &Formula,
    sizes: &[GivenSize],
    limits: Option<Range>,
    trials: u32,
    seed: u64,
) -> Result<GivenTrials, Message<Span>> {
    let input = |name: &str| sizes.iter().position(|size| size.name == name);
    let (web, length) = (Web::default(), DimensionKind::Length);
    let refused = || {
        let what = "it has no value for some of the sizes drawn";
        Message::error(what).at(0..formula.text().len())
    };
    let program =
        Program::of_formula(formula, length, &web, sizes.len(), &input).ok_or_else(refused)?;
    let (mut room, mut draws) = (program.room(), Draws::new(seed));
    let mut found = Vec::with_capacity(trials as usize);
    for _ in 0..trials {
        for (slot, size) in room.iter_mut().zip(sizes) {
            *slot = size.distribution.drawn(&mut draws);
        }
        found.push(program.run(&mut room).ok_or_else(refused)?);
    }
    let count = found.len() as f64;
    let mean = found.iter().sum::<f64>() / count;
    let squares: f64 = found.iter().map(|value| (value - mean).powi(2)).sum();
    let inside = limits.map(|limits| {
        let fitted = found.iter().filter(|value| **value >= limits.low && **value <= limits.high);
        Share { fitted: u32::try_from(fitted.count()).unwrap_or(trials), trials }
    });
    found.sort_by(f64::total_cmp);
    let tail = found.len() / 40;
    Ok(GivenTrials {
        mean,
        sd: (squares / (count - 1.0).max(1.0)).sqrt(),
        low: found.get(tail).copied().unwrap_or(mean),
        high: found.get(found.len().saturating_sub(tail + 1)).copied().unwrap_or(mean),
        inside,
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::measure::Unit;

    const TRIALS: u32 = 200_000;
    const ONE: f64 = Length::INCH.nanometres() as f64;

    fn normal(name: &str, mean: f64, sd: f64) -> GivenSize {
        let distribution = Distribution::Normal { mean: mean * ONE, sd: sd * ONE };
        GivenSize { name: name.to_owned(), distribution }
    }

    fn of(formula: &str, sizes: &[GivenSize], limits: Option<(f64, f64)>) -> GivenClearance {
        let formula = Formula::parse(formula, Unit::Inch).unwrap();
        let limits = limits.map(|(low, high)| (low * ONE, high * ONE));
        given_clearance(&formula, sizes, limits, TRIALS, 1).unwrap()
    }

    fn near(found: f64, wanted: f64, within: f64) {
        assert!((found - wanted).abs() <= within, "{found} is not {wanted}");
    }

    /// D. C. Montgomery and G. C. Runger, Applied Statistics and Probability for Engineers,
    /// 5th ed., problem 5-66: A - B - C of N(10, 0.1), N(2, 0.05), N(2, 0.05) has mean 6 and
    /// sd 0.12247, and is under 5.9 with probability 0.20711 (recomputed). Shares by hand:
    /// 0.01, 0.0025, 0.0025 of 0.015.
    #[test]
    fn a_u_shaped_component() {
        let sizes = [normal("a", 10.0, 0.1), normal("b", 2.0, 0.05), normal("c", 2.0, 0.05)];
        let found = of("a - b - c", &sizes, Some((5.9, 1000.0)));
        near(found.nominal / ONE, 6.0, 1e-9);
        near(found.sd / ONE, 0.122_474_487, 1e-8);
        near(found.normal_share.unwrap(), 1.0 - 0.207_108_089, 1e-8);
        near(found.shares[0], 2.0 / 3.0, 1e-9);
        assert_eq!(found.slopes, [1.0, -1.0, -1.0]);
        // Four standard errors of so many trials.
        near(found.tried.inside.unwrap().found(), 1.0 - 0.207_108, 0.0037);
        near(found.tried.sd / ONE, 0.122_474, 0.000_8);
    }

    /// The same authors, exercise of ch. 5: casing N(24, 1/8), door N(23 7/8, 1/16): clearance
    /// 0.125, sd 0.13975, no room in 0.18555 of cases, over 1/4 in as many (recomputed).
    #[test]
    fn a_door_in_its_casing() {
        let sizes = [normal("casing", 24.0, 0.125), normal("door", 23.875, 0.0625)];
        let found = of("casing - door", &sizes, Some((0.0, 0.25)));
        near(found.sd / ONE, 0.139_754_249, 1e-8);
        near(found.normal_share.unwrap(), 1.0 - 2.0 * 0.185_546_685, 1e-8);
    }

    /// JCGM 101:2008, 9.2.2, table 2: four standard normal sizes have 2.0 and ±3.92; 9.2.3,
    /// table 3: four rectangular ones of sd 1 have 2.0 and ±3.88.
    #[test]
    fn sums_of_four() {
        let names = ["a", "b", "c", "d"];
        let sizes = names.map(|name| normal(name, 0.0, 1.0));
        let found = of("a + b + c + d", &sizes, None);
        near(found.sd / ONE, 2.0, 1e-9);
        near(found.tried.low / ONE, -3.92, 0.05);
        near(found.tried.high / ONE, 3.92, 0.05);
        assert_eq!((found.normal_share, found.tried.inside), (None, None));
        let side = 3f64.sqrt() * ONE;
        let flat = Distribution::Rectangular { low: -side, high: side };
        let sizes = names.map(|name| GivenSize { name: name.to_owned(), distribution: flat });
        let found = of("a + b + c + d", &sizes, None);
        near(found.sd / ONE, 2.0, 1e-9);
        near(found.tried.low / ONE, -3.88, 0.05);
        near(found.tried.high / ONE, 3.88, 0.05);
    }

    /// Of a square root no slope follows the scatter: at the mean, 4, it is 1/4, so that by the
    /// derivatives R(0, 8) has 2.309 / 4 = 0.577. By hand, of the root itself: mean 2/3 x
    /// root 8 = 1.8856, mean square 4, sd = the root of 4 - 3.5556 = 0.6667.
    #[test]
    fn trials_follow_the_formula_where_a_slope_does_not() {
        let flat = Distribution::Rectangular { low: 0.0, high: 8.0 * ONE };
        let size = GivenSize { name: "a".to_owned(), distribution: flat };
        let found = of("sqrt(a * 1 in)", &[size], None);
        near(found.sd / ONE, 0.577_35, 1e-4);
        near(found.tried.mean / ONE, 1.885_6, 0.006);
        near(found.tried.sd / ONE, 0.666_7, 0.004);
    }

    #[test]
    fn a_name_without_a_distribution_is_refused() {
        let formula = Formula::parse("a - b", Unit::Inch).unwrap();
        let refused = given_clearance(&formula, &[normal("a", 1.0, 0.1)], None, 100, 1);
        assert!(refused.unwrap_err().to_string().contains("how `b` is distributed"));
    }
}
