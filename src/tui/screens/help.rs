//! Help: all that the screen one came from says, with what had no room there;
//! its keys, printed from the table; and what can be typed.

use ratatui::Frame;
use ratatui::layout::Rect;
use ratatui::text::Line;
use ratatui::widgets::Paragraph;

use super::frame::framed;
use super::lists::scrolled;
use crate::prose::{visible, wrap};
use crate::shop::DEFER;
use crate::tui::app::App;
use crate::tui::keys::BINDINGS;
use crate::tui::machine_view::MachineView;
use crate::tui::screen::Screen;

const TYPED: &str = "A reading: 1 7/16, 1-7/16 or 1+7/16 (a keypad has no space), 1.4375, 1,4375, \
7/16, 36.5mm. After a fraction + is strong, - is shy. A gauge that types by itself works too.";

pub(super) fn draw(app: &App, scrolled_past: usize, frame: &mut Frame<'_>, area: Rect) {
    let screen = app.beneath();
    let body = framed(app, frame, area, "this screen", "");
    let mut lines: Vec<Line<'static>> = Vec::new();
    if screen == Screen::Machine {
        // First, so that no window is too small for it.
        lines.extend(
            wrap(DEFER, body.width).into_iter().map(|l| Line::styled(l, app.theme.strong())),
        );
        lines.push(Line::default());
        lines.extend(whole_screen(app, body.width));
        lines.push(Line::default());
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
            let mut name = match names.first() {
                // On the opening screen letters are looked for.
                Some(own) if screen == Screen::Opening || own == binding.name => own.clone(),
                Some(also) => format!("{} {also}", binding.name),
                None => binding.name.to_owned(),
            };
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

/// Everything the machine screen says, whatever had room there.
fn whole_screen(app: &App, room: u16) -> Vec<Line<'static>> {
    let Some(session) = app.session() else { return Vec::new() };
    let view = MachineView::of(&session.context(), session.task());
    let mut lines = vec![Line::styled(visible(&view.order.line()), app.theme.strong())];
    for text in view.now.iter().chain(&view.details).chain(&view.why) {
        lines.extend(wrap(&visible(text), room).into_iter().map(Line::from));
    }
    for caution in &view.cautions {
        for (n, line) in wrap(caution, room.saturating_sub(2)).into_iter().enumerate() {
            let mark = if n == 0 { "! " } else { "  " };
            lines.push(Line::from(format!("{mark}{line}")));
        }
    }
    lines
}
