//! Reads the numbers of a file or an option: plain numbers, or lengths in a unit.

use crate::measure::{Entry, Length, Limits, Tolerance, Unit, parse_entry, parse_limits};
use crate::prose::{Message, quoted};

/// Larger numbers are refused: their squares would overflow.
const LARGEST: f64 = 1e100;

/// How numbers are written.
#[derive(Clone, Copy)]
pub(super) struct NumberFormat {
    /// The unit of a bare number when numbers are lengths; none for plain numbers.
    pub(super) unit: Option<Unit>,
    /// Whether a plain number may have a decimal comma.
    pub(super) comma: bool,
}

/// The tolerance of a reading; at least one limit is present.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct ReadingBounds {
    pub(super) low: Option<f64>,
    pub(super) high: Option<f64>,
}

impl ReadingBounds {
    /// Whether a value is within the limits or on one. The margin covers decimals without an
    /// exact binary form.
    pub(super) fn hold(&self, value: f64) -> bool {
        let slack = |limit: f64| 1e-12 * limit.abs().max(value.abs());
        self.low.is_none_or(|low| value >= low - slack(low))
            && self.high.is_none_or(|high| value <= high + slack(high))
    }
}

/// Limits as they are written.
enum WrittenLimits {
    /// Below and above the target.
    About(f64, f64),
    Outright(ReadingBounds),
}

impl NumberFormat {
    pub(super) fn read(self, text: &str) -> Result<f64, Message> {
        match self.unit {
            Some(unit) => {
                let typed = parse_entry(text, &Entry { bare: unit, mark: None })
                    .map_err(|why| why.anywhere())?;
                Ok(typed.value.in_unit(unit))
            }
            None => self.plain(text),
        }
    }

    fn plain(self, text: &str) -> Result<f64, Message> {
        let text = text.trim();
        if text.is_empty() {
            return Err(Message::error("a number is missing here"));
        }
        let mut pointed = text.replace('\u{2212}', "-");
        if self.comma && !pointed.contains('.') {
            pointed = pointed.replacen(',', ".", 1);
        }
        match pointed.parse::<f64>() {
            Ok(number) if number.is_nan() => Err(Message::error("this is not a number")),
            Ok(number) if number.abs() > LARGEST => {
                Err(Message::error(format!("{} is too large for a reading", quoted(text))))
            }
            Ok(number) => Ok(number),
            Err(_) => {
                Err(Message::error(format!("{} is not a number", quoted(text)))
                    .maybe_help(hint(text)))
            }
        }
    }

    pub(super) fn over_zero(self, text: &str) -> Result<f64, Message> {
        match self.read(text)? {
            number if number > 0.0 => Ok(number),
            _ => Err(Message::error("must be greater than zero")),
        }
    }

    pub(super) fn zero_or_over(self, text: &str) -> Result<f64, Message> {
        match self.read(text)? {
            number if number >= 0.0 => Ok(number),
            _ => Err(Message::error("must be zero or greater")),
        }
    }

    /// A number greater than 0 and at most 1.
    pub(super) fn share(self, text: &str) -> Result<f64, Message> {
        match self.read(text)? {
            number if number > 0.0 && number <= 1.0 => Ok(number),
            _ => Err(Message::error("must be greater than 0 and at most 1")
                .help("0.2 is usual; 1 uses the newest reading alone")),
        }
    }

    /// A number from 0 to less than 1.
    pub(super) fn below_one(self, text: &str) -> Result<f64, Message> {
        match self.read(text)? {
            number if (0.0..1.0).contains(&number) => Ok(number),
            _ => Err(Message::error("must be from 0 to less than 1").help("0.5 is usual")),
        }
    }

    /// `±0.008` or `+0.01 -0` about the target, `0.742..0.758`, `..0.758` or `0.742..`.
    pub(super) fn bounds(self, text: &str, target: Option<f64>) -> Result<ReadingBounds, Message> {
        let tolerance = match self.unit {
            Some(unit) => match parse_limits(&text.replace(',', "."), unit)
                .map_err(|why| why.anywhere())?
            {
                Tolerance::Outright(Limits { low, high }) => {
                    let number = |limit: Option<Length>| limit.map(|limit| limit.in_unit(unit));
                    WrittenLimits::Outright(ReadingBounds { low: number(low), high: number(high) })
                }
                Tolerance::About { below, above } => {
                    WrittenLimits::About(below.in_unit(unit), above.in_unit(unit))
                }
            },
            None => match text.split_once("..") {
                Some((low, high)) => WrittenLimits::Outright(self.outright(low, high)?),
                None => self.about(text.trim())?,
            },
        };
        match (tolerance, target) {
            (WrittenLimits::Outright(bounds), _) => Ok(bounds),
            (WrittenLimits::About(below, above), Some(target)) => {
                Ok(ReadingBounds { low: Some(target + below), high: Some(target + above) })
            }
            (WrittenLimits::About(..), None) => {
                Err(Message::error("these limits are about a target, and none was given")
                    .help("add --target, or write the limits as low..high"))
            }
        }
    }

