//! The cautions that stay on the screen, beside their mark. One that has no
//! room is left out whole: half of one may say the opposite.

use ratatui::buffer::Buffer;
use ratatui::layout::Rect;
use ratatui::widgets::Widget;

use crate::prose::wrap;
use crate::shop::short_caution;
use crate::tui::theme::Theme;

/// The cells its mark and the gap after it take.
const MARGIN: u16 = 2;

/// Cautions one under the other, the one that matters most first, with `!`
/// beside it.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Caution<'a> {
    /// Each of them whole.
    pub cautions: &'a [String],
    /// The signs and styles to draw with.
    pub theme: Theme,
}

impl Caution<'_> {
    /// Each whole or in its short form; what has no room is left out.
    fn lines(&self, room: u16, rows: usize) -> Vec<String> {
        let mut lines: Vec<String> = Vec::new();
        for (n, caution) in self.cautions.iter().enumerate() {
            let left = rows - lines.len();
            let forms = [caution.as_str(), short_caution(caution)].map(|form| wrap(form, room));
            // The short form where only that leaves room for the next one.
            let next = self.cautions.get(n + 1);
            let next = next.map_or(0, |next| wrap(short_caution(next), room).len());
            let leaves_room = |form: &Vec<String>| form.len() + next <= left;
            let fitting = forms.iter().find(|form| leaves_room(form));
            match fitting.or(forms.iter().find(|form| form.len() <= left)).cloned() {
                Some(wrapped) => lines.extend(wrapped),
                // The first is never left out.
                None if n == 0 => lines.extend(wrap(short_caution(caution), room)),
                None => {}
            }
            if lines.len() >= rows {
                break;
            }
        }
        lines.truncate(rows);
        lines
    }
}

impl Widget for Caution<'_> {
    fn render(self, area: Rect, buf: &mut Buffer) {
        let area = area.intersection(buf.area);
        if area.is_empty() || self.cautions.is_empty() {
            return;
        }
        buf.set_string(area.x, area.y, "!", self.theme.cutter());
        if area.width <= MARGIN {
            return;
        }
        let room = area.width - MARGIN;
        let lines = self.lines(room, usize::from(area.height));
        for (row, line) in (area.y..).zip(&lines) {
            buf.set_stringn(area.x + MARGIN, row, line, usize::from(room), self.theme.plain());
        }
    }
}

#[cfg(test)]
mod tests {
    use super::super::trial::{ASCII, drawn, draws_at_every_size};
    use super::*;

    fn cautions() -> Vec<String> {
        ["Riving knife and guard on.", "Push stick within reach.", "No gloves."]
            .map(str::to_owned)
            .to_vec()
    }

    #[test]
    fn the_words_hang_beside_the_mark() {
        let cautions = cautions();
        let caution = Caution { cautions: &cautions, theme: ASCII };
        let whole = "! Riving knife and guard on.\n  Push stick within reach.\n  No gloves.";
        assert_eq!(drawn(caution, 40, 3), whole);
    }

    /// The second takes two rows of 20 columns and is left out for the third.
    #[test]
    fn what_has_no_room_is_left_out_whole() {
        let cautions = cautions();
        let caution = Caution { cautions: &cautions, theme: ASCII };
        assert_eq!(drawn(caution, 22, 3), "! Riving knife and\n  guard on.\n  No gloves.");
        draws_at_every_size(|theme| Caution { cautions: &cautions, theme });
    }
}
