//! The pieces screen: each piece's way so far, sets and hands, decisions,
//! spares finished up to here.

use ratatui::Frame;
use ratatui::layout::{Constraint, Layout, Rect};
use ratatui::text::Line;
use ratatui::widgets::Paragraph;

use super::frame::framed;
use super::lists::{first_line, list_line};
use crate::journal::{Decision, Piece};
use crate::measure::{Feature, Unit};
use crate::operation::decimal;
use crate::prose::wrap;
use crate::route::Role;
use crate::tui::app::{App, Session};
use crate::tui::machine_view::place_on_board;
use crate::tui::widgets::whole_or_dots;

pub(super) fn draw(
    app: &App,
    session: &Session,
    selected: usize,
    frame: &mut Frame<'_>,
    area: Rect,
) {
    let state = &session.snapshot.state;
    let spares: Vec<String> = session
        .snapshot
        .route
        .parts
        .iter()
        .filter_map(|part| {
            let op = last_closed(session, &part.name)?;
            Some(format!("{} {}", state.spares_through(&part.name, op), part.name))
        })
        .collect();
    let _right = if spares.is_empty() {
        String::new()
    } else {
        format!("spares finished up to here: {}", spares.join(", "))
    };
    let body = framed(app, frame, area, "pieces    in cut order", "history");
    let way = way(session, selected, body.width);
    let below = (way.len() as u16 + 1).min(body.height / 2);
    let [list, detail] =
        body.layout(&Layout::vertical([Constraint::Fill(1), Constraint::Length(below)]));
    let rows = list.height as usize;
    let lines: Vec<Line<'static>> = state
        .pieces
        .iter()
        .enumerate()
        .skip(first_line(selected, rows))
        .take(rows)
        .map(|(n, piece)| {
            let room = list.width.saturating_sub(2);
            let text = whole_or_dots(&piece_line(session, piece, room >= 60), room);
            list_line(app.theme, n == selected, text)
        })
        .collect();
    frame.render_widget(Paragraph::new(lines), list);
    let mut lines = vec![Line::default()];
    lines.extend(way.into_iter().map(Line::from));
    frame.render_widget(Paragraph::new(lines), detail);
}

fn last_closed(session: &Session, part: &str) -> Option<u32> {
    let steps = session.snapshot.route.steps.iter().filter(|step| step.part == part);
    steps.map(|step| step.op).filter(|op| session.snapshot.state.is_closed(*op)).max()
}

fn piece_line(session: &Session, piece: &Piece, wide: bool) -> String {
    let label = &piece.label;
    let mut text = format!("{:<20}", label.to_string());
    if wide {
        let article = &session.snapshot.route.article;
        let place = match (label.role, label.set, &label.hand) {
            (Role::Set, Some(set), Some(hand)) => format!("{article} {set}, {hand}"),
            (Role::Set, Some(set), None) => format!("{article} {set}"),
            (Role::Spare, ..) => "spare".to_owned(),
            (Role::Setup, ..) => "proves settings".to_owned(),
            (Role::Blank, ..) => format!("{} in one blank", piece.gang),
            (Role::Set, None, _) => String::new(),
        };
        text += &format!("{place:<26}");
    }
    let state = &session.snapshot.state;
    let through = session
        .snapshot
        .route
        .steps
        .iter()
        .filter(|step| step.part == label.part && state.is_done(step.op, &piece.id))
        .map(|step| step.op)
        .max();
    text += &match (&piece.aside, piece.whole, through) {
        (Some((op, why)), ..) => format!("SET ASIDE at op {op}: {why}"),
        (_, false, _) => "cut apart".to_owned(),
        (_, _, Some(op)) => format!("done up to op {op}"),
        _ => "not started".to_owned(),
    };
    text
}

/// What one piece read at each operation, and what was decided about it.
fn way(session: &Session, selected: usize, width: u16) -> Vec<String> {
    let state = &session.snapshot.state;
    let Some(piece) = state.pieces.get(selected) else { return Vec::new() };
    let unit: Unit = session.snapshot.route.unit;
    let board = place_on_board(state, unit, &piece.id).map(|place| format!("from {place}"));
    let mut steps: Vec<String> = board.into_iter().collect();
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
            "voided".to_owned()
        } else {
            let said = taken.verdict().words(kind, unit, 3);
            said.split(':').next().unwrap_or_default().to_owned()
        };
        steps.push(format!("op {} {} {size} {verdict}", taken.op, taken.feature));
    }
    for ruling in &piece.decisions {
        let decided = match ruling.decision {
            Decision::Accept => "accepted",
            other => other.words(),
        };
        steps.push(format!("op {} {decided}: {}", ruling.op, ruling.why));
    }
    if steps.is_empty() {
        return vec![format!("{}: nothing measured yet", piece.label)];
    }
    wrap(&format!("{}: {}", piece.label, steps.join("; ")), width)
}
