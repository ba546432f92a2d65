//! Says a typed length in words, as somebody would call it across the shop.

use super::number::{TypedNumber, TypedUnit};
use super::numeral::{number, part, plural_part};
use super::phrase::{Manner, Phrase};
use super::{Entry, Shade};

/// Says what was typed: `13 5/16+` is "thirteen and five sixteenths, strong".
/// `None` when it is not a length.
pub fn spoken(text: &str, entry: &Entry) -> Option<String> {
    let phrase = Phrase::read(text, Manner::AtTheMachine(entry)).ok()?;
    phrase.length()?;
    let mut words = Vec::new();
    if phrase.negative {
        words.push("minus".to_string());
    }
    if let Some(feet) = phrase.feet {
        words.push(with_unit(feet, "foot", "feet"));
    }
    if let Some(amount) = phrase.amount {
        words.push(match phrase.measure {
            TypedUnit::Millimetre => with_unit(amount, "millimetre", "millimetres"),
            TypedUnit::Centimetre => with_unit(amount, "centimetre", "centimetres"),
            // A bare "eleven" could be what is left of "eleven sixteenths".
            TypedUnit::Inch if phrase.feet.is_some() || is_whole(amount) => {
                with_unit(amount, "inch", "inches")
            }
            TypedUnit::Inch => say(amount),
        });
    }
    let shade = match phrase.shade {
        Some(Shade::Strong) => ", strong",
        Some(Shade::Shy) => ", shy",
        None => "",
    };
    Some(words.join(" ") + shade)
}

fn is_whole(amount: TypedNumber) -> bool {
    match amount {
        TypedNumber::Whole(_) => true,
        TypedNumber::Fraction { over, under, .. } => over % under == 0,
        TypedNumber::Decimal { decimals, .. } => spoken_decimals(decimals).is_empty(),
    }
}

/// Nobody calls out the zeros a gauge shows after the last figure.
fn spoken_decimals(decimals: &str) -> &str {
    decimals.trim_end_matches('0')
}

fn with_unit(amount: TypedNumber, one: &str, many: &str) -> String {
    let said = say(amount);
    let unit = match amount {
        TypedNumber::Fraction { whole: 0, over, under } if over < under && over > 0 => {
            return format!("{said} of {} {one}", if one.starts_with('i') { "an" } else { "a" });
        }
        _ if said == "one" => one,
        _ => many,
    };
    format!("{said} {unit}")
}

fn say(amount: TypedNumber) -> String {
    match amount {
        TypedNumber::Whole(whole) => number(whole),
        TypedNumber::Fraction { whole, over, under } => {
            let (whole, over) = (whole + over / under, over % under);
            // Every bottom number is a power of two.
            let shared = 1 << over.trailing_zeros().min(under.trailing_zeros());
            let (over, under) = (over / shared, under / shared);
            let part = if over == 1 { part(under) } else { plural_part(under) };
            match (whole, over) {
                (whole, 0) => number(whole),
                (0, over) => format!("{} {part}", number(over)),
                (whole, over) => format!("{} and {} {part}", number(whole), number(over)),
            }
        }
        TypedNumber::Decimal { whole, decimals } => {
            let digits = spoken_decimals(decimals);
            if digits.is_empty() {
                return number(whole);
            }
            let digits = digits.bytes().map(|byte| number(u64::from(byte - b'0')));
            format!("{} point {}", number(whole), digits.collect::<Vec<_>>().join(" "))
        }
    }
}

#[cfg(test)]
mod tests {
    use super::super::{Length, Unit, parse_entry};
    use super::*;
    use proptest::prelude::*;

    const TAPE: Entry = Entry { bare: Unit::Inch, mark: Some(Length::inch_fraction(1, 16)) };

    fn check(text: &str, words: &str) {
        assert_eq!(spoken(text, &TAPE).as_deref(), Some(words), "{text}");
    }

    #[test]
    fn fractions_are_called_whole_then_fraction_then_shade() {
        check("13 5/16+", "thirteen and five sixteenths, strong");
        check("13-5/16-", "thirteen and five sixteenths, shy");
        check("11/16", "eleven sixteenths");
        check("1/16", "one sixteenth");
        check("3 1/2", "three and one half");
        check("1/4", "one quarter");
        check("2 3/4", "two and three quarters");
        check("7/8", "seven eighths");
        check("13 21/64", "thirteen and twenty-one sixty-fourths");
        check("5/32", "five thirty-seconds");
        check("1/32", "one thirty-second");
        check("3/128", "three one-hundred-twenty-eighths");
        check("-1/16", "minus one sixteenth");
    }

    #[test]
    fn fractions_are_called_reduced() {
        check("10/32", "five sixteenths");
        check("27/16", "one and eleven sixteenths");
        check("1 8/16", "one and one half");
        check("32/16", "two inches");
        check("0/16", "zero inches");
    }

    #[test]
    fn a_whole_number_of_inches_says_so() {
        check("11", "eleven inches");
        check("1", "one inch");
        check("13+", "thirteen inches, strong");
    }

    #[test]
    fn decimals_are_called_digit_by_digit() {
        check("1.4375", "one point four three seven five");
        check("1,4375", "one point four three seven five");
        check("+1.4370 in", "one point four three seven");
        check("37.0000", "thirty-seven inches");
        check("0.0500", "zero point zero five");
        check("12.00mm", "twelve millimetres");
        check(".5", "zero point five");
        check("36.5mm", "thirty-six point five millimetres");
        check("1 mm", "one millimetre");
        check("3.65 cm", "three point six five centimetres");
        check("1205 mm", "one thousand two hundred five millimetres");
        let rule = Entry { bare: Unit::Millimetre, mark: None };
        assert_eq!(
            spoken("338.1", &rule).unwrap(),
            "three hundred thirty-eight point one millimetres"
        );
    }

    #[test]
    fn feet_are_called_with_their_inches() {
        check("8ft", "eight feet");
        check("1'", "one foot");
        check("2' 3 1/2\"", "two feet three and one half inches");
        check("2' 1/2\"", "two feet one half of an inch");
        check("1/2 ft", "one half of a foot");
        check("2' 1\"-", "two feet one inch, shy");
    }

    proptest! {
        #[test]
        fn whatever_can_be_typed_can_be_said(text in "[0-9 .,/+'\"imn-]{0,10}") {
            prop_assert_eq!(spoken(&text, &TAPE).is_some(), parse_entry(&text, &TAPE).is_ok());
        }
    }
}
