//! A measuring instrument: what it reads, its uncertainty, and which limits it
//! can judge.

use super::{Entry, Length, Limits, Shows, Unit};

/// What a gauge says: a number, or only go and no-go.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Reads {
    /// It shows a number.
    Number {
        /// The unit it shows.
        unit: Unit,
        /// Its smallest step.
        step: Length,
        /// Whether it shows fractions or decimals.
        shows: Shows,
        /// Expanded, k = 2: what one reading with it, on wood, can be off by.
        uncertainty: Length,
        /// The longest it can measure.
        range: Option<Length>,
    },
    /// It fits or it does not, and gives no number.
    GoNoGo,
}

/// A gauge of the shop.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Gauge {
    /// What routes call it.
    pub name: String,
    /// What it can tell.
    pub reads: Reads,
}

/// How well a gauge can judge between two limits.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Judges {
    /// Its uncertainty is small beside the band between the limits.
    Well,
    /// The band is under four times the uncertainty.
    Barely,
    /// The band is under twice the uncertainty: no reading is surely in.
    Not,
}

impl Gauge {
    /// What an entry line for this gauge takes; `None` for go/no-go.
    pub fn entry(&self) -> Option<Entry> {
        match self.reads {
            Reads::Number { unit, step, shows: Shows::Fraction, .. } => {
                Some(Entry { bare: unit, mark: Some(step) })
            }
            Reads::Number { unit, .. } => Some(Entry { bare: unit, mark: None }),
            Reads::GoNoGo => None,
        }
    }

    /// The expanded uncertainty of one reading; `None` for go/no-go.
    pub fn uncertainty(&self) -> Option<Length> {
        match self.reads {
            Reads::Number { uncertainty, .. } => Some(uncertainty),
            Reads::GoNoGo => None,
        }
    }

    /// Whether a size is longer than it can measure.
    pub fn is_beyond(&self, size: Length) -> bool {
        matches!(self.reads, Reads::Number { range: Some(range), .. } if size > range)
    }

    /// How well it judges. A single limit has no band to be too narrow.
    pub fn judges(&self, limits: &Limits) -> Judges {
        match (limits.band(), self.uncertainty()) {
            (Some(band), Some(uncertainty)) if band < uncertainty * 2 => Judges::Not,
            (Some(band), Some(uncertainty)) if band < uncertainty * 4 => Judges::Barely,
            _ => Judges::Well,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn gauge(uncertainty: Length) -> Gauge {
        let step = Length::inch_fraction(1, 64);
        let (unit, shows) = (Unit::Inch, Shows::Fraction);
        let reads = Reads::Number { unit, step, shows, uncertainty, range: None };
        Gauge { name: "rule".into(), reads }
    }

    fn within(either_way: Length) -> Limits {
        Limits { low: Some(Length::INCH - either_way), high: Some(Length::INCH + either_way) }
    }

    /// Common practice, no source: band over 2 U is the number of times the
    /// uncertainty goes into the room. A 1/64 rule has U = 1/128: ±1/32 is 8 U,
    /// ±1/64 is 4 U; calipers on wood have U = 0.003: ±0.008 is 5.3 U and
    /// ±0.002 is 1.3 U.
    #[test]
    fn a_band_needs_twice_the_uncertainty_and_should_have_four_times() {
        let rule = gauge(Length::inch_fraction(1, 128));
        assert_eq!(rule.judges(&within(Length::inch_fraction(1, 32))), Judges::Well);
        assert_eq!(rule.judges(&within(Length::thousandths(15))), Judges::Barely);
        assert_eq!(rule.judges(&within(Length::thousandths(7))), Judges::Not);
        let caliper = gauge(Length::thousandths(3));
        assert_eq!(caliper.judges(&within(Length::thousandths(8))), Judges::Well);
        assert_eq!(caliper.judges(&within(Length::thousandths(6))), Judges::Well);
        assert_eq!(caliper.judges(&within(Length::thousandths(3))), Judges::Barely);
        assert_eq!(caliper.judges(&within(Length::thousandths(2))), Judges::Not);
    }

    #[test]
    fn go_and_no_go_has_no_number_and_no_uncertainty() {
        let plug = Gauge { name: "plug".into(), reads: Reads::GoNoGo };
        assert_eq!((plug.entry(), plug.uncertainty()), (None, None));
        assert_eq!(plug.judges(&within(Length::thousandths(1))), Judges::Well);
    }

    #[test]
    fn only_printed_marks_can_be_shaded() {
        let rule = gauge(Length::thousandths(8));
        assert_eq!(rule.entry().unwrap().mark, Some(Length::inch_fraction(1, 64)));
        let one_sided = Limits { low: None, high: Some(Length::INCH) };
        assert_eq!(rule.judges(&one_sided), Judges::Well);
    }

    /// A class II tape may be off by 0.3 mm + 0.2 mm per metre begun:
    /// Directive 2014/32/EU Annex X (MI-008) chapter I; 0.9 mm at 3 m as tape
    /// makers print it. Such a tape cannot tell ±1/32 in, 1.5875 mm.
    #[test]
    fn a_class_ii_tape_at_three_metres_cannot_judge_a_32nd() {
        let off = Length::MILLIMETRE * 3 / 10 + Length::MILLIMETRE * 2 / 10 * 3;
        assert_eq!(off, Length::MILLIMETRE * 9 / 10);
        assert_eq!(gauge(off).judges(&within(Length::inch_fraction(1, 32))), Judges::Not);
    }
}
