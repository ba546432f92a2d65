//! Limits of ordinary scatter for single readings, from how far each is from the last.
//! Knows nothing of rules on runs or of what was wanted.

use super::TooFew;
use super::summary::{mean, sum};

/// d2 for ranges of two, as the tables print it and people use it by hand; 2/sqrt(pi) is
/// 1.128379. So limits agree with the e-Handbook and with a pencil to the last digit.
pub const D2_OF_TWO: f64 = 1.128;
/// D4 for ranges of two, as printed; 1 + 3 d3/d2 is 3.266532.
pub const D4_OF_TWO: f64 = 3.267;

/// A line and the limits on either side of it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Band {
    pub low: f64,
    pub centre: f64,
    pub high: f64,
}

impl Band {
    pub fn about(centre: f64, half: f64) -> Band {
        Band { low: centre - half, centre, high: centre + half }
    }

    /// Inside or on a limit.
    pub fn holds(&self, value: f64) -> bool {
        self.low <= value && value <= self.high
    }
}

/// |x_i - x_{i-1}|, one fewer than there are numbers.
pub fn moving_ranges(values: &[f64]) -> Vec<f64> {
    values.windows(2).map(|pair| (pair[1] - pair[0]).abs()).collect()
}

/// The chart of single readings and moving ranges: NIST/SEMATECH e-Handbook 6.3.2.2.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Individuals {
    pub mean: f64,
    pub moving_range_mean: f64,
    /// Mean moving range / d2.
    pub sigma: f64,
}

impl Individuals {
    /// Takes two readings at least.
    pub fn of(values: &[f64]) -> Result<Individuals, TooFew> {
        TooFew::check(values.len(), 2)?;
        let ranges = moving_ranges(values);
        let moving_range_mean = sum(ranges.iter().copied()) / ranges.len() as f64;
        Ok(Individuals {
            mean: mean(values)?,
            moving_range_mean,
            sigma: moving_range_mean / D2_OF_TWO,
        })
    }

    /// Mean, three sigma either way.
    pub fn limits(&self) -> Band {
        Band::about(self.mean, 3.0 * self.sigma)
    }

    /// The most a moving range may be, D4 times their mean; the least is 0.
    pub fn moving_range_high(&self) -> f64 {
        D4_OF_TWO * self.moving_range_mean
    }
}
