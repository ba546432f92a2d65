//! Reads a length that was typed at a machine or written in a file.

use super::number::not_a_length;
use super::phrase::{Manner, Phrase};
use super::{Entry, Length, Shade, Unit};
use crate::prose::{Message, Span};

/// A reading as typed: its length, shade included, and the shade.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Typed {
    /// The length, shade included.
    pub value: Length,
    /// The shade, where one was typed.
    pub shade: Option<Shade>,
}

/// Reads what was typed at a machine: `1 7/16`, `1-7/16`, `1.4375`, `1,4375`,
/// `36.5mm`, `2' 3 1/2"`, with strong or shy as a trailing `+` or `-`, worth
/// half the smallest mark of the gauge.
pub fn parse_entry(text: &str, entry: &Entry) -> Result<Typed, Message<Span>> {
    let phrase = Phrase::read(text, Manner::AtTheMachine(entry))?;
    let mark = phrase.length().ok_or_else(|| too_long(text))?;
    let half_a_mark = entry.mark.unwrap_or_default() / 2;
    let value = match phrase.shade {
        Some(Shade::Strong) => mark + half_a_mark,
        Some(Shade::Shy) => mark - half_a_mark,
        None => mark,
    };
    Ok(Typed { value, shade: phrase.shade })
}

/// Reads a length written in a file: the same forms without decimal comma,
/// shade or a sign that could be arithmetic.
pub fn parse_written(text: &str, bare: Unit) -> Result<Length, Message<Span>> {
    Phrase::read(text, Manner::InAFile(bare))?.length().ok_or_else(|| too_long(text))
}

