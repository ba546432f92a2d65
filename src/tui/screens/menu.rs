//! The menu: everything that can be done on the screen beneath, one line each.

use ratatui::Frame;
use ratatui::layout::Rect;
use ratatui::text::Line;
use ratatui::widgets::Paragraph;

use super::frame::framed;
use super::lists::{around, list_line};
use crate::tui::app::App;
use crate::tui::widgets::{whole_or_dots, width};

/// The columns of a key's name.
const KEY: u16 = 14;

pub(super) fn draw(app: &App, selected: usize, frame: &mut Frame<'_>, area: Rect) {
    let body = framed(app, frame, area, "what can be done here", "do it");
    let lines = app.menu_lines();
    let room = body.width.saturating_sub(2);
    let (shown, more) = around(lines.len(), selected, body.height);
    let mut drawn: Vec<Line<'static>> = shown
        .map(|n| {
            let line = &lines[n];
            let gap = " ".repeat(usize::from(KEY.saturating_sub(width(&line.key)).max(1)));
            let text = format!("{}{gap}{}", line.key, line.does);
            list_line(app.theme, n == selected, whole_or_dots(&text, room))
        })
        .collect();
    if more > 0 {
        drawn.push(Line::from(format!("  {more} more below")));
    }
    frame.render_widget(Paragraph::new(drawn), body);
}
