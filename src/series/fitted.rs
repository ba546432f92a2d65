//! A shape fitted to a row. Readings that lie far off whatever the rest looks like are left
//! out of the fit and named.

use super::cause::{Cause, LoneReading, RowLimits};
use super::expected::Spread;

/// A reading so many standard deviations from the rest lies far off: one in 370 does by
/// chance, where scatter is normal.
const FAR: f64 = 3.0;
/// At most one reading in so many lies far off: more are no chance.
const ONE_IN: usize = 4;

/// A cause as fitted to a row.
#[derive(Clone)]
pub(super) struct FittedCause {
    pub cause: Cause,
    /// The sum of squares it leaves unexplained.
    pub residual: f64,
    pub parameters: usize,
    /// The logarithm of the number of choices of pieces it is the best of.
    pub choices: f64,
    /// The readings it leaves out, the farthest first.
    pub lone: Vec<LoneReading>,
}

/// The readings of a row that a fit looks at.
pub(super) struct Kept {
    /// Each with its place from nought.
    pub readings: Vec<(usize, f64)>,
}

impl Kept {
    pub(super) fn values(&self) -> Vec<f64> {
        self.readings.iter().map(|(_, miss)| *miss).collect()
    }
}

/// A shape fitted to the readings that are kept: the cause, and what it expects at each
/// place of the row.
pub(super) struct Fitted {
    pub cause: Cause,
    pub expected: Vec<f64>,
    pub parameters: usize,
    pub choices: f64,
    /// From which place on readings scatter so many times as much, where they do.
    pub looser: Option<(usize, f64)>,
}

impl Fitted {
    /// With one parameter, and the best of nothing.
    pub(super) fn of(cause: Cause, expected: Vec<f64>) -> Fitted {
        Fitted { cause, expected, parameters: 1, choices: 0.0, looser: None }
    }

    /// How far a reading is off, as far as the scatter at its place goes.
    fn off(&self, (at, miss): (usize, f64)) -> f64 {
        let times = self.looser.filter(|(after, _)| at >= *after).map_or(1.0, |(_, times)| times);
        (miss - self.expected[at]) / times
    }
}

/// Fits a shape again and again without the reading that lies farthest off, as long as
/// one lies far off.
pub(super) fn without_lone(
    row: &[f64],
    spread: Spread,
    limits: RowLimits,
    shape: impl Fn(&Kept) -> Option<Fitted>,
) -> Option<FittedCause> {
    let far = (FAR * spread.sd).max(limits.uncertainty);
    let mut kept = Kept { readings: row.iter().copied().enumerate().collect() };
    let mut lone = Vec::new();
    loop {
        let fitted = shape(&kept)?;
        let off = |reading: &(usize, f64)| fitted.off(*reading).abs();
        let mut farthest: Vec<(usize, f64)> =
            kept.readings.iter().copied().filter(|reading| off(reading) > far).collect();
        farthest.sort_by(|one, other| off(other).total_cmp(&off(one)));
        // One at a time; in a long row a few, or it would be fitted for ever.
        let room = (row.len() / ONE_IN).saturating_sub(lone.len());
        farthest.truncate(room.min(1 + row.len() / 200));
        if farthest.is_empty() {
            for LoneReading { at, by } in &mut lone {
                *by = row[*at - 1] - fitted.expected[*at - 1];
            }
            let residual = kept.readings.iter().map(|reading| off(reading).powi(2)).sum();
            let Fitted { cause, parameters, choices, .. } = fitted;
            return Some(FittedCause { cause, residual, parameters, choices, lone });
        }
        kept.readings.retain(|(at, _)| farthest.iter().all(|(far, _)| far != at));
        lone.extend(farthest.iter().map(|(at, by)| LoneReading { at: at + 1, by: *by }));
    }
}
