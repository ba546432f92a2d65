//! Limits for the means of small groups of readings, and for how far apart the
//! readings of a group are.

use super::individuals::Band;
use super::summary::{mean, standard_deviation};
use super::{TooFew, constants};

/// The greatest less the least; 0 where there are no numbers.
pub fn range(values: &[f64]) -> f64 {
    let least = values.iter().copied().reduce(f64::min);
    let greatest = values.iter().copied().reduce(f64::max);
    greatest.zip(least).map_or(0.0, |(greatest, least)| greatest - least)
}

/// What says how far apart the readings of a group are.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Within {
    /// The greatest less the least: easy by hand, and as good in small groups.
    Range,
    /// Their standard deviation, which uses every reading of a large group.
    StandardDeviation,
}

/// The charts of means and of ranges or standard deviations: NIST/SEMATECH
/// e-Handbook 6.3.2.1.
#[derive(Clone, Debug, PartialEq)]
pub struct Subgroups {
    /// How many readings a group has.
    pub size: usize,
    /// What the second chart is of.
    pub within: Within,
    /// The mean of each group.
    pub means: Vec<f64>,
    /// The range or the standard deviation of each group.
    pub spreads: Vec<f64>,
    /// For the means.
    pub mean_limits: Band,
    /// For the ranges or the standard deviations.
    pub spread_limits: Band,
    /// The standard deviation of one reading within its group.
    pub sigma: f64,
}

impl Subgroups {
    /// From groups of one size, 2 to 25. Means have A2 times the mean range, or A3 times
    /// the mean standard deviation, either way of the mean of means; ranges have D3 and D4
    /// times their mean, standard deviations B3 and B4 times theirs. The error counts the
    /// groups when there are none, else the numbers in the first group of another size.
    pub fn of(groups: &[Vec<f64>], within: Within) -> Result<Subgroups, TooFew> {
        TooFew::check(groups.len(), 1)?;
        let size = groups[0].len();
        let factors = constants(size).ok_or(TooFew { have: size, need: 2 })?;
        if let Some(other) = groups.iter().find(|group| group.len() != size) {
            return Err(TooFew { have: other.len(), need: size });
        }
        let means = groups.iter().map(|group| mean(group)).collect::<Result<Vec<_>, _>>()?;
        let spreads = match within {
            Within::Range => groups.iter().map(|group| range(group)).collect(),
            Within::StandardDeviation => groups
                .iter()
                .map(|group| standard_deviation(group))
                .collect::<Result<Vec<_>, _>>()?,
        };
        let centre = mean(&spreads)?;
        let (of_mean, low, high, one) = match within {
            Within::Range => (factors.a2, factors.big_d3, factors.big_d4, factors.d2),
            Within::StandardDeviation => (factors.a3, factors.b3, factors.b4, factors.c4),
        };
        Ok(Subgroups {
            size,
            within,
            mean_limits: Band::about(mean(&means)?, of_mean * centre),
            spread_limits: Band { low: low * centre, centre, high: high * centre },
            means,
            spreads,
            sigma: centre / one,
        })
    }

    /// The same with limits from a known standard deviation of one reading: three sigma of a
    /// mean about `centre`, and three of a range or a standard deviation about what it then
    /// is on average (factors D1 and D2, B5 and B6).
    pub fn with_standard(self, centre: f64, sigma: f64) -> Subgroups {
        let Some(factors) = constants(self.size) else { return self };
        let (level, apart) = match self.within {
            Within::Range => (factors.d2, 3.0 * factors.d3),
            Within::StandardDeviation => (factors.c4, 3.0 * (1.0 - factors.c4.powi(2)).sqrt()),
        };
        let spread_limits = Band {
            low: (level - apart).max(0.0) * sigma,
            centre: level * sigma,
            high: (level + apart) * sigma,
        };
        let mean_limits = Band::about(centre, 3.0 * sigma / (self.size as f64).sqrt());
        Subgroups { mean_limits, spread_limits, sigma, ..self }
    }
}
