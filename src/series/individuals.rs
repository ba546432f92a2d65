//! Limits of ordinary scatter for single readings, from the differences between one reading
//! and the next.
//!
//! They use d2 = 1.128 as printed, so that they agree with the handbook and with a pencil to
//! the last digit. The exact constant, 2/sqrt(pi), differs in the fourth and was rejected.
//!
//! The limits lie about the mean, and about the target only where sigma is given too: scatter
//! is judged against itself unless there is a standard to judge it by. Limits that always lie
//! about the target were rejected, because an offset would hide every other pattern.

use super::TooFew;
use super::summary::{mean, sum};

/// d2 for ranges of two, as printed; 2/sqrt(pi) is 1.128379.
pub const D2_OF_TWO: f64 = 1.128;
/// D4 for ranges of two, as printed; 1 + 3 d3/d2 is 3.266532.
pub const D4_OF_TWO: f64 = 3.267;

/// A centre line and the limits on either side of it, in the unit of the numbers.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Band {
    /// The lower limit.
    pub low: f64,
    /// The centre line.
    pub centre: f64,
    /// The upper limit.
    pub high: f64,
}

impl Band {
    /// A band with limits at the same distance on either side of its centre.
    pub fn about(centre: f64, half: f64) -> Band {
        Band { low: centre - half, centre, high: centre + half }
    }

    /// Whether a number is inside the limits or on one.
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
    /// The mean of the readings.
    pub mean: f64,
    /// The mean of the moving ranges.
    pub moving_range_mean: f64,
    /// Mean moving range / d2.
    pub sigma: f64,
}

impl Individuals {
    /// From two readings or more.
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

    /// The mean, and three sigma either way.
    pub fn limits(&self) -> Band {
        Band::about(self.mean, 3.0 * self.sigma)
    }

    /// The upper limit of a moving range, D4 times their mean; the lower one is 0.
    pub fn moving_range_high(&self) -> f64 {
        D4_OF_TWO * self.moving_range_mean
    }
}
