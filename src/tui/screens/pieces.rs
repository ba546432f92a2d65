//! The pieces screen: a row for each piece with a sign for each operation of
//! its part, its last reading, and its way in words below.

use ratatui::Frame;
use ratatui::layout::{Constraint, Layout, Rect};
use ratatui::text::Line;
use ratatui::widgets::Paragraph;

use super::frame::framed;
use super::lists::{around, list_line};
use crate::journal::Piece;
use crate::measure::{Feature, Unit};
use crate::operation::decimal;
use crate::prose::wrap;
use crate::route::Role;
use crate::tui::app::{App, Session};
use crate::tui::machine_view::{Standing, place_on_board, standing};
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
    let way = way(session, selected, body.width);
    let below = (way.len() as u16 + 2).min(body.height / 2);
    let [list, detail] =
        body.layout(&Layout::vertical([Constraint::Fill(1), Constraint::Length(below)]));
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
    frame.render_widget(Paragraph::new(lines), list);
    let mut lines = vec![Line::from(legend(session, body.width, app.theme))];
    lines.extend(way.into_iter().map(Line::from));
    frame.render_widget(Paragraph::new(lines), detail);
}

/// What the signs mean, and how many spares are through.
fn legend(session: &Session, room: u16, theme: Theme) -> String {
    let meanings = [
        (Standing::Within, "within limits"),
        (Standing::Cut, "cut"),
        (Standing::Again, "cut again"),
        (Standing::Accepted, "accepted"),
        (Standing::Unsure, "unsure"),
        (Standing::Aside, "aside"),
        (Standing::ToGo, "to go"),
    ];
    let mut legend = String::new();
    for (standing, word) in meanings {
        let text = format!("{} {word}", standing.sign(theme));
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
    let hand = match (label.role, &label.hand) {
        (Role::Set, Some(hand)) => format!(", {hand}"),
        (Role::Blank, _) => format!(", {} in one", piece.gang),
        _ => String::new(),
    };
    let name = format!("{label}{hand}");
    let outcome = match (&piece.aside, piece.whole) {
        (Some((op, why)), _) => format!("SET ASIDE at op {op}: {why}"),
        (_, false) => "cut apart".to_owned(),
        _ => last_reading(session, piece),
    };
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

/// `60 length 20.004`.
fn last_reading(session: &Session, piece: &Piece) -> String {
    let readings = session.snapshot.state.readings.iter().rev();
    let mut own = readings.filter(|held| !held.voided && held.taken.piece == piece.id);
    own.next().map_or_else(String::new, |held| {
        let taken = &held.taken;
        let unit = session.snapshot.route.unit;
        let size = taken.size().map_or_else(|| taken.typed.clone(), |size| decimal(size, unit));
        format!("{} {} {size}", taken.op, taken.feature)
    })
}

/// What one piece read at each operation, and what was decided about it.
fn way(session: &Session, selected: usize, width: u16) -> Vec<String> {
    let state = &session.snapshot.state;
    let Some(piece) = state.pieces.get(selected) else { return Vec::new() };
    let unit: Unit = session.snapshot.route.unit;
    let article = &session.snapshot.route.article;
    let set = piece.label.set.map(|set| format!("{article} {set}"));
    let board = place_on_board(state, unit, &piece.id).map(|place| format!("from {place}"));
    let mut steps: Vec<String> = set.into_iter().chain(board).collect();
    let known = steps.len();
    for reading in state.readings.iter().filter(|reading| reading.taken.piece == piece.id) {
        let taken = &reading.taken;
        let size = taken.size().map_or_else(|| taken.typed.clone(), |size| decimal(size, unit));
        let check = session
            .snapshot
            .route
            .step(taken.op)
            .and_then(|step| step.checks.iter().find(|check| check.of == taken.feature));
        let kind = check.map_or(Feature::Size, |check| check.kind);
        let verdict = if reading.voided {
            "struck out".to_owned()
        } else {
            let said = taken.verdict().words(kind, unit, 3);
            said.split(':').next().unwrap_or_default().to_owned()
        };
        steps.push(format!("op {} {} {size} {verdict}", taken.op, taken.feature));
    }
    for ruling in &piece.decisions {
        let decided = ruling.decision.outcome();
        steps.push(format!("op {} {decided}: {}", ruling.op, ruling.why));
    }
    if steps.len() == known {
        steps.push("nothing measured yet".to_owned());
    }
    wrap(&format!("{}: {}", piece.label, steps.join("; ")), width)
}
