//! The line a reading is typed on, with what the program makes of it beneath.

use ratatui::buffer::Buffer;
use ratatui::layout::{Position, Rect};
use ratatui::style::Style;
use ratatui::widgets::Widget;
use unicode_width::UnicodeWidthChar;

use super::prose::{whole_or_dots, width};
use crate::prose::wrap;
use crate::tui::theme::Theme;

/// The narrowest place to type in that is still of use: `13 21/64 -` and a cursor.
const NARROWEST_FIELD: u16 = 12;

/// Prompt, typed text and unit on the first row; the echo in words beneath;
/// what is wrong beneath that, in place of the echo where there is no room for
/// both. The typed text is never given up.
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

    /// The place to type in: what the prompt and the unit leave of the first row.
    fn field(&self, area: Rect) -> Rect {
        let unit = match width(self.unit) {
            0 => 0,
            unit => unit.saturating_add(1),
        };
        let unit = if area.width >= NARROWEST_FIELD.saturating_add(unit) { unit } else { 0 };
        let spare = area.width.saturating_sub(NARROWEST_FIELD + unit);
        let prompt = match width(self.prompt) {
            0 => 0,
            prompt => prompt.saturating_add(1).min(spare),
        };
        Rect { x: area.x + prompt, width: area.width - prompt - unit, height: 1, ..area }
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
        if field.x > area.x {
            let prompt = whole_or_dots(self.prompt, field.x - area.x - 1);
            buf.set_string(area.x, area.y, prompt, self.theme.strong());
        }
        buf.set_style(field, self.theme.plain().underlined());
        let text: String = shown(self.typed).skip(from).collect();
        buf.set_stringn(field.x, field.y, text, field.width.into(), self.theme.strong());
        if field.right() < area.right() {
            buf.set_string(field.right() + 1, area.y, self.unit, self.theme.plain());
        }

        let rows = usize::from(area.height.saturating_sub(1));
        let mut wrong = wrap(self.error, area.width);
        if wrong.len() > rows && rows > 0 {
            let rest = wrong.split_off(rows - 1).join(" ");
            wrong.push(whole_or_dots(&rest, area.width));
        }
        let mut beneath: Vec<(String, Style)> = Vec::new();
        if !self.echo.is_empty() && wrong.len() < rows {
            beneath.push((whole_or_dots(self.echo, area.width), self.theme.plain()));
        }
        beneath.extend(wrong.into_iter().map(|text| (text, self.theme.warn())));
        for (row, (text, style)) in (area.y + 1..area.bottom()).zip(beneath) {
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

    fn column(typed: &str, cursor: usize, width: u16) -> Option<u16> {
        let area = Rect::new(3, 5, width, 3);
        entry(typed, cursor, ASCII).cursor_position(area).map(|at| at.x - 3)
    }

    #[test]
    fn the_words_stand_beneath_the_number() {
        let line = entry("1 5/8", 5, ASCII);
        let expected = "thickness of leg 7 1 5/8             in\none and five eighths";
        assert_eq!(drawn(line, 39, 2), expected);
        let wrong = EntryLine { error: "that is 1 1/4 over the target", ..line };
        assert!(drawn(wrong, 39, 3).ends_with("eighths\nthat is 1 1/4 over the target"));
        assert!(drawn(wrong, 39, 2).ends_with("in\nthat is 1 1/4 over the target"));
    }

    #[test]
    fn a_narrow_place_keeps_what_was_typed() {
        assert_eq!(drawn(entry("1 5/8", 5, ASCII), 22, 1), "thi... 1 5/8        in");
        assert_eq!(drawn(entry("1 5/8", 5, ASCII), 12, 1), "1 5/8");
        assert_eq!(drawn(entry("123456", 6, ASCII), 4, 1), "456");
    }

    #[test]
    fn the_cursor_counts_cells_not_characters() {
        assert_eq!(column("1 5/8", 5, 60), Some(19 + 5));
        assert_eq!(column("1 5/8", 2, 60), Some(19 + 2));
        assert_eq!(column("木木", 1, 60), Some(19 + 2));
        // An e and a combining acute accent share one cell.
        assert_eq!(column("e\u{301}", 2, 60), Some(19 + 1));
        assert_eq!(column("123456", 6, 4), Some(3));
        assert_eq!(column("123456", 99, 4), Some(3));
        assert_eq!(column("", 0, 0), None);
    }

    /// Always: Every widget draws at every size.
    #[test]
    fn draws_anywhere() {
        for typed in ["", "1 5/8", "木木木木木木木木", "\t\u{1b}[31m", "e\u{301}\u{301}"] {
            for cursor in [0, 1, 9] {
                let full = |theme| EntryLine { error: "no", ..entry(typed, cursor, theme) };
                draws_at_every_size(full);
                for width in 1..30 {
                    let area = Rect::new(2, 1, width, 1);
                    let at = full(ASCII).cursor_position(area);
                    assert!(at.is_some_and(|at| area.contains(at)));
                }
            }
        }
    }
}
