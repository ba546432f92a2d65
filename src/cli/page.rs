//! What every printed page keeps to: its width, and where a line breaks.
//! Knows nothing of what is printed.

use unicode_width::UnicodeWidthStr;

/// No line is longer, unless a single word is.
pub const WIDE: usize = 78;

/// Fills a line up to a column, or by two when it is past it.
pub fn pad(line: &mut String, column: usize) {
    let gap = match column.checked_sub(line.width()) {
        None | Some(0) => 2,
        Some(gap) => gap,
    };
    line.push_str(&" ".repeat(gap));
}

/// Words put in lines of no more than `room` columns.
pub fn wrapped(text: &str, room: usize) -> Vec<String> {
    let mut lines: Vec<String> = Vec::new();
    for word in text.split_whitespace() {
        match lines.last_mut() {
            Some(line) if line.width() + 1 + word.width() <= room => {
                line.push(' ');
                line.push_str(word);
            }
            _ => lines.push(word.to_owned()),
        }
    }
    lines
}
