//! The keys that matter now, along the bottom.

use ratatui::buffer::Buffer;
use ratatui::layout::Rect;
use ratatui::widgets::Widget;

use super::prose::width;
use crate::tui::theme::Theme;

/// A key and what it does.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) struct Hint<'a> {
    /// The key, as people call it.
    pub key: &'a str,
    /// What it does, in a word or two.
    pub does: &'a str,
}

/// One line of hints, the most important first. A hint that does not fit is
/// left out whole, and a shorter one after it may take its place.
#[derive(Clone, Copy, Debug)]
pub(crate) struct KeyHints<'a> {
    /// The hints, the most important first.
    pub hints: &'a [Hint<'a>],
    /// The signs and styles to draw with.
    pub theme: Theme,
}

impl Widget for KeyHints<'_> {
    fn render(self, area: Rect, buf: &mut Buffer) {
        let area = area.intersection(buf.area);
        if area.is_empty() {
            return;
        }
        let mut at = area.x;
        for hint in self.hints {
            let key = width(hint.key);
            let whole = key.saturating_add(1).saturating_add(width(hint.does));
            let gap = if at == area.x { 0 } else { 3 };
            if area.right().saturating_sub(at) < whole.saturating_add(gap) {
                continue;
            }
            at += gap;
            buf.set_string(at, area.y, hint.key, self.theme.plain());
            buf.set_string(at + key + 1, area.y, hint.does, self.theme.plain());
            at += whole;
        }
    }
}

#[cfg(test)]
mod tests {
    use super::super::trial::{ASCII, drawn, draws_at_every_size};
    use super::*;

    const HINTS: [Hint; 3] = [
        Hint { key: "Enter", does: "record" },
        Hint { key: "Backspace", does: "strike out" },
        Hint { key: "?", does: "keys" },
    ];

    #[test]
    fn what_does_not_fit_is_left_out_whole() {
        let bar = |theme| KeyHints { hints: &HINTS, theme };
        assert_eq!(drawn(bar(ASCII), 45, 1), "Enter record   Backspace strike out   ? keys");
        assert_eq!(drawn(bar(ASCII), 40, 1), "Enter record   Backspace strike out");
        assert_eq!(drawn(bar(ASCII), 24, 1), "Enter record   ? keys");
        assert_eq!(drawn(bar(ASCII), 11, 1), "? keys");
        draws_at_every_size(bar);
    }
}
