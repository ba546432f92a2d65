//! The screens, each a function of the app.
//! They read, and change nothing.

mod attribution;
mod beside;
mod frame;
mod help;
mod lists;
mod machine;
mod matched;
mod menu;
mod opening;
mod opening_rows;
mod pieces;
mod ready;
mod review;
mod route;
mod series;

use ratatui::Frame;
use ratatui::buffer::Buffer;
use ratatui::text::Line;

use super::app::{App, SessionView, Stage};
use super::message::Unread;
use super::review_state::ReviewScreen;

/// The smallest window in which everything important has room: columns, rows.
pub const SMALLEST: (u16, u16) = (40, 12);

/// Whether a drawn window shows what time it is: a narrow title leaves it out.
pub(super) fn shows_clock(app: &App, drawn: &Buffer) -> bool {
    let title = drawn.content().iter().take(drawn.area.width.into());
    let title: String = title.map(ratatui::buffer::Cell::symbol).collect();
    title.contains(&app.now().format("%H:%M").to_string())
}

/// Draws whatever screen the app is on. Answers how much of what must be read had no
/// room.
pub fn draw(app: &App, frame: &mut Frame<'_>) -> Unread {
    let area = frame.area();
    if area.width < SMALLEST.0 || area.height < SMALLEST.1 {
        let text =
            format!("needs {}x{}, has {}x{}", SMALLEST.0, SMALLEST.1, area.width, area.height);
        frame.render_widget(Line::from(text), area);
        return Unread { below: 1, in_view: 0 };
    }
    if let (None, Some(chosen)) = (app.help(), app.menu()) {
        menu::draw(app, chosen, frame, area);
        return Unread::default();
    }
    let session = match (app.help(), app.stage()) {
        (Some(scrolled), _) => {
            help::draw(app, scrolled, frame, area);
            return Unread::default();
        }
        (None, Stage::Opening(opening)) => {
            opening::draw(app, opening, frame, area);
            return Unread::default();
        }
        (None, Stage::Session(session)) => session,
    };
    match session.view() {
        SessionView::Machine { scrolled } => {
            return machine::draw(app, session, *scrolled, frame, area);
        }
        SessionView::Route { selected } => route::draw(app, session, *selected, frame, area),
        SessionView::Pieces { selected } => pieces::draw(app, session, *selected, frame, area),
        SessionView::Ready { selected, lines } => {
            ready::draw(app, session, (lines, *selected), frame, area);
        }
        SessionView::Matched { scrolled, parts, .. } => {
            matched::draw(app, session, parts, *scrolled, frame, area);
        }
        SessionView::Review(state) => match &state.page {
            ReviewScreen::Findings => review::draw(app, session, state, frame, area),
            ReviewScreen::Series { scrolled } => {
                series::draw(app, session, state, *scrolled, frame, area);
            }
            ReviewScreen::Attribution(held) => {
                attribution::draw(app, session, state, held, frame, area);
            }
        },
    }
    Unread::default()
}
