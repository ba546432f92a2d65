//! The line a reading is typed on, with what the program makes of it beneath.

use ratatui::buffer::Buffer;
use ratatui::layout::{Position, Rect};
use ratatui::style::Style;
use ratatui::widgets::Widget;
use unicode_width::UnicodeWidthChar;

use super::prose::{whole_or_dots, width};
use crate::prose::wrap;
use crate::tui::theme::Theme;

/// What stands before what is typed.
const MARK: &str = "> ";

/// The narrowest place to type in that is still of use: `13 21/64 -` and a cursor.
const NARROWEST_FIELD: u16 = 12;

/// The question, then `>` and the typed text with its unit, then the echo or
/// what is wrong; with less than three rows the question stands before the `>`.
/// The typed text is never given up.
#[derive(Clone, Copy, Debug)]
pub(crate) struct EntryLine<'a> {
    /// What is to be typed.
    pub prompt: &'a str,
    /// The text so far.
    pub typed: &'a str,
    /// How many characters stand before the cursor.
    pub cursor: usize,
    /// The unit of a bare number.
    pub unit: &'a str,
    /// `thirteen and five sixteenths, strong`, or nothing.
    pub echo: &'a str,
    /// What is wrong with the last entry, or nothing.
    pub error: &'a str,
    /// The signs and styles to draw with.
    pub theme: Theme,
}

impl EntryLine<'_> {
    /// Where to put the terminal's cursor; `None` when there is no room for it.
    pub(crate) fn cursor_position(&self, area: Rect) -> Option<Position> {
        if area.is_empty() {
            return None;
        }
        let field = self.field(area);
        let (from, before) = self.scrolled(field.width);
        let cells: u16 = shown(self.typed).skip(from).take(before - from).map(cells_of).sum();
        Some(Position::new(field.x + cells.min(field.width.saturating_sub(1)), field.y))
    }

    /// Whether the question has a row of its own.
    fn is_apart(area: Rect) -> bool {
        area.height >= 3
    }

    /// The row of the `>`.
    fn row(area: Rect) -> Rect {
        Rect { y: area.y + u16::from(EntryLine::is_apart(area)), height: 1, ..area }
    }

    /// What stands before the typed text: `> `, after the question where that
    /// has no row of its own.
    fn before(&self, area: Rect) -> String {
        if EntryLine::is_apart(area) || self.prompt.is_empty() {
            return MARK.to_owned();
        }
        // The question gives way to what is typed.
        let field = NARROWEST_FIELD.max(width(self.typed).saturating_add(1));
        let spare = area.width.saturating_sub(field.saturating_add(self.unit_columns(area)));
        match spare.checked_sub(width(MARK) + 1) {
            Some(room) if room > 3 => format!("{} {MARK}", whole_or_dots(self.prompt, room)),
            _ => MARK.to_owned(),
        }
    }

    fn unit_columns(&self, area: Rect) -> u16 {
        let unit = match width(self.unit) {
            0 => 0,
            unit => unit.saturating_add(1),
        };
        if area.width >= NARROWEST_FIELD.saturating_add(unit) { unit } else { 0 }
    }

    /// The place to type in: what the question and the unit leave of the row.
    fn field(&self, area: Rect) -> Rect {
        let row = EntryLine::row(area);
        let unit = self.unit_columns(area);
        let before = width(&self.before(area)).min(area.width.saturating_sub(1 + unit));
        Rect { x: area.x + before, width: area.width - before - unit, ..row }
    }

    /// The first character to show, so that the cursor has a cell of its own,
    /// and the cursor.
    fn scrolled(&self, room: u16) -> (usize, usize) {
        let before: Vec<char> = shown(self.typed).take(self.cursor).collect();
        let mut used: u32 = before.iter().map(|c| u32::from(cells_of(*c))).sum();
        let mut from = 0;
        while used >= u32::from(room) && from < before.len() {
            used -= u32::from(cells_of(before[from]));
            from += 1;
        }
        (from, before.len())
    }
}

/// The typed text with what can't be shown made visible.
fn shown(typed: &str) -> impl Iterator<Item = char> {
    typed.chars().map(|c| if c.is_control() { '?' } else { c })
}

fn cells_of(character: char) -> u16 {
    // No character is wider than two cells.
    character.width().unwrap_or(0) as u16
}

