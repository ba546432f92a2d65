//! How much lumber is in boards, counted as lumber is sold.
//!
//! A board foot is 1 ft by 1 ft by 1 in. Surface measure is width in inches
//! times length in feet by 12, each board to the nearest whole square foot,
//! and board feet by it are surface measure times thickness (American Hardwood
//! Export Council, on measuring by the rules of NHLA). A half goes up and down
//! by turns (of surface measure from memory). Thinner than 1 in counts as 1 in,
//! over it as it is (Danforth, An Elementary Outline of Mechanical Processes,
//! section 46; Griffith, Advanced Projects in Woodwork, 1912).

use crate::measure::Length;

/// The source of the rules of counting, as it is shown to people.
pub const BOARD_SOURCE: &str = "American Hardwood Export Council on measuring by NHLA rules \
    (published; that halves go by turns is from memory); thin stock counted as 1 in: Danforth, \
    An Elementary Outline of Mechanical Processes, section 46 (published)";

const FOOT: Length = Length::from_nanometres(12 * Length::INCH.nanometres());

/// A board of one size; every dimension is greater than zero.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Board {
    thickness: Length,
    width: Length,
    length: Length,
}

/// How much lumber is in a number of equal boards.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct BoardMeasure {
    /// Thickness x width x length of all, in board feet, not rounded.
    pub board_feet: f64,
    /// The surface of each board in square feet, not rounded.
    pub surface: f64,
    /// The surface measure of all in square feet, a whole number for each board.
    pub surface_measure: i64,
    /// Whether the surface of each board ends in exactly a half, so that boards
    /// were rounded up and down by turns, the first one up.
    pub by_turns: bool,
    /// Board feet by surface measure: surface measure times thickness.
    pub by_surface_measure: f64,
    /// Whether the thickness counted as 1 in.
    pub thin: bool,
}

impl Board {
    /// `None` where a dimension is zero or less.
    pub fn new(thickness: Length, width: Length, length: Length) -> Option<Board> {
        let sized = [thickness, width, length].iter().all(|size| *size > Length::ZERO);
        sized.then_some(Board { thickness, width, length })
    }

    /// How much lumber is in `count` of them.
    pub fn measured(&self, count: u32) -> BoardMeasure {
        let counted = self.thickness.max(Length::INCH);
        let thickness = counted.ratio(Length::INCH);
        // In whole nanometres an exact half is recognised as one.
        let size = |length: Length| i128::from(length.nanometres());
        let (area, foot) = (size(self.width) * size(self.length), size(FOOT) * size(FOOT));
        let (whole, rest) = (area / foot, area % foot * 2);
        let up = match rest.cmp(&foot) {
            std::cmp::Ordering::Less => 0,
            std::cmp::Ordering::Equal => i128::from(count.div_ceil(2)),
            std::cmp::Ordering::Greater => i128::from(count),
        };
        let surface_measure = i64::try_from(whole * i128::from(count) + up).unwrap_or(i64::MAX);
        BoardMeasure {
            board_feet: quotient(
                area * size(counted) * i128::from(count),
                foot * size(Length::INCH),
            ),
            surface: quotient(area, foot),
            surface_measure,
            by_turns: rest == foot,
            by_surface_measure: surface_measure as f64 * thickness,
            thin: self.thickness < Length::INCH,
        }
    }
}

/// A ratio of whole numbers, the whole part exact, so that 640 isn't 639.999….
fn quotient(of: i128, by: i128) -> f64 {
    (of / by) as f64 + (of % by) as f64 / by as f64
}

/// How much lumber is in boards of any sizes, counted one after the other.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Tally {
    /// Board feet, not rounded.
    pub board_feet: f64,
    /// Board feet by surface measure: the surface of each board in whole square
    /// feet, halves rounded up and down by turns, times its thickness.
    pub by_surface_measure: f64,
}

