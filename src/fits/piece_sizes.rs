//! How far the pieces of a planned dimension deviate, as a distribution to draw
//! from.
//!
//! Every draw takes one part between zero and one and looks up the size that such
//! a part of the pieces stays under. So the smallest of many pieces takes one draw,
//! too.

use statrs::distribution::{Continuous, ContinuousCDF, Normal};

use super::stack::Range;
use super::trials::{Draws, FINE};

/// The deviations of pieces from the size planned, in nanometres.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct PieceSizes {
    shape: SizeShape,
    /// Their mean.
    mean: f64,
    /// Their standard deviation.
    sd: f64,
}

#[derive(Clone, Copy, Debug, PartialEq)]
enum SizeShape {
    /// Any in a range, each as likely.
    Uniform(Range),
    /// Normal, as far as it lies in a range. `under` and `upto` are the parts of the
    /// whole normal distribution below the ends of that range.
    Normal { about: f64, sd: f64, range: Range, under: f64, upto: f64 },
}

/// The least part that is looked up, and as far from one the most: at zero and at one
/// a piece would be infinitely far off.
const LEAST: f64 = 1.0 / FINE;

/// A range that holds less than this part of a normal distribution about a size in it
/// is so narrow that every size in it is as likely.
const NARROW: f64 = 1e-3;

impl PieceSizes {
    /// Any in a range, each as likely.
    pub(super) fn uniform(range: Range) -> PieceSizes {
        let Range { low, high } = range;
        PieceSizes {
            shape: SizeShape::Uniform(range),
            mean: f64::midpoint(low, high),
            sd: (high - low) / 12f64.sqrt(),
        }
    }

    /// Normal, wherever it comes.
    pub(super) fn normal(about: f64, sd: f64) -> PieceSizes {
        let range = Range { low: f64::NEG_INFINITY, high: f64::INFINITY };
        let shape = SizeShape::Normal { about, sd, range, under: 0.0, upto: 1.0 };
        PieceSizes { shape, mean: about, sd }
    }

    /// Normal about a size in the range; what comes outside doesn't count. Mean and
    /// standard deviation are those of N. L. Johnson, S. Kotz and N. Balakrishnan,
    /// Continuous Univariate Distributions, volume 1, 1994, section 13.10.1.
    pub(super) fn normal_within(about: f64, sd: f64, range: Range) -> PieceSizes {
        let normal = Normal::standard();
        let (low, high) = ((range.low - about) / sd, (range.high - about) / sd);
        let (under, upto) = (normal.cdf(low), normal.cdf(high));
        let inside = upto - under;
        if inside < NARROW {
            return PieceSizes::uniform(range);
        }
        let (at_low, at_high) = (normal.pdf(low), normal.pdf(high));
        let off = (at_low - at_high) / inside;
        let variance = 1.0 + (low * at_low - high * at_high) / inside - off * off;
        PieceSizes {
            shape: SizeShape::Normal { about, sd, range, under, upto },
            mean: about + sd * off,
            sd: sd * variance.max(0.0).sqrt(),
        }
    }

    /// The deviation that such a part of the pieces stays under.
    fn under(&self, part: f64) -> f64 {
        match self.shape {
            SizeShape::Uniform(Range { low, high }) => low + (high - low) * part,
            SizeShape::Normal { about, sd, range, under, upto } => {
                let part = (under + (upto - under) * part).clamp(LEAST, 1.0 - LEAST);
                let off = Normal::standard().inverse_cdf(part);
                (about + sd * off).clamp(range.low, range.high)
            }
        }
    }

    /// One piece.
    pub(super) fn drawn(&self, draws: &mut Draws) -> f64 {
        self.under(draws.part())
    }

    /// The smallest of so many pieces; the largest there may be, of none.
    pub(super) fn smallest_of(&self, draws: &mut Draws, count: u32) -> f64 {
        self.under(draws.smallest_part_of(count))
    }

    /// The largest of so many pieces; the smallest there may be, of none.
    pub(super) fn largest_of(&self, draws: &mut Draws, count: u32) -> f64 {
        self.under(1.0 - draws.smallest_part_of(count))
    }

