//! How the clearances of simulated articles are distributed: how many there are in each of
//! some bins.
//!
//! The edges are fixed before the first trial, from the limits and the likely range, so that
//! one seed always gives the same counts. Both limits are edges, so that all clearances of a
//! bin fit, or none. Rejected: bins of what was found, whose edges move with the luck of the
//! draw, and in which a limit lies anywhere.

use super::stack::Range;
use super::verdict::length;
use crate::measure::Length;

/// So many bins cover the limits and the likely range together.
const BINS: f64 = 36.0;

/// More bins than this are too narrow to see.
const MOST_BINS: f64 = 120.0;

/// Half the likely range further, few clearances are left.
const BEYOND: f64 = 0.5;

/// Clearances of simulated articles, counted.
#[derive(Clone, Debug, PartialEq)]
pub struct TrialHistogram {
    /// The lower edge of the first bin, and how wide each is, in nanometres.
    first: f64,
    width: f64,
    counts: Vec<u32>,
    /// The bins that fit, from the first to the one after the last.
    fitting: (usize, usize),
    /// Clearances under the low limit.
    pub under: u32,
    /// Clearances over the high limit.
    pub over: u32,
    /// Of those the ones below the first bin, and above the last.
    pub beyond: (u32, u32),
}

/// One bin.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct HistogramBin {
    /// Its lower edge.
    pub low: Length,
    /// Its upper edge.
    pub high: Length,
    /// How many clearances there are in it.
    pub count: u32,
    /// Whether they fit.
    pub fits: bool,
}

impl TrialHistogram {
    /// Empty bins over the limits and the likely range.
    pub(super) fn over(limits: &Range, likely: &Range) -> TrialHistogram {
        let beyond = (likely.high - likely.low) * BEYOND;
        let low = limits.low.min(likely.low - beyond);
        let high = limits.high.max(likely.high + beyond);
        let wanted = ((high - low) / BINS).max(1.0);
        let band = limits.high - limits.low;
        // Limits closer than a bin share one, however narrow it is.
        let inside = (band / wanted).round().max(1.0);
        let width = (band / inside).max((high - low) / MOST_BINS).max(1.0);
        let inside = (band / width).round().max(1.0) as usize;
        let below = ((limits.low - low) / width).ceil().max(1.0) as usize;
        let above = ((high - limits.low) / width).ceil() as usize;
        let above = (above + 1).max(inside + 1) - inside;
        TrialHistogram {
            first: limits.low - below as f64 * width,
            width,
            counts: vec![0; below + inside + above],
            fitting: (below, below + inside),
            under: 0,
            over: 0,
            beyond: (0, 0),
        }
    }

    /// Counts a clearance that was found to fit, or not.
    pub(super) fn count(&mut self, clearance: f64, fits: bool, limits: &Range) {
        let (from, to) = self.fitting;
        let place = ((clearance - self.first) / self.width).floor();
        let last = self.counts.len() - 1;
        // What rounding takes over a limit still fits.
        let place = if fits {
            (place.max(0.0) as usize).clamp(from, to - 1)
        } else if clearance < limits.low {
            self.under += 1;
            if place < 0.0 {
                self.beyond.0 += 1;
                return;
            }
            (place as usize).min(from - 1)
        } else {
            self.over += 1;
            if place > last as f64 {
                self.beyond.1 += 1;
                return;
            }
            (place.max(0.0) as usize).clamp(to, last)
        };
        self.counts[place] += 1;
    }

    /// The bins from the smallest clearance to the largest.
    pub fn bins(&self) -> impl Iterator<Item = HistogramBin> {
        let edge = |n: usize| length(self.first + n as f64 * self.width);
        let (from, to) = self.fitting;
        self.counts.iter().enumerate().map(move |(n, count)| HistogramBin {
            low: edge(n),
            high: edge(n + 1),
            count: *count,
            fits: (from..to).contains(&n),
        })
    }

    /// Everything from the lower edge of the first bin to the upper one of the last.
    pub fn range(&self) -> (Length, Length) {
        let high = self.first + self.counts.len() as f64 * self.width;
        (length(self.first), length(high))
    }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    fn range(low: f64, high: f64) -> Range {
        Range { low, high }
    }

    /// By hand: limits of 2000 to 10000 and a likely range of 4000 to 8000, whose half beyond
    /// lies on the limits, make bins of 8000 / 36 = 222.2; of these 36 fit, and there is one
    /// on either side.
    #[test]
    fn limits_are_edges() {
        let limits = range(2000.0, 10_000.0);
        let mut held = TrialHistogram::over(&limits, &range(4000.0, 8000.0));
        for (clearance, fits) in [
            (2000.0, true),
            (1999.0, true),
            (1900.0, false),
            (100.0, false),
            (5000.0, true),
            (10_000.0, true),
            (10_100.0, false),
            (99_000.0, false),
        ] {
            held.count(clearance, fits, &limits);
        }
        let bins: Vec<HistogramBin> = held.bins().collect();
        assert_eq!((bins.len(), held.under, held.over, held.beyond), (38, 2, 2, (1, 1)));
        let fit: Vec<&HistogramBin> = bins.iter().filter(|bin| bin.fits).collect();
        assert_eq!(fit.len(), 36);
        assert_eq!((fit[0].low, fit[0].count), (Length::from_nanometres(2000), 2));
        // (5000 - 2000) / 222.2 is 13.5.
        assert_eq!((fit[13].count, fit[35].count), (1, 1));
        assert_eq!(fit[35].high, Length::from_nanometres(10_000));
        assert_eq!((bins[0].count, bins[37].count), (1, 1));
    }

    proptest! {
        /// Always: Every simulated clearance is counted once, and as many fit in the bins as fit.
        #[test]
        fn each_clearance_is_counted_once(
            low in -1e6..1e6_f64,
            band in 0.0..1e6_f64,
            middle in -2e6..2e6_f64,
            half in 0.0..1e6_f64,
            found in prop::collection::vec(-4e6..4e6_f64, 0..60),
        ) {
            let limits = range(low, low + band);
            let mut held = TrialHistogram::over(&limits, &range(middle - half, middle + half));
            let is_in = |clearance: f64| range(clearance, clearance).within(&limits);
            for clearance in &found {
                held.count(*clearance, is_in(*clearance), &limits);
            }
            let fitted = found.iter().filter(|clearance| is_in(**clearance)).count();
            let all: u32 = held.bins().map(|bin| bin.count).sum();
            let fit: u32 = held.bins().filter(|bin| bin.fits).map(|bin| bin.count).sum();
            prop_assert_eq!(fit as usize, fitted);
            prop_assert_eq!((fit + held.under + held.over) as usize, found.len());
            prop_assert_eq!((all + held.beyond.0 + held.beyond.1) as usize, found.len());
            prop_assert!(held.bins().count() <= 2 * MOST_BINS as usize);
        }
    }
}
