//! Money in whole hundredths.
//!
//! Sums are whole numbers throughout; the one rounding is that of a part of a
//! price, to the nearest hundredth, a half up.

use std::iter::Sum;
use std::ops::{Add, AddAssign, Sub};

/// An amount of money, in whole hundredths of whatever the shop counts in.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Money(i64);

/// More than this for one foot of wood is a slip of the keyboard.
const MOST: f64 = 1e6;

/// Why a number is no price.
#[derive(Clone, Copy, Debug, PartialEq, Eq, thiserror::Error)]
pub enum NotAPrice {
    #[error("a price is greater than zero; leave it out where it isn't known")]
    Nothing,
    #[error("a price has at most two decimal places")]
    TooFine,
    #[error("a price is at most a million")]
    TooMuch,
}

impl Money {
    /// No money.
    pub const NONE: Money = Money(0);

    /// So many whole hundredths.
    pub const fn hundredths(hundredths: i64) -> Money {
        Money(hundredths)
    }

    /// Its whole hundredths.
    pub const fn in_hundredths(self) -> i64 {
        self.0
    }

    /// A price as a file writes it.
    pub fn price(amount: f64) -> Result<Money, NotAPrice> {
        if amount.is_nan() || amount <= 0.0 {
            return Err(NotAPrice::Nothing);
        }
        if amount > MOST {
            return Err(NotAPrice::TooMuch);
        }
        let hundredths = amount * 100.0;
        let whole = hundredths.round();
        if (hundredths - whole).abs() > 1e-6 || whole < 1.0 {
            return Err(NotAPrice::TooFine);
        }
        Ok(Money(whole as i64))
    }

    /// The price of a number of the units this is the price of.
    pub fn of_parts(self, count: i64, parts: i64) -> Money {
        let product = i128::from(self.0) * i128::from(count);
        let parts = i128::from(parts.max(1));
        let rounded = (2 * product + parts).div_euclid(2 * parts);
        Money(i64::try_from(rounded).unwrap_or(i64::MAX))
    }

    /// Figures and two places: `1234.50`, `-0.05`.
    pub fn figures(self) -> String {
        let sign = if self.0 < 0 { "-" } else { "" };
        let whole = self.0.unsigned_abs();
        format!("{sign}{}.{:02}", whole / 100, whole % 100)
    }

    /// The same with the sign of what it is counted in: a sign before it, as
    /// in `$720.00`, letters after it, as in `720.00 EUR`.
    pub fn written(self, currency: &str) -> String {
        let figures = self.figures();
        if currency.chars().any(char::is_alphabetic) {
            return format!("{figures} {currency}");
        }
        match figures.strip_prefix('-') {
            Some(figures) => format!("-{currency}{figures}"),
            None => format!("{currency}{figures}"),
        }
    }
}

impl Add for Money {
    type Output = Money;
    fn add(self, other: Money) -> Money {
        Money(self.0.saturating_add(other.0))
    }
}

impl AddAssign for Money {
    fn add_assign(&mut self, other: Money) {
        *self = *self + other;
    }
}

impl Sub for Money {
    type Output = Money;
    fn sub(self, other: Money) -> Money {
        Money(self.0.saturating_sub(other.0))
    }
}

impl Sum for Money {
    fn sum<I: Iterator<Item = Money>>(amounts: I) -> Money {
        amounts.fold(Money::NONE, Add::add)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn a_price_is_more_than_nothing_and_in_whole_hundredths() {
        assert_eq!(Money::price(7.9), Ok(Money(790)));
        assert_eq!(Money::price(12.0), Ok(Money(1200)));
        assert_eq!(Money::price(0.01), Ok(Money(1)));
        assert_eq!(Money::price(1e6), Ok(Money(100_000_000)));
        for (amount, why) in [
            (0.0, NotAPrice::Nothing),
            (-1.0, NotAPrice::Nothing),
            (f64::NAN, NotAPrice::Nothing),
            (7.905, NotAPrice::TooFine),
            (0.001, NotAPrice::TooFine),
            (1e7, NotAPrice::TooMuch),
        ] {
            assert_eq!(Money::price(amount), Err(why), "{amount}");
        }
    }

    /// By hand: 225 halves of 6.40 are 112.5 x 6.40 = 720.00; one half of 7.85
    /// is 3.925, so 3.93.
    #[test]
    fn parts_round_a_half_up() {
        assert_eq!(Money(640).of_parts(225, 2), Money(72_000));
        assert_eq!(Money(785).of_parts(1, 2), Money(393));
    }

    #[test]
    fn a_sign_goes_before_and_letters_behind() {
        assert_eq!(Money(72_000).written("$"), "$720.00");
        assert_eq!(Money(-5).written("$"), "-$0.05");
        assert_eq!(Money(72_000).written("EUR"), "720.00 EUR");
        assert_eq!(Money(-123_456).written("kr"), "-1234.56 kr");
    }

    proptest! {
        /// Whatever is written in hundredths is read as that many.
        #[test]
        fn every_price_of_two_places_is_read_exactly(hundredths in 1..100_000_000_i64) {
            let amount: f64 = Money(hundredths).figures().parse().unwrap();
            prop_assert_eq!(Money::price(amount), Ok(Money(hundredths)));
        }
    }
}
