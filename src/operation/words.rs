//! Lengths as sentences write them, and the sums that need care at the ends of
//! the range.

use crate::measure::{Length, Unit};

/// A length times a number. A result beyond a kilometre becomes a kilometre:
/// the findings then report that it does not fit.
pub(super) fn scaled(length: Length, by: f64) -> Length {
    let nanometres = length.nanometres() as f64 * by;
    let most = Length::LONGEST.nanometres() as f64;
    Length::from_nanometres_f64(nanometres.clamp(-most, most)).unwrap_or(Length::ZERO)
}

/// A length in a sentence, with the sign of the unit: an exact 64th as a
/// fraction, any other length with three decimals of an inch or two of a
/// millimetre.
pub fn words(length: Length, unit: Unit) -> String {
    match unit {
        Unit::Inch => {
            let (text, rest) = length.fraction(64);
            if rest.is_zero() {
                format!("{text} in")
            } else {
                format!("{} in", length.decimal(unit, 3))
            }
        }
        Unit::Millimetre => format!("{} mm", length.decimal(unit, 2)),
    }
}

/// A small difference, always in decimals and without a sign: three of an inch
/// or two of a millimetre.
pub fn decimal(length: Length, unit: Unit) -> String {
    length.decimal(unit, if unit == Unit::Inch { 3 } else { 2 })
}
