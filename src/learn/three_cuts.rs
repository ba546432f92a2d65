//! Three cuts at one setting: how far off a scale is, before any batch was made on it.
//!
//! Offset and uncertainty are found as in `scales.rs`, only from the mean: three readings
//! typed one after another are looked at, so no gross misreading hides among them. The
//! scatter is that of the three, pooled with what is known or usual of the machine, because
//! three pieces alone tell little of it.

use super::scale_reading::{ScaleReading, expected};
use crate::measure::Length;
use crate::series::MachineSpread;

/// How many pieces are cut.
pub const CUTS: usize = 3;

/// Three readings of one source lie further apart than this many standard deviations once
/// in a hundred times: the upper 1 % point of the range of three, E. S. Pearson and
/// H. O. Hartley, Biometrika Tables for Statisticians, volume 1, table 22.
const RANGE_OF_THREE: f64 = 4.12;

/// Pieces that were cut at one setting of a scale, and what they measure.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ThreeCuts {
    /// What the scale showed.
    pub shown: Length,
    /// What each piece measures.
    pub made: [Length; CUTS],
    /// Expanded uncertainty (k = 2) of one reading of the gauge.
    pub gauge: Length,
    /// The smallest step of the scale.
    pub step: Length,
    /// How far apart the machine leaves pieces.
    pub machine: MachineSpread,
}

/// What three cuts say of a scale.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct FoundOffset {
    /// Made size less what the scale showed: the mean of the three.
    pub offset: Length,
    /// How far apart the three came: one standard deviation, the gauge's scatter in it.
    pub spread: Length,
    /// Expanded uncertainty (k = 2) of the offset.
    pub uncertainty: Length,
    /// Whether the three agree.
    pub agreement: Agreement,
}

/// Whether three cuts agree with one another.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Agreement {
    /// As far as such a machine and gauge let them.
    Agree,
    /// They lie further apart than chance leaves three in a hundred times.
    TooFarApart {
        /// How far apart they lie.
        apart: Length,
        /// How far apart they may lie.
        most: Length,
    },
}

impl ThreeCuts {
    /// How far off the scale is.
    pub fn found(&self) -> FoundOffset {
        let over = self.made.map(|made| made - self.shown);
        let offset = over.into_iter().sum::<Length>() / CUTS as i64;
        let squares: f64 = over.iter().map(|over| (*over - offset).inches().powi(2)).sum();
        let free = CUTS as f64 - 1.0;
        let known = expected(self.machine, &self.readings());
        let worth = known.worth + free;
        let pooled = ((known.worth * known.sd.powi(2) + squares) / worth).sqrt();
        let marks = 2.0 * self.step.inches() / 12.0_f64.sqrt();
        let scatter = 2.0 * pooled / (CUTS as f64).sqrt();
        let uncertainty = self.gauge.inches().hypot(marks).hypot(scatter);
        let [first, second, third] = over;
        let apart = first.max(second).max(third) - first.min(second).min(third);
        let most = Length::from_inches(RANGE_OF_THREE * known.sd);
        FoundOffset {
            offset,
            spread: Length::from_inches((squares / free).sqrt()),
            uncertainty: Length::from_inches(uncertainty),
            agreement: if apart > most {
                Agreement::TooFarApart { apart, most }
            } else {
                Agreement::Agree
            },
        }
    }

    fn readings(&self) -> [ScaleReading; CUTS] {
        self.made.map(|made| ScaleReading {
            shown: self.shown.inches(),
            made: made.inches(),
            uncertainty: self.gauge.inches(),
            setting: 0,
            some_apart: false,
        })
    }
}

#[cfg(test)]
mod tests {
    use statrs::distribution::{Continuous, ContinuousCDF, Normal};

    use super::*;

    /// Cut at 3 in on a scale of 0.005 steps, by a saw that usually leaves pieces 0.003
    /// apart, and measured with calipers of U = 0.003.
    fn cuts(made: [i64; CUTS]) -> ThreeCuts {
        ThreeCuts {
            shown: Length::INCH * 3,
            made: made.map(|thousandths| Length::thousandths(3000 + thousandths)),
            gauge: Length::thousandths(3),
            step: Length::thousandths(5),
            machine: MachineSpread::Usual(0.003),
        }
    }

