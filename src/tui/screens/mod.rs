//! The screens, each a function of the app.
//! They read, and change nothing.

mod attribution;
mod beside;
mod frame;
mod help;
mod lists;
mod machine;
mod makers;
mod matched;
mod menu;
mod opening;
mod opening_rows;
mod pieces;
mod ready;
mod review;
mod route;
mod series;
mod shop;
mod sizes;
mod today;

use ratatui::Frame;
use ratatui::buffer::Buffer;
use ratatui::layout::{Constraint, Layout, Rect};
use ratatui::text::Line;

use super::app::{App, SessionView, Stage};
use super::message::Unread;
use super::review_state::ReviewScreen;
use super::widgets::whole_or_dots;
use crate::prose::visible;

/// The smallest window in which everything important has room: columns, rows.
pub const SMALLEST: (u16, u16) = (40, 12);

/// The rows around a list or a text.
const AROUND_A_LIST: u16 = 4;

/// Whether a drawn window shows what time it is: a narrow title leaves it out.
pub(super) fn shows_clock(app: &App, drawn: &Buffer) -> bool {
    let title = drawn.content().iter().take(drawn.area.width.into());
    let title: String = title.map(ratatui::buffer::Cell::symbol).collect();
    title.contains(&app.now().format("%H:%M").to_string())
}

/// What the exchange with other terminals says has the last row; what is left for the
/// screen. The smallest window has no row for it: there the title has a word of it.
fn draw_exchange(app: &App, frame: &mut Frame<'_>, area: Rect) -> Rect {
    let Some(says) = app.exchange().filter(|_| area.height > SMALLEST.1) else { return area };
    let [rest, row] = area.layout(&Layout::vertical([Constraint::Fill(1), Constraint::Length(1)]));
    let whole = visible(&format!("Server: {}", says.whole));
    let line = whole_or_dots(&whole, row.width);
    frame.render_widget(Line::styled(line, app.theme.strong()), row);
    rest
}

/// Draws whatever screen the app is on. Answers how much of what must be read had no
/// room.
pub fn draw(app: &App, frame: &mut Frame<'_>) -> Unread {
    let area = frame.area();
    if area.width < SMALLEST.0 || area.height < SMALLEST.1 {
        let text =
            format!("needs {}x{}, has {}x{}", SMALLEST.0, SMALLEST.1, area.width, area.height);
        frame.render_widget(Line::from(text), area);
        return Unread { below: 1, ..Unread::default() };
    }
    let area = draw_exchange(app, frame, area);
    // Title, heading and keys stand around every list.
    let in_view = usize::from(area.height.saturating_sub(AROUND_A_LIST));
    let listed = Unread { in_view, ..Unread::default() };
    if let (None, Some(chosen)) = (app.help(), app.menu()) {
        menu::draw(app, chosen, frame, area);
        return listed;
    }
    let session = match (app.help(), app.stage()) {
        (Some(scrolled), _) => {
            return Unread { first: Some(help::draw(app, scrolled, frame, area)), ..listed };
        }
        (None, Stage::Opening(opening)) => {
            if let Some(sizes) = &opening.sizes {
                sizes::draw(app, sizes, frame, area);
                return listed;
            }
            if let Some(held) = opening.today() {
                return today::draw(app, held, frame, area);
            }
            opening::draw(app, opening, frame, area);
            return listed;
        }
        (None, Stage::Shop(shop)) => {
            shop::draw(app, shop, frame, area);
            return listed;
        }
        (None, Stage::Session(session)) => session,
    };
    let mut first = None;
    match session.view() {
        SessionView::Machine { scrolled } => {
            return machine::draw(app, session, *scrolled, frame, area);
        }
        SessionView::Route { selected } => route::draw(app, session, *selected, frame, area),
        SessionView::Pieces { selected } => pieces::draw(app, session, *selected, frame, area),
        SessionView::Makers { selected } => makers::draw(app, session, *selected, frame, area),
        SessionView::Ready { selected, lines } => {
            ready::draw(app, session, (lines, *selected), frame, area);
        }
        SessionView::Matched { scrolled, parts, .. } => {
            first = Some(matched::draw(app, session, parts, *scrolled, frame, area));
        }
        SessionView::Review(state) => match &state.page {
            ReviewScreen::Findings => review::draw(app, session, state, frame, area),
            ReviewScreen::Series { scrolled } => {
                first = series::draw(app, session, state, *scrolled, frame, area);
            }
            ReviewScreen::Attribution(held) => {
                first = Some(attribution::draw(app, session, state, held, frame, area));
            }
        },
    }
    Unread { first, ..listed }
}
