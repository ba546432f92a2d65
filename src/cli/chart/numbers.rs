//! Numbers as a file or an option has them: plain, or lengths in a unit.
//! Knows nothing of tables, or of what a number is for.

use crate::measure::{Entry, Length, Limits, Tolerance, Unit, parse_entry, parse_limits};
use crate::prose::{Message, Span, quoted};

/// Beyond this squares no longer fit, and nothing is measured.
const LARGEST: f64 = 1e100;

/// How numbers are to be read.
#[derive(Clone, Copy)]
pub struct NumberFormat {
    /// Lengths, a bare number in this unit. Without, plain numbers.
    pub unit: Option<Unit>,
    /// Whether a plain number may have a comma for its point.
    pub comma: bool,
}

/// Why a text is no number, and what to do.
#[derive(Debug)]
pub struct NoNumber {
    pub what: String,
    pub help: Option<String>,
}

impl NoNumber {
    fn new(what: impl Into<String>, help: &str) -> NoNumber {
        let help = (!help.is_empty()).then(|| help.to_owned());
        NoNumber { what: what.into(), help }
    }
}

impl From<Message<Span>> for NoNumber {
    fn from(refused: Message<Span>) -> NoNumber {
        NoNumber { what: refused.what, help: refused.help }
    }
}

/// The least and the most a reading may be; at least one of them is there.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ReadingBounds {
    pub low: Option<f64>,
    pub high: Option<f64>,
}

impl ReadingBounds {
    /// On a limit is inside; the slack is for decimals without an exact binary form.
    pub fn hold(&self, value: f64) -> bool {
        let slack = |limit: f64| 1e-12 * limit.abs().max(value.abs());
        self.low.is_none_or(|low| value >= low - slack(low))
            && self.high.is_none_or(|high| value <= high + slack(high))
    }
}

/// Limits as written.
enum WrittenLimits {
    /// Below and above the target.
    About(f64, f64),
    Outright(ReadingBounds),
}

impl NumberFormat {
    pub fn read(self, text: &str) -> Result<f64, NoNumber> {
        match self.unit {
            Some(unit) => {
                let typed = parse_entry(text, &Entry { bare: unit, mark: None })?;
                Ok(typed.value.in_unit(unit))
            }
            None => self.plain(text),
        }
    }

    fn plain(self, text: &str) -> Result<f64, NoNumber> {
        let text = text.trim();
        if text.is_empty() {
            return Err(NoNumber::new("there is no number here", ""));
        }
        let mut pointed = text.replace('\u{2212}', "-");
        if self.comma && !pointed.contains('.') {
            pointed = pointed.replacen(',', ".", 1);
        }
        match pointed.parse::<f64>() {
            Ok(number) if number.is_nan() => Err(NoNumber::new("this is no number", "")),
            Ok(number) if number.abs() > LARGEST => {
                Err(NoNumber::new(format!("{} is beyond any reading", quoted(text)), ""))
            }
            Ok(number) => Ok(number),
            Err(_) => Err(NoNumber::new(format!("{} is no number", quoted(text)), hint(text))),
        }
    }

    pub fn over_zero(self, text: &str) -> Result<f64, NoNumber> {
        match self.read(text)? {
            number if number > 0.0 => Ok(number),
            _ => Err(NoNumber::new("must be over 0", "")),
        }
    }

    pub fn zero_or_over(self, text: &str) -> Result<f64, NoNumber> {
        match self.read(text)? {
            number if number >= 0.0 => Ok(number),
            _ => Err(NoNumber::new("must be 0 or over", "")),
        }
    }

    /// Over 0, and 1 at most.
    pub fn share(self, text: &str) -> Result<f64, NoNumber> {
        match self.read(text)? {
            number if number > 0.0 && number <= 1.0 => Ok(number),
            _ => Err(NoNumber::new(
                "must be over 0 and at most 1",
                "0.2 is usual; 1 takes the newest reading alone",
            )),
        }
    }

    /// `±0.008` or `+0.01 -0` about the target, `0.742..0.758`, `..0.758` or `0.742..`.
    pub fn bounds(self, text: &str, target: Option<f64>) -> Result<ReadingBounds, NoNumber> {
        let tolerance = match self.unit {
            Some(unit) => match parse_limits(text, unit)? {
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
            (WrittenLimits::About(..), None) => Err(NoNumber::new(
                "these limits lie about a target, and there is none",
                "give --target too, or write the limits as low..high",
            )),
        }
    }

    fn outright(self, low: &str, high: &str) -> Result<ReadingBounds, NoNumber> {
        let bound = |text: &str| match text.trim() {
            "" => Ok(None),
            text => self.plain(text).map(Some),
        };
        match (bound(low)?, bound(high)?) {
            (None, None) => {
                Err(NoNumber::new("limits need a number on at least one side of `..`", ""))
            }
            (Some(low), Some(high)) if low > high => Err(NoNumber::new(
                "the low limit is over the high one",
                &format!("write {high}..{low}"),
            )),
            (low, high) => Ok(ReadingBounds { low, high }),
        }
    }

    fn about(self, text: &str) -> Result<WrittenLimits, NoNumber> {
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
            _ => Err(NoNumber::new(
                "limits were expected here",
                "write them as ±0.008, +0.01 -0 or 0.742..0.758",
            )),
        }
    }
}

/// What may have been meant.
fn hint(text: &str) -> &'static str {
    let as_length = parse_entry(text, &Entry { bare: Unit::Inch, mark: None });
    if as_length.is_ok() { "if it is a length, say --unit in or --unit mm" } else { "" }
}