    fn near(found: Length, expected: f64) {
        assert!((found.inches() - expected).abs() < 5e-8, "{} {expected}", found.inches());
    }

    /// 0.011, 0.013 and 0.012 over: mean 0.012, standard deviation
    /// sqrt((0.001^2 + 0.001^2 + 0) / 2) = 0.001.
    ///
    /// Expected of machine and gauge: sqrt(0.003^2 + 0.0015^2) = 0.003354102, worth 4 free
    /// readings. Pooled: sqrt((4 x 0.003354102^2 + 2 x 0.001^2) / 6) = sqrt(47e-6 / 6) =
    /// 0.002798809. Scatter of the mean, k = 2: 2 x 0.002798809 / sqrt 3 = 0.003231787.
    /// Marks: 2 x 0.005 / sqrt 12 = 0.002886751. With the gauge's 0.003:
    /// sqrt(0.003^2 + 0.002886751^2 + 0.003231787^2) = sqrt(27.777778e-6) = 0.005270463.
    #[test]
    fn an_offset_worked_by_hand() {
        let found = cuts([11, 13, 12]).found();
        assert_eq!(found.offset, Length::thousandths(12));
        near(found.spread, 0.001);
        near(found.uncertainty, 0.005_270_463);
        assert_eq!(found.agreement, Agreement::Agree);
    }

    /// A shop that measured its machine knows better: 0.001, worth 20. Expected:
    /// sqrt(0.001^2 + 0.0015^2) = 0.001802776. Of 0.006, 0.002 and 0.001 under, the mean is
    /// 0.003 under and the squares are (9 + 1 + 4)e-6 = 14e-6, so the spread is sqrt(7e-6) =
    /// 0.002645751. Pooled: sqrt((20 x 3.25e-6 + 14e-6) / 22) = sqrt(79e-6 / 22) =
    /// 0.001894969; scatter 2 x that / sqrt 3 = 0.002188122. On marks of 1/64 = 0.015625:
    /// 2 x 0.015625 / sqrt 12 = 0.009021098. sqrt(9e-6 + 81.380208e-6 + 4.787879e-6) =
    /// sqrt(95.168087e-6) = 0.009755413.
    #[test]
    fn printed_marks_and_a_known_machine() {
        let step = Length::inch_fraction(1, 64);
        let machine = MachineSpread::Known(0.001);
        let found = ThreeCuts { step, machine, ..cuts([-6, -2, -1]) }.found();
        assert_eq!(found.offset, Length::thousandths(-3));
        near(found.spread, 0.002_645_751);
        near(found.uncertainty, 0.009_755_413);
    }

    /// Expected 0.003354102, so three may lie 4.12 x 0.003354102 = 0.013818900 apart.
    #[test]
    fn three_that_disagree_are_said() {
        assert_eq!(cuts([0, 13, 7]).found().agreement, Agreement::Agree);
        let Agreement::TooFarApart { apart, most } = cuts([0, 14, 7]).found().agreement else {
            panic!("14 thousandths are more than 13.8")
        };
        assert_eq!(apart, Length::thousandths(14));
        near(most, 0.013_818_9);
    }

    /// The range of three normal readings is at most w with the chance
    /// 3 x integral of phi(x) (Phi(x + w) - Phi(x))^2 dx; at 4.12 that is 0.99.
    #[test]
    fn the_range_of_three_is_the_tables() {
        let normal = Normal::standard();
        let step = 1e-3;
        let part =
            |x: f64| normal.pdf(x) * (normal.cdf(x + RANGE_OF_THREE) - normal.cdf(x)).powi(2);
        let all: f64 = (-9000..9000).map(|n| part((f64::from(n) + 0.5) * step) * step).sum();
        assert!((3.0 * all - 0.99).abs() < 1e-4, "{}", 3.0 * all);
    }
}
