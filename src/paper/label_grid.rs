//! Sheets of labels: how many there are, how large, and where each one is.
//!
//! Sizes are exact lengths, so that what is left of the sheet is exactly its margins. A
//! grid stands for no maker's product: whoever buys sheets compares the sizes.

use super::Paper;
use crate::measure::Length;

/// Labels of one size in rows and columns, with equal margins on either side.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct LabelGrid {
    /// The sheet.
    pub paper: Paper,
    /// Labels side by side.
    pub columns: u32,
    /// Labels one under the other.
    pub rows: u32,
    /// Width of a label.
    pub width: Length,
    /// Height of a label.
    pub height: Length,
    /// Between two columns; rows touch.
    pub gap: Length,
}

/// A number of tenths of a millimetre.
const fn tenths(tenths: i64) -> Length {
    Length::from_nanometres(tenths * (Length::MILLIMETRE.nanometres() / 10))
}

/// A number of sixteenths of an inch.
const fn sixteenths(sixteenths: i64) -> Length {
    Length::inch_fraction(sixteenths, 16)
}

impl LabelGrid {
    /// 24 labels of 70 by 37 mm on A4.
    pub const A4_3X8: LabelGrid = LabelGrid {
        paper: Paper::A4,
        columns: 3,
        rows: 8,
        width: tenths(700),
        height: tenths(370),
        gap: Length::ZERO,
    };
    /// 21 labels of 63.5 by 38.1 mm on A4.
    pub const A4_3X7: LabelGrid = LabelGrid {
        paper: Paper::A4,
        columns: 3,
        rows: 7,
        width: tenths(635),
        height: tenths(381),
        gap: tenths(25),
    };
    /// 30 labels of 2 5/8 by 1 in on Letter.
    pub const LETTER_3X10: LabelGrid = LabelGrid {
        paper: Paper::Letter,
        columns: 3,
        rows: 10,
        width: sixteenths(42),
        height: sixteenths(16),
        gap: sixteenths(2),
    };
    /// 10 labels of 4 by 2 in on Letter.
    pub const LETTER_2X5: LabelGrid = LabelGrid {
        paper: Paper::Letter,
        columns: 2,
        rows: 5,
        width: sixteenths(64),
        height: sixteenths(32),
        gap: sixteenths(3),
    };

    /// Labels on a sheet.
    pub fn per_sheet(&self) -> usize {
        (self.columns * self.rows) as usize
    }

    /// The margin at the left and right, and the one above and below.
    pub fn margins(&self) -> (Length, Length) {
        let (wide, high) = self.paper.sides();
        let (columns, rows) = (i64::from(self.columns), i64::from(self.rows));
        let across = self.width * columns + self.gap * (columns - 1);
        ((wide - across) / 2, (high - self.height * rows) / 2)
    }

    /// From the left and from the top of the sheet to a label, counted row by row from
    /// nought.
    pub fn place(&self, label: usize) -> (Length, Length) {
        let (left, top) = self.margins();
        let columns = self.columns as usize;
        let (column, row) = ((label % columns) as i64, (label / columns) as i64);
        (left + (self.width + self.gap) * column, top + self.height * row)
    }
}

impl Paper {
    /// Its shorter and its longer side.
    pub const fn sides(self) -> (Length, Length) {
        match self {
            Paper::A4 => (tenths(2100), tenths(2970)),
            Paper::Letter => (sixteenths(136), sixteenths(176)),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const ALL: [LabelGrid; 4] =
        [LabelGrid::A4_3X8, LabelGrid::A4_3X7, LabelGrid::LETTER_3X10, LabelGrid::LETTER_2X5];

    /// By hand. A4 is 210 by 297 mm. 3 x 70 = 210 and 8 x 37 = 296: no margin at the sides,
    /// 0.5 above and below. 3 x 63.5 + 2 x 2.5 = 195.5 leaves 14.5, half is 7.25; 7 x 38.1 =
    /// 266.7 leaves 30.3, half is 15.15. Letter is 8 1/2 by 11 in. 3 x 2 5/8 + 2 x 1/8 = 8 1/8
    /// leaves 3/8, half is 3/16; 10 x 1 leaves 1, half is 1/2. 2 x 4 + 3/16 leaves 5/16, half
    /// is 5/32; 5 x 2 = 10 leaves 1, half is 1/2.
    #[test]
    fn the_margins_are_what_is_left_of_the_sheet() {
        let hundredths = |n: i64| Length::from_nanometres(n * 10_000);
        let expected = [
            (Length::ZERO, hundredths(50)),
            (hundredths(725), hundredths(1515)),
            (Length::inch_fraction(3, 16), Length::inch_fraction(1, 2)),
            (Length::inch_fraction(5, 32), Length::inch_fraction(1, 2)),
        ];
        assert_eq!(ALL.map(|grid| grid.margins()), expected);
    }

    /// Always: Labels lie within their sheet, and none lies over another.
    #[test]
    fn labels_fill_their_sheet_and_lie_apart() {
        for grid in ALL {
            let (wide, high) = grid.paper.sides();
            let places: Vec<_> = (0..grid.per_sheet()).map(|label| grid.place(label)).collect();
            let (left, top) = grid.margins();
            assert_eq!(places.first(), Some(&(left, top)));
            let last = (wide - left - grid.width, high - top - grid.height);
            assert_eq!(places.last(), Some(&last), "{grid:?}");
            for (n, one) in places.iter().enumerate() {
                assert!(!one.0.is_negative() && !one.1.is_negative());
                for other in &places[n + 1..] {
                    let beside = other.0 >= one.0 + grid.width || one.0 >= other.0 + grid.width;
                    assert!(beside || other.1 >= one.1 + grid.height, "{grid:?}");
                }
            }
        }
    }
}
