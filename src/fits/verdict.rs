//! Ranges of sizes, and whether a clearance stays inside its limits.

use super::stack::Range;
use crate::measure::Length;

/// A length as a plain number of nanometres, the unit of all sums here.
pub(super) fn amount(length: Length) -> f64 {
    length.nanometres() as f64
}

/// A number of nanometres as a length, clamped to the longest there is.
pub(super) fn length(amount: f64) -> Length {
    let most = Length::LONGEST.nanometres() as f64;
    Length::from_nanometres_f64(amount.clamp(-most, most)).unwrap_or_default()
}

/// A range of sizes.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct SizeRange {
    /// The least.
    pub low: Length,
    /// The most.
    pub high: Length,
}

impl SizeRange {
    pub(super) fn of(range: Range) -> SizeRange {
        SizeRange { low: length(range.low), high: length(range.high) }
    }

    pub(super) fn range(self) -> Range {
        Range { low: amount(self.low), high: amount(self.high) }
    }

    /// Whether a size lies in it, ends included.
    pub fn contains(&self, size: Length) -> bool {
        self.low <= size && size <= self.high
    }
}

/// Whether a clearance stays inside its limits.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum FitVerdict {
    /// Yes, even with every check at the end of its limits.
    Worst,
    /// In all likelihood, but not at the worst.
    Likely,
    /// Not reliably.
    Not,
    /// Not even with every piece exactly to size.
    Nominal,
}

impl FitVerdict {
    /// Judges a clearance from its limits and the ranges it may take.
    pub(super) fn of(
        limits: SizeRange,
        nominal: Length,
        worst: SizeRange,
        likely: SizeRange,
    ) -> FitVerdict {
        let room = limits.range();
        if !limits.contains(nominal) {
            FitVerdict::Nominal
        } else if worst.range().within(&room) {
            FitVerdict::Worst
        } else if likely.range().within(&room) {
            FitVerdict::Likely
        } else {
            FitVerdict::Not
        }
    }

    /// Whether it can be relied on.
    pub fn counts(self) -> bool {
        matches!(self, FitVerdict::Worst | FitVerdict::Likely)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn both_ends_of_a_range_are_in_it() {
        let th = Length::thousandths;
        let range = SizeRange { low: th(10), high: th(20) };
        let found = [9, 10, 15, 20, 21].map(|size| range.contains(th(size)));
        assert_eq!(found, [false, true, true, true, false]);
    }
}
