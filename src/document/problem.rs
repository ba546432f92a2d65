//! What is wrong with a document and where, and the page that shows it: the
//! line, carets under the spot, and the help.

use std::fmt::Write;
use std::ops::Range;

use unicode_width::UnicodeWidthStr;

use super::lines::character_at;
use super::syntax::BYTE_ORDER_MARK;
use crate::prose::{Message, visible};

/// A stretch of a text and where it begins.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Place {
    /// The line, counted from one.
    pub line: usize,
    /// The column, in characters, counted from one.
    pub column: usize,
    /// The bytes it covers, from the start of the text.
    pub span: Range<usize>,
}

/// Where in a document a problem is.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct DocumentPlace {
    /// `None` when the problem is about the text as a whole.
    pub at: Option<Place>,
    /// The way to it in words, such as `operations, op 30, to`; empty at the top.
    pub path: String,
}

impl From<Place> for DocumentPlace {
    fn from(at: Place) -> DocumentPlace {
        DocumentPlace { at: Some(at), path: String::new() }
    }
}

/// One thing wrong with a text.
pub type Problem = Message<DocumentPlace>;

/// The widest stretch of a source line that is shown, leaving room beside it
/// for the line's number on eighty columns.
const WIDEST: usize = 70;
/// How much of a longer line is shown before the spot, at least.
const BEFORE: usize = 30;

impl Problem {
    /// The problem with the line it is about, as plain text that ends in a
    /// newline; `name` and `text` are what [`super::Document::read`] was given.
    pub fn render(&self, name: &str, text: &str) -> String {
        let text = text.strip_prefix(BYTE_ORDER_MARK).unwrap_or(text);
        let mut page = format!("{}: {}\n", self.level, visible(&self.what));
        let path = match visible(&self.place.path) {
            path if path.is_empty() => path,
            path => format!(" in {path}"),
        };
        let mut gutter = String::new();
        let to_string = "writing to a string cannot fail";
        match &self.place.at {
            None => writeln!(page, " --> {}{path}", visible(name)).expect(to_string),
            Some(place) => {
                let number = place.line.to_string();
                gutter = " ".repeat(number.len());
                let (source, caret) = picture(text, &place.span);
                writeln!(
                    page,
                    "{gutter}--> {}:{number}:{}{path}\n{gutter} |\n{number} | {source}\n{gutter} | {caret}",
                    visible(name),
                    place.column,
                )
                .expect(to_string);
            }
        }
        if let Some(help) = &self.help {
            writeln!(page, "{gutter} = help: {}", visible(help)).expect(to_string);
        }
        page
    }
}

/// The source line around a span and the carets under it. Only as much of the
/// line is looked at as can be shown, for a line may be megabytes long.
fn picture(text: &str, span: &Range<usize>) -> (String, String) {
    let start = character_at(text, span.start);
    let (before, after) = text.split_at(start);
    let length = span.end.saturating_sub(start);

    let mut left = cells(before.char_indices().rev(), WIDEST);
    let mut right = cells(after.char_indices(), WIDEST);
    if let Some(cell) = right.shown.last_mut().filter(|cell| cell.carriage_return && right.whole) {
        // The end of the line as some systems write it, not part of its text.
        cell.shown.clear();
    }
    if !left.whole || !right.whole || left.width() + right.width() > WIDEST {
        left.cut(BEFORE.max(WIDEST.saturating_sub(right.width())));
        right.cut(WIDEST.saturating_sub(left.width()));
    }

    let mut source = String::from(if left.whole { "" } else { "..." });
    source.extend(left.shown.iter().rev().map(|cell| cell.shown.as_str()));
    let indent = source.width();
    let mut covered = 0;
    for cell in &right.shown {
        source.push_str(&cell.shown);
        if cell.offset < length {
            covered += cell.shown.width();
        }
    }
    if !right.whole {
        source.push_str("...");
    }
    (source.trim_end().to_owned(), format!("{}{}", " ".repeat(indent), "^".repeat(covered.max(1))))
}

/// One character of a source line as it is shown.
struct Cell {
    offset: usize,
    shown: String,
    carriage_return: bool,
}

/// Characters from a spot towards one end of its line.
struct Cells {
    shown: Vec<Cell>,
    /// Whether they reach the end of the line.
    whole: bool,
}

impl Cells {
    fn width(&self) -> usize {
        self.shown.iter().map(|cell| cell.shown.width()).sum()
    }

    fn cut(&mut self, widest: usize) {
        let mut width = 0;
        let fit = self.shown.iter().take_while(|cell| {
            width += cell.shown.width();
            width <= widest
        });
        let fit = fit.count();
        self.whole &= fit == self.shown.len();
        self.shown.truncate(fit);
    }
}

fn cells(characters: impl Iterator<Item = (usize, char)>, widest: usize) -> Cells {
    // Counting the characters too keeps a run of a million accents, all of
    // them without width, from being taken for a short line.
    let most = 4 * widest;
    let mut width = 0;
    let mut shown = Vec::new();
    for (offset, character) in characters {
        if character == '\n' {
            return Cells { shown, whole: true };
        }
        if width > widest || shown.len() == most {
            return Cells { shown, whole: false };
        }
        let cell = match character {
            '\t' => "    ".to_owned(),
            character => visible(character.encode_utf8(&mut [0; 4])),
        };
        width += cell.width();
        shown.push(Cell { offset, shown: cell, carriage_return: character == '\r' });
    }
    Cells { shown, whole: true }
}
