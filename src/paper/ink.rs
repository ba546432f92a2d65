//! What every picture of a page is written with: numbers and the widths of texts.

use unicode_width::UnicodeWidthChar;

/// The em of a letter that is given as wide as two of others: CJK and the like.
const FULL_WIDTH: f64 = 1.1;

/// How wide a text is at most, in the unit of its size. Generous, because nobody knows
/// which typeface of the stack the computer has: no text is ever cut off for a narrow
/// guess.
pub(super) fn text_width(text: &str, size: f64) -> f64 {
    text.chars().map(em).sum::<f64>() * size
}

/// The widest that a letter is in the sans serif faces that systems come with, in em.
fn em(letter: char) -> f64 {
    match letter {
        'i' | 'j' | 'l' | '.' | ',' | ':' | ';' | '\'' | '|' | '!' | ' ' => 0.36,
        'f' | 't' | 'r' | '(' | ')' | '/' | '-' | '"' => 0.45,
        'm' | 'w' | 'M' | 'W' | '@' | '%' => 1.0,
        'A'..='Z' | '+' | '±' => 0.8,
        _ if letter.width() == Some(2) => FULL_WIDTH,
        _ => 0.66,
    }
}

/// A number as SVG takes it: three decimals, and none that say nothing.
pub(super) fn number(value: f64) -> String {
    rounded(value, 3)
}

/// A number of so many decimals at most.
pub(super) fn rounded(value: f64, decimals: usize) -> String {
    let text = format!("{value:.decimals$}");
    let text = text.trim_end_matches('0').trim_end_matches('.');
    if text == "-0" { "0".to_owned() } else { text.to_owned() }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_are_short() {
        let written = [1.0, -0.000_04, 0.1254, -12.5, 100.0].map(number);
        assert_eq!(written, ["1", "0", "0.125", "-12.5", "100"]);
    }

    /// DejaVu Sans, the widest face that a `sans-serif` is likely to stand for, has figures
    /// of 0.636 em.
    #[test]
    fn a_text_is_never_wider_than_its_guess() {
        assert!(text_width("0123456789", 10.0) >= 63.6);
        assert!(text_width("日本", 10.0) >= 20.0);
    }
}
