//! The layout of everything printed: a page's width, where its lines break, the rows
//! of its tables; and how numbers are written for programs.

use std::io::{self, Write};

use serde::Serialize;
use unicode_width::UnicodeWidthStr;

use crate::measure::{Length, Unit};
use crate::prose::{escaped, visible, visible_lines, wrap_whole_words};

/// Width of a page in columns; only a single long word exceeds it.
pub(super) const WIDE: usize = 78;

/// A page of text for people, never wider than [`WIDE`] unless a single word is.
pub(super) struct TextPage<'o> {
    out: &'o mut dyn Write,
    /// How much further the second and later lines of a paragraph are indented.
    hang: usize,
}

impl<'o> TextPage<'o> {
    pub(super) fn new(out: &'o mut dyn Write, hang: usize) -> TextPage<'o> {
        TextPage { out, hang }
    }

    pub(super) fn blank(&mut self) -> io::Result<()> {
        writeln!(self.out)
    }

    /// A paragraph at the left edge, all lines aligned.
    pub(super) fn title(&mut self, text: &str) -> io::Result<()> {
        self.paragraph(0, 0, text)
    }

    /// A paragraph from a column on; later lines hang.
    pub(super) fn line(&mut self, indent: usize, text: &str) -> io::Result<()> {
        self.paragraph(indent, self.hang, text)
    }

    /// Text from a column on, safe to show; an empty line where there is none.
    fn paragraph(&mut self, indent: usize, hang: usize, text: &str) -> io::Result<()> {
        let lines = wrap_whole_words(&visible(text), WIDE - indent - hang);
        if lines.is_empty() {
            return self.blank();
        }
        for (number, line) in lines.iter().enumerate() {
            let margin = if number == 0 { indent } else { indent + hang };
            writeln!(self.out, "{:margin$}{line}", "")?;
        }
        Ok(())
    }

    /// A line as composed: a row of a table or of a drawing.
    pub(super) fn row(&mut self, row: impl AsRef<str>) -> io::Result<()> {
        writeln!(self.out, "{}", visible_lines(row.as_ref().trim_end()))
    }

    /// Cells with a text beside them, wrapped to the right of a column; below them when the
    /// cells reach past the column.
    pub(super) fn entry(&mut self, cells: TableRow, column: usize, text: &str) -> io::Result<()> {
        let mut lines = wrap_whole_words(&visible(text), WIDE - column).into_iter();
        if cells.width() >= column {
            self.row(cells)?;
        } else {
            self.row(match lines.next() {
                Some(first) => cells.cell(column, &first),
                None => cells,
            })?;
        }
        lines.try_for_each(|line| writeln!(self.out, "{:column$}{line}", ""))
    }
}

/// One row of a table: cells put at columns, made safe to show.
#[derive(Clone, Debug, Default)]
pub(super) struct TableRow(String);

impl TableRow {
    /// Begins with a cell after `indent` spaces.
    pub(super) fn new(indent: usize, cell: &str) -> TableRow {
        TableRow(format!("{:indent$}{}", "", visible(cell)))
    }

    /// A cell that begins at a column, or two spaces on when the row is already past it.
    pub(super) fn cell(mut self, column: usize, cell: &str) -> TableRow {
        let gap = match column.checked_sub(self.width()) {
            None | Some(0) => 2,
            Some(gap) => gap,
        };
        self.0.push_str(&" ".repeat(gap));
        self.0.push_str(&visible(cell));
        self
    }

    /// A cell that ends at a column, or begins one space on when there is no room for it.
    pub(super) fn right(mut self, end: usize, cell: &str) -> TableRow {
        let cell = visible(cell);
        let room = end.saturating_sub(self.width() + cell.width());
        self.0.push_str(&" ".repeat(room.max(if cell.is_empty() { 0 } else { 1 })));
        self.0.push_str(&cell);
        self
    }

    /// Columns the row takes up.
    pub(super) fn width(&self) -> usize {
        self.0.width()
    }
}

impl AsRef<str> for TableRow {
    fn as_ref(&self) -> &str {
        &self.0
    }
}

/// Writes an answer as JSON, followed by a line end. What would act on a terminal is
/// escaped.
pub(super) fn json(value: &impl Serialize, out: &mut dyn Write) -> io::Result<()> {
    writeln!(out, "{}", escaped(&serde_json::to_string_pretty(value)?))
}

/// Rounds to a millionth; finer digits are rounding noise.
pub(super) fn fine(amount: f64) -> f64 {
    (amount * 1e6).round() / 1e6
}

/// A length as a number in a unit, to a millionth.
pub(super) fn number(length: Length, unit: Unit) -> f64 {
    fine(length.in_unit(unit))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn later_lines_of_a_paragraph_hang() {
        let mut out = Vec::new();
        let mut page = TextPage::new(&mut out, 2);
        page.line(2, &"word ".repeat(20)).unwrap();
        page.line(2, "").unwrap();
        let out = String::from_utf8(out).unwrap();
        let lines: Vec<&str> = out.lines().collect();
        assert!(lines[0].starts_with("  word") && lines[1].starts_with("    word"), "{out}");
        assert!(lines.iter().all(|line| line.width() <= WIDE), "{out}");
        assert_eq!(lines.last(), Some(&""));
    }

    #[test]
    fn cells_begin_and_end_at_their_columns() {
        let row = TableRow::new(2, "ash").cell(8, "4/4").right(20, "12.5");
        assert_eq!(row.as_ref(), "  ash   4/4     12.5");
        let crowded = TableRow::new(0, "a long name").cell(8, "4/4").right(10, "12.5");
        assert_eq!(crowded.as_ref(), "a long name  4/4 12.5");
    }

    #[test]
    fn a_text_beside_cells_stays_right_of_its_column() {
        let mut out = Vec::new();
        TextPage::new(&mut out, 0).entry(TableRow::new(2, "name"), 70, "some words").unwrap();
        assert_eq!(
            String::from_utf8(out).unwrap().lines().nth(1),
            Some(&*format!("{:70}words", ""))
        );
        let mut out = Vec::new();
        TextPage::new(&mut out, 0).entry(TableRow::new(2, "a long name"), 8, "words").unwrap();
        assert_eq!(String::from_utf8(out).unwrap(), "  a long name\n        words\n");
    }
}
