//! The number of a length and its unit as somebody wrote them, and the refusal
//! of a text that is no length.

use super::length::nearest_whole;
use super::{Length, Unit};
use crate::prose::{Message, Span};

/// Why some bytes of a text are not a length.
pub(super) fn not_a_length(at: Span, what: impl Into<String>) -> Message<Span> {
    Message::error(what).at(at)
}

/// The unit an amount was written in.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum TypedUnit {
    Inch,
    Millimetre,
    Centimetre,
}

impl TypedUnit {
    pub(super) fn of(unit: Unit) -> TypedUnit {
        match unit {
            Unit::Inch => TypedUnit::Inch,
            Unit::Millimetre => TypedUnit::Millimetre,
        }
    }

    pub(super) fn one(self) -> Length {
        match self {
            TypedUnit::Inch => Length::INCH,
            TypedUnit::Millimetre => Length::MILLIMETRE,
            TypedUnit::Centimetre => Length::MILLIMETRE * 10,
        }
    }
}

/// A number without sign or unit, in the form it was written.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum TypedNumber<'t> {
    Whole(u64),
    Fraction { whole: u64, over: u64, under: u64 },
    Decimal { whole: u64, decimals: &'t str },
}

impl TypedNumber<'_> {
    pub(super) fn of(self, one: Length) -> i128 {
        let one = i128::from(one.nanometres());
        match self {
            TypedNumber::Whole(whole) => i128::from(whole) * one,
            TypedNumber::Fraction { whole, over, under } => {
                let (over, under) = (i128::from(over), i128::from(under));
                nearest_whole((i128::from(whole) * under + over) * one, under)
            }
            TypedNumber::Decimal { whole, decimals } => {
                let (digits, scale) =
                    decimals.bytes().fold((i128::from(whole), 1), |(digits, scale), byte| {
                        (digits * 10 + i128::from(byte - b'0'), scale * 10)
                    });
                nearest_whole(digits * one, scale)
            }
        }
    }
}
