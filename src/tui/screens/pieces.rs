//! The pieces screen: a row for each piece with a sign for each operation of
//! its part, its last reading, and its way in words below.

use ratatui::Frame;
use ratatui::layout::{Constraint, Layout, Rect};
use ratatui::text::Line;
use ratatui::widgets::Paragraph;

use super::beside::{beside, draw_piece, draw_readings, draw_words};
use super::frame::framed;
use super::lists::{around, draw_lines, list_line};
use crate::journal::Piece;
use crate::prose::wrap;
use crate::tui::app::{App, Session};
use crate::tui::list_words::{piece_name, piece_outcome, way};
use crate::tui::machine_view::{Standing, standing};
use crate::tui::theme::Theme;
use crate::tui::widgets::{whole_or_dots, width};

/// From so many columns on a piece has a sign for each operation.
const COLUMNS_FOR_SIGNS: u16 = 60;

/// The columns of a piece's name, and of its last reading.
const NAME: u16 = 17;
const READING: u16 = 24;

pub(super) fn draw(
    app: &App,
    session: &Session,
    selected: usize,
    frame: &mut Frame<'_>,
    area: Rect,
) {
    let state = &session.snapshot.state;
    let body = framed(app, frame, area, "pieces    in cut order", "history");
    let (body, right) = beside(body);
    let piece = state.pieces.get(selected);
    let way = piece.map_or_else(Vec::new, |piece| way(session, piece));
    let below = match right {
        Some(_) => Vec::new(),
        None => wrap(&way.join("; "), body.width),
    };
    let rows = (below.len() as u16 + 2).min(body.height / 2);
    let [list, detail] =
        body.layout(&Layout::vertical([Constraint::Fill(1), Constraint::Length(rows)]));
    let room = list.width.saturating_sub(2);
    let (shown, more) = around(state.pieces.len(), selected, list.height);
    let mut lines: Vec<Line<'static>> = shown
        .map(|n| {
            let text = piece_words(session, &state.pieces[n], room, app.theme);
            list_line(app.theme, n == selected, whole_or_dots(&text, room))
        })
        .collect();
    if more > 0 {
        lines.push(Line::from(format!("  {more} more below")));
    }
    draw_lines(lines, list, frame.buffer_mut());
    let mut lines = vec![Line::from(legend(session, body.width, app.theme))];
    lines.extend(below.into_iter().map(Line::from));
    frame.render_widget(Paragraph::new(lines), detail);
    if let (Some(right), Some(piece)) = (right, piece) {
        let last = state.readings_on(&piece.id).rev().find(|held| !held.voided);
        let op = last.map_or(session.context().op, |held| held.taken.op);
        let context = session.at(op);
        let rest = draw_piece(&context, piece, app.theme, frame, right);
        let rest = match last {
            Some(held) => {
                let feature = Some(held.taken.feature.as_str());
                draw_readings(&context, feature, app.theme, frame, rest)
            }
            None => rest,
        };
        draw_words(&way, frame, rest);
    }
}

/// What the signs mean, and how many spares are through.
fn legend(session: &Session, room: u16, theme: Theme) -> String {
    let mut legend = String::new();
    for standing in Standing::ALL {
        let text = format!("{} {}", standing.sign(theme), standing.word());
        let gap = if legend.is_empty() { "" } else { "   " };
        if width(&legend) + width(gap) + width(&text) <= room {
            legend += gap;
            legend += &text;
        }
    }
    let state = &session.snapshot.state;
    let spares = session.snapshot.route.parts.iter().filter_map(|part| {
        let steps = session.snapshot.route.steps.iter().filter(|step| step.part == part.name);
        let closed = steps.map(|step| step.op).filter(|op| state.is_closed(*op)).max()?;
        Some(format!("{} {}", state.spares_through(&part.name, closed), part.name))
    });
    let spares: Vec<String> = spares.collect();
    let spares = format!("   spares left: {}", spares.join(", "));
    if !spares.ends_with(": ") && width(&legend) + width(&spares) <= room {
        legend += &spares;
    }
    legend
}

fn piece_words(session: &Session, piece: &Piece, room: u16, theme: Theme) -> String {
    let label = &piece.label;
    let (state, route) = (&session.snapshot.state, &session.snapshot.route);
    let (name, outcome) = (piece_name(piece), piece_outcome(session, piece));
    if room < COLUMNS_FOR_SIGNS {
        return format!("{}  {outcome}", fitted(&name, NAME));
    }
    let steps = route.steps.iter().filter(|step| step.part == label.part);
    let mut signs = String::new();
    for step in steps {
        let is_past = piece.aside.as_ref().is_some_and(|(at, _)| step.op > *at);
        let sign = if is_past { " " } else { standing(state, step.op, piece).sign(theme) };
        signs += sign;
    }
    let named = fitted(&name, NAME + 6);
    let signs_room = room.saturating_sub(NAME + 6 + READING + 4);
    format!("{named}  {}  {outcome}", fitted(&signs, signs_room))
}

/// A text in so many columns.
fn fitted(text: &str, columns: u16) -> String {
    let text = whole_or_dots(text, columns);
    let gap = " ".repeat(usize::from(columns.saturating_sub(width(&text))));
    format!("{text}{gap}")
}
