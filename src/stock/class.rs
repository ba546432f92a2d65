//! What a class of lumber is: a nominal thickness such as `8/4` or `65 mm`, or
//! else a sheet.

use crate::measure::{Length, Unit, parse_written};

/// The nominal thickness of a class: 2 in of `8/4`, 65 mm of `65 mm`. `None` for
/// a class that is more than a thickness, such as `1/2 plywood`.
pub(super) fn nominal(class: &str, unit: Unit) -> Option<Length> {
    if let Some(quarters) = class.trim().strip_suffix("/4").and_then(|n| n.parse::<u16>().ok()) {
        return (quarters > 0).then(|| Length::inch_fraction(i64::from(quarters), 4));
    }
    parse_written(class.trim(), unit).ok().filter(|thick| *thick > Length::ZERO)
}

/// How thin wood of a class may be and still be sold as that class. Rough
/// hardwood sold by the quarter may be 1/16 scant (common practice, no source);
/// wood sold by the millimetre 1 mm up to 32 mm and 2 mm above (from memory).
pub(super) fn scantest(class: &str, nominal: Length) -> Length {
    if class.trim().ends_with("/4") {
        return nominal - Length::inch_fraction(1, 16);
    }
    let thin = if nominal <= Length::MILLIMETRE * 32 { 1 } else { 2 };
    nominal - Length::MILLIMETRE * thin
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::stock::samples::th;

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
}
