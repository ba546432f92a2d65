//! The bar on top: what is in hand at the left, the count or the time at the right.

use ratatui::buffer::Buffer;
use ratatui::layout::Rect;
use ratatui::widgets::Widget;

use super::prose::{whole_or_dots, width};
use crate::tui::theme::Theme;

/// Marks a batch in which nobody cut or measured anything.
const INVENTED: &str = "invented: ";

/// One line with a text at each end; the left one wins when both don't fit.
#[derive(Clone, Copy, Debug)]
pub(crate) struct TitleBar<'a> {
    /// What is in hand.
    pub left: &'a str,
    /// The count or the time.
    pub right: &'a str,
    /// Whether the batch shown is invented. Only here is it said, so that no
    /// screen can forget to.
    pub invented: bool,
    /// The signs and styles to draw with.
    pub theme: Theme,
}

impl Widget for TitleBar<'_> {
    fn render(self, area: Rect, buf: &mut Buffer) {
        let area = area.intersection(buf.area);
        if area.is_empty() {
            return;
        }
        let mark = if self.invented { INVENTED } else { "" };
        let left = format!("{mark}{}", self.left);
        buf.set_string(area.x, area.y, whole_or_dots(&left, area.width), self.theme.strong());
        let right = width(self.right);
        if u32::from(width(&left)) + 2 + u32::from(right) <= u32::from(area.width) {
            buf.set_string(area.right() - right, area.y, self.right, self.theme.plain());
        }
    }
}

#[cfg(test)]
mod tests {
    use super::super::trial::{ASCII, drawn, draws_at_every_size};
    use super::*;

    fn bar(theme: Theme) -> TitleBar<'static> {
        TitleBar { left: "Op 50  leg  wide belt", right: "7 of 28", invented: false, theme }
    }

    #[test]
    fn what_is_invented_says_so_first() {
        let bar = |theme| TitleBar { invented: true, ..bar(theme) };
        assert_eq!(drawn(bar(ASCII), 40, 1), "invented: Op 50  leg  wide belt  7 of 28");
        assert_eq!(drawn(bar(ASCII), 16, 1), "invented: Op...");
        draws_at_every_size(bar);
    }

    #[test]
    fn the_left_wins() {
        assert_eq!(drawn(bar(ASCII), 30, 1), "Op 50  leg  wide belt  7 of 28");
        assert_eq!(drawn(bar(ASCII), 29, 1), "Op 50  leg  wide belt");
        assert_eq!(drawn(bar(ASCII), 13, 1), "Op 50  leg...");
        draws_at_every_size(bar);
    }
}
