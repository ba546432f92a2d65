//! An average that forgets slowly, and how far it may wander.
//! Knows nothing of how its centre and sigma were found.

use super::Band;

/// The exponentially weighted moving average: S. W. Roberts, Technometrics 1 (1959);
/// NIST/SEMATECH e-Handbook 6.3.2.4.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Ewma {
    /// Where it starts and what its limits lie about.
    pub centre: f64,
    /// Standard deviation of one number.
    pub sigma: f64,
    /// What the newest number counts for: over 0, at most 1.
    pub weight: f64,
    /// Limits lie this many of the average's own sigmas from the centre.
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

    /// What the limits come to after many numbers: centre and
    /// width sigma sqrt(weight/(2 - weight)) either way. The e-Handbook uses it throughout.
    pub fn steady(&self) -> Band {
        Band::about(self.centre, self.width * self.sigma * self.share().sqrt())
    }

    /// The limits at the `i`th number, from 1: narrower, by
    /// sqrt(1 - (1 - weight)^(2i)), because an average of few has wandered less.
    pub fn at(&self, i: u32) -> Band {
        let grown = 1.0 - (1.0 - self.weight).powf(2.0 * f64::from(i));
        Band::about(self.centre, self.width * self.sigma * (self.share() * grown).sqrt())
    }

    fn share(&self) -> f64 {
        self.weight / (2.0 - self.weight)
    }
}
