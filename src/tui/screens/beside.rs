//! What stands beside a list in a large window: the row in hand in full. In a small
//! one the list has all the room.

use ratatui::Frame;
use ratatui::layout::{Constraint, Layout, Rect};
use ratatui::text::Line;
use ratatui::widgets::Paragraph;

use super::machine;
use crate::journal::Piece;
use crate::prose::wrap;
use crate::tui::machine_view::{CheckReadings, SoFar};
use crate::tui::theme::Theme;
use crate::tui::widgets::PartView;
use crate::work::WorkContext;

/// From so many columns and rows on there is room beside a list.
const LARGE: (u16, u16) = (120, 30);

/// The rows of a piece as it is, and of its readings in cut order.
const PIECE: u16 = 6;
const READINGS: u16 = 11;

/// The place of the list, and the place beside it where there is one: 64 of 120
/// columns are the list's, 128 of 200.
pub(super) fn beside(body: Rect) -> (Rect, Option<Rect>) {
    if body.width < LARGE.0 || body.height < LARGE.1 {
        return (body, None);
    }
    let (list, right) = split(body);
    (list, Some(right))
}

/// The columns of a list, and those beside it.
pub(super) fn split(body: Rect) -> (Rect, Rect) {
    let list = if body.width >= 200 { 128 } else { 64 };
    let [list, _, right] = body.layout(&Layout::horizontal([
        Constraint::Length(list),
        Constraint::Length(2),
        Constraint::Fill(1),
    ]));
    (list, right)
}

/// Texts from the top, each in as many rows as it needs; what has no room is left out.
pub(super) fn draw_words(texts: &[String], frame: &mut Frame<'_>, area: Rect) {
    let lines = texts.iter().flat_map(|text| match text.as_str() {
        "" => vec![String::new()],
        text => wrap(text, area.width),
    });
    let lines: Vec<Line<'static>> = lines.map(Line::from).collect();
    frame.render_widget(Paragraph::new(lines), area);
}

/// A piece as the last tool left it; what is left of the area below.
pub(super) fn draw_piece(
    context: &WorkContext<'_>,
    piece: &Piece,
    theme: Theme,
    frame: &mut Frame<'_>,
    area: Rect,
) -> Rect {
    let Some(SoFar { part, names }) = SoFar::for_piece(context, piece) else { return area };
    let (own, rest) = above(area, PIECE);
    frame.render_widget(PartView { part: &part, names: &names, theme }, own);
    rest
}

/// The readings of the first check of an operation in cut order, where it has any;
/// what is left of the area below.
pub(super) fn draw_readings(
    context: &WorkContext<'_>,
    feature: Option<&str>,
    theme: Theme,
    frame: &mut Frame<'_>,
    area: Rect,
) -> Rect {
    let Some(planned) = context.planned() else { return area };
    let check = planned.checks.iter().position(|check| feature.is_none_or(|of| check.of == *of));
    let row = check.and_then(|check| CheckReadings::at(context, check));
    let Some(row) = row.filter(|row| !row.marks.is_empty()) else { return area };
    let (own, rest) = above(area, READINGS);
    machine::draw_readings(&row, frame, own, theme);
    rest
}

/// So many rows, and what is left below a blank one.
fn above(area: Rect, rows: u16) -> (Rect, Rect) {
    let [own, _, rest] = area.layout(&Layout::vertical([
        Constraint::Length(rows),
        Constraint::Length(1),
        Constraint::Fill(1),
    ]));
    (own, rest)
}
