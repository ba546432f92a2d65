//! The one line breaker. It never parts a mixed number from its fraction, nor
//! a number from its unit: `1 | 1/8 in` would be read as 1.

use std::borrow::Cow;

use textwrap::{Options, WordSeparator, WordSplitter, WrapAlgorithm};
use unicode_width::UnicodeWidthStr;

/// Stands for a space at which no line breaks.
const NO_BREAK: char = '\u{a0}';

/// Breaks a text into lines of at most `cells` terminal cells, between words
/// where it can and within a word that is wider. Line breaks in the text stay.
pub fn wrap(text: &str, cells: impl Into<usize>) -> Vec<String> {
    lines(text, cells.into(), true)
}

/// Breaks a text between words alone, for output that somebody copies from: a
/// word wider than `cells` makes a longer line.
pub fn wrap_whole_words(text: &str, cells: impl Into<usize>) -> Vec<String> {
    lines(text, cells.into(), false)
}

fn lines(text: &str, cells: usize, within_words: bool) -> Vec<String> {
    let cells = cells.max(1);
    let options = Options::new(cells)
        .break_words(within_words)
        .word_separator(WordSeparator::AsciiSpace)
        .word_splitter(WordSplitter::NoHyphenation)
        .wrap_algorithm(WrapAlgorithm::FirstFit);
    let mut lines = Vec::new();
    for paragraph in text.lines() {
        let paragraph = glued(paragraph, cells);
        let broken = textwrap::wrap(&paragraph, &options);
        lines.extend(broken.into_iter().map(|line| match line.contains(NO_BREAK) {
            true => line.replace(NO_BREAK, " "),
            false => Cow::into_owned(line),
        }));
    }
    lines
}

/// The words of a paragraph with one space between them, one that doesn't
/// break inside a number and before its unit. A unit that can't stay in one
/// line with its number may go to the next.
fn glued(paragraph: &str, cells: usize) -> String {
    let mut text = String::with_capacity(paragraph.len());
    let mut words = paragraph.split_whitespace().peekable();
    while let Some(word) = words.next() {
        if !text.is_empty() {
            text.push(' ');
        }
        let start = text.len();
        text.push_str(word);
        let mut last = word;
        if let Some(fraction) = words.next_if(|next| is_whole(word) && is_fraction(next)) {
            text.push(NO_BREAK);
            text.push_str(fraction);
            last = fraction;
        }
        let fits = |unit: &str| text[start..].width() + 1 + unit.width() <= cells;
        if let Some(unit) = words.next_if(|next| is_number(last) && is_unit(next) && fits(next)) {
            text.push(NO_BREAK);
            text.push_str(unit);
        }
    }
    text
}

/// `1`, `(1` and `-1`, as the start of a mixed number.
fn is_whole(word: &str) -> bool {
    let figures = word.trim_start_matches(|c: char| !c.is_alphanumeric());
    !figures.is_empty() && figures.chars().all(|c| c.is_ascii_digit())
}

/// `1/8`, and with what follows a number in a sentence: `1/8,` or `1/8"`.
fn is_fraction(word: &str) -> bool {
    word.split_once('/').is_some_and(|(over, under)| {
        !over.is_empty()
            && over.chars().all(|c| c.is_ascii_digit())
            && under.starts_with(|c: char| c.is_ascii_digit())
    })
}

/// A whole number, a decimal number or a fraction.
fn is_number(word: &str) -> bool {
    let figures = word.trim_start_matches(|c: char| !c.is_alphanumeric());
    figures.ends_with(|c: char| c.is_ascii_digit())
        && figures.chars().all(|c| c.is_ascii_digit() || matches!(c, '.' | ',' | '/'))
}

