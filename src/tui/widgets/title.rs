//! The bar on top: what is in hand at the left; who, where and when at the right.

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
    /// What may stand at the right, the fullest first.
    pub right: &'a [String],
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
        buf.set_string(area.x, area.y, whole_or_dots(&left, area.width), self.theme.plain());
        let fits = |right: &&String| {
            u32::from(width(&left)) + 2 + u32::from(width(right)) <= u32::from(area.width)
        };
        if let Some(right) = self.right.iter().find(fits) {
            let at = area.right() - width(right);
            buf.set_string(at, area.y, right, self.theme.plain());
        }
    }
}

#[cfg(test)]
mod tests {
    use super::super::trial::{ASCII, drawn, draws_at_every_size};
    use super::*;

    fn shown(invented: bool, columns: u16) -> String {
        let right = ["MB  cart  10:42".to_owned(), "MB  10:42".to_owned()];
        let left = "op 50 sand leg    wide belt";
        drawn(TitleBar { left, right: &right, invented, theme: ASCII }, columns, 1)
    }

    #[test]
    fn what_is_invented_says_so_first() {
        assert_eq!(shown(true, 60), "invented: op 50 sand leg    wide belt        MB  cart  10:42");
        assert_eq!(shown(true, 18), "invented: op 50...");
    }

    /// By hand: 27 columns, two between, 15 or 9.
    #[test]
    fn the_left_wins_and_the_right_is_whole() {
        assert_eq!(shown(false, 44), "op 50 sand leg    wide belt  MB  cart  10:42");
        assert_eq!(shown(false, 43), "op 50 sand leg    wide belt       MB  10:42");
        assert_eq!(shown(false, 37), "op 50 sand leg    wide belt");
        assert_eq!(shown(false, 14), "op 50 sand...");
        assert_eq!(shown(false, 13), "op 50 sand...");
    }

    /// Always: Every widget draws at every size.
    #[test]
    fn draws_anywhere() {
        let right = ["MB".to_owned()];
        draws_at_every_size(|theme| TitleBar {
            left: "op 50",
            right: &right,
            invented: true,
            theme,
        });
    }
}
