//! How well a spread fits between two limits, and how little a few readings say
//! about it. The order of the readings plays no part: the process must be steady.
//!
//! There is no Cp or Cpk from fewer than 25 readings: the true spread of ten is
//! anywhere between 0.69 and 1.83 times the spread seen. An index with a warning
//! was rejected, because people remember the index.
//!
//! Chi squared and normal quantiles come from `statrs` without its default
//! features. It brings one small crate with it, and nobody here has to prove an
//! incomplete gamma function. Tables and functions of our own were rejected.

use statrs::distribution::{ChiSquared, ContinuousCDF, Normal};
use thiserror::Error;

use super::{Summary, TooFew};

/// The fewest readings that an index is given for. With 95 % confidence the true
/// spread is then between 0.78 and 1.39 times the spread seen; with ten readings
/// it is between 0.69 and 1.83 times.
pub const FEWEST: usize = 25;

/// The indices of a known mean and standard deviation: NIST/SEMATECH e-Handbook 6.1.6.
/// With one limit only, there is only its side.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Indices {
    /// (high - low) / 6 s.
    pub cp: Option<f64>,
    /// (high - mean) / 3 s.
    pub upper: Option<f64>,
    /// (mean - low) / 3 s.
    pub lower: Option<f64>,
}

impl Indices {
    /// Cpk, the smaller of the two sides.
    pub fn cpk(&self) -> Option<f64> {
        self.upper.into_iter().chain(self.lower).reduce(f64::min)
    }
}

/// See [`Indices`]; all four numbers are in one unit, and `sd` is greater than zero.
pub fn indices(mean: f64, sd: f64, low: Option<f64>, high: Option<f64>) -> Indices {
    Indices {
        cp: high.zip(low).map(|(high, low)| (high - low) / (6.0 * sd)),
        upper: high.map(|high| (high - mean) / (3.0 * sd)),
        lower: low.map(|low| (mean - low) / (3.0 * sd)),
    }
}

/// An index with the confidence interval of its true value; without unit.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Index {
    /// As calculated from the readings.
    pub value: f64,
    /// The lower end of the interval.
    pub low: f64,
    /// The upper end of the interval.
    pub high: f64,
}

/// The quantiles of chi squared / (n - 1) that leave `confidence` between them.
fn chi_squared_ratios(n: usize, confidence: f64) -> Option<(f64, f64)> {
    let freedom = n.checked_sub(1)? as f64;
    let tail = tail(confidence)?;
    let chi_squared = ChiSquared::new(freedom).ok()?;
    let ratio = |share| chi_squared.inverse_cdf(share) / freedom;
    Some((ratio(tail), ratio(1.0 - tail)))
}

/// The share beyond a two-sided confidence on one side.
fn tail(confidence: f64) -> Option<f64> {
    (confidence > 0.0 && confidence < 1.0).then_some((1.0 - confidence) / 2.0)
}

/// The multiples of the standard deviation of `n` numbers between which the true one is:
/// sqrt((n - 1)/chi squared), e-Handbook 7.2.3.1. `None` for one number.
pub fn spread_factors(n: usize, confidence: f64) -> Option<(f64, f64)> {
    let (low, high) = chi_squared_ratios(n, confidence)?;
    Some((1.0 / high.sqrt(), 1.0 / low.sqrt()))
}

/// Cp sqrt(chi squared / (n - 1)) at either tail: e-Handbook 6.1.6.
pub fn cp_interval(cp: f64, n: usize, confidence: f64) -> Option<Index> {
    let (low, high) = chi_squared_ratios(n, confidence)?;
    Some(Index { value: cp, low: cp * low.sqrt(), high: cp * high.sqrt() })
}

/// Cpk +- z sqrt(1/(9 n) + Cpk^2/(2 (n - 1))): e-Handbook 6.1.6, good for large n.
pub fn cpk_interval(cpk: f64, n: usize, confidence: f64) -> Option<Index> {
    let freedom = n.checked_sub(1).filter(|freedom| *freedom > 0)? as f64;
    let z = Normal::standard().inverse_cdf(1.0 - tail(confidence)?);
    let half = z * (1.0 / (9.0 * n as f64) + cpk * cpk / (2.0 * freedom)).sqrt();
    Some(Index { value: cpk, low: cpk - half, high: cpk + half })
}

/// How well readings fit their limits.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Capability {
    /// `None` where there is only one limit.
    pub cp: Option<f64>,
    /// With its 95 % interval.
    pub cpk: Index,
}

/// Why there is no index.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Error)]
pub enum NoIndex {
    /// There are fewer readings than [`FEWEST`].
    #[error(transparent)]
    TooFew(#[from] TooFew),
    /// The spread is zero.
    #[error("all numbers are the same")]
    NoSpread,
    /// There is neither an upper nor a lower limit.
    #[error("there is no limit")]
    NoLimit,
}

/// The capability from the standard deviation over all readings, [`FEWEST`] or more.
pub fn capability(
    readings: &[f64],
    low: Option<f64>,
    high: Option<f64>,
) -> Result<Capability, NoIndex> {
    TooFew::check(readings.len(), FEWEST)?;
    let summary = Summary::of(readings)?;
    if summary.sd <= 0.0 {
        return Err(NoIndex::NoSpread);
    }
    let indices = indices(summary.mean, summary.sd, low, high);
    let cpk = indices.cpk().and_then(|cpk| cpk_interval(cpk, summary.n, 0.95));
    Ok(Capability { cp: indices.cp, cpk: cpk.ok_or(NoIndex::NoLimit)? })
}
