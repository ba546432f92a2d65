//! Text measured and shortened in terminal cells, not in characters: a wide
//! character takes two.

use std::ops::Range;

use unicode_width::{UnicodeWidthChar, UnicodeWidthStr};

/// The cells a text takes.
pub(crate) fn width(text: &str) -> u16 {
    u16::try_from(text.width()).unwrap_or(u16::MAX)
}

/// The text when it fits, otherwise its beginning and dots. A number is whole
/// or left out: `1...` of `1 1/4 in` would be read as 1.
pub(crate) fn whole_or_dots(text: &str, room: u16) -> String {
    if width(text) <= room {
        return text.to_owned();
    }
    let dots = usize::from(room.min(3));
    let kept = head(text, usize::from(room) - dots);
    let end =
        numbers(text).find(|number| number.contains(&kept.len()) && number.start != kept.len());
    let kept = end.map_or(kept, |number| &text[..number.start]);
    let mut kept = kept.trim_end().to_owned();
    kept.push_str(&"..."[..dots]);
    kept
}

/// The longest beginning of a text that takes at most so many cells.
fn head(text: &str, cells: usize) -> &str {
    let mut used = 0;
    for (at, character) in text.char_indices() {
        used += character.width().unwrap_or(0);
        if used > cells {
            return &text[..at];
        }
    }
    text
}

/// Where numbers are in a text: `19.996`, `7/16`, `1 1/4`.
fn numbers(text: &str) -> impl Iterator<Item = Range<usize>> {
    let mut at = 0;
    std::iter::from_fn(move || {
        let start = at + text[at..].find(|c: char| c.is_ascii_digit())?;
        at = start + figures(&text[start..]);
        if let Some(fraction) = text[at..].strip_prefix(' ') {
            let taken = figures(fraction);
            let is_whole = text[start..at].bytes().all(|byte| byte.is_ascii_digit());
            if is_whole && fraction[..taken].contains('/') {
                at += 1 + taken;
            }
        }
        Some(start..at)
    })
}

/// How much of a text's beginning is figures, with points and strokes between.
fn figures(text: &str) -> usize {
    let bytes = text.as_bytes();
    let is_figure = |at: usize| bytes.get(at).is_some_and(u8::is_ascii_digit);
    let joins = |at: usize| matches!(bytes.get(at), Some(b'.' | b',' | b'/')) && is_figure(at + 1);
    (0..).find(|at| !(is_figure(*at) || *at > 0 && joins(*at))).unwrap_or(0)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn dots_say_that_something_is_missing() {
        assert_eq!(whole_or_dots("leg 7", 5), "leg 7");
        assert_eq!(whole_or_dots("long apron", 8), "long...");
        assert_eq!(whole_or_dots("leg 7", 2), "..");
        assert_eq!(whole_or_dots("leg 7", 0), "");
    }

    #[test]
    fn a_number_is_whole_or_left_out() {
        assert_eq!(whole_or_dots("planned 1 1/4 in, made", 15), "planned...");
        assert_eq!(whole_or_dots("planned 1 1/4 in, made", 16), "planned 1 1/4...");
        assert_eq!(whole_or_dots("made 19.996 of 20", 12), "made...");
        assert_eq!(whole_or_dots("7/16 wide", 6), "...");
        assert_eq!(whole_or_dots("leg 5 1/2", 8), "leg...");
        let found: Vec<&str> =
            numbers("12 of 1 1/4, 19.996; 3.").map(|at| &"12 of 1 1/4, 19.996; 3."[at]).collect();
        assert_eq!(found, ["12", "1 1/4", "19.996", "3"]);
    }
}
