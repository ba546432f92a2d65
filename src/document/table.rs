//! A text as a table, as spreadsheets write it: its rows, where each field is in the
//! text, and the problems found so far.

use std::ops::Range;

use csv::{ReaderBuilder, StringRecord};

use super::{DocumentPlace, Lines, Problem};
use crate::prose::Message;

/// A problem with the table as a whole.
pub fn of_the_table(message: Message) -> Problem {
    message.at(DocumentPlace::default())
}

/// One row that holds something.
pub struct TextRow {
    /// Its cells, without quotes.
    pub cells: StringRecord,
    /// Its bytes without the line end.
    pub whole: Range<usize>,
    /// The bytes of each cell, without the quotes around it.
    spans: Vec<Range<usize>>,
}

impl TextRow {
    /// The bytes of a field.
    pub fn span(&self, column: usize) -> Option<Range<usize>> {
        self.spans.get(column).cloned()
    }
}

/// The text of a table and the problems found in it.
pub struct TextTable<'t> {
    /// The text.
    pub text: &'t str,
    /// What separates the columns.
    pub separator: u8,
    /// What is wrong with it, as far as it was read.
    pub problems: Vec<Problem>,
    lines: Lines,
}

impl TextTable<'_> {
    /// The table in a text, not yet read.
    pub fn of(text: &str) -> TextTable<'_> {
        TextTable { text, lines: Lines::of(text), separator: separator(text), problems: Vec::new() }
    }

    /// Records an error at these bytes; `path` says whose it is and the column.
    pub fn report(&mut self, at: Range<usize>, path: impl Into<String>, message: Message) {
        let at = Some(self.lines.place(self.text, at));
        self.problems.push(message.at(DocumentPlace { at, path: path.into() }));
    }

    /// The line of these bytes, from 1.
    pub fn line(&self, at: Range<usize>) -> usize {
        self.lines.place(self.text, at).line
    }

    /// Every row that holds something, headings first; reading stops after this many.
    pub fn rows(&self, most: usize) -> Result<Vec<TextRow>, Message> {
        let mut reader = ReaderBuilder::new()
            .has_headers(false)
            .flexible(true)
            .delimiter(self.separator)
            .from_reader(self.text.as_bytes());
        let mut rows = Vec::new();
        let mut cells = StringRecord::new();
        loop {
            // The reader reports where the record before this one ended, which
            // is where this one starts.
            let start = reader.position().byte() as usize;
            match reader.read_record(&mut cells) {
                Ok(true) => {}
                Ok(false) => return Ok(rows),
                Err(error) => return Err(Message::error(error.to_string())),
            }
            let end = (reader.position().byte() as usize).min(self.text.len());
            if cells.iter().all(|cell| cell.trim().is_empty()) {
                continue;
            }
            let raw = &self.text.as_bytes()[start..end];
            let blank = |byte: &&u8| matches!(byte, b'\r' | b'\n');
            let start = start + raw.iter().take_while(blank).count();
            let end = end - raw.iter().rev().take_while(blank).count();
            let whole = start..end.max(start);
            let spans = cell_spans(self.text, whole.clone(), self.separator);
            rows.push(TextRow { cells: cells.clone(), whole, spans });
            if rows.len() > most {
                return Ok(rows);
            }
        }
    }

    /// The first line of a row: a row with an open quote can run to the end of
    /// the file.
    pub fn first_line(&self, row: &TextRow) -> Range<usize> {
        let Range { start, end } = row.whole.clone();
        let line = self.text[row.whole.clone()].find(['\r', '\n']);
        start..line.map_or(end, |length| start + length)
    }
}

/// What separates the columns: a semicolon or a tab where the headings have
/// one, else a comma. Programs set to a decimal comma write semicolons.
fn separator(text: &str) -> u8 {
    let line = text.lines().find(|line| !line.trim().is_empty()).unwrap_or_default();
    [b';', b'\t'].into_iter().find(|one| line.as_bytes().contains(one)).unwrap_or(b',')
}

/// The bytes of each cell of a row, without the quotes around it.
fn cell_spans(text: &str, row: Range<usize>, separator: u8) -> Vec<Range<usize>> {
    let bytes = text.as_bytes();
    let mut spans = Vec::new();
    let mut at = row.start;
    loop {
        let quoted = at < row.end && bytes[at] == b'"';
        let start = if quoted { at + 1 } else { at };
        let mut end = start;
        if quoted {
            while end < row.end && (bytes[end] != b'"' || bytes.get(end + 1) == Some(&b'"')) {
                end += if bytes[end] == b'"' { 2 } else { 1 };
            }
            at = end.min(row.end);
        }
        let end = end.min(row.end);
        while at < row.end && bytes[at] != separator {
            at += 1;
        }
        spans.push(start..if quoted { end } else { at });
        if at >= row.end {
            return spans;
        }
        at += 1;
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// `A,"long` begins at byte 10, after the headings and their line end, and has
    /// seven bytes: it ends at 17. The quote is never closed.
    #[test]
    fn an_open_quote_is_pointed_at_in_its_first_line() {
        let list = TextTable::of("name,note\nA,\"long\nrest");
        let rows = list.rows(9).unwrap();
        assert_eq!(list.first_line(&rows[0]), 0..9);
        assert_eq!(rows[1].whole, 10..22);
        assert_eq!(list.first_line(&rows[1]), 10..17);
    }

    /// Columns counted by hand; quotes are left out, and a doubled quote is part of
    /// its cell.
    #[test]
    fn cells_are_found_in_their_row() {
        let cells = |text: &str, separator: char| -> Vec<String> {
            let spans = cell_spans(text, 0..text.len(), separator as u8);
            spans.into_iter().map(|span| text[span].to_owned()).collect()
        };
        assert_eq!(cells("B1,4/4,8", ','), ["B1", "4/4", "8"]);
        assert_eq!(cells("B1;4,5;", ';'), ["B1", "4,5", ""]);
        assert_eq!(cells("\"B,1\",8", ','), ["B,1", "8"]);
        assert_eq!(cells("\"say \"\"B\"\" here\",8", ','), ["say \"\"B\"\" here", "8"]);
        assert_eq!(cells("\"\",8", ','), ["", "8"]);
        assert_eq!(cells(",", ','), ["", ""]);
        // A quote that is never closed runs to the end.
        assert_eq!(cells("8,\"B,1", ','), ["8", "B,1"]);
        // A cell of a later row begins where its row does: after `name,note` and
        // the line end.
        let text = "name,note\nA,\"dry\"";
        assert_eq!(cell_spans(text, 10..17, b','), [10..11, 13..16]);
    }

    /// A semicolon or a tab in the headings wins over commas.
    #[test]
    fn headings_say_what_separates() {
        for (text, expected) in
            [("a,b", b','), ("a;b,c", b';'), ("a\tb,c", b'\t'), ("\n\na;b", b';'), ("a", b',')]
        {
            assert_eq!(separator(text), expected, "{text:?}");
        }
    }
}
