//! The route screen: every operation with done, aside and to go; what is
//! planned and what is made.

use ratatui::Frame;
use ratatui::layout::{Constraint, Layout, Rect};
use ratatui::text::Line;
use ratatui::widgets::Paragraph;

use super::frame::framed;
use super::lists::{first_line, list_line};
use crate::journal::PieceTally;
use crate::operation::words;
use crate::plan::dimensions;
use crate::prose::visible;
use crate::tui::app::{App, Session};
use crate::tui::widgets::whole_or_dots;
use crate::work::{questions, waits_for_the_lead};

pub(super) fn draw(
    app: &App,
    session: &Session,
    selected: usize,
    frame: &mut Frame<'_>,
    area: Rect,
) {
    let left =
        format!("{}  {}", visible(&session.snapshot.name), visible(&session.snapshot.route.name));
    let body = framed(app, frame, area, &left, "go there");
    let sizes = sizes(session, body.width);
    let sizes_height = (sizes.len() as u16).min(body.height / 3);
    let [list, below] =
        body.layout(&Layout::vertical([Constraint::Fill(1), Constraint::Length(sizes_height)]));
    let rows = list.height as usize;
    let lines: Vec<Line<'static>> = session
        .operations()
        .into_iter()
        .enumerate()
        .skip(first_line(selected, rows))
        .take(rows)
        .map(|(n, op)| {
            let text = operation_line(session, op, list.width.saturating_sub(2));
            list_line(app.theme, n == selected, text)
        })
        .collect();
    frame.render_widget(Paragraph::new(lines), list);
    let sizes: Vec<Line<'static>> = sizes.into_iter().map(Line::from).collect();
    frame.render_widget(Paragraph::new(sizes), below);
}

fn operation_line(session: &Session, op: u32, room: u16) -> String {
    let (state, route) = (&session.snapshot.state, &session.snapshot.route);
    let Some(step) = route.step(op) else {
        return apart(&format!("{op:>4} boards"), &state.boards.progress(), room);
    };
    // Where there is little room, progress matters more than the machine.
    let name = match step.at.as_deref() {
        Some(at) if room >= 70 => format!("{op:>4} {:<9} {:<11} {at}", step.kind, step.part),
        _ => format!("{op:>4} {} {}", step.kind, step.part),
    };
    let PieceTally { done, aside, to_go } = state.tally(&step.part, op);
    let progress = if waits_for_the_lead(route, state, op) {
        "lead must accept".to_owned()
    } else if state.is_closed(op) {
        match aside {
            0 => "finished".to_owned(),
            n => format!("finished, {n} aside"),
        }
    } else if state.setups.get(&op).is_some_and(|setup| setup.left.is_some()) {
        format!("LEFT HALF DONE {done}/{}", done + to_go)
    } else {
        match (done, aside) {
            (0, 0) => format!("{to_go} to go"),
            (done, 0) => format!("{done} done {to_go} to go"),
            (done, aside) => format!("{done} done {aside} aside {to_go} to go"),
        }
    };
    apart(&name, &progress, room)
}

/// A name, and the progress at the other end of the line.
fn apart(name: &str, progress: &str, room: u16) -> String {
    let gap = usize::from(room).saturating_sub(name.chars().count() + progress.chars().count());
    whole_or_dots(&format!("{name}{}{progress}", " ".repeat(gap.max(1))), room)
}

/// Dimensions that were made, planned beside made; then what the lead is asked.
fn sizes(session: &Session, room: u16) -> Vec<String> {
    let (state, route) = (&session.snapshot.state, &session.snapshot.route);
    let mut lines = Vec::new();
    for question in questions(state) {
        lines.push(whole_or_dots(&format!("For the lead: {question}"), room));
    }
    let known = state.known();
    for dimension in dimensions(route, &known) {
        for made in &dimension.made {
            let planned = dimension.planned.as_ref().ok().and_then(|value| value.length());
            let planned = planned.map_or_else(String::new, |p| words(p, route.unit));
            let text = format!(
                "{}: planned {planned}, made {}; {}",
                dimension.name,
                words(made.value, route.unit),
                made.words
            );
            lines.push(whole_or_dots(&text, room));
        }
    }
    let waiting =
        route.steps.iter().flat_map(|step| &step.checks).filter_map(|c| c.becomes.as_ref());
    for becomes in waiting {
        if !known.made.iter().any(|made| made.dim == becomes.dim) {
            let planned = route.dims.value(&becomes.dim, &|_| None).ok().and_then(|v| v.length());
            let planned = planned.map_or_else(String::new, |p| words(p, route.unit));
            lines.push(whole_or_dots(&format!("{}: planned {planned}", becomes.dim), room));
        }
    }
    if !lines.is_empty() {
        lines.insert(0, String::new());
    }
    lines
}
