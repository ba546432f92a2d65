//! What a scale showed beside what the piece measured, with what else may have moved
//! the reading, and how far such readings come apart at one setting.

use std::collections::BTreeMap;

use crate::series::{MachineSpread, RowLimits, Spread, expected_spread, median};

/// What a scale showed and what the piece measured, in inches.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ScaleReading {
    /// What the scale showed.
    pub shown: f64,
    /// What the piece measured.
    pub made: f64,
    /// Expanded uncertainty (k = 2) of the reading.
    pub uncertainty: f64,
    /// Which setting of the scale it was cut at.
    pub setting: usize,
    /// Whether dust or a slip set some pieces of its series apart.
    pub some_apart: bool,
}

impl ScaleReading {
    /// The size over what the scale showed.
    pub fn over(&self) -> f64 {
        self.made - self.shown
    }
}

/// A reading of a scale, and what else may have moved it.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct ScaleRow {
    /// What the scale showed and the piece measured.
    pub reading: ScaleReading,
    /// The wood of the piece, where its part names one.
    pub wood: Option<String>,
    /// Which of the batches it is from, counted from 1.
    pub batch: usize,
    /// What that batch is called.
    pub called: String,
    /// Who read it, where somebody had said.
    pub who: Option<String>,
}

/// The standard error of a median over that of a mean, for many normal
/// readings: sqrt(pi / 2).
pub(super) const MEDIAN_IS_WIDER: f64 = 1.253_314;

/// By how much each reading is over what the scale showed, setting by setting.
pub(super) fn by_setting(pairs: &[ScaleReading]) -> BTreeMap<usize, Vec<f64>> {
    let mut rows: BTreeMap<usize, Vec<f64>> = BTreeMap::new();
    for pair in pairs {
        rows.entry(pair.setting).or_default().push(pair.over());
    }
    rows
}

/// The largest uncertainty among readings.
pub(super) fn coarsest(readings: &[ScaleReading]) -> f64 {
    readings.iter().map(|reading| reading.uncertainty).fold(0.0, f64::max)
}

/// The spread that `review` expects of readings at such a machine.
pub(super) fn expected(machine: MachineSpread, readings: &[ScaleReading]) -> Spread {
    let limits = RowLimits { uncertainty: coarsest(readings), band: None, settings: 0.0 };
    expected_spread(machine, limits, &[])
}

/// The spread at one setting: what was known pooled with what is seen.
pub(super) fn pooled_sd<'r>(rows: impl Iterator<Item = &'r Vec<f64>>, known: Spread) -> f64 {
    let (mut squares, mut freedom) = (0.0, 0);
    for row in rows {
        let middle = median(row).unwrap_or(0.0);
        squares += row.iter().map(|over| (over - middle).powi(2)).sum::<f64>();
        freedom += row.len() - 1;
    }
    let worth = known.worth + freedom as f64;
    ((known.worth * known.sd.powi(2) + squares) / worth).sqrt()
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Twenty readings of 3 and a row that lies 1, 0 and 4 from its median, which adds
    /// two free ones: sqrt((20 x 9 + 17) / 22) = 2.9924147.
    #[test]
    fn a_known_spread_is_pooled_with_what_is_seen() {
        let rows = BTreeMap::from([(0, vec![1.0, 2.0, 6.0]), (1, vec![5.0])]);
        let known = Spread { sd: 3.0, worth: 20.0, memory: 0.0 };
        assert!((pooled_sd(rows.values(), known) - 2.992_414_653).abs() < 1e-8);
    }
}
