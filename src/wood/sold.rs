//! The sizes lumber is sold in: nominal sizes and what they measure.

use crate::measure::Length;

/// A thickness that hardwood is sold in.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Hardwood {
    /// In quarters of an inch where it is sold by those, such as 4 for `4/4`.
    pub quarters: Option<u8>,
    /// Rough.
    pub rough: Length,
    /// Surfaced on two sides. Boards differ: 4/4 is also sold at 15/16 and 3/4.
    pub surfaced: Length,
}

/// A size of softwood, nominal and dressed.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Softwood {
    /// The size it is named by.
    pub nominal: Length,
    /// Dressed, at a moisture of 19 % or less.
    pub dry: Length,
    /// Dressed, at a higher moisture.
    pub green: Length,
}

/// Which dimension of softwood.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum SoftwoodSide {
    /// The thickness of boards, less than 2 in.
    BoardThickness,
    /// The thickness of dimension lumber, 2 in and more.
    DimensionThickness,
    /// The width of both.
    Width,
}

/// The source of the hardwood sizes, as it is shown to people.
pub const HARDWOOD_SOURCE: &str = "NHLA standard thicknesses, rough and surfaced two sides, as reproduced by \
     others (published, but for 2 1/2 from memory)";
/// The source of the softwood sizes, as it is shown to people.
pub const SOFTWOOD_SOURCE: &str = "American Softwood Lumber Standard PS 20, least dressed sizes, as reproduced by \
     others (published)";

const fn inches(n: i64, d: i64) -> Length {
    Length::inch_fraction(n, d)
}

/// Rough thicknesses in sixteenths.
const ROUGH: [i64; 13] = [6, 8, 10, 12, 16, 20, 24, 28, 32, 40, 48, 56, 64];

/// Every thickness that hardwood is sold in. Surfaced it is 3/16 in less up to 1 1/2
/// in, 1/4 in less from 1 3/4 in (which holds for every row of the tables).
pub fn hardwood() -> impl Iterator<Item = Hardwood> {
    ROUGH.into_iter().map(|rough| Hardwood {
        quarters: (rough >= 16 && rough % 4 == 0).then(|| u8::try_from(rough / 4).unwrap_or(0)),
        rough: inches(rough, 16),
        surfaced: inches(rough - if rough <= 24 { 3 } else { 4 }, 16),
    })
}

/// Nominal, dry and green in 32nds.
const BOARD_THICKNESS: [[i64; 3]; 7] = [
    [12, 10, 11],
    [16, 14, 15],
    [20, 18, 19],
    [24, 20, 22],
    [32, 24, 25],
    [40, 32, 33],
    [48, 40, 41],
];
const DIMENSION_THICKNESS: [[i64; 3]; 6] =
    [[64, 48, 50], [80, 64, 66], [96, 80, 82], [112, 96, 98], [128, 112, 114], [144, 128, 130]];
const WIDTH: [[i64; 3]; 13] = [
    [64, 48, 50],
    [96, 80, 82],
    [128, 112, 114],
    [160, 144, 148],
    [192, 176, 180],
    [224, 208, 212],
    [256, 232, 240],
    [288, 264, 272],
    [320, 296, 304],
    [352, 328, 336],
    [384, 360, 368],
    [448, 424, 432],
    [512, 488, 496],
];

