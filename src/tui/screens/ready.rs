//! What can start now: the next operation of each part, those that can start
//! first, the longest wait ahead first among them.

use ratatui::Frame;
use ratatui::layout::Rect;
use ratatui::text::Line;
use ratatui::widgets::Paragraph;

use super::frame::framed;
use super::lists::{first_line, list_line};
use crate::prose::wrap;
use crate::tui::app::App;
use crate::tui::list_words::{ready_words, waiting_words};
use crate::tui::widgets::whole_or_dots;
use crate::work::NextOperation;

pub(super) fn draw(
    app: &App,
    held: &[NextOperation],
    selected: usize,
    frame: &mut Frame<'_>,
    area: Rect,
) {
    let body = framed(app, frame, area, "What can start now", "go there");
    let room = body.width.saturating_sub(2);
    let mut lines: Vec<Line<'static>> = Vec::new();
    let mut selected_at = 0;
    for (n, held) in held.iter().enumerate() {
        if n == selected {
            selected_at = lines.len();
        }
        let text = ready_words(held);
        lines.push(list_line(app.theme, n == selected, whole_or_dots(&text, room)));
        for words in waiting_words(held) {
            lines.extend(below(&words, room));
        }
    }
    if lines.is_empty() {
        lines.push(Line::from("Every operation is finished."));
    }
    let first = first_line(selected_at + 2, body.height as usize);
    let shown: Vec<Line<'static>> = lines.into_iter().skip(first).collect();
    frame.render_widget(Paragraph::new(shown), body);
}

fn below(text: &str, room: u16) -> Vec<Line<'static>> {
    let lines = wrap(text, room.saturating_sub(6)).into_iter();
    lines.map(|line| Line::from(format!("        {line}"))).collect()
}
