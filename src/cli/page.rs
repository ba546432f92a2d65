//! What everything printed keeps to: a page's width and where its lines break,
//! and how numbers go to machines. Knows nothing of what is printed.

use std::io::{self, Write};

use serde::Serialize;
use unicode_width::UnicodeWidthStr;

use crate::measure::{Length, Unit};

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

/// An answer for machines, and a line end behind it.
pub fn json(value: &impl Serialize, out: &mut dyn Write) -> io::Result<()> {
    serde_json::to_writer_pretty(&mut *out, value)?;
    writeln!(out)
}

/// To a millionth: finer is only the noise of dividing.
pub fn fine(amount: f64) -> f64 {
    (amount * 1e6).round() / 1e6
}

/// A length as a number in a unit.
pub fn number(length: Length, unit: Unit) -> f64 {
    fine(length.in_unit(unit))
}

/// `1 reading`, `3 readings`.
pub fn counted(count: usize, what: &str) -> String {
    if count == 1 { format!("1 {what}") } else { format!("{count} {what}s") }
}