    fn outright(self, low: &str, high: &str) -> Result<ReadingBounds, Message> {
        let bound = |text: &str| match text.trim() {
            "" => Ok(None),
            text => self.plain(text).map(Some),
        };
        match (bound(low)?, bound(high)?) {
            (None, None) => {
                Err(Message::error("limits need a number on at least one side of `..`"))
            }
            (Some(low), Some(high)) if low > high => {
                Err(Message::error("the low limit is above the high one")
                    .help(format!("write {high}..{low}")))
            }
            (low, high) => Ok(ReadingBounds { low, high }),
        }
    }

    fn about(self, text: &str) -> Result<WrittenLimits, Message> {
        for sign in ["±", "+-", "+/-"] {
            if let Some(rest) = text.strip_prefix(sign) {
                let by = self.zero_or_over(rest)?;
                return Ok(WrittenLimits::About(-by, by));
            }
        }
        let both: Vec<&str> = text.split_whitespace().collect();
        match both[..] {
            [one, other] if [one, other].iter().all(|by| by.starts_with(['+', '-'])) => {
                let (one, other) = (self.plain(one)?, self.plain(other)?);
                Ok(WrittenLimits::About(one.min(other), one.max(other)))
            }
            _ => Err(Message::error("limits are expected here")
                .help("write them as ±0.008, +0.01 -0 or 0.742..0.758")),
        }
    }
}

/// What to do with a text that is not a number but reads as a length.
fn hint(text: &str) -> Option<String> {
    let as_length = parse_entry(text, &Entry { bare: Unit::Inch, mark: None });
    as_length.is_ok().then(|| "for lengths, add --unit in or --unit mm".to_owned())
}

#[cfg(test)]
mod tests {
    use super::*;

    const PLAIN: NumberFormat = NumberFormat { unit: None, comma: true };
    const INCHES: NumberFormat = NumberFormat { unit: Some(Unit::Inch), comma: false };

    #[test]
    fn numbers_as_they_are_written() {
        let semicolons = NumberFormat { unit: None, comma: false };
        for (format, text, number) in [
            (PLAIN, " 0,752 ", Some(0.752)),
            (PLAIN, "\u{2212}3", Some(-3.0)),
            (PLAIN, "1e100", Some(1e100)),
            (PLAIN, "-1e100", Some(-1e100)),
            (PLAIN, "1.1e100", None),
            (PLAIN, "1,234.5", None),
            (PLAIN, "NaN", None),
            (PLAIN, "", None),
            (semicolons, "0,752", None),
            (INCHES, "3/4", Some(0.75)),
        ] {
            assert_eq!(format.read(text).ok(), number, "{text}");
        }
    }

    #[test]
    fn what_must_be_over_zero_or_a_share() {
        let read = |text| {
            [PLAIN.over_zero(text), PLAIN.zero_or_over(text), PLAIN.share(text)].map(Result::ok)
        };
        assert_eq!(read("-0.1"), [None; 3]);
        assert_eq!(read("0"), [None, Some(0.0), None]);
        assert_eq!(read("0.2"), [Some(0.2); 3]);
        assert_eq!(read("1"), [Some(1.0); 3]);
        assert_eq!(read("1.1"), [Some(1.1), Some(1.1), None]);
    }

    /// About 10: 10 - 0.5 = 9.5, 10 + 0.25 = 10.25 and so on; binary fractions, so that sums
    /// are exact.
    #[test]
    fn limits_as_they_are_written() {
        for (text, low, high) in [
            ("±0.5", Some(9.5), Some(10.5)),
            ("+-0.5", Some(9.5), Some(10.5)),
            ("+/-0,5", Some(9.5), Some(10.5)),
            ("±0", Some(10.0), Some(10.0)),
            ("+0.25 -0.5", Some(9.5), Some(10.25)),
            ("-0.5 +0.25", Some(9.5), Some(10.25)),
            ("+0.5 +0.25", Some(10.25), Some(10.5)),
            ("9.5..10.25", Some(9.5), Some(10.25)),
            ("9.5 .. ", Some(9.5), None),
            ("..10.25", None, Some(10.25)),
            ("10..10", Some(10.0), Some(10.0)),
        ] {
            let bounds = PLAIN.bounds(text, Some(10.0));
            assert_eq!(bounds.ok(), Some(ReadingBounds { low, high }), "{text}");
        }
        for text in ["10.25..9.5", "..", "0.5 0.25", "+0.5 0.25", "+0.5", "±-0.5", "±0.5 +0.25"] {
            assert!(PLAIN.bounds(text, Some(10.0)).is_err(), "{text}");
        }
        assert!(PLAIN.bounds("±0.5", None).is_err());
        assert!(PLAIN.bounds("9.5..", None).is_ok());
        let about = INCHES.bounds("+1/4 -1/2", Some(10.0)).ok();
        assert_eq!(about, Some(ReadingBounds { low: Some(9.5), high: Some(10.25) }));
    }

    /// 0.1 + 0.2 is a little over 0.3 in binary, and still on the limit.
    #[test]
    fn a_reading_on_a_limit_is_within_it() {
        let bounds = ReadingBounds { low: Some(0.3), high: Some(0.3) };
        assert!(bounds.hold(0.1 + 0.2) && bounds.hold(0.3));
        assert!(!bounds.hold(0.300_000_1) && !bounds.hold(0.299_999_9));
        let open = ReadingBounds { low: None, high: Some(0.3) };
        assert!(open.hold(-9.0) && !open.hold(0.31));
    }
}
