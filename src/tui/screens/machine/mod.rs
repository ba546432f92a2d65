//! The machine screen: the one number in big digits, what to do now, the
//! drawing of the cut, the last readings, the caution, the entry line.
//!
//! Things keep their places: title, number, doing, readings, caution, entry.

mod picture;
mod readings;
mod words;

use ratatui::Frame;
use ratatui::layout::{Constraint, Layout, Rect};

use self::readings::ReadingsPanel;
pub(super) use self::readings::kind_of;
use self::words::{ROWS_FOR_TALL_DIGITS, Words};
use super::frame::{EntryWords, draw_entry, draw_hints, draw_title};
use crate::operation::Drawing;
use crate::tui::app::{App, Session};
use crate::tui::machine_view::MachineView;
use crate::tui::theme::Theme;
use crate::tui::widgets::{Caution, DrawingView, size};
use crate::work::Task;

/// From this width on the drawing has room beside the number: 30 columns for
/// it and 40 for the words.
const SIDE_BY_SIDE: u16 = 70;

/// Windows with fewer rows than this leave the caution one row of two, and the
/// entry line two of three: below it the words come off worst.
const ROOMY_ROWS: u16 = 18;

/// From so many rows of body on a board is drawn under the words.
const ROWS_FOR_A_BOARD: u16 = 14;

/// What a drawn board takes: a tape of rows that still shows flaws, and no more.
const BOARD_ROWS: std::ops::RangeInclusive<u16> = 6..=12;

/// What a drawing beside the words takes at least, and usually.
const LEAST_PICTURE: u16 = 24;
const USUAL_PICTURE: u16 = 30;

/// Bodies with fewer rows show the readings in one line.
const ROWS_FOR_A_STRIP: u16 = 9;

/// What the strip of readings takes, under the words and under the drawing.
const STRIP_UNDER_WORDS: (u16, u16) = (1, 8);
const STRIP_UNDER_PICTURE: (u16, u16) = (4, 10);

pub(super) fn draw(
    app: &App,
    session: &Session,
    scrolled: usize,
    frame: &mut Frame<'_>,
    area: Rect,
) {
    let (context, task) = (session.context(), session.task());
    let view = MachineView::of(&context, task);
    let readings = ReadingsPanel::of(&context, task, app.theme);
    let is_small = area.height < ROOMY_ROWS;
    let caution = Caution { text: &view.caution, theme: app.theme };
    let caution_rows = if view.caution.is_empty() { 0 } else { caution.height(area.width) };
    let [title, body, below, entry, hints] = area.layout(&Layout::vertical([
        Constraint::Length(1),
        Constraint::Fill(1),
        Constraint::Length(caution_rows.min(if is_small { 1 } else { 2 })),
        Constraint::Length(if is_small { 2 } else { 3 }),
        Constraint::Length(1),
    ]));
    draw_title(app, frame, title, &view.title, &view.count);
    frame.render_widget(caution, below);
    let said = readings::last_said(&context, task);
    let entry_words = EntryWords { prompt: &view.prompt, unit: view.unit, echo: &said };
    draw_entry(app, frame, entry, entry_words);
    draw_hints(app, frame, hints);

    let after = readings::after_last_reading(&context, app.theme);
    let words = Words {
        view: &view,
        notice: session.notice(),
        after_last: if view.shows_last { after } else { Vec::new() },
        at_the_rack: context.at_boards(),
        scrolled,
        theme: app.theme,
    };
    let drawing = picture::drawing_of(&context, task);
    let body_parts = Body { words, drawing: drawing.as_deref(), readings, theme: app.theme };
    if matches!(task, Task::Boards(_)) {
        body_parts.draw_at_the_rack(frame, body);
    } else {
        body_parts.draw(frame, body);
    }
}

/// Everything between the title and the caution.
struct Body<'a> {
    words: Words<'a>,
    drawing: Option<&'a Drawing>,
    readings: Option<ReadingsPanel>,
    theme: Theme,
}

impl Body<'_> {
    /// A board is long and low: it takes the whole width, under the words.
    fn draw_at_the_rack(self, frame: &mut Frame<'_>, body: Rect) {
        let fits = body.width >= SIDE_BY_SIDE && body.height >= ROWS_FOR_A_BOARD;
        let Some(drawing) = self.drawing.filter(|_| fits) else { return self.draw(frame, body) };
        let rows = (body.height * 2 / 5).clamp(*BOARD_ROWS.start(), *BOARD_ROWS.end());
        let [words, picture] =
            body.layout(&Layout::vertical([Constraint::Fill(1), Constraint::Length(rows)]));
        self.words.draw(frame, words);
        frame.render_widget(DrawingView { drawing, theme: self.theme }, picture);
    }

    fn draw(self, frame: &mut Frame<'_>, body: Rect) {
        let (gap, right) = match self.drawing {
            Some(_) if body.width >= SIDE_BY_SIDE => (1, self.picture_columns(body)),
            _ => (0, 0),
        };
        let [left, _, right] = body.layout(&Layout::horizontal([
            Constraint::Fill(1),
            Constraint::Length(gap),
            Constraint::Length(right),
        ]));
        let strip_rows = match (&self.readings, right.width > 0, body.height) {
            (None, ..) => 0,
            (_, _, ..ROWS_FOR_A_STRIP) => u16::from(self.words.view.choices.is_empty()),
            (_, true, _) => 0,
            (_, false, rows) => (rows / 3).clamp(STRIP_UNDER_WORDS.0, STRIP_UNDER_WORDS.1),
        };
        let [words, strip] =
            left.layout(&Layout::vertical([Constraint::Fill(1), Constraint::Length(strip_rows)]));
        self.words.draw(frame, words);
        if let Some(drawing) = self.drawing.filter(|_| right.width > 0) {
            let (least, most) = STRIP_UNDER_PICTURE;
            let rows =
                if self.readings.is_none() { 0 } else { (right.height * 2 / 5).clamp(least, most) };
            let [picture, below] =
                right.layout(&Layout::vertical([Constraint::Fill(1), Constraint::Length(rows)]));
            frame.render_widget(DrawingView { drawing, theme: self.theme }, picture);
            if let Some(readings) = &self.readings {
                readings.draw(frame, below);
            }
        }
        if let Some(readings) = &self.readings {
            readings.draw(frame, strip);
        }
    }

    /// The number comes first: the drawing takes what its digits leave.
    fn picture_columns(&self, body: Rect) -> u16 {
        let view = self.words.view;
        let digits = if view.is_set { "" } else { view.big.as_str() };
        let rows = if body.height >= ROWS_FOR_TALL_DIGITS { 10 } else { 5 };
        let (number, _) = size(digits, rows);
        let usual = (body.width * 2 / 5).max(USUAL_PICTURE);
        usual.min(body.width.saturating_sub(number + 1)).max(LEAST_PICTURE)
    }
}
