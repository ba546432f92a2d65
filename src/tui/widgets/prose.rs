//! Text measured and shortened in terminal cells, not in characters: a wide
//! character takes two.

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
}
