//! A length as a whole number of nanometres, and the two units people write it
//! in.

use std::fmt;
use std::iter::Sum;
use std::ops::{Add, AddAssign, Div, Mul, Neg, Sub, SubAssign};

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// Millimetres or inches: what a bare number stands for.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize, JsonSchema)]
pub enum Unit {
    /// The international inch, 25.4 mm exactly.
    #[serde(rename = "in")]
    Inch,
    /// The millimetre.
    #[serde(rename = "mm")]
    Millimetre,
}

impl Unit {
    /// One of this unit.
    pub const fn one(self) -> Length {
        match self {
            Unit::Inch => Length::INCH,
            Unit::Millimetre => Length::MILLIMETRE,
        }
    }

    /// The short sign written after a number.
    pub const fn sign(self) -> &'static str {
        match self {
            Unit::Inch => "in",
            Unit::Millimetre => "mm",
        }
    }
}

impl fmt::Display for Unit {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.sign())
    }
}

/// A length. Every 64th of an inch, thousandth of an inch and hundredth of a
/// millimetre is exact; 1/128 in (198 437.5 nm) rounds away from zero.
///
/// Journals and files of our own store the nanometres as an integer.
#[derive(
    Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize,
)]
#[serde(try_from = "i64", into = "i64")]
pub struct Length(i64);

impl Length {
    /// No length.
    pub const ZERO: Length = Length(0);
    /// One inch.
    pub const INCH: Length = Length(25_400_000);
    /// One millimetre.
    pub const MILLIMETRE: Length = Length(1_000_000);
    /// How far two formulas of one size may lie apart, each rounded once: an eighth of a
    /// panel taken eight times is the panel. No gauge tells it.
    pub const ROUNDING: Length = Length(100);
    /// A kilometre: longer than this is a typing error, and refusing it keeps
    /// every sum far from the edge of an `i64`.
    pub const LONGEST: Length = Length(1_000_000_000_000);

    /// So many whole nanometres.
    pub const fn from_nanometres(nanometres: i64) -> Length {
        Length(nanometres)
    }

    /// Its whole nanometres.
    pub const fn nanometres(self) -> i64 {
        self.0
    }

    /// Rounds to the nearest nanometre, half away from zero: the one rounding
    /// by which a computed number becomes a length. `None` when it is not a
    /// finite number or longer than [`Length::LONGEST`].
    pub fn from_nanometres_f64(nanometres: f64) -> Option<Length> {
        let rounded = nanometres.round();
        (rounded.is_finite() && rounded.abs() <= Length::LONGEST.0 as f64)
            .then_some(Length(rounded as i64))
    }

    /// The nearest whole nanometre; `None` beyond [`Length::LONGEST`] or when it is not a number.
    pub fn from_unit(amount: f64, unit: Unit) -> Option<Length> {
        Length::from_nanometres_f64(amount * unit.one().0 as f64)
    }

    /// How many of a unit it is, no longer exact.
    pub fn in_unit(self, unit: Unit) -> f64 {
        self.0 as f64 / unit.one().0 as f64
    }

    /// This length in inches, for arithmetic on plain numbers.
    pub fn inches(self) -> f64 {
        self.in_unit(Unit::Inch)
    }

    /// A computed number of inches, rounded to the nearest nanometre; zero
    /// where it is not finite or longer than [`Length::LONGEST`].
    pub fn from_inches(inches: f64) -> Length {
        Length::from_unit(inches, Unit::Inch).unwrap_or_default()
    }

    /// `n/d` inches, rounded to the nearest nanometre (exact down to 64ths).
    pub const fn inch_fraction(n: i64, d: i64) -> Length {
        let product = n * Length::INCH.0;
        let half = if product < 0 { -(d / 2) } else { d / 2 };
        Length((product + half) / d)
    }

    /// Thousandths of an inch.
    pub const fn thousandths(n: i64) -> Length {
        Length(n * 25_400)
    }

    /// The same length without its sign.
    pub const fn abs(self) -> Length {
        Length(self.0.abs())
    }

    /// Whether it is exactly zero.
    pub const fn is_zero(self) -> bool {
        self.0 == 0
    }

    /// Whether it is less than zero.
    pub const fn is_negative(self) -> bool {
        self.0 < 0
    }

    /// How many times `step` goes into this length, as a plain number.
    pub fn ratio(self, step: Length) -> f64 {
        self.0 as f64 / step.0 as f64
    }
}

