//! The opening screen: batches under way, then routes to begin.

use ratatui::Frame;
use ratatui::layout::Rect;
use ratatui::text::Line;
use ratatui::widgets::Paragraph;

use super::frame::framed;
use super::lists::{first_line, list_line};
use crate::prose::{visible, wrap};
use crate::tui::app::{App, OpeningScreen};
use crate::tui::widgets::{whole_or_dots, width};

pub(super) fn draw(app: &App, opening: &OpeningScreen, frame: &mut Frame<'_>, area: Rect) {
    let body = framed(app, frame, area, "benchway", "open");
    let room = body.width.saturating_sub(2);
    let mut lines: Vec<Line<'static>> = Vec::new();
    let mut at = 0;
    let mut selected_at = 0;
    let heading = |lines: &mut Vec<Line<'static>>, text: &str| {
        if !lines.is_empty() {
            lines.push(Line::default());
        }
        lines.push(Line::styled(text.to_owned(), app.theme.strong()));
    };
    if !opening.batches.is_empty() {
        heading(&mut lines, "Batches under way");
    }
    for batch in &opening.batches {
        if at == opening.selected {
            selected_at = lines.len();
        }
        let selected = at == opening.selected;
        let text = format!("{}  {}", visible(&batch.name), batch.progress);
        if width(&text) <= room {
            lines.push(list_line(app.theme, selected, text));
        } else {
            let name = whole_or_dots(&visible(&batch.name), room);
            lines.push(list_line(app.theme, selected, name));
            lines.push(Line::from(format!("    {}", whole_or_dots(&batch.progress, room - 2))));
        }
        at += 1;
    }
    heading(&mut lines, "Routes: Enter starts a batch");
    for route in &opening.routes {
        let selected = at == opening.selected;
        if selected {
            selected_at = lines.len();
        }
        let text = format!("{}  {}", visible(&route.name), route.article.counted(route.sets));
        lines.push(list_line(app.theme, selected, whole_or_dots(&text, room)));
        if selected {
            for line in wrap(&visible(&route.about), room.saturating_sub(2)) {
                lines.push(Line::styled(format!("    {line}"), app.theme.plain()));
            }
        }
        at += 1;
    }
    let first = first_line(selected_at + 2, body.height as usize);
    let shown: Vec<Line<'static>> = lines.into_iter().skip(first).collect();
    frame.render_widget(Paragraph::new(shown), body);
}
