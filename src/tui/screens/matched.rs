//! Matched sets: which pieces go together best, by number, to be chalked on
//! them and put side by side.

use ratatui::Frame;
use ratatui::layout::Rect;
use ratatui::text::Line;
use ratatui::widgets::Paragraph;

use super::frame::framed;
use crate::operation::decimal;
use crate::prose::wrap;
use crate::tui::app::{App, Session};
use crate::work::Matched;

pub(super) fn draw(
    app: &App,
    session: &Session,
    parts: &[Matched],
    scrolled: usize,
    frame: &mut Frame<'_>,
    area: Rect,
) {
    let body = framed(app, frame, area, "Which pieces go together", "");
    let (state, unit) = (&session.snapshot.state, session.snapshot.route.unit);
    let mut lines: Vec<Line<'static>> = Vec::new();
    for held in parts {
        if !lines.is_empty() {
            lines.push(Line::default());
        }
        let head = format!(
            "{}, matched by {}: at most {} apart, {} if taken in cut order",
            held.part,
            held.by,
            decimal(held.worst, unit),
            decimal(held.as_they_come, unit)
        );
        let head = wrap(&head, body.width).into_iter();
        lines.extend(head.map(|line| Line::styled(line, app.theme.strong())));
        for group in &held.groups {
            let names: Vec<String> = group.iter().map(|id| state.name(id)).collect();
            let text = match names.as_slice() {
                [a, c, b, d] => format!("{a} opposite {c}; {b} opposite {d}"),
                _ => names.join(" with "),
            };
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
    let scrolled = scrolled.min(lines.len().saturating_sub(usize::from(body.height)));
    let shown: Vec<Line<'static>> = lines.into_iter().skip(scrolled).collect();
    frame.render_widget(Paragraph::new(shown), body);
}
