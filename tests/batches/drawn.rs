//! The traveler drawn in memory, as text and with its colours, and the sizes
//! and themes at which tests look at it.

use benchway::tui::screens::draw;
use benchway::tui::theme::Theme;
use benchway::tui::{App, Unread};
use ratatui::Terminal;
use ratatui::backend::TestBackend;
use ratatui::buffer::Buffer;

pub const PLAIN: Theme = Theme::new(false, false);
pub const COLOUR: Theme = Theme::new(true, false);
pub const ASCII: Theme = Theme::new(false, true);

/// An ordinary window, the smallest that is drawn in full, a large one and a
/// screen on a wall.
pub const SIZES: [(u16, u16); 4] = [(80, 24), (40, 12), (120, 40), (200, 60)];

pub fn drawn(app: &App, width: u16, height: u16) -> Buffer {
    let mut terminal = Terminal::new(TestBackend::new(width, height)).expect("a backend in memory");
    drawn_in(&mut terminal, app);
    terminal.backend().buffer().clone()
}

/// Draws, and answers what of it must be read and had no room.
pub fn drawn_in(terminal: &mut Terminal<TestBackend>, app: &App) -> Unread {
    let mut unread = Unread::default();
    terminal.draw(|frame| unread = draw(app, frame)).expect("a backend in memory");
    unread
}

pub fn text(buffer: &Buffer) -> String {
    let rows = buffer.content().chunks(buffer.area.width.into());
    let lines = rows.map(|row| row.iter().map(|cell| cell.symbol()).collect::<String>());
    lines.map(|line| line.trim_end().to_owned()).collect::<Vec<_>>().join("\n")
}
