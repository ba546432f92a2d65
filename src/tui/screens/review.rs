//! What went out of limits, in the order it was found; then the checks worth a
//! look, with their likely causes; then the other checks.

use ratatui::Frame;
use ratatui::layout::Rect;
use ratatui::text::Line;
use ratatui::widgets::Paragraph;

use super::frame::framed;
use super::lists::listed;
use crate::prose::{visible, wrap};
use crate::tui::app::{App, Session};
use crate::tui::review_state::ReviewState;
use crate::tui::review_words::{QUIET, row_heading, row_words};

pub(super) fn draw(
    app: &App,
    session: &Session,
    state: &ReviewState,
    frame: &mut Frame<'_>,
    area: Rect,
) {
    let body = framed(app, frame, area, "What went out of limits, and why", "open");
    let found = &state.findings;
    let mut lines: Vec<Line<'static>> = Vec::new();
    let mut selected = 0..0;
    let mut before = None;
    for (n, row) in state.rows.iter().enumerate() {
        let part = row_heading(state, n);
        if before.as_ref() != Some(&part) {
            if before.is_some() {
                lines.push(Line::default());
            }
            lines.push(Line::styled(part.clone(), app.theme.strong()));
            before = Some(part);
        }
        let is_selected = n == state.row;
        let start = lines.len();
        let style = if is_selected { app.theme.selected() } else { app.theme.plain() };
        let text = visible(&row_words(state, *row, &session.snapshot.route));
        for (at, line) in wrap(&text, body.width.saturating_sub(4)).into_iter().enumerate() {
            let mark = match (at, is_selected) {
                (0, true) => "> ",
                (0, false) => "  ",
                _ => "    ",
            };
            lines.push(Line::styled(format!("{mark}{line}"), style));
        }
        if is_selected {
            // The heading stays in sight with the first of its list.
            let heading = usize::from(n == 0);
            selected = start - heading..lines.len();
        }
    }
    if found.is_quiet() {
        let quiet = wrap(QUIET, body.width).into_iter();
        let quiet: Vec<Line> = quiet.map(|line| Line::styled(line, app.theme.plain())).collect();
        selected = selected.start + quiet.len()..selected.end + quiet.len();
        lines.splice(0..0, quiet);
    }
    let shown = listed(lines, selected, body.height, app.theme);
    frame.render_widget(Paragraph::new(shown), body);
}
