//! The sizes screen: each size of a route that can be adapted, and what follows from the
//! changes.

use ratatui::Frame;
use ratatui::layout::{Constraint, Layout, Rect};
use ratatui::text::Line;
use ratatui::widgets::Paragraph;

use super::frame::framed;
use super::lists::{around, draw_lines, list_line};
use crate::prose::{visible, wrap};
use crate::tui::app::{App, SizesScreen};
use crate::tui::widgets::whole_or_dots;

pub(super) fn draw(app: &App, sizes: &SizesScreen, frame: &mut Frame<'_>, area: Rect) {
    let name = visible(&sizes.adapted.route().name);
    let enter = if sizes.selected == 0 { "begin" } else { "change" };
    let body = framed(app, frame, area, &format!("sizes    {name}"), enter);
    let said = wrap(&sizes.adapted.follows().join("; "), body.width);
    let rows = (said.len() as u16 + 1).min(body.height / 2);
    let [list, under] =
        body.layout(&Layout::vertical([Constraint::Fill(1), Constraint::Length(rows)]));
    let room = list.width.saturating_sub(2);
    let all = sizes.lines();
    let (shown, more) = around(all.len(), sizes.selected, list.height);
    let mut lines: Vec<Line<'static>> = shown
        .map(|n| {
            let text = whole_or_dots(&visible(&all[n]), room);
            list_line(app.theme, n == sizes.selected, text)
        })
        .collect();
    if more > 0 {
        lines.push(Line::from(format!("  {more} more below")));
    }
    draw_lines(lines, list, frame.buffer_mut());
    let said: Vec<Line<'static>> =
        std::iter::once(Line::default()).chain(said.into_iter().map(Line::from)).collect();
    frame.render_widget(Paragraph::new(said), under);
}
