//! What is wrong with a document and where, and the page that shows it: the
//! line, carets under the spot, and the help.

use std::fmt::Write;
use std::ops::Range;

use unicode_width::UnicodeWidthStr;

use super::lines::{BYTE_ORDER_MARK, character_at};
use super::place::Problem;
use crate::prose::visible;

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
    left.cut(BEFORE.max(WIDEST.saturating_sub(right.width())));
    right.cut(WIDEST.saturating_sub(left.width()));

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

#[cfg(test)]
mod tests {
    use std::ops::Range;

    use crate::document::Document;
    use crate::document::tests::{ROUTE, node, read};
    use crate::prose::Message;

    #[track_caller]
    fn check_page(text: &str, span: Range<usize>, what: &str, expected: &str) {
        let document = read(text);
        let problem = Message::warning(what).at(document.place(span).into());
        assert_eq!(document.render(&problem), expected);
    }

    #[test]
    fn a_page_shows_the_line_and_the_spot() {
        let document = read(ROUTE);
        let problem = &node(&document, &["operations", "1"]).unknown_keys(&[
            "op",
            "do",
            "tolerance",
            "checks",
        ])[0];
        assert_eq!(
            document.render(problem),
            r#"error: unknown key `tolerence`
 --> bench.json:6:35 in operations, op 20
  |
6 |     { "op": 20, "do": "crosscut", "tolerence": 0.2,
  |                                   ^^^^^^^^^^^
  = help: did you mean `tolerance`?
"#
        );
        let height = node(&document, &["dims", "höhe"]);
        let at = height.text_place(8..9);
        let problem = height.problem_at(at, "expected a number after `+`, found `*`", None);
        assert_eq!(
            document.render(&problem),
            r#"error: expected a number after `+`, found `*`
 --> bench.json:3:45 in dims, höhe
  |
3 |   "dims": { "seat": "7/8", "höhe": "17 1/2 +* 3" },
  |                                             ^
"#
        );
    }

    #[test]
    fn a_page_without_a_place_names_the_file() {
        let problem = Document::read("bench.json", "").expect_err("an empty file");
        assert_eq!(
            problem.render("bench.json", ""),
            "error: the file is empty\n --> bench.json\n = help: start with `{` and `}`\n"
        );
    }

    #[test]
    fn carets_stand_under_wide_characters_and_tabs() {
        // Each of the two wide characters takes two cells, the tab four.
        check_page(
            "[\t\"木材\", 17]",
            12..14,
            "here",
            "warning: here\n --> bench.json:1:9\n  |\n1 | [    \"木材\", 17]\n  |              ^^\n",
        );
        check_page(
            "[\t\"木材\", 17]",
            2..10,
            "here",
            "warning: here\n --> bench.json:1:3\n  |\n1 | [    \"木材\", 17]\n  |      ^^^^^^\n",
        );
    }

    #[test]
    fn nothing_from_a_file_acts_on_the_terminal() {
        // An override that turns the writing round, and a C1 control; JSON allows both.
        check_page(
            "[\"\u{202e}gel\u{9b}\", 1]",
            1..11,
            "red \u{1b}[31m",
            "warning: red \\u{1b}[31m\n --> bench.json:1:2\n  |\n1 | [\"\\u{202e}gel\\u{9b}\", 1]\n  |  ^^^^^^^^^^^^^^^^^^^\n",
        );
    }

    #[test]
    fn a_span_over_several_lines_is_marked_to_the_end_of_its_first() {
        check_page(
            "{\r\n  \"a\": [\r\n  1]}",
            10..16,
            "x",
            "warning: x\n --> bench.json:2:8\n  |\n2 |   \"a\": [\n  |        ^\n",
        );
    }

    /// Seventy cells are shown whole. Of 71 the last goes when the spot is the second, and the
    /// first when 40 are before the spot and 31 from it on.
    #[test]
    fn a_line_is_clipped_from_the_seventy_first_cell_on() {
        let page = |source: &str, column: usize, indent: usize| {
            let caret = format!("{}^", " ".repeat(indent));
            format!("warning: x\n --> bench.json:1:{column}\n  |\n1 | {source}\n  | {caret}\n")
        };
        let letters = |count: usize| "a".repeat(count);
        let whole = format!("\"{}\"", letters(68));
        for spot in [0, 1, 30, 40, 69] {
            check_page(&whole, spot..spot + 1, "x", &page(&whole, spot + 1, spot));
        }
        let longer = format!("\"{}\"", letters(69));
        check_page(&longer, 1..2, "x", &page(&format!("\"{}...", letters(69)), 2, 1));
        check_page(&longer, 40..41, "x", &page(&format!("...{}\"", letters(69)), 41, 42));
    }

    #[test]
    fn a_long_line_is_clipped_around_the_spot() {
        let digits = "1234567,".repeat(40_000);
        let text = format!("[{digits}0, \"tail\"]");
        let tail = text.len() - 7;
        // Seventy cells: `"tail"]` takes seven, which leaves 63 before it.
        check_page(
            &text,
            tail..tail + 6,
            "x",
            "warning: x\n --> bench.json:1:320005\n  |\n1 | ...567,1234567,1234567,1234567,1234567,1234567,1234567,1234567,0, \"tail\"]\n  |                                                                   ^^^^^^\n",
        );
        // In the middle: 30 cells before the spot and 40 from it on.
        check_page(
            &text,
            801..808,
            "x",
            "warning: x\n --> bench.json:1:802\n  |\n1 | ...34567,1234567,1234567,1234567,1234567,1234567,1234567,1234567,1234567,...\n  |                                  ^^^^^^^\n",
        );
    }
}