impl From<Length> for i64 {
    fn from(length: Length) -> i64 {
        length.0
    }
}

/// A stored number of nanometres beyond [`Length::LONGEST`].
#[derive(Clone, Copy, Debug, PartialEq, Eq, thiserror::Error)]
#[error("{0} nanometres is longer than a kilometre")]
pub struct TooLong(i64);

/// A file may hold any number, and a sum of such must not overflow.
impl TryFrom<i64> for Length {
    type Error = TooLong;
    fn try_from(nanometres: i64) -> Result<Length, TooLong> {
        let fits = nanometres.unsigned_abs() <= Length::LONGEST.0.unsigned_abs();
        fits.then_some(Length(nanometres)).ok_or(TooLong(nanometres))
    }
}

/// `n/d` as the nearest whole number, half away from zero: the rounding of
/// every length that is read or shown exactly. `d` is above zero.
pub(super) const fn nearest_whole(n: i128, d: i128) -> i128 {
    let half = if n < 0 { -(d / 2) } else { d / 2 };
    (n + half) / d
}

impl Add for Length {
    type Output = Length;
    fn add(self, other: Length) -> Length {
        Length(self.0 + other.0)
    }
}

impl AddAssign for Length {
    fn add_assign(&mut self, other: Length) {
        self.0 += other.0;
    }
}

impl Sub for Length {
    type Output = Length;
    fn sub(self, other: Length) -> Length {
        Length(self.0 - other.0)
    }
}

impl SubAssign for Length {
    fn sub_assign(&mut self, other: Length) {
        self.0 -= other.0;
    }
}

impl Neg for Length {
    type Output = Length;
    fn neg(self) -> Length {
        Length(-self.0)
    }
}

impl Mul<i64> for Length {
    type Output = Length;
    fn mul(self, times: i64) -> Length {
        Length(self.0 * times)
    }
}

/// Divides and rounds to the nearest nanometre, half away from zero.
impl Div<i64> for Length {
    type Output = Length;
    fn div(self, parts: i64) -> Length {
        let half = if (self.0 < 0) == (parts < 0) { parts / 2 } else { -(parts / 2) };
        Length((self.0 + half) / parts)
    }
}

impl Sum for Length {
    fn sum<I: Iterator<Item = Length>>(lengths: I) -> Length {
        lengths.fold(Length::ZERO, Add::add)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// 1 in = 25.4 mm exactly: International Yard and Pound Agreement,
    /// 1 July 1959; NIST SP 811 Appendix B.
    #[test]
    fn an_inch_is_25_4_millimetres_exactly() {
        assert_eq!(Length::INCH, Length::MILLIMETRE * 254 / 10);
        assert_eq!(Length::from_unit(1.0, Unit::Inch), Length::from_unit(25.4, Unit::Millimetre));
    }

    /// Always: Every 64th of an inch is a whole number of nanometres.
    #[test]
    fn every_64th_is_a_whole_number_of_nanometres() {
        for n in 1..=64 {
            assert_eq!(Length::inch_fraction(n, 64) * 64, Length::INCH * n);
        }
        // 25.4 mm / 128 = 198 437.5 nm: the one common mark that must round.
        assert_eq!(Length::inch_fraction(1, 128).nanometres(), 198_438);
    }

    #[test]
    fn division_rounds_half_away_from_zero_on_both_sides() {
        assert_eq!(Length(5) / 2, Length(3));
        assert_eq!(Length(-5) / 2, Length(-3));
        assert_eq!(Length(7) / 3, Length(2));
        assert_eq!(Length(-8) / 3, Length(-3));
    }

    #[test]
    fn a_stored_length_is_its_nanometres_and_no_more_than_a_kilometre() {
        assert_eq!(serde_json::to_string(&Length::INCH).unwrap(), "25400000");
        assert_eq!(serde_json::from_str::<Length>("-25400000").unwrap(), -Length::INCH);
        for bad in ["1000000000001", "-9223372036854775808", "1.5"] {
            assert!(serde_json::from_str::<Length>(bad).is_err(), "{bad}");
        }
    }

    #[test]
    fn what_is_not_a_length_is_refused() {
        for bad in [f64::NAN, f64::INFINITY, 1e13, -1e300] {
            assert_eq!(Length::from_nanometres_f64(bad), None);
        }
    }
}
