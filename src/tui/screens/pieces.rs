//! The pieces screen: each piece's way so far, sets and hands, decisions,
//! spares complete to here.

use ratatui::Frame;
use ratatui::layout::{Constraint, Layout, Rect};
use ratatui::text::Line;
use ratatui::widgets::Paragraph;

use super::{first_line, framed, list_line};
use crate::journal::Piece;
use crate::measure::{Feature, Unit};
use crate::operation::decimal;
use crate::prose::wrap;
use crate::route::Role;
use crate::tui::app::{App, Here};
use crate::tui::boards_view::lies;
use crate::tui::widgets::whole_or_dots;
use crate::work::verdict_of;

pub(super) fn draw(app: &App, frame: &mut Frame<'_>, area: Rect) {
    let Some(here) = &app.here else { return };
    let state = &here.snapshot.state;
    let spares: Vec<String> = here
        .snapshot
        .route
        .parts
        .iter()
        .filter_map(|part| {
            let op = last_closed(here, &part.name)?;
            Some(format!("{} {}", state.spares_through(&part.name, op), part.name))
        })
        .collect();
    let right = if spares.is_empty() {
        String::new()
    } else {
        format!("spares complete to here: {}", spares.join(", "))
    };
    let body = framed(app, frame, area, "Pieces, in cut order: Enter, way back", &right);
    let way = way(here, app.selected, body.width);
    let below = (way.len() as u16 + 1).min(body.height / 2);
    let [list, detail] =
        body.layout(&Layout::vertical([Constraint::Fill(1), Constraint::Length(below)]));
    let rows = list.height as usize;
    let lines: Vec<Line<'static>> = state
        .pieces
        .iter()
        .enumerate()
        .skip(first_line(app.selected, rows))
        .take(rows)
        .map(|(n, piece)| {
            let room = list.width.saturating_sub(2);
            let text = whole_or_dots(&piece_line(here, piece, room >= 60), room);
            list_line(app.theme, n == app.selected, text)
        })
        .collect();
    frame.render_widget(Paragraph::new(lines), list);
    let mut lines = vec![Line::default()];
    lines.extend(way.into_iter().map(Line::from));
    frame.render_widget(Paragraph::new(lines), detail);
}

fn last_closed(here: &Here, part: &str) -> Option<u32> {
    let steps = here.snapshot.route.steps.iter().filter(|step| step.part == part);
    steps.map(|step| step.op).filter(|op| here.snapshot.state.is_closed(*op)).max()
}

fn piece_line(here: &Here, piece: &Piece, wide: bool) -> String {
    let label = &piece.label;
    let mut text = format!("{:<20}", label.to_string());
    if wide {
        let place = match (label.role, label.set, &label.hand) {
            (Role::Set, Some(set), Some(hand)) => format!("set {set}, {hand}"),
            (Role::Set, Some(set), None) => format!("set {set}"),
            (Role::Spare, ..) => "spare".to_owned(),
            (Role::Setup, ..) => "proves settings".to_owned(),
            (Role::Blank, ..) => format!("{} in one length", piece.gang),
            (Role::Set, None, _) => String::new(),
        };
        text += &format!("{place:<26}");
    }
    let state = &here.snapshot.state;
    let through = here
        .snapshot
        .route
        .steps
        .iter()
        .filter(|step| step.part == label.part && state.is_done(step.op, &piece.id))
        .map(|step| step.op)
        .max();
    text += &match (&piece.aside, piece.whole, through) {
        (Some((op, why)), ..) => format!("SET ASIDE at op {op}: {why}"),
        (_, false, _) => "come apart".to_owned(),
        (_, _, Some(op)) => format!("through op {op}"),
        _ => "not begun".to_owned(),
    };
    text
}

/// What one piece read at each operation, and what was decided about it.
fn way(here: &Here, selected: usize, width: u16) -> Vec<String> {
    let state = &here.snapshot.state;
    let Some(piece) = state.pieces.get(selected) else { return Vec::new() };
    let unit: Unit = here.snapshot.route.unit;
    let board = lies(state, unit, &piece.id).map(|place| format!("from {place}"));
    let mut steps: Vec<String> = board.into_iter().collect();
    for reading in state.readings.iter().filter(|reading| reading.taken.piece == piece.id) {
        let taken = &reading.taken;
        let size = taken.size().map_or_else(|| taken.typed.clone(), |size| decimal(size, unit));
        let check = here
            .snapshot
            .route
            .step(taken.op)
            .and_then(|step| step.checks.iter().find(|check| check.of == taken.feature));
        let kind = check.map_or(Feature::Size, |check| check.kind);
        let verdict = if reading.voided {
            "struck out".to_owned()
        } else {
            let said = verdict_of(taken).words(kind, unit, 3);
            said.split(':').next().unwrap_or_default().to_owned()
        };
        steps.push(format!("op {} {} {size} {verdict}", taken.op, taken.feature));
    }
    for ruling in &piece.decisions {
        steps.push(format!("op {} {}: {}", ruling.op, ruling.decision.words(), ruling.why));
    }
    if steps.is_empty() {
        return vec![format!("{}: nothing measured yet", piece.label)];
    }
    wrap(&format!("{}: {}", piece.label, steps.join("; ")), width)
}
