//! Help: the keys of the screen one came from, printed from the table, and
//! what can be typed.

use ratatui::Frame;
use ratatui::layout::Rect;
use ratatui::text::Line;
use ratatui::widgets::Paragraph;

use super::frame::framed;
use super::lists::scrolled;
use crate::prose::wrap;
use crate::shop::DEFER;
use crate::tui::app::App;
use crate::tui::keys::BINDINGS;
use crate::tui::screen::Screen;

const TYPED: &str = "A reading: 1 7/16, 1-7/16 or 1+7/16 (a keypad has no space), 1.4375, 1,4375, \
7/16, 36.5mm. After a fraction + is strong, - is shy. A gauge that types by itself works too.";

pub(super) fn draw(app: &App, scrolled_past: usize, frame: &mut Frame<'_>, area: Rect) {
    let screen = app.beneath();
    let body = framed(app, frame, area, "Keys", "Esc goes back");
    let mut lines: Vec<Line<'static>> = Vec::new();
    if screen == Screen::Machine {
        // First, so that no window is too small for it.
        lines.extend(
            wrap(DEFER, body.width).into_iter().map(|l| Line::styled(l, app.theme.caution())),
        );
    }
    for binding in BINDINGS {
        if binding.works_on(screen) {
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
    if screen == Screen::Machine {
        lines.push(Line::default());
        lines.extend(wrap(TYPED, body.width).into_iter().map(Line::from));
    }
    let shown = scrolled(lines, scrolled_past, body.height, app.theme);
    frame.render_widget(Paragraph::new(shown), body);
}