fn is_unit(word: &str) -> bool {
    let unit = word.trim_end_matches(|c: char| !c.is_alphanumeric() && !matches!(c, '%' | '°'));
    matches!(
        unit,
        "in" | "inch"
            | "inches"
            | "ft"
            | "foot"
            | "feet"
            | "mm"
            | "cm"
            | "m"
            | "%"
            | "°"
            | "°F"
            | "°C"
            | "degrees"
            | "minutes"
            | "hours"
            | "h"
    )
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    #[test]
    fn lines_break_between_words() {
        assert_eq!(wrap("Keep the guard down.", 9_usize), ["Keep the", "guard", "down."]);
        assert_eq!(wrap("one\n\ntwo", 9_usize), ["one", "", "two"]);
        assert_eq!(wrap("abcdefg", 3_usize), ["abc", "def", "g"]);
        assert_eq!(wrap("木木木", 4_usize), ["木木", "木"]);
        assert_eq!(wrap("木木", 1_usize), ["木", "木"]);
        assert!(wrap("", 9_usize).is_empty());
    }

    #[test]
    fn a_word_stays_whole_where_it_will_be_copied() {
        assert_eq!(
            wrap_whole_words("see routes/reading-stool.json", 6_usize),
            ["see", "routes/reading-stool.json"]
        );
    }

    #[test]
    fn a_mixed_number_stays_in_one_line() {
        assert_eq!(wrap("rip 1 5/8 wide", 5_usize), ["rip", "1 5/8", "wide"]);
        assert_eq!(wrap("wide (1 5/8), once", 8_usize), ["wide", "(1 5/8),", "once"]);
        assert_eq!(wrap("of 4 knots", 5_usize), ["of 4", "knots"]);
        assert_eq!(wrap("2 and/or 3", 6_usize), ["2", "and/or", "3"]);
    }

    #[test]
    fn a_number_keeps_its_unit() {
        assert_eq!(wrap("cut 12 mm off", 7_usize), ["cut", "12 mm", "off"]);
        assert_eq!(wrap("stop 19.996 in.", 12_usize), ["stop", "19.996 in."]);
        // The name of a board is no number, and what follows it no unit.
        assert_eq!(wrap("go A4 in", 5_usize), ["go A4", "in"]);
        assert_eq!(wrap("leg is 1 1/4 in, planned", 11_usize), ["leg is", "1 1/4 in,", "planned"]);
        assert_eq!(wrap("12 in the rack", 5_usize), ["12 in", "the", "rack"]);
    }

    #[test]
    fn a_unit_goes_to_the_next_line_where_both_have_no_room() {
        assert_eq!(wrap("to 1 1/4 in", 5_usize), ["to", "1 1/4", "in"]);
    }

    /// The traveler showed `leg_square 1` above `1/4 in` at 49 to 52 columns
    /// and at 84.
    #[test]
    fn no_width_tears_what_a_setting_came_from() {
        let why = "leg_square + leg_sand + 1/16 <- leg_square 1 1/4 in, planned";
        for cells in 9_usize..100 {
            let lines = wrap(why, cells);
            assert!(lines.iter().any(|line| line.contains("1 1/4 in")), "{cells}: {lines:?}");
        }
    }

    proptest! {
        #[test]
        fn wrapping_loses_no_letter(text in "[a-z木 ]{0,60}", cells in 2_usize..20) {
            let lines = wrap(&text, cells);
            prop_assert!(lines.iter().all(|line| line.width() <= cells));
            let letters = |text: &str| text.replace(' ', "");
            prop_assert_eq!(letters(&lines.concat()), letters(&text));
        }

        #[test]
        fn no_number_is_torn(
            numbers in prop::collection::vec((1..40_u32, 1..63_u32), 1..9),
            words in prop::collection::vec("[a-z]{1,9}", 9),
            cells in 11_usize..60,
        ) {
            let spoken: Vec<String> =
                numbers.iter().map(|(whole, over)| format!("{whole} {over}/64 in")).collect();
            let text: Vec<String> =
                words.iter().zip(&spoken).map(|(word, number)| format!("{word} {number}")).collect();
            let lines = wrap(&text.join(" "), cells);
            prop_assert!(lines.iter().all(|line| line.width() <= cells));
            let whole: usize = lines.iter().map(|line| line.matches("/64 in").count()).sum();
            prop_assert_eq!(whole, spoken.len());
            for number in &spoken {
                prop_assert!(lines.iter().any(|line| line.contains(number)), "{lines:?}");
            }
        }
    }

    /// `12 mm` takes five columns, `1 1/4 in` eight: with one column less the unit goes to
    /// the next line.
    #[test]
    fn a_unit_stays_where_it_just_fits() {
        assert_eq!(wrap("go 12 mm", 5_usize), ["go", "12 mm"]);
        assert_eq!(wrap("go 12 mm", 4_usize), ["go", "12", "mm"]);
        assert_eq!(wrap("by 1 1/4 in", 8_usize), ["by", "1 1/4 in"]);
        assert_eq!(wrap("by 1 1/4 in", 7_usize), ["by", "1 1/4", "in"]);
    }
}
