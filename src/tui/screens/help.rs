//! Help: the keys of the screen one came from, printed from the table, and
//! what can be typed.

use ratatui::Frame;
use ratatui::layout::Rect;
use ratatui::text::Line;
use ratatui::widgets::Paragraph;

use super::{framed, scrolled};
use crate::prose::wrap;
use crate::shop::DEFER;
use crate::tui::app::{App, Screen};
use crate::tui::keys::BINDINGS;

const TYPED: &str = "A reading: 1 7/16, 1-7/16 or 1+7/16 (a keypad has no space), 1.4375, 1,4375, \
7/16, 36.5mm. After a fraction + is strong, - is shy. A gauge that types by itself works too.";

pub(super) fn draw(app: &App, frame: &mut Frame<'_>, area: Rect) {
    let body = framed(app, frame, area, "Keys", "Esc goes back");
    let mut lines: Vec<Line<'static>> = Vec::new();
    if app.before == Screen::Machine {
        // First, so that no window is too small for it.
        lines.extend(
            wrap(DEFER, body.width).into_iter().map(|l| Line::styled(l, app.theme.caution())),
        );
    }
    for binding in BINDINGS {
        if binding.screens.is_empty() || binding.screens.contains(&app.before) {
            let names: Vec<String> = binding
                .keys
                .iter()
                .filter_map(|code| match code {
                    crossterm::event::KeyCode::F(n) => Some(format!("F{n}")),
                    _ => None,
                })
                .collect();
            let also = names.first().map_or_else(String::new, |name| format!(" {name}"));
            let mut name = format!("{}{also}", binding.name);
            for does in wrap(binding.does, body.width.saturating_sub(14)) {
                lines.push(Line::from(format!("{name:<14}{does}")));
                name.clear();
            }
        }
    }
    if app.before == Screen::Machine {
        lines.push(Line::default());
        lines.extend(wrap(TYPED, body.width).into_iter().map(Line::from));
    }
    frame.render_widget(Paragraph::new(scrolled(app, lines, body.height)), body);
}