fn too_long(text: &str) -> Message<Span> {
    not_a_length(0..text.len(), "this is longer than a kilometre")
        .help("check the number and its unit")
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    const TAPE: Entry = Entry { bare: Unit::Inch, mark: Some(Length::inch_fraction(1, 16)) };
    const CALIPER: Entry = Entry { bare: Unit::Inch, mark: None };
    const METRIC: Entry = Entry { bare: Unit::Millimetre, mark: None };

    fn inches(n: i64, d: i64) -> Length {
        Length::inch_fraction(n, d)
    }

    fn typed(text: &str, expected: Length) {
        let found = parse_entry(text, &TAPE).map(|typed| typed.value);
        assert_eq!(found, Ok(expected), "{text:?}");
    }

    fn refused(text: &str, words: &str) {
        refused_on(text, &TAPE, words);
    }

    fn refused_on(text: &str, entry: &Entry, words: &str) {
        match parse_entry(text, entry) {
            Ok(typed) => panic!("{text:?} was read as {typed:?}"),
            Err(refused) => {
                assert!(refused.to_string().contains(words), "{text:?}: {refused}");
                assert!(text.get(refused.place).is_some(), "{text:?}");
            }
        }
    }

    #[test]
    fn one_and_seven_sixteenths_in_every_form() {
        for text in [
            "1 7/16",
            "1-7/16",
            "1+7/16",
            "1.4375",
            "1,4375",
            "+1.4375",
            "+ 1.4375 in",
            "  1 7/16\t",
            "1 7/16\"",
            "1 7/16 in",
            "1-7/16 inches",
            "1.4375in",
            "1.4375 IN",
            "001.43750",
            "23/16",
            "46/32",
            "1 14/32",
            "1 7 / 16",
            "0' 1 7/16\"",
            "36.5125mm",
            "36,5125 mm",
            "3.65125cm",
            "0ft 1 7/16in",
        ] {
            typed(text, inches(23, 16));
        }
    }

    #[test]
    fn other_forms() {
        typed("7/16", inches(7, 16));
        typed("10/32", inches(5, 16));
        typed("27/16", inches(27, 16));
        typed(".5", inches(1, 2));
        typed(",5", inches(1, 2));
        typed("13", Length::INCH * 13);
        typed("0", Length::ZERO);
        typed("0/16", Length::ZERO);
        typed("36.5mm", Length::from_nanometres(36_500_000));
        typed("36.5 mm", Length::from_nanometres(36_500_000));
        typed("3.65cm", Length::from_nanometres(36_500_000));
        typed("8ft", Length::INCH * 96);
        typed("2.5ft", Length::INCH * 30);
        typed("2 1/2'", Length::INCH * 30);
        // 2 × 12 + 3 1/2 = 27 1/2.
        for text in [
            "2' 3 1/2\"",
            "2'3 1/2",
            "2'-3-1/2\"",
            "2ft 3 1/2in",
            "2 ft 3.5 in",
            "2′ 3 1/2″",
            "2' 3 1/2''",
        ] {
            typed(text, inches(55, 2));
        }
        typed("-1/16", inches(-1, 16));
        typed("-1-7/16", inches(-23, 16));
        typed("\u{2212}0.5", inches(-1, 2));
        // 25.4 mm / 128 = 198 437.5 nm, half away from zero.
        typed("1/128", Length::from_nanometres(198_438));
        typed("-1/128", Length::from_nanometres(-198_438));
    }

    #[test]
    fn a_bare_number_takes_the_unit_of_the_gauge() {
        let typed = parse_entry("36.5", &METRIC).unwrap();
        assert_eq!(typed.value, Length::from_nanometres(36_500_000));
        let typed = parse_entry("1.5 in", &METRIC).unwrap();
        assert_eq!(typed.value, inches(3, 2));
        refused_on("7/16", &METRIC, "fractions are for inches; write a decimal, or 7/16 in");
        refused_on("1 1/2 mm", &TAPE, "fractions are for inches; write a decimal, or 1 1/2 in");
    }

    #[test]
    fn strong_and_shy_are_half_the_smallest_mark() {
        let shaded = |text| {
            let typed = parse_entry(text, &TAPE).unwrap();
            (typed.value, typed.shade)
        };
        // 13 5/16 = 426/32, and half of 1/16 is 1/32.
        assert_eq!(shaded("13 5/16+"), (inches(427, 32), Some(Shade::Strong)));
        assert_eq!(shaded("13 5/16 -"), (inches(425, 32), Some(Shade::Shy)));
        assert_eq!(shaded("13-5/16-"), (inches(425, 32), Some(Shade::Shy)));
        assert_eq!(shaded("13 5/16\"+"), (inches(427, 32), Some(Shade::Strong)));
        assert_eq!(shaded("13-"), (inches(415, 32), Some(Shade::Shy)));
        assert_eq!(shaded("2' 3\"+"), (inches(27 * 32 + 1, 32), Some(Shade::Strong)));
        let rule = Entry { bare: Unit::Millimetre, mark: Some(Length::MILLIMETRE) };
        assert_eq!(parse_entry("36+", &rule).unwrap().value.nanometres(), 36_500_000);
    }

    #[test]
    fn a_shade_that_means_nothing_is_refused() {
        refused_on("13 5/16+", &CALIPER, "this gauge shows decimals");
        refused("13.3125+", "not a decimal");
        refused("36mm-", "type the reading in inches");
        refused("-1/16+", "two ways");
        refused("1 7/16++", "not expected after");
    }

    #[test]
    fn slips_are_answered_in_words() {
        refused("", "there is no length here");
        refused("  \t ", "there is no length here");
        refused("1.4.3", "two points");
        refused("1..4", "two points");
        refused("1,234.5", "two points");
        refused("1.", "no digit after the point");
        refused("1 .5", "space before the point");
        refused("1. 5", "no digit after the point");
        refused("1 7", "`1 7` is two numbers, not one; write a fraction as in `1 7/16`");
        refused("1-7", "write one length, as in `1 7/16`");
        refused("7/", "lacks the bottom of its fraction");
        refused("1 7/", "lacks the bottom of its fraction");
        refused("7/0", "can't be 0");
        refused("5/1", "a whole number");
        refused("3/7", "sevenths are on no rule");
        refused("3/24", "twenty-fourths are on no rule");
        refused("7/10", "tenths are written as a decimal");
        refused("1/256", "this fine");
        refused("1.5 7/16", "a decimal and a fraction");
        refused("1.5-7/16", "a decimal and a fraction");
        refused("1.5/16", "a decimal and a fraction");
        refused("7/16.5", "a fraction and a decimal");
        refused("1/7/16", "sevenths");
        refused("1/2/16", "one stroke");
        refused("1 27/16", "is it 2 11/16?");
        refused("1 16/16", "is it 2?");
        refused("1 - 7/16", "looks like a sum");
        refused("1 -7/16", "looks like a sum");
        refused("1.4375 furlongs", "`furlongs` is not a unit");
        refused("338.5m", "metres or millimetres");
        refused("1O", "is it a zero?");
        refused("in", "a number was expected before `in`");
        refused("-", "there is no number here");
        refused("/16", "a number was expected before `/`");
        refused("2' 15\"", "make another foot");
        refused("2.5' 3", "must be whole");
        refused("1\u{1b}[2J", "`\\u{1b}` is no part of a length");
        refused("1\n2", "`\\n` is no part of a length");
        refused("1½", "no part of a length");
        refused("1234567890", "longer than any piece of wood");
        refused("2000000 mm", "longer than a kilometre");
        refused("0.123456789012345678901", "decimals");
        refused(&"1".repeat(41), "40 characters");
    }

    #[test]
    fn files_take_no_comma_shade_or_tight_sign() {
        let refused = |text, words: &str| {
            let refused = parse_written(text, Unit::Inch).unwrap_err();
            assert!(refused.to_string().contains(words), "{text:?}: {refused}");
        };
        refused("1-7/16", "write `1 7/16` or `1 - 7/16`");
        refused("-1-7/16", "write `1 7/16` or `-1 - 7/16`");
        refused("1+7/16", "write `1 7/16`");
        refused("1 - 7/16", "this looks like a sum");
        refused("2'-3\"", "write `2' 3\"` or `2' - 3\"`");
        refused("1,4375", "write 1.4375");
        refused("13 5/16+", "not for files");
        refused("+1/16", "no plus");
        assert_eq!(parse_written("-1 7/16", Unit::Inch), Ok(inches(-23, 16)));
        assert_eq!(parse_written("1 7/16", Unit::Inch), Ok(inches(23, 16)));
        assert_eq!(parse_written("36.5 mm", Unit::Inch).unwrap().nanometres(), 36_500_000);
        assert_eq!(parse_written("36.5", Unit::Millimetre).unwrap().nanometres(), 36_500_000);
    }

    /// Inch fractions in millimetres. 1 in = 25.4 mm exactly: International
    /// Yard and Pound Agreement, 1 July 1959; NIST SP 811 Appendix B.
    #[test]
    fn fractions_of_an_inch_in_millimetres() {
        for (fraction, millimetres) in [
            ("1/64", "0.396875"),
            ("1/32", "0.79375"),
            ("1/16", "1.5875"),
            ("5/64", "1.984375"),
            ("3/32", "2.38125"),
            ("1/8", "3.175"),
            ("9/64", "3.571875"),
            ("5/32", "3.96875"),
            ("3/16", "4.7625"),
            ("13/64", "5.159375"),
            ("7/32", "5.55625"),
            ("1/4", "6.35"),
            ("17/64", "6.746875"),
            ("9/32", "7.14375"),
            ("5/16", "7.9375"),
            ("21/64", "8.334375"),
            ("11/32", "8.73125"),
            ("3/8", "9.525"),
            ("25/64", "9.921875"),
            ("13/32", "10.31875"),
            ("7/16", "11.1125"),
            ("29/64", "11.509375"),
            ("15/32", "11.90625"),
            ("1/2", "12.7"),
            ("33/64", "13.096875"),
            ("17/32", "13.49375"),
            ("9/16", "14.2875"),
            ("37/64", "14.684375"),
            ("19/32", "15.08125"),
            ("5/8", "15.875"),
            ("41/64", "16.271875"),
            ("21/32", "16.66875"),
            ("11/16", "17.4625"),
            ("45/64", "17.859375"),
            ("23/32", "18.25625"),
            ("3/4", "19.05"),
            ("49/64", "19.446875"),
            ("25/32", "19.84375"),
            ("13/16", "20.6375"),
            ("53/64", "21.034375"),
            ("27/32", "21.43125"),
            ("7/8", "22.225"),
            ("57/64", "22.621875"),
            ("29/32", "23.01875"),
            ("15/16", "23.8125"),
            ("61/64", "24.209375"),
            ("31/32", "24.60625"),
        ] {
            let length = parse_written(fraction, Unit::Inch).unwrap();
            assert_eq!(parse_written(millimetres, Unit::Millimetre), Ok(length), "{fraction}");
            assert_eq!(length.written(Unit::Millimetre), millimetres);
            let (shown, off) = length.fraction(64);
            assert_eq!((shown.as_str(), off), (fraction, Length::ZERO));
        }
        // The rest of the 64ths by the definition: 25 400 000 / 64 = 396 875 nm.
        for n in 0..=64 {
            let length = parse_written(&format!("{n}/64"), Unit::Inch).unwrap();
            assert_eq!(length.nanometres(), n * 396_875);
        }
    }

    proptest! {
        /// Always: No typed text makes the program panic.
        #[test]
        fn random_text_never_panics(text in any::<String>()) {
            for entry in [TAPE, CALIPER, METRIC] {
                if let Err(refused) = parse_entry(&text, &entry) {
                    prop_assert!(text.get(refused.place).is_some());
                }
            }
            if let Err(refused) = parse_written(&text, Unit::Inch) {
                prop_assert!(text.get(refused.place).is_some());
            }
        }

        #[test]
        fn text_of_the_right_letters_never_panics(text in "[0-9 .,/+'\"−incmfto-]{0,14}") {
            for entry in [TAPE, CALIPER, METRIC] {
                if let Err(refused) = parse_entry(&text, &entry) {
                    prop_assert!(text.get(refused.place).is_some());
                }
            }
            // A file takes nothing that an entry line without shade would not.
            if let Ok(length) = parse_written(&text, Unit::Inch) {
                prop_assert_eq!(parse_entry(&text, &CALIPER).map(|typed| typed.value), Ok(length));
            }
        }

        #[test]
        fn random_bytes_never_panic(bytes in proptest::collection::vec(any::<u8>(), 0..60)) {
            let text = String::from_utf8_lossy(&bytes);
            let _ = parse_entry(&text, &TAPE);
            let _ = parse_written(&text, Unit::Millimetre);
        }
    }
}
