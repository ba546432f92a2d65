//! The limits of a size, and how they are written: about a nominal size, or
//! outright.

use super::number::not_a_length;
use super::{Length, Unit, parse_written};
use crate::prose::{Message, Span};

/// The least and the most a size may be; at least one of them is there.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Limits {
    /// The least that is within limits; `None` where nothing is too small.
    pub low: Option<Length>,
    /// The most that is within limits; `None` where nothing is too big.
    pub high: Option<Length>,
}

impl Limits {
    /// The room between two limits.
    pub fn band(&self) -> Option<Length> {
        Some(self.high? - self.low?)
    }

    /// Halfway between two limits.
    pub fn middle(&self) -> Option<Length> {
        Some((self.low? + self.high?) / 2)
    }

    /// True when a size is inside or on a limit.
    pub fn contains(&self, size: Length) -> bool {
        self.low.is_none_or(|low| low <= size) && self.high.is_none_or(|high| size <= high)
    }
}

/// Limits as written: about a nominal size, or outright.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Tolerance {
    /// Added to the nominal size: `±1/64`, `+1/32 -0`.
    About {
        /// How far below the size.
        below: Length,
        /// How far above the size.
        above: Length,
    },
    /// Sizes in themselves: `1/32..3/32`, `..3/32`, `1/32..`.
    Outright(Limits),
}

impl Tolerance {
    /// The limits of a part of that nominal size.
    pub fn around(&self, nominal: Length) -> Limits {
        match *self {
            Tolerance::About { below, above } => {
                Limits { low: Some(nominal + below), high: Some(nominal + above) }
            }
            Tolerance::Outright(limits) => limits,
        }
    }

    /// The text that [`parse_limits`] reads back as these limits.
    pub fn written(&self, unit: Unit) -> String {
        match *self {
            Tolerance::About { below, above } if above == -below && !above.is_negative() => {
                format!("±{}", above.written(unit))
            }
            Tolerance::About { below, above } => {
                let plus = if above.is_negative() { "" } else { "+" };
                let sign = if below > Length::ZERO {
                    "+"
                } else if below.is_zero() {
                    "-"
                } else {
                    ""
                };
                format!("{plus}{} {sign}{}", above.written(unit), below.written(unit))
            }
            Tolerance::Outright(Limits { low, high }) => {
                let written =
                    |limit: Option<Length>| limit.map_or(String::new(), |l| l.written(unit));
                format!("{}..{}", written(low), written(high))
            }
        }
    }
}

/// Reads limits: `±1/64`, `+-1/64`, `+1/32 -0`, `-0 +1/32`, `1/32..3/32`,
/// `..3/32`, `1/32..`.
pub fn parse_limits(text: &str, unit: Unit) -> Result<Tolerance, Message<Span>> {
    let start = text.len() - text.trim_start().len();
    let trimmed = text.trim();
    let tolerance = if let Some((low, high)) = trimmed.split_once("..") {
        outright(low, high, unit)
    } else if let Some(sign) = ["±", "+-", "+/-"].iter().find(|sign| trimmed.starts_with(**sign)) {
        either_way(trimmed, sign.len(), unit)
    } else {
        two_deviations(trimmed, unit)
    };
    tolerance.map_err(|refused| refused.moved(start))
}

fn outright(low: &str, high: &str, unit: Unit) -> Result<Tolerance, Message<Span>> {
    let high_start = low.len() + "..".len();
    let whole = 0..high_start + high.len();
    let limit = |text: &str, start: usize| match text.trim() {
        "" => Ok(None),
        _ => parse_written(text, unit).map(Some).map_err(|refused| refused.moved(start)),
    };
    let limits = Limits { low: limit(low, 0)?, high: limit(high, high_start)? };
    match limits {
        Limits { low: None, high: None } => {
            Err(not_a_length(whole, "limits need a size on at least one side of `..`"))
        }
        Limits { low: Some(low), high: Some(high) } if low > high => Err(not_a_length(
            whole,
            "the low limit is over the high one",
        )
        .help(format!("write {}..{}", high.written(unit), low.written(unit)))),
        _ => Ok(Tolerance::Outright(limits)),
    }
}

