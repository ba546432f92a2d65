//! The screens, each a function of the app.
//! They read, and change nothing.

mod attribution;
mod frame;
mod help;
mod lists;
mod machine;
mod matched;
mod opening;
mod pieces;
mod ready;
mod review;
mod route;
mod series;

use ratatui::Frame;
use ratatui::text::Line;

use super::app::{App, Stage, View};
use super::review_state::ReviewPage;

/// The smallest window in which everything important has room: columns, rows.
pub const SMALLEST: (u16, u16) = (40, 12);

/// Draws whatever screen the app is on.
pub fn draw(app: &App, frame: &mut Frame<'_>) {
    let area = frame.area();
    if area.width < SMALLEST.0 || area.height < SMALLEST.1 {
        let text =
            format!("needs {}x{}, has {}x{}", SMALLEST.0, SMALLEST.1, area.width, area.height);
        frame.render_widget(Line::from(text), area);
        return;
    }
    if let Some(scrolled) = app.help() {
        return help::draw(app, scrolled, frame, area);
    }
    let session = match app.stage() {
        Stage::Opening(opening) => return opening::draw(app, opening, frame, area),
        Stage::Session(session) => session,
    };
    match session.view() {
        View::Machine { scrolled } => machine::draw(app, session, *scrolled, frame, area),
        View::Route { selected } => route::draw(app, session, *selected, frame, area),
        View::Pieces { selected } => pieces::draw(app, session, *selected, frame, area),
        View::Ready { selected, lines } => ready::draw(app, lines, *selected, frame, area),
        View::Matched { scrolled, parts } => {
            matched::draw(app, session, parts, *scrolled, frame, area);
        }
        View::Review(state) => match &state.page {
            ReviewPage::Findings => review::draw(app, session, state, frame, area),
            ReviewPage::Series { scrolled } => {
                series::draw(app, session, state, *scrolled, frame, area);
            }
            ReviewPage::Attribution(held) => {
                attribution::draw(app, session, state, held, frame, area);
            }
        },
    }
}
