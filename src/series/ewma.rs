//! The exponentially weighted moving average and its limits.

use super::Band;

/// The exponentially weighted moving average: S. W. Roberts, Technometrics 1 (1959);
/// NIST/SEMATECH e-Handbook 6.3.2.4.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Ewma {
    /// Where it starts, and the middle of its limits.
    pub centre: f64,
    /// Standard deviation of one number.
    pub sigma: f64,
    /// The weight of the newest number: greater than 0, at most 1.
    pub weight: f64,
    /// The distance of the limits from the centre, in sigmas of the average.
    pub width: f64,
}

impl Ewma {
    /// z_i = weight x_i + (1 - weight) z_{i-1}, with z_0 the centre: one average for
    /// each number, the start not among them.
    pub fn averages(&self, values: &[f64]) -> Vec<f64> {
        let mut average = self.centre;
        let next = |value: &f64| {
            average = self.weight * value + (1.0 - self.weight) * average;
            average
        };
        values.iter().map(next).collect()
    }

    /// The limits after many numbers: centre and
    /// width sigma sqrt(weight/(2 - weight)) either way. The e-Handbook uses it throughout.
    pub fn steady(&self) -> Band {
        Band::about(self.centre, self.width * self.sigma * self.share().sqrt())
    }

    /// The limits at the `i`th number, from 1: narrower, by
    /// sqrt(1 - (1 - weight)^(2i)), because an average of few
    /// numbers varies less.
    pub fn at(&self, i: u32) -> Band {
        let grown = 1.0 - (1.0 - self.weight).powf(2.0 * f64::from(i));
        Band::about(self.centre, self.width * self.sigma * (self.share() * grown).sqrt())
    }

    fn share(&self) -> f64 {
        self.weight / (2.0 - self.weight)
    }
}