impl Widget for EntryLine<'_> {
    fn render(self, area: Rect, buf: &mut Buffer) {
        let area = area.intersection(buf.area);
        if area.is_empty() {
            return;
        }
        let field = self.field(area);
        let (from, _) = self.scrolled(field.width);
        let plain = self.theme.plain();
        if EntryLine::is_apart(area) {
            let asked = whole_or_dots(self.prompt, area.width);
            buf.set_string(area.x, area.y, asked, plain);
        }
        let before = usize::from(field.x - area.x);
        buf.set_stringn(area.x, field.y, self.before(area), before, plain);
        let text: String = shown(self.typed).skip(from).collect();
        buf.set_stringn(field.x, field.y, text, field.width.into(), self.theme.strong());
        if field.right() < area.right() {
            buf.set_string(field.right() + 1, field.y, self.unit, plain);
        }

        let rows = usize::from(area.bottom() - field.bottom());
        let mut wrong = wrap(self.error, area.width);
        if wrong.len() > rows && rows > 0 {
            let rest = wrong.split_off(rows - 1).join(" ");
            wrong.push(whole_or_dots(&rest, area.width));
        }
        let mut beneath: Vec<(String, Style)> = Vec::new();
        if !self.echo.is_empty() && wrong.len() < rows {
            beneath.push((whole_or_dots(self.echo, area.width), self.theme.plain()));
        }
        beneath.extend(wrong.into_iter().map(|text| (text, self.theme.strong())));
        for (row, (text, style)) in (field.bottom()..area.bottom()).zip(beneath) {
            buf.set_string(area.x, row, text, style);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::super::trial::{ASCII, drawn, draws_at_every_size};
    use super::*;

    fn entry<'a>(typed: &'a str, cursor: usize, theme: Theme) -> EntryLine<'a> {
        EntryLine {
            prompt: "thickness of leg 7",
            typed,
            cursor,
            unit: "in",
            echo: "one and five eighths",
            error: "",
            theme,
        }
    }

    fn cursor(typed: &str, at: usize, width: u16, height: u16) -> Option<(u16, u16)> {
        let area = Rect::new(3, 5, width, height);
        let position = entry(typed, at, ASCII).cursor_position(area);
        position.map(|position| (position.x - 3, position.y - 5))
    }

    #[test]
    fn question_entry_and_answer_have_a_row_each() {
        let line = entry("1 5/8", 5, ASCII);
        let expected = "thickness of leg 7\n> 1 5/8                       in\none and five eighths";
        assert_eq!(drawn(line, 32, 3), expected);
        let wrong = EntryLine { error: "that is 1 1/4 over the target", ..line };
        assert!(drawn(wrong, 32, 4).ends_with("eighths\nthat is 1 1/4 over the target"));
        assert!(drawn(wrong, 32, 3).ends_with("in\nthat is 1 1/4 over the target"));
    }

    #[test]
    fn with_two_rows_the_question_stands_before_it() {
        let line = entry("1 5/8", 5, ASCII);
        let expected = "thickness of leg 7 > 1 5/8           in\none and five eighths";
        assert_eq!(drawn(line, 39, 2), expected);
    }

    #[test]
    fn a_narrow_place_keeps_what_was_typed() {
        assert_eq!(drawn(entry("1 5/8", 5, ASCII), 26, 1), "thick... > 1 5/8        in");
        assert_eq!(drawn(entry("1 5/8", 5, ASCII), 12, 1), "> 1 5/8");
        assert_eq!(drawn(entry("123456", 6, ASCII), 5, 1), "> 56");
        // By hand: 13 columns and a cursor, ` in` and ` > ` leave 14 of 34 for
        // a question of 18.
        let long = drawn(entry("knot 25 to 27", 13, ASCII), 34, 1);
        assert_eq!(long, "thickness o... > knot 25 to 27  in");
    }

    /// By hand: 18 columns of question, a blank, `> `: 21; `> ` alone is 2.
    #[test]
    fn the_cursor_counts_cells_not_characters() {
        assert_eq!(cursor("1 5/8", 5, 60, 1), Some((21 + 5, 0)));
        assert_eq!(cursor("1 5/8", 2, 60, 3), Some((2 + 2, 1)));
        assert_eq!(cursor("木木", 1, 60, 3), Some((2 + 2, 1)));
        // An e and a combining acute accent share one cell.
        assert_eq!(cursor("e\u{301}", 2, 60, 3), Some((2 + 1, 1)));
        assert_eq!(cursor("123456", 6, 5, 1), Some((4, 0)));
        assert_eq!(cursor("123456", 99, 5, 1), Some((4, 0)));
        assert_eq!(cursor("", 0, 0, 0), None);
    }

    /// Always: Every widget draws at every size.
    #[test]
    fn draws_anywhere() {
        for typed in ["", "1 5/8", "木木木木木木木木", "\t\u{1b}[31m", "e\u{301}\u{301}"] {
            for cursor in [0, 1, 9] {
                let full = |theme| EntryLine { error: "no", ..entry(typed, cursor, theme) };
                draws_at_every_size(full);
                for (width, height) in (1..30).flat_map(|width| [1, 2, 3].map(|h| (width, h))) {
                    let area = Rect::new(2, 1, width, height);
                    let at = full(ASCII).cursor_position(area);
                    assert!(at.is_some_and(|at| area.contains(at)));
                }
            }
        }
    }

    /// By hand: 32 columns hold `that is 1 1/4 over the target;` and `measure it once more`
    /// in a row each. With one row the rest is dots; with two or more nothing is.
    #[test]
    fn what_is_wrong_is_cut_short_only_where_it_must_be() {
        let error = "that is 1 1/4 over the target; measure it once more";
        let wrong = EntryLine { error, echo: "", ..entry("1 5/8", 5, ASCII) };
        let typed = "thickness of leg 7\n> 1 5/8                       in";
        let whole = "that is 1 1/4 over the target;\nmeasure it once more";
        assert_eq!(drawn(wrong, 32, 3), format!("{typed}\nthat is 1 1/4 over the target..."));
        assert_eq!(drawn(wrong, 32, 4), format!("{typed}\n{whole}"));
        assert_eq!(drawn(wrong, 32, 5).trim_end(), format!("{typed}\n{whole}"));
    }
}
