//! Single answers about a board as people type them: its name, a size, its
//! moisture.

use crate::measure::{Entry, Length, Unit, parse_entry};
use crate::prose::{Message, Span, quoted};
use crate::wood::Moisture;

/// Longer names than this do not fit on the end of a board, nor in a column of
/// a table. Chosen, not measured.
pub(super) const LONGEST_NAME: usize = 24;

/// The name chalked on a board's end. The error's span is the whole text.
pub fn parse_name(text: &str) -> Result<String, Message<Span>> {
    let at = 0..text.len();
    let text = text.trim();
    let help = "write what is chalked on its end: B1";
    let refused = if text.is_empty() {
        Message::error("the board has no name").help(help)
    } else if text.chars().count() > LONGEST_NAME {
        Message::error(format!("a board's name has at most {LONGEST_NAME} characters")).help(help)
    } else if text.contains([',', ':', ';']) {
        Message::error(format!("{} can't be a board's name", quoted(text)))
            .help("leave out `,`, `:` and `;`: they separate names from other text")
    } else if text.contains(char::is_control) {
        Message::error(format!("{} can't be chalked on a board", quoted(text)))
    } else {
        return Ok(text.to_owned());
    };
    Err(refused.at(at))
}

/// A size of a board; `unit` is the unit of a bare number. *Strong* and *shy*
/// are half a sixteenth of an inch or half a millimetre, as on a tape.
pub fn parse_size(text: &str, unit: Unit) -> Result<Length, Message<Span>> {
    let mark = match unit {
        Unit::Inch => Length::inch_fraction(1, 16),
        Unit::Millimetre => Length::MILLIMETRE,
    };
    Ok(parse_entry(text, &Entry { bare: unit, mark: Some(mark) })?.value)
}

/// Moisture in percent: `7.5` or `7,5 %`. The error's span is the whole text.
pub fn parse_moisture(text: &str) -> Result<f64, Message<Span>> {
    let at = 0..text.len();
    let number = text.trim().trim_end_matches('%').trim_end().replace(',', ".");
    let figures = |c: char| c.is_ascii_digit() || matches!(c, '.' | '-' | '+');
    let read = number.parse::<f64>().ok().filter(|_| number.chars().all(figures));
    let refused = match read {
        None => Message::error(format!("{} is not a moisture", quoted(text.trim())))
            .help("write it in percent: 7.5"),
        Some(percent) if percent < 0.0 => Message::error("moisture is never below 0 %")
            .help("check the meter, or leave the field empty"),
        Some(percent) if percent > Moisture::MOST => {
            let what = format!(
                "{} %: wood above {} % is still green",
                quoted(number.trim()).trim_matches('`'),
                Moisture::MOST
            );
            Message::error(what).help("check the meter; let a green board dry first")
        }
        Some(percent) => return Ok(percent),
    };
    Err(refused.at(at))
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn moisture_is_a_percentage_of_0_to_30() {
        for (text, percent) in [("7.5", 7.5), ("7,5", 7.5), (" 8 % ", 8.0), ("30", 30.0)] {
            assert_eq!(parse_moisture(text), Ok(percent), "{text:?}");
        }
        for (text, words) in [
            ("31", "31 %: wood above 30 % is still green"),
            ("-1", "never below 0 %"),
            ("dry", "`dry` is not a moisture"),
            ("nan", "`nan` is not a moisture"),
            ("1e1", "`1e1` is not a moisture"),
        ] {
            assert!(parse_moisture(text).unwrap_err().to_string().contains(words), "{text:?}");
        }
    }

    proptest! {
        #[test]
        fn random_text_never_panics_in_an_answer(text in any::<String>()) {
            let _ = (parse_moisture(&text), parse_name(&text));
            if let Err(error) = parse_size(&text, Unit::Inch) {
                prop_assert!(text.get(error.place).is_some());
            }
        }
    }

    /// Nothing is drier than wood without water.
    #[test]
    fn moisture_begins_at_nothing() {
        assert_eq!(parse_moisture("0"), Ok(0.0));
        assert!(parse_moisture("-0.1").unwrap_err().to_string().contains("never below 0 %"));
        assert!(parse_moisture("30.1").unwrap_err().to_string().contains("30.1 %"));
    }

    /// 24 characters and not a letter more: letters count, not bytes.
    #[test]
    fn a_name_fits_on_the_end_of_a_board() {
        assert_eq!(parse_name(&"B".repeat(24)), Ok("B".repeat(24)));
        assert_eq!(parse_name(&"é".repeat(24)), Ok("é".repeat(24)));
        assert!(parse_name(&"B".repeat(25)).unwrap_err().to_string().contains("at most 24"));
        assert!(parse_name("a\u{7}").unwrap_err().to_string().contains("chalked"));
        for separator in [",", ":", ";"] {
            assert!(parse_name(&format!("a{separator}b")).is_err(), "{separator}");
        }
    }
}
