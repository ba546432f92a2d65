//! Limits for the means and the ranges of small groups of readings.

use super::individuals::Band;
use super::summary::mean;
use super::{TooFew, constants};

/// The greatest less the least; 0 where there are no numbers.
pub fn range(values: &[f64]) -> f64 {
    let least = values.iter().copied().reduce(f64::min);
    let greatest = values.iter().copied().reduce(f64::max);
    greatest.zip(least).map_or(0.0, |(greatest, least)| greatest - least)
}

/// The chart of means and ranges: NIST/SEMATECH e-Handbook 6.3.2.1.
#[derive(Clone, Debug, PartialEq)]
pub struct Subgroups {
    /// The mean of each group.
    pub means: Vec<f64>,
    /// The range of each group.
    pub ranges: Vec<f64>,
    /// Mean of means, A2 times the mean range either way.
    pub mean_limits: Band,
    /// D3 and D4 times the mean range.
    pub range_limits: Band,
}

impl Subgroups {
    /// From groups of one size, 2 to 25. The error counts the groups when there are none, else
    /// the numbers in the first group of another size.
    pub fn of(groups: &[Vec<f64>]) -> Result<Subgroups, TooFew> {
        TooFew::check(groups.len(), 1)?;
        let size = groups[0].len();
        let factors = constants(size).ok_or(TooFew { have: size, need: 2 })?;
        if let Some(other) = groups.iter().find(|group| group.len() != size) {
            return Err(TooFew { have: other.len(), need: size });
        }
        let means = groups.iter().map(|group| mean(group)).collect::<Result<Vec<_>, _>>()?;
        let ranges: Vec<f64> = groups.iter().map(|group| range(group)).collect();
        let centre = mean(&ranges)?;
        Ok(Subgroups {
            mean_limits: Band::about(mean(&means)?, factors.a2 * centre),
            range_limits: Band {
                low: factors.big_d3 * centre,
                centre,
                high: factors.big_d4 * centre,
            },
            means,
            ranges,
        })
    }
}
