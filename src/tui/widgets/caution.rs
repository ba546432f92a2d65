//! A caution that stays on the screen, wrapped beside its mark.

use ratatui::buffer::Buffer;
use ratatui::layout::Rect;
use ratatui::widgets::Widget;

use super::prose::whole_or_dots;
use crate::prose::wrap;
use crate::tui::theme::Theme;

/// The cells its mark and the gap after it take.
const MARGIN: u16 = 2;

/// A wrapped paragraph with `!` beside its first line.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Caution<'a> {
    /// The whole caution.
    pub text: &'a str,
    /// The signs and styles to draw with.
    pub theme: Theme,
}

impl Caution<'_> {
    /// The rows the whole text takes at this width.
    pub(crate) fn height(&self, width: u16) -> u16 {
        let lines = wrap(self.text, width.saturating_sub(MARGIN)).len();
        u16::try_from(lines).unwrap_or(u16::MAX)
    }

    /// What fits, ending with a whole sentence where one fits: half of one may
    /// say the opposite.
    fn lines(&self, room: u16, rows: usize) -> Vec<String> {
        let whole = wrap(self.text, room);
        if whole.len() <= rows {
            return whole;
        }
        let ends = self.text.rmatch_indices(". ").map(|(at, _)| &self.text[..=at]);
        let shortened = ends.map(|kept| wrap(&format!("{kept} ..."), room));
        let fitting = shortened.into_iter().find(|lines| lines.len() <= rows);
        fitting.unwrap_or_else(|| {
            let mut lines = whole;
            lines.truncate(rows);
            if let Some(last) = lines.last_mut() {
                last.push_str(" ...");
                if super::width(last) > room {
                    *last = whole_or_dots(last, room);
                }
            }
            lines
        })
    }
}

impl Widget for Caution<'_> {
    fn render(self, area: Rect, buf: &mut Buffer) {
        let area = area.intersection(buf.area);
        if area.is_empty() || self.text.is_empty() {
            return;
        }
        buf.set_string(area.x, area.y, "!", self.theme.warn());
        if area.width <= MARGIN {
            return;
        }
        let room = area.width - MARGIN;
        let lines = self.lines(room, usize::from(area.height));
        for (row, line) in (area.y..).zip(&lines) {
            buf.set_stringn(area.x + MARGIN, row, line, usize::from(room), self.theme.caution());
        }
    }
}

#[cfg(test)]
mod tests {
    use super::super::trial::{ASCII, drawn, draws_at_every_size};
    use super::*;

    fn caution(theme: Theme) -> Caution<'static> {
        Caution { text: "Riving knife and guard on. Push stick within reach.", theme }
    }

    #[test]
    fn the_words_hang_beside_the_mark() {
        let whole = "! Riving knife and\n  guard on. Push stick\n  within reach.";
        assert_eq!(drawn(caution(ASCII), 22, 3), whole);
        assert_eq!(caution(ASCII).height(22), 3);
    }

    #[test]
    fn dots_say_that_there_is_more() {
        assert_eq!(drawn(caution(ASCII), 22, 2), "! Riving knife and\n  guard on. ...");
        assert_eq!(drawn(caution(ASCII), 22, 1), "! Riving knife and ...");
        draws_at_every_size(caution);
    }
}
