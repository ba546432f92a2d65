//! What everything printed keeps to: a page's width and where its lines break,
//! and how numbers go to machines. Knows nothing of what is printed.

use std::io::{self, Write};

use serde::Serialize;
use unicode_width::UnicodeWidthStr;

use crate::measure::{Length, Unit};
use crate::prose::{visible, wrap_whole_words};

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

/// Words from a column on, safe to show, further lines set in by `hang` more; an
/// empty line where there are none.
pub fn paragraph(out: &mut dyn Write, indent: usize, hang: usize, text: &str) -> io::Result<()> {
    let lines = wrap_whole_words(&visible(text), WIDE - indent - hang);
    if lines.is_empty() {
        return writeln!(out);
    }
    for (number, line) in lines.iter().enumerate() {
        let margin = if number == 0 { indent } else { indent + hang };
        writeln!(out, "{:margin$}{line}", "")?;
    }
    Ok(())
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

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn further_lines_are_set_in() {
        let mut out = Vec::new();
        let text = "word ".repeat(20);
        paragraph(&mut out, 2, 2, &text).unwrap();
        paragraph(&mut out, 2, 2, "").unwrap();
        let out = String::from_utf8(out).unwrap();
        let lines: Vec<&str> = out.lines().collect();
        assert!(lines[0].starts_with("  word") && lines[1].starts_with("    word"), "{out}");
        assert!(lines.iter().all(|line| line.width() <= WIDE), "{out}");
        assert_eq!(lines.last(), Some(&""));
    }
}
