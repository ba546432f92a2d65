//! What a class of stock is: a thickness it is called by, or a sheet. And how
//! wood is counted. Knows nothing of prices.

use crate::measure::{Length, Unit, parse_written};
use crate::shop::Per;
use crate::wood::Board;

/// A square foot in square metres, exactly.
const SQUARE_FOOT: f64 = 0.092_903_04;

/// The thickness a class is called by: 2 in of `8/4`, 65 mm of `65 mm`. None
/// of what is more than a thickness, such as `1/2 plywood`.
pub fn nominal(class: &str, unit: Unit) -> Option<Length> {
    if let Some(quarters) = class.trim().strip_suffix("/4").and_then(|n| n.parse::<u16>().ok()) {
        return (quarters > 0).then(|| Length::inch_fraction(i64::from(quarters), 4));
    }
    parse_written(class.trim(), unit).ok().filter(|thick| *thick > Length::ZERO)
}

/// How thin wood of a class may be and still be sold as it. Rough hardwood
/// sold by the quarter may be 1/16 scant (common practice, no source); sold by
/// the millimetre, 1 mm thin up to 32 mm and 2 mm above (from memory).
pub fn scantest(class: &str, nominal: Length) -> Length {
    if class.trim().ends_with("/4") {
        return nominal - Length::inch_fraction(1, 16);
    }
    let thin = if nominal <= Length::MILLIMETRE * 32 { 1 } else { 2 };
    nominal - Length::MILLIMETRE * thin
}

/// So much wood of one thickness.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct WoodQuantity {
    /// In square feet.
    pub area: f64,
    /// What it is called by.
    pub thickness: Length,
}

impl WoodQuantity {
    /// So many pieces of a size; none of a size that is nothing.
    pub fn of(thickness: Length, width: Length, length: Length, pieces: f64) -> WoodQuantity {
        let surface = Board::new(thickness, width, length).map_or(0.0, |b| b.measured(1).surface);
        WoodQuantity { area: surface * pieces, thickness }
    }

    /// How much it is. Board feet count wood under 1 in as 1 in.
    pub fn counted(self, per: Per) -> f64 {
        let metres = self.thickness.in_unit(Unit::Millimetre) / 1000.0;
        match per {
            Per::BoardFoot => self.area * self.thickness.max(Length::INCH).in_unit(Unit::Inch),
            Per::SquareFoot => self.area,
            Per::SquareMetre => self.area * SQUARE_FOOT,
            Per::CubicMetre => self.area * SQUARE_FOOT * metres,
        }
    }
}

/// How much is bought: a whole number of small steps, so that it can be paid
/// for exactly.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Purchase {
    pub per: Per,
    pub steps: i64,
}

/// Finer than this is only the noise of dividing.
const NOISE: f64 = 1e-6;

impl Purchase {
    /// So much, up to the next whole step: half a foot, a twentieth of a square
    /// metre, a thousandth of a cubic one.
    pub fn at_least(amount: f64, per: Per) -> Purchase {
        let steps = amount * Purchase::steps_to_one(per) as f64;
        Purchase { per, steps: (steps - NOISE).ceil().max(0.0) as i64 }
    }

    pub fn steps_to_one(per: Per) -> i64 {
        match per {
            Per::BoardFoot | Per::SquareFoot => 2,
            Per::SquareMetre => 20,
            Per::CubicMetre => 1000,
        }
    }

    pub fn amount(self) -> f64 {
        self.steps as f64 / Purchase::steps_to_one(self.per) as f64
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn th(n: i64) -> Length {
        Length::thousandths(n)
    }

    #[test]
    fn a_class_is_a_thickness_or_a_sheet() {
        assert_eq!(nominal("8/4", Unit::Inch), Some(Length::INCH * 2));
        assert_eq!(nominal("5/4", Unit::Millimetre), Some(th(1_250)));
        assert_eq!(nominal("65 mm", Unit::Inch), Some(Length::MILLIMETRE * 65));
        assert_eq!(nominal("65", Unit::Millimetre), Some(Length::MILLIMETRE * 65));
        for sheet in ["1/2 plywood", "plywood", "0/4", "", "-1", "-3/4"] {
            assert_eq!(nominal(sheet, Unit::Inch), None, "{sheet}");
        }
    }

    /// Common practice: 4/4 may be 15/16, 6/4 may be 1 7/16.
    #[test]
    fn six_quarter_may_be_one_and_seven_sixteenths() {
        assert_eq!(scantest("6/4", th(1_500)), Length::inch_fraction(23, 16));
        assert_eq!(scantest("4/4", th(1_000)), Length::inch_fraction(15, 16));
        let mm = |n| Length::MILLIMETRE * n;
        assert_eq!((scantest("27 mm", mm(27)), scantest("65 mm", mm(65))), (mm(26), mm(63)));
    }

    /// By hand: a board 12 in by 12 in of 8/4 is two board feet; half-inch wood
    /// counts as an inch; a cubic metre is 1000/25.4/12 cubed by 12 = 423.776
    /// board feet.
    #[test]
    fn board_feet_and_cubic_metres() {
        let of = |thick| WoodQuantity::of(thick, th(12_000), th(12_000), 1.0);
        assert_eq!(of(th(2_000)).counted(Per::BoardFoot), 2.0);
        assert_eq!(of(th(500)).counted(Per::BoardFoot), 1.0);
        assert_eq!(of(th(500)).counted(Per::SquareFoot), 1.0);
        let metre = Length::MILLIMETRE * 1000;
        let cube = WoodQuantity::of(metre, metre, metre, 1.0);
        assert!((cube.counted(Per::CubicMetre) - 1.0).abs() < 1e-12);
        assert!((cube.counted(Per::SquareMetre) - 1.0).abs() < 1e-12);
        assert!((cube.counted(Per::BoardFoot) - 423.776).abs() < 1e-3);
    }

    /// By hand: 112.47 feet are 112 1/2, and 60 / 0.6 are 100, not a step more.
    #[test]
    fn what_is_bought_is_up_to_the_next_step() {
        assert_eq!(Purchase::at_least(112.47, Per::BoardFoot).amount(), 112.5);
        assert_eq!(Purchase::at_least(60.0 / 0.6, Per::BoardFoot).amount(), 100.0);
        assert_eq!(Purchase::at_least(0.1, Per::SquareFoot).amount(), 0.5);
        assert_eq!(Purchase::at_least(0.0, Per::SquareFoot).amount(), 0.0);
        assert_eq!(Purchase::at_least(0.0301, Per::CubicMetre).amount(), 0.031);
        assert_eq!(Purchase::at_least(0.11, Per::SquareMetre).amount(), 0.15);
    }
}
