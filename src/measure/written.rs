//! Writes lengths so that they read back the same, and as fractions and
//! decimals for people.

use super::length::nearest_whole;
use super::{Length, Unit};

/// A decimal inch to nine places is finer than a nanometre.
const MOST_PLACES: usize = 9;

impl Length {
    /// The shortest text, without a unit sign, that
    /// [`parse_written`](super::parse_written) reads back as this length: a
    /// fraction where it is a whole number of 64ths, else a decimal.
    pub fn written(self, unit: Unit) -> String {
        if unit == Unit::Inch
            && let (text, Length::ZERO) = self.fraction(64)
        {
            return text;
        }
        let (nanometres, one) =
            (i128::from(self.nanometres()), i128::from(unit.one().nanometres()));
        let (mut places, mut scale) = (0, 1);
        loop {
            let count = nearest_whole(nanometres * scale, one);
            if places == MOST_PLACES || nearest_whole(count * one, scale) == nanometres {
                return decimal(count, places);
            }
            places += 1;
            scale *= 10;
        }
    }

    /// The nearest `1/denominator` of an inch, reduced, and how much longer
    /// this length is than that.
    pub fn fraction(self, denominator: u32) -> (String, Length) {
        let (one, under) = (i128::from(Length::INCH.nanometres()), i128::from(denominator.max(1)));
        let over = nearest_whole(i128::from(self.nanometres()) * under, one);
        // The mark is within half a division of an `i64`, so it is one too.
        let mark = Length::from_nanometres(nearest_whole(over * one, under) as i64);
        (mixed(over, under), self - mark)
    }

    /// A decimal of just so many places, rounded half away from zero.
    pub fn decimal(self, unit: Unit, places: usize) -> String {
        let places = places.min(MOST_PLACES);
        let scale = 10_i128.pow(places as u32);
        let one = i128::from(unit.one().nanometres());
        decimal(nearest_whole(i128::from(self.nanometres()) * scale, one), places)
    }
}

fn mixed(over: i128, under: i128) -> String {
    let sign = if over < 0 { "-" } else { "" };
    let (whole, left) = (over.abs() / under, over.abs() % under);
    let shared = greatest_divisor(left, under);
    match (whole, left / shared, under / shared) {
        (whole, 0, _) => format!("{sign}{whole}"),
        (0, left, under) => format!("{sign}{left}/{under}"),
        (whole, left, under) => format!("{sign}{whole} {left}/{under}"),
    }
}

fn greatest_divisor(a: i128, b: i128) -> i128 {
    if a == 0 { b } else { greatest_divisor(b % a, a) }
}

fn decimal(count: i128, places: usize) -> String {
    let sign = if count < 0 { "-" } else { "" };
    if places == 0 {
        return format!("{count}");
    }
    let digits = format!("{:0width$}", count.abs(), width = places + 1);
    let (whole, decimals) = digits.split_at(digits.len() - places);
    format!("{sign}{whole}.{decimals}")
}

#[cfg(test)]
mod tests {
    use super::super::parse_written;
    use super::*;
    use proptest::prelude::*;

    fn nanometres(nanometres: i64) -> Length {
        Length::from_nanometres(nanometres)
    }

    #[test]
    fn inches_are_written_as_fractions_where_they_are_64ths() {
        for (length, text) in [
            (Length::ZERO, "0"),
            (Length::inch_fraction(23, 16), "1 7/16"),
            (Length::inch_fraction(-23, 16), "-1 7/16"),
            (Length::inch_fraction(-1, 16), "-1/16"),
            (Length::inch_fraction(1, 64), "1/64"),
            (Length::INCH * 26, "26"),
            (Length::thousandths(3253), "3.253"),
            (Length::thousandths(-6), "-0.006"),
            // 10 mm / 25.4 = 0.393700787… in; 0.3937008 is 0.33 nm away, and
            // 0.393701 is 5.4 nm away.
            (Length::MILLIMETRE * 10, "0.3937008"),
        ] {
            assert_eq!(length.written(Unit::Inch), text);
        }
    }

    #[test]
    fn millimetres_are_written_as_decimals() {
        assert_eq!(nanometres(36_500_000).written(Unit::Millimetre), "36.5");
        assert_eq!(nanometres(-1).written(Unit::Millimetre), "-0.000001");
        assert_eq!((Length::MILLIMETRE * 400).written(Unit::Millimetre), "400");
    }

    #[test]
    fn a_fraction_is_reduced_and_says_what_is_left() {
        let (text, off) = Length::thousandths(13_328).fraction(16);
        // 13.328 - 13.3125 = 0.0155.
        assert_eq!((text.as_str(), off), ("13 5/16", nanometres(393_700)));
        let (text, off) = Length::thousandths(-60).fraction(16);
        assert_eq!((text.as_str(), off), ("-1/16", nanometres(63_500)));
        assert_eq!(Length::thousandths(10).fraction(16).0, "0");
        assert_eq!(Length::thousandths(999).fraction(16).0, "1");
    }

    #[test]
    fn a_decimal_rounds_half_away_from_zero_and_has_no_minus_zero() {
        assert_eq!(Length::inch_fraction(1, 16).decimal(Unit::Inch, 3), "0.063");
        assert_eq!(Length::inch_fraction(-1, 16).decimal(Unit::Inch, 3), "-0.063");
        assert_eq!(Length::thousandths(-1).decimal(Unit::Inch, 2), "0.00");
        assert_eq!(Length::INCH.decimal(Unit::Millimetre, 0), "25");
        assert_eq!(Length::INCH.decimal(Unit::Millimetre, 2), "25.40");
    }

    proptest! {
        /// Always: A length that is printed reads back the same.
        #[test]
        fn what_is_written_reads_back_the_same(n in -100_000_000_000_i64..=100_000_000_000) {
            for unit in [Unit::Inch, Unit::Millimetre] {
                let text = nanometres(n).written(unit);
                prop_assert_eq!(parse_written(&text, unit), Ok(nanometres(n)), "{}", text);
            }
        }

        #[test]
        fn sixty_fourths_read_back_the_same(n in -1_000_000_i64..=1_000_000) {
            let length = Length::inch_fraction(n, 64);
            prop_assert_eq!(parse_written(&length.written(Unit::Inch), Unit::Inch), Ok(length));
        }

        #[test]
        fn a_fraction_and_what_is_left_make_the_length(
            n in -100_000_000_000_i64..=100_000_000_000,
            power in 0_u32..=7,
        ) {
            let (text, off) = nanometres(n).fraction(1 << power);
            let mark = parse_written(&text, Unit::Inch).unwrap();
            prop_assert_eq!(mark + off, nanometres(n));
            prop_assert!(off.abs() <= Length::inch_fraction(1, 2 << power));
        }
    }
}
