//! How the widgets' tests draw: at one size, and at all of them.

use ratatui::buffer::Buffer;
use ratatui::layout::{Margin, Rect};
use ratatui::widgets::Widget;

use crate::tui::theme::Theme;

/// Plain signs, no colour.
pub(super) const ASCII: Theme = Theme::new(false, true);
/// Blocks, in colour.
pub(super) const BLOCKS: Theme = Theme::new(true, false);

/// What a widget draws at this size, trailing blanks cut off.
pub(super) fn drawn(widget: impl Widget, width: u16, height: u16) -> String {
    let area = Rect::new(0, 0, width, height);
    let mut buffer = Buffer::empty(area);
    widget.render(area, &mut buffer);
    let lines = (0..height).map(|row| {
        let line: String = (0..width).map(|column| buffer[(column, row)].symbol()).collect();
        line.trim_end().to_owned()
    });
    lines.collect::<Vec<_>>().join("\n")
}

/// Draws at every size up to 60x20, inside a border of two cells, and sees that
/// the border stays blank.
pub(super) fn draws_at_every_size<W: Widget>(make: impl Fn(Theme) -> W) {
    for theme in [ASCII, BLOCKS] {
        for width in 0..=60 {
            for height in 0..=20 {
                let area = Rect::new(3, 4, width, height);
                let screen = area.outer(Margin::new(2, 2));
                let mut buffer = Buffer::empty(screen);
                make(theme).render(area, &mut buffer);
                for row in screen.rows() {
                    let crosses = area.top() <= row.y && row.y < area.bottom();
                    let inside = if crosses { area.left()..area.right() } else { 0..0 };
                    for at in row.positions().filter(|at| !inside.contains(&at.x)) {
                        assert_eq!(buffer[at].symbol(), " ", "{width}x{height} drew at {at}");
                    }
                }
            }
        }
        // An area that reaches beyond the screen, as after a resize.
        let mut buffer = Buffer::empty(Rect::new(0, 0, 10, 3));
        make(theme).render(Rect::new(5, 1, 60, 20), &mut buffer);
        make(theme).render(Rect::new(50, 40, 60, 20), &mut buffer);
    }
}