    /// The mean of so many pieces, as a normal distribution of it.
    pub(super) fn mean_of(&self, draws: &mut Draws, count: u32) -> f64 {
        let mean = self.mean + draws.normal() * self.sd / f64::from(count.max(1)).sqrt();
        match self.shape {
            SizeShape::Uniform(range) | SizeShape::Normal { range, .. } => {
                mean.clamp(range.low, range.high)
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn close(found: f64, wanted: f64) {
        assert!((found - wanted).abs() < 5e-5, "{found} is not {wanted}");
    }

    /// From the tables of the normal distribution: a quarter lies under -0.67449, one in
    /// forty under -1.95996.
    #[test]
    fn normal_pieces_have_the_quantiles_of_the_tables() {
        let sizes = PieceSizes::normal(5.0, 2.0);
        close(sizes.under(0.5), 5.0);
        close(sizes.under(0.25), 5.0 - 2.0 * 0.674_490);
        close(sizes.under(0.975), 5.0 + 2.0 * 1.959_964);
        assert!(sizes.under(0.0).is_finite() && sizes.under(1.0).is_finite());
        assert_eq!((sizes.mean, sizes.sd), (5.0, 2.0));
    }

    /// By hand. Within one standard deviation of the middle lie 0.682689; of these a quarter
    /// are under the size that 0.158655 + 0.682689 / 4 = 0.329328 of all are under, -0.44177.
    /// The density at the ends is 0.241971, so the variance is 1 - 2 x 0.241971 / 0.682689 =
    /// 0.291125, of which the root is 0.539560. Within 0 and 1, of the upper half alone, the
    /// mean is (0.398942 - 0.241971) / 0.341345 = 0.459861.
    #[test]
    fn normal_pieces_held_within_limits() {
        let sizes = PieceSizes::normal_within(0.0, 1.0, Range { low: -1.0, high: 1.0 });
        close(sizes.under(0.25), -0.441_77);
        close(sizes.under(0.0), -1.0);
        close(sizes.under(1.0), 1.0);
        close(sizes.mean, 0.0);
        close(sizes.sd, 0.539_560);
        let above = PieceSizes::normal_within(0.0, 1.0, Range { low: 0.0, high: 1.0 });
        close(above.mean, 0.459_861);
        // Within limits far wider than the spread nothing is held back.
        let wide = PieceSizes::normal_within(0.0, 1.0, Range { low: -9.0, high: 9.0 });
        close(wide.under(0.25), -0.674_490);
        close(wide.sd, 1.0);
    }

    /// A thousandth of the spread is as good as evenly filled, and limits without width
    /// leave one size.
    #[test]
    fn narrow_limits_are_evenly_filled() {
        let narrow = Range { low: 2.0, high: 2.001 };
        let sizes = PieceSizes::normal_within(2.0, 1.0, narrow);
        assert_eq!(sizes, PieceSizes::uniform(narrow));
        let none = PieceSizes::normal_within(2.0, 1.0, Range { low: 2.0, high: 2.0 });
        assert_eq!((none.under(0.0), none.under(1.0)), (2.0, 2.0));
    }

    /// By hand: the mean of the largest of three parts is 3/4, of the smallest 1/4. Of two
    /// normal pieces the larger is on average 1 / root pi = 0.56419 over the middle. Allowed:
    /// five standard errors of 200 000 draws, at most 0.0095.
    #[test]
    fn the_smallest_and_the_largest_of_several() {
        let mean = |one: &mut dyn FnMut(&mut Draws) -> f64| {
            let mut draws = Draws::new(6);
            (0..200_000).map(|_| one(&mut draws)).sum::<f64>() / 200_000.0
        };
        let parts = PieceSizes::uniform(Range { low: 0.0, high: 1.0 });
        let normal = PieceSizes::normal(0.0, 1.0);
        for (found, wanted) in [
            (mean(&mut |draws| parts.smallest_of(draws, 3)), 0.25),
            (mean(&mut |draws| parts.largest_of(draws, 3)), 0.75),
            (mean(&mut |draws| normal.smallest_of(draws, 2)), -0.564_19),
            (mean(&mut |draws| normal.largest_of(draws, 2)), 0.564_19),
            (mean(&mut |draws| normal.mean_of(draws, 4)), 0.0),
        ] {
            assert!((found - wanted).abs() < 0.0095, "{found} is not {wanted}");
        }
    }
}