/// Every size that softwood is sold in, in one dimension.
pub fn softwood(side: SoftwoodSide) -> impl Iterator<Item = Softwood> {
    let rows: &[[i64; 3]] = match side {
        SoftwoodSide::BoardThickness => &BOARD_THICKNESS,
        SoftwoodSide::DimensionThickness => &DIMENSION_THICKNESS,
        SoftwoodSide::Width => &WIDTH,
    };
    rows.iter().map(|[nominal, dry, green]| Softwood {
        nominal: inches(*nominal, 32),
        dry: inches(*dry, 32),
        green: inches(*green, 32),
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::measure::{Unit, parse_written};

    fn written(text: &str) -> Length {
        parse_written(text, Unit::Inch).unwrap()
    }

    /// NHLA standard thicknesses as reproduced by an engineering reference and
    /// a woodworking one; 2 1/2 to 2 1/4 is from memory.
    #[test]
    fn hardwood_is_surfaced_to_the_table() {
        let table = [
            ("3/8", "3/16"),
            ("1/2", "5/16"),
            ("5/8", "7/16"),
            ("3/4", "9/16"),
            ("1", "13/16"),
            ("1 1/4", "1 1/16"),
            ("1 1/2", "1 5/16"),
            ("1 3/4", "1 1/2"),
            ("2", "1 3/4"),
            ("2 1/2", "2 1/4"),
            ("3", "2 3/4"),
            ("3 1/2", "3 1/4"),
            ("4", "3 3/4"),
        ];
        let found: Vec<(Length, Length)> =
            hardwood().map(|row| (row.rough, row.surfaced)).collect();
        let expected = table.map(|(rough, surfaced)| (written(rough), written(surfaced)));
        assert_eq!(found, expected);
        let quarters: Vec<u8> = hardwood().filter_map(|row| row.quarters).collect();
        assert_eq!(quarters, [4, 5, 6, 7, 8, 10, 12, 14, 16]);
    }

    /// PS 20 as reproduced by an engineering reference.
    #[test]
    fn softwood_is_dressed_to_the_standard() {
        for (side, nominal, dry, green) in [
            (SoftwoodSide::BoardThickness, "3/8", "5/16", "11/32"),
            (SoftwoodSide::BoardThickness, "1/2", "7/16", "15/32"),
            (SoftwoodSide::BoardThickness, "5/8", "9/16", "19/32"),
            (SoftwoodSide::BoardThickness, "3/4", "5/8", "11/16"),
            (SoftwoodSide::BoardThickness, "1", "3/4", "25/32"),
            (SoftwoodSide::BoardThickness, "1 1/4", "1", "1 1/32"),
            (SoftwoodSide::BoardThickness, "1 1/2", "1 1/4", "1 9/32"),
            (SoftwoodSide::DimensionThickness, "2", "1 1/2", "1 9/16"),
            (SoftwoodSide::DimensionThickness, "2 1/2", "2", "2 1/16"),
            (SoftwoodSide::DimensionThickness, "3", "2 1/2", "2 9/16"),
            (SoftwoodSide::DimensionThickness, "3 1/2", "3", "3 1/16"),
            (SoftwoodSide::DimensionThickness, "4", "3 1/2", "3 9/16"),
            (SoftwoodSide::DimensionThickness, "4 1/2", "4", "4 1/16"),
            (SoftwoodSide::Width, "2", "1 1/2", "1 9/16"),
            (SoftwoodSide::Width, "3", "2 1/2", "2 9/16"),
            (SoftwoodSide::Width, "4", "3 1/2", "3 9/16"),
            (SoftwoodSide::Width, "5", "4 1/2", "4 5/8"),
            (SoftwoodSide::Width, "6", "5 1/2", "5 5/8"),
            (SoftwoodSide::Width, "7", "6 1/2", "6 5/8"),
            (SoftwoodSide::Width, "8", "7 1/4", "7 1/2"),
            (SoftwoodSide::Width, "9", "8 1/4", "8 1/2"),
            (SoftwoodSide::Width, "10", "9 1/4", "9 1/2"),
            (SoftwoodSide::Width, "11", "10 1/4", "10 1/2"),
            (SoftwoodSide::Width, "12", "11 1/4", "11 1/2"),
            (SoftwoodSide::Width, "14", "13 1/4", "13 1/2"),
            (SoftwoodSide::Width, "16", "15 1/4", "15 1/2"),
        ] {
            let row = softwood(side).find(|row| row.nominal == written(nominal)).unwrap();
            assert_eq!((row.dry, row.green), (written(dry), written(green)), "{side:?} {nominal}");
        }
    }
}