/// Counts boards as a yard does, and also without rounding.
pub fn tally(boards: impl IntoIterator<Item = Board>) -> Tally {
    let (mut sum, mut halves) = (Tally::default(), 0_u32);
    for board in boards {
        let one = board.measured(1);
        sum.board_feet += one.board_feet;
        sum.by_surface_measure += one.by_surface_measure;
        if one.by_turns {
            // Alone, each half is rounded up, so every other one is corrected down.
            halves += 1;
            if halves % 2 == 0 {
                sum.by_surface_measure -= board.thickness.max(Length::INCH).ratio(Length::INCH);
            }
        }
    }
    sum
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn inches(n: i64, d: i64) -> Length {
        Length::inch_fraction(n, d)
    }

    fn measured(thick: Length, wide: Length, feet: i64, count: u32) -> BoardMeasure {
        Board::new(thick, wide, FOOT * feet).unwrap().measured(count)
    }

    /// American Hardwood Export Council: 2 in x 6 1/4 in x 8 ft is 4 1/6, so 4
    /// of surface measure and 8 board feet. Nothing rounded, 2 x 6.25 x 8 / 12
    /// is 8 1/3.
    #[test]
    fn the_board_of_the_export_council() {
        let board = measured(Length::INCH * 2, inches(25, 4), 8, 1);
        assert_eq!((board.surface_measure, board.by_surface_measure), (4, 8.0));
        assert!((board.board_feet - 25.0 / 3.0).abs() < 1e-9);
        assert!((board.surface - 25.0 / 6.0).abs() < 1e-9);
    }

    /// By hand: 1 x 5 x 37 ft x 4 / 12 = 740 / 12 = 61 2/3; one board has a surface of
    /// 185 / 12 = 15 5/12 square feet.
    #[test]
    fn board_feet_are_not_rounded() {
        let boards = measured(Length::INCH, Length::INCH * 5, 37, 4);
        assert_eq!(boards.board_feet, 740.0 / 12.0);
        assert_eq!(boards.surface, 185.0 / 12.0);
    }

    /// Danforth, section 46: 12 pieces 1/2 in x 8 in x 12 ft are 96 board feet;
    /// 40 pieces 2 in x 6 in x 16 ft (the answer, 640, by hand).
    #[test]
    fn thinner_than_an_inch_counts_as_an_inch() {
        let thin = measured(inches(1, 2), Length::INCH * 8, 12, 12);
        assert_eq!((thin.board_feet, thin.by_surface_measure, thin.thin), (96.0, 96.0, true));
        let thick = measured(Length::INCH * 2, Length::INCH * 6, 16, 40);
        assert_eq!((thick.board_feet, thick.thin), (640.0, false));
    }

    /// A furniture maker's page: 1 x 3 x 8 ft is 2. A lumber importer's note on
    /// NHLA: 8 in x 12 ft is 8, 6 1/2 in x 8 ft is 4 1/3, so 4.
    #[test]
    fn surface_measure_is_the_nearest_whole_number() {
        let inch = Length::INCH;
        assert_eq!(measured(inch, inch * 3, 8, 1).board_feet, 2.0);
        assert_eq!(measured(inch, inch * 8, 12, 1).surface_measure, 8);
        assert_eq!(measured(inch, inches(13, 2), 8, 1).surface_measure, 4);
    }

    /// By hand: 5 x 6 / 12 = 2 1/2, so 3 and 2 by turns.
    #[test]
    fn halves_are_rounded_up_and_down_by_turns() {
        let of = |count| measured(Length::INCH, Length::INCH * 5, 6, count);
        assert_eq!([1, 2, 3, 4].map(|count| of(count).surface_measure), [3, 5, 8, 10]);
        assert!(of(1).by_turns && !measured(Length::INCH, Length::INCH * 5, 7, 1).by_turns);
    }

    /// By hand: 5 in x 6 ft is 2 1/2, 6 1/4 in x 8 ft of 8/4 is 4 1/6, so 4; and
    /// 9 in x 6 ft of 8/4 is 4 1/2: 3 + 2 x 4 + 2 x 4 = 19, of exactly
    /// 2 1/2 + 8 1/3 + 9 = 19 5/6.
    #[test]
    fn halves_of_different_boards_are_rounded_by_turns() {
        let of = |thick, wide, feet| Board::new(Length::INCH * thick, wide, FOOT * feet).unwrap();
        let boards =
            [of(1, Length::INCH * 5, 6), of(2, inches(25, 4), 8), of(2, Length::INCH * 9, 6)];
        let found = tally(boards);
        assert_eq!(found.by_surface_measure, 19.0);
        assert!((found.board_feet - 119.0 / 6.0).abs() < 1e-9);
        assert_eq!(tally([]), Tally::default());
    }

    #[test]
    fn a_board_has_no_dimension_of_zero() {
        assert_eq!(Board::new(Length::INCH, Length::ZERO, FOOT), None);
        assert_eq!(Board::new(Length::INCH, -Length::INCH, FOOT), None);
    }

    proptest! {
        /// Rounding never moves a pile by more than half a foot a board.
        #[test]
        fn rounding_stays_within_half_a_foot(
            wide in 1..2000_i64, long in 1..6000_i64, count in 1..500_u32,
        ) {
            let th = Length::thousandths;
            let board = Board::new(Length::INCH, th(wide * 10), th(long * 50)).unwrap();
            let found = board.measured(count);
            let off = found.surface_measure as f64 - found.surface * f64::from(count);
            prop_assert!(off.abs() <= 0.5 * f64::from(count) + 1e-6, "{found:?}");
        }
    }
}