fn either_way(text: &str, sign: usize, unit: Unit) -> Result<Tolerance, Message<Span>> {
    let above = parse_written(&text[sign..], unit).map_err(|refused| refused.moved(sign))?;
    if text[sign..].trim_start().starts_with(['-', '\u{2212}']) {
        return Err(not_a_length(0..text.len(), "plus and minus a negative size means nothing")
            .help(format!("write ±{}", above.abs().written(unit))));
    }
    Ok(Tolerance::About { below: -above, above })
}

fn two_deviations(text: &str, unit: Unit) -> Result<Tolerance, Message<Span>> {
    let is_sign = |c: char| matches!(c, '+' | '-' | '\u{2212}');
    if !text.starts_with(is_sign) {
        return Err(not_a_length(0..text.len(), "limits were expected here")
            .help("write them as ±1/64, +1/32 -0 or 1/32..3/32"));
    }
    let second = text.char_indices().skip(1).find(|&(_, c)| is_sign(c)).map(|(at, _)| at);
    let second = second.unwrap_or(text.len());
    let first = deviation(&text[..second], unit)?;
    if second == text.len() {
        let other = if text.starts_with('+') { "-0" } else { "+0" };
        return Err(not_a_length(0..text.len(), "the other limit is missing")
            .help(format!("write `{text} {other}`")));
    }
    let other = deviation(&text[second..], unit).map_err(|refused| refused.moved(second))?;
    if !text[..second].ends_with(char::is_whitespace) {
        return Err(not_a_length(second..text.len(), "a space was expected between the limits")
            .help(format!("write `{} {}`", &text[..second], &text[second..])));
    }
    // `+1/32 -0` is how a drawing has it; `-0 +1/32` says the same.
    Ok(Tolerance::About { below: first.min(other), above: first.max(other) })
}

