//! The makers screen: a line for each article with its owner and choices, and what
//! follows for the chosen one.

use ratatui::Frame;
use ratatui::layout::{Constraint, Layout, Rect};
use ratatui::text::Line;
use ratatui::widgets::Paragraph;

use super::frame::framed;
use super::lists::{around, draw_lines, list_line};
use crate::prose::wrap;
use crate::tui::app::{App, Session};
use crate::tui::maker_words::{changes_until, maker_words, pieces_words, what_follows};
use crate::tui::widgets::whole_or_dots;

pub(super) fn draw(
    app: &App,
    session: &Session,
    selected: usize,
    frame: &mut Frame<'_>,
    area: Rect,
) {
    let count = session.snapshot.state.article_count() as usize;
    let title = format!("makers    {}", session.snapshot.route.article.counted(count as u32));
    let body = framed(app, frame, area, &title, "change");
    let article = selected as u32 + 1;
    let mut below = vec![pieces_words(session, article)];
    below.extend(what_follows(session, article));
    let mut detail = wrap(&below.join("; "), body.width);
    detail.extend(wrap(&changes_until(session).join("; "), body.width));
    let rows = (detail.len() as u16 + 1).min(body.height / 2);
    let [list, under] =
        body.layout(&Layout::vertical([Constraint::Fill(1), Constraint::Length(rows)]));
    let room = list.width.saturating_sub(2);
    let (shown, more) = around(count, selected, list.height);
    let mut lines: Vec<Line<'static>> = shown
        .map(|n| {
            let text = maker_words(session, n as u32 + 1);
            list_line(app.theme, n == selected, whole_or_dots(&text, room))
        })
        .collect();
    if more > 0 {
        lines.push(Line::from(format!("  {more} more below")));
    }
    draw_lines(lines, list, frame.buffer_mut());
    let detail: Vec<Line<'static>> =
        std::iter::once(Line::default()).chain(detail.into_iter().map(Line::from)).collect();
    frame.render_widget(Paragraph::new(detail), under);
}
