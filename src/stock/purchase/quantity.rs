//! How wood is counted: by the board foot, by area, by volume, and in the steps
//! it is bought in.

use crate::measure::{Length, Unit};
use crate::shop::Per;
use crate::wood::Board;

/// A square foot in square metres, exactly.
const SQUARE_FOOT: f64 = 0.092_903_04;

/// An amount of wood of one thickness.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct WoodQuantity {
    /// In square feet.
    pub area: f64,
    /// Its nominal thickness.
    pub thickness: Length,
}

impl WoodQuantity {
    /// Pieces of one size; zero where a size is zero.
    pub fn of(thickness: Length, width: Length, length: Length, pieces: f64) -> WoodQuantity {
        let surface = Board::new(thickness, width, length).map_or(0.0, |b| b.measured(1).surface);
        WoodQuantity { area: surface * pieces, thickness }
    }

    /// How much it is in a measure. Board feet count wood under 1 in as 1 in.
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

/// How much is bought: a whole number of small steps, half a board foot for
/// example. Sums and prices are exact that way, and the one rounding can be
/// stated on the page. Whole feet were rejected as too coarse where little is
/// bought.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Purchase {
    /// The measure.
    pub per: Per,
    /// The number of steps; see [`Purchase::steps_to_one`].
    pub steps: i64,
}

/// An amount with its measure: `35.5 board feet`.
pub fn amount(amount: f64, per: Per) -> String {
    let figures = figures(amount, per);
    format!("{figures} {}", if figures == "1.0" { per.word() } else { per.words() })
}

/// The figures of an amount, to the step that it is bought in.
pub fn figures(amount: f64, per: Per) -> String {
    match per {
        Per::BoardFoot | Per::SquareFoot => format!("{amount:.1}"),
        Per::SquareMetre => format!("{amount:.2}"),
        Per::CubicMetre => format!("{amount:.3}"),
    }
}

/// A part of a step smaller than this is a rounding error of the division.
const ROUNDING_ERROR: f64 = 1e-6;

impl Purchase {
    /// An amount, rounded up to the next whole step.
    pub(super) fn at_least(amount: f64, per: Per) -> Purchase {
        let steps = amount * Purchase::steps_to_one(per) as f64;
        Purchase { per, steps: (steps - ROUNDING_ERROR).ceil().max(0.0) as i64 }
    }

    /// How many steps make one of a measure: a step is half a foot, a twentieth
    /// of a square metre or a thousandth of a cubic metre.
    pub fn steps_to_one(per: Per) -> i64 {
        match per {
            Per::BoardFoot | Per::SquareFoot => 2,
            Per::SquareMetre => 20,
            Per::CubicMetre => 1000,
        }
    }

    /// How much it is, in its measure.
    pub fn amount(self) -> f64 {
        self.steps as f64 / Purchase::steps_to_one(self.per) as f64
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::stock::samples::th;

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
    fn a_purchase_is_rounded_up_to_the_next_step() {
        assert_eq!(Purchase::at_least(112.47, Per::BoardFoot).amount(), 112.5);
        assert_eq!(Purchase::at_least(60.0 / 0.6, Per::BoardFoot).amount(), 100.0);
        assert_eq!(Purchase::at_least(0.1, Per::SquareFoot).amount(), 0.5);
        assert_eq!(Purchase::at_least(0.0, Per::SquareFoot).amount(), 0.0);
        assert_eq!(Purchase::at_least(0.0301, Per::CubicMetre).amount(), 0.031);
        assert_eq!(Purchase::at_least(0.11, Per::SquareMetre).amount(), 0.15);
    }
}