fn deviation(text: &str, unit: Unit) -> Result<Length, Message<Span>> {
    match text.strip_prefix('+') {
        Some(plus) if plus.trim_start().starts_with(['-', '\u{2212}']) => {
            Err(not_a_length(0..text.trim_end().len(), "this has two signs"))
        }
        Some(plus) => parse_written(plus, unit).map_err(|refused| refused.moved(1)),
        None => parse_written(text, unit),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn inch(n: i64, d: i64) -> Length {
        Length::inch_fraction(n, d)
    }

    fn check(text: &str, low: Option<Length>, high: Option<Length>) {
        let tolerance = parse_limits(text, Unit::Inch).unwrap_or_else(|e| panic!("{text}: {e}"));
        assert_eq!(tolerance.around(Length::INCH), Limits { low, high }, "{text}");
    }

    #[test]
    fn limits_about_a_nominal_size() {
        // About 1 in = 64/64.
        for text in ["±1/64", "+-1/64", "+/-1/64", " ± 1/64 in ", "+1/64 -1/64", "-1/64 +1/64"] {
            check(text, Some(inch(63, 64)), Some(inch(65, 64)));
        }
        for text in ["+1/32 -0", "-0 +1/32", "+1/32 +0", "+ 1/32  - 0"] {
            check(text, Some(Length::INCH), Some(inch(33, 32)));
        }
        check("+0 -1/32", Some(inch(31, 32)), Some(Length::INCH));
        check("-1/64 -1/32", Some(inch(62, 64)), Some(inch(63, 64)));
        check(
            "±0.4 mm",
            Some(Length::from_nanometres(25_000_000)),
            Some(Length::from_nanometres(25_800_000)),
        );
    }

    #[test]
    fn limits_outright() {
        check("1/32..3/32", Some(inch(1, 32)), Some(inch(3, 32)));
        check("1/32 .. 3/32", Some(inch(1, 32)), Some(inch(3, 32)));
        check(".5...75", Some(inch(1, 2)), Some(inch(3, 4)));
        check("..3/32", None, Some(inch(3, 32)));
        check("1/32..", Some(inch(1, 32)), None);
        check("-1/32..1/32", Some(inch(-1, 32)), Some(inch(1, 32)));
    }

    #[test]
    fn what_is_no_limit_is_answered_in_words() {
        for (text, words) in [
            ("", "limits were expected"),
            ("1/64", "write them as ±1/64"),
            ("+1/32", "write `+1/32 -0`"),
            ("-1/32", "write `-1/32 +0`"),
            ("+1/32-0", "write `+1/32 -0`"),
            ("±-1/64", "write ±1/64"),
            ("+--1/64", "write ±1/64"),
            ("±", "no length"),
            ("±1/7", "sevenths"),
            ("..", "at least one side"),
            ("3/32..1/32", "write 1/32..3/32"),
            ("1/32..x", "`x` is not a unit"),
            ("+1\u{1b}", "`\\u{1b}` is no part of a length"),
            ("+1/32 -0 -0", "looks like a sum"),
        ] {
            let refused = parse_limits(text, Unit::Inch).unwrap_err();
            assert!(refused.to_string().contains(words), "{text:?}: {refused}");
            assert!(text.get(refused.place).is_some(), "{text:?}");
        }
        assert_eq!(parse_limits("  1/32..3/7", Unit::Inch).unwrap_err().place, 10..11);
    }

    #[test]
    fn a_size_on_a_limit_is_inside() {
        let limits = Limits { low: Some(inch(1, 32)), high: Some(inch(3, 32)) };
        assert_eq!(limits.band(), Some(inch(1, 16)));
        assert!(limits.contains(inch(1, 32)) && limits.contains(inch(3, 32)));
        assert!(!limits.contains(inch(1, 64)) && !limits.contains(inch(1, 8)));
        let over = Limits { low: Some(Length::ZERO), high: None };
        assert!(over.band().is_none() && over.contains(Length::INCH));
    }

    fn any_tolerance() -> impl Strategy<Value = Tolerance> {
        let size = || {
            prop_oneof![
                -100_000_000_000_i64..=100_000_000_000,
                (-640_i64..640).prop_map(|n| n * 396_875),
                Just(0),
            ]
            .prop_map(Length::from_nanometres)
        };
        prop_oneof![
            size().prop_map(|by| Tolerance::About { below: -by.abs(), above: by.abs() }),
            (size(), size())
                .prop_map(|(a, b)| Tolerance::About { below: a.min(b), above: a.max(b) }),
            (size(), size()).prop_map(|(a, b)| Tolerance::Outright(Limits {
                low: Some(a.min(b)),
                high: Some(a.max(b))
            })),
            size().prop_map(|a| Tolerance::Outright(Limits { low: Some(a), high: None })),
            size().prop_map(|a| Tolerance::Outright(Limits { low: None, high: Some(a) })),
        ]
    }

    proptest! {
        /// Always: A length that is printed reads back the same.
        #[test]
        fn what_is_written_reads_back_the_same(tolerance in any_tolerance()) {
            for unit in [Unit::Inch, Unit::Millimetre] {
                let text = tolerance.written(unit);
                prop_assert_eq!(parse_limits(&text, unit), Ok(tolerance), "{}", text);
            }
        }

        /// Always: No typed text makes the program panic.
        #[test]
        fn random_text_never_panics(text in any::<String>(), near in "[0-9 ./+±−in-]{0,16}") {
            for text in [text, near] {
                if let Err(refused) = parse_limits(&text, Unit::Inch) {
                    prop_assert!(text.get(refused.place).is_some());
                }
            }
        }
    }

    /// Each deviation has its sign, a zero the one of its side.
    #[test]
    fn limits_are_written_as_people_write_them() {
        for text in [
            "±1/64",
            "+1/32 -0",
            "+0 -1/32",
            "+3/32 +1/32",
            "-1/64 -1/32",
            "1/32..3/32",
            "..3/32",
            "1/32..",
        ] {
            assert_eq!(parse_limits(text, Unit::Inch).expect(text).written(Unit::Inch), text);
        }
    }
}
