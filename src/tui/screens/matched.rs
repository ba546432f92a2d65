//! Matched sets: which pieces go together best, by number, to be chalked on
//! them and put side by side.

use ratatui::Frame;
use ratatui::layout::Rect;
use ratatui::text::Line;
use ratatui::widgets::Paragraph;

use super::frame::framed;
use super::lists::first_in_view;
use crate::prose::wrap;
use crate::tui::app::{App, Session};
use crate::tui::list_words::{matched_by, matched_groups};
use crate::work::Matched;

pub(super) fn draw(
    app: &App,
    session: &Session,
    parts: &[Matched],
    scrolled: usize,
    frame: &mut Frame<'_>,
    area: Rect,
) -> usize {
    let body = framed(app, frame, area, "Which pieces go together", "");
    let mut lines: Vec<Line<'static>> = Vec::new();
    for held in parts {
        if !lines.is_empty() {
            lines.push(Line::default());
        }
        let head = matched_by(held, session.snapshot.route.unit);
        let head = wrap(&head, body.width).into_iter();
        lines.extend(head.map(|line| Line::styled(line, app.theme.strong())));
        for text in matched_groups(session, held) {
            lines.extend(
                wrap(&text, body.width.saturating_sub(2))
                    .into_iter()
                    .map(|line| Line::from(format!("  {line}"))),
            );
        }
    }
    if lines.is_empty() {
        lines.push(Line::from("Nothing to match yet: no part has been measured completely."));
    }
    let first = first_in_view(lines.len(), scrolled, body.height);
    let shown: Vec<Line<'static>> = lines.into_iter().skip(first).collect();
    frame.render_widget(Paragraph::new(shown), body);
    first
}
