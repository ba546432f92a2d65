//! Text measured and broken in cells, not in characters.
//! Knows nothing of styles or of where the text goes.

use unicode_width::{UnicodeWidthChar, UnicodeWidthStr};

/// The cells a text takes.
pub fn width(text: &str) -> u16 {
    u16::try_from(text.width()).unwrap_or(u16::MAX)
}

/// The text when it fits, otherwise its beginning and dots.
pub fn whole_or_dots(text: &str, room: u16) -> String {
    if width(text) <= room {
        return text.to_owned();
    }
    let dots = usize::from(room.min(3));
    let mut kept = head(text, usize::from(room) - dots).trim_end().to_owned();
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

/// Breaks a text into lines of at most so many cells, between words where it
/// can; line breaks in the text stay.
pub fn wrap(text: &str, cells: u16) -> Vec<String> {
    let cells = usize::from(cells.max(1));
    let mut lines = Vec::new();
    for paragraph in text.lines() {
        let mut line = String::new();
        for word in paragraph.split_whitespace() {
            if !line.is_empty() && line.width() + 1 + word.width() > cells {
                lines.push(std::mem::take(&mut line));
            }
            if !line.is_empty() {
                line.push(' ');
            }
            line.push_str(word);
            while line.width() > cells {
                let first = head(&line, cells);
                // A wide character in a single column: it goes alone, clipped.
                let cut = match first.len() {
                    0 => line.chars().next().map_or(0, char::len_utf8),
                    taken => taken,
                };
                if cut == line.len() {
                    break;
                }
                let rest = line.split_off(cut);
                lines.push(std::mem::replace(&mut line, rest));
            }
        }
        lines.push(line);
    }
    lines
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn breaks_between_words() {
        assert_eq!(wrap("Keep the guard down.", 9), ["Keep the", "guard", "down."]);
        assert_eq!(wrap("one\n\ntwo", 9), ["one", "", "two"]);
        assert_eq!(wrap("abcdefg", 3), ["abc", "def", "g"]);
        assert_eq!(wrap("木木木", 4), ["木木", "木"]);
    }

    #[test]
    fn dots_say_that_something_is_missing() {
        assert_eq!(whole_or_dots("leg 7", 5), "leg 7");
        assert_eq!(whole_or_dots("long apron", 8), "long...");
        assert_eq!(whole_or_dots("leg 7", 2), "..");
        assert_eq!(whole_or_dots("leg 7", 0), "");
    }

    proptest! {
        #[test]
        fn wrapping_loses_no_letter(text in "[a-z木 ]{0,60}", cells in 2u16..20) {
            let lines = wrap(&text, cells);
            prop_assert!(lines.iter().all(|line| width(line) <= cells));
            let letters = |text: &str| text.replace(' ', "");
            prop_assert_eq!(letters(&lines.concat()), letters(&text));
        }
    }
}
