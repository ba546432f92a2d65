//! All operations: what each is set to, how far it has come, and what is made.

use ratatui::Frame;
use ratatui::layout::{Constraint, Layout, Rect};
use ratatui::text::Line;
use ratatui::widgets::Paragraph;

use super::beside::{beside, draw_readings, draw_words};
use super::frame::framed;
use super::lists::{around, draw_lines, list_line};
use crate::plan::PlannedOperation;
use crate::prose::{visible, wrap};
use crate::tui::app::{App, Session};
use crate::tui::list_words::{progress_words, sizes};
use crate::tui::shop_choice::shop_words;
use crate::tui::theme::Theme;
use crate::tui::widgets::{whole_or_dots, width};
use crate::work::others_there;

/// From so many columns on the machine and its settings have room.
const COLUMNS_FOR_SETTINGS: u16 = 76;

/// From so many columns on what it is set to and a bar have room.
const COLUMNS_FOR_BARS: u16 = 60;

/// From so many columns on the title names the shop.
const COLUMNS_FOR_THE_SHOP: u16 = 76;

/// The columns of what an operation is set to.
const SET_TO: u16 = 12;

/// Cells of the bar of an operation.
const BAR: usize = 4;

pub(super) fn draw(
    app: &App,
    session: &Session,
    selected: usize,
    frame: &mut Frame<'_>,
    area: Rect,
) {
    let name = visible(&session.snapshot.name);
    let shop = visible(&shop_words(&session.snapshot.shop.name));
    let title = match area.width >= COLUMNS_FOR_THE_SHOP {
        true => format!("operations    {name}    {shop}"),
        false => format!("operations    {name}"),
    };
    let body = framed(app, frame, area, &title, "go there");
    let (body, right) = beside(body);
    let sizes = sizes(session);
    let below: Vec<String> = match right {
        Some(_) => Vec::new(),
        None => sizes.iter().flat_map(|text| wrap(text, body.width)).collect(),
    };
    let gap = (!below.is_empty()).then(String::new);
    let below: Vec<String> = gap.into_iter().chain(below).collect();
    let below_rows = (below.len() as u16).min(body.height / 3);
    let [list, below_area] =
        body.layout(&Layout::vertical([Constraint::Fill(1), Constraint::Length(below_rows)]));
    let operations = session.operations();
    let (shown, more) = around(operations.len(), selected, list.height);
    let mut lines: Vec<Line<'static>> = shown
        .map(|n| {
            let op = operations[n];
            let text = operation_line(session, op, list.width.saturating_sub(2), app.theme);
            list_line(app.theme, n == selected, text)
        })
        .collect();
    if more > 0 {
        lines.push(Line::from(format!("      {more} more below")));
    }
    draw_lines(lines, list, frame.buffer_mut());
    let below: Vec<Line<'static>> = below.into_iter().map(Line::from).collect();
    frame.render_widget(Paragraph::new(below), below_area);
    if let (Some(right), Some(op)) = (right, operations.get(selected)) {
        let context = session.at(*op);
        let mut told = operation_told(session, *op);
        told.push(String::new());
        let rest = draw_readings(&context, None, app.theme, frame, right);
        told.extend(sizes);
        draw_words(&told, frame, rest);
    }
}

/// Everything about one operation: where, what it is set to, what is measured.
fn operation_told(session: &Session, op: u32) -> Vec<String> {
    let (route, plan) = (&session.snapshot.route, &session.snapshot.plan);
    let (Some(step), Some(planned)) = (route.step(op), plan.operation(op)) else {
        return vec![session.snapshot.state.boards.progress()];
    };
    let at = step.at.as_ref().map_or_else(String::new, |at| format!(", {at}"));
    let tool = planned.tool.as_ref().map_or_else(String::new, |tool| format!(", {tool}"));
    let mut told = vec![format!("op {op} {} {}{at}{tool}", step.kind, step.part)];
    told.push(format!("{}.", progress_words(session, step)));
    let context = session.context();
    told.extend(others_there(&context, op).iter().map(|others| others.sentence(context.now)));
    let groups = planned.groups.iter();
    for group in groups {
        let settings = group.outcome.settings.iter().filter(|setting| !setting.by_passes);
        told.extend(settings.map(|setting| format!("{}: {}", setting.name, setting.dial_text())));
        let passes = group.outcome.passes.iter();
        let passes: Vec<String> = passes.map(|pass| pass.dial_text()).collect();
        if !passes.is_empty() {
            told.push(format!("passes: {}", passes.join(", ")));
        }
    }
    told.dedup();
    told
}

fn operation_line(session: &Session, op: u32, room: u16, theme: Theme) -> String {
    let (state, route) = (&session.snapshot.state, &session.snapshot.route);
    let Some(step) = route.step(op) else {
        return apart(&format!("{op:>4}  boards"), &state.boards.progress(), room);
    };
    let what = format!("{op:>4}  {} {}", step.kind, step.part);
    let progress = progress_words(session, step);
    if room < COLUMNS_FOR_BARS {
        return apart(&what, &progress, room);
    }
    let plan = &session.snapshot.plan;
    let set_to = plan.operation(op).map(settings).unwrap_or_default();
    let machine = step.at.as_deref().unwrap_or_default();
    let tally = state.tally(&step.part, op);
    let done = tally.done + tally.aside;
    let all = done + tally.to_go;
    let glyphs = theme.glyphs();
    let full = (done * BAR).checked_div(all).unwrap_or(BAR);
    let bar = format!("{}{}", glyphs.block.repeat(full), glyphs.wood.repeat(BAR - full));
    let pieces =
        if done == 0 || done == all { all.to_string() } else { format!("{done} of {all}") };
    let fitted = |text: &str, columns: u16| {
        let text = whole_or_dots(text, columns);
        let gap = " ".repeat(usize::from(columns - width(&text)));
        format!("{text}{gap}")
    };
    // Where the machine has no room, it stands beside the list.
    let at = if room < COLUMNS_FOR_SETTINGS {
        fitted(&what, 20)
    } else {
        format!("{} {}", fitted(&what, 22), fitted(machine, 17))
    };
    let line = format!("{at} {} {bar} {}", fitted(&set_to, SET_TO), fitted(&pieces, 7));
    let state_room = room.saturating_sub(width(&line));
    let said = if width(&progress) + 1 > state_room { short_of(&progress) } else { progress };
    whole_or_dots(format!("{line} {said}").trim_end(), room)
}

/// What people come for: `19.996`, `3/16  21/32`.
fn settings(planned: &PlannedOperation) -> String {
    let Some(group) = planned.groups.first() else { return String::new() };
    if let Some(last) = group.outcome.passes.last() {
        return last.dial_text();
    }
    let mut shown: Vec<String> = group
        .outcome
        .settings
        .iter()
        .filter(|setting| !setting.by_passes)
        .take(2)
        .map(|setting| setting.dial_text())
        .collect();
    // Half a number is a wrong one: the second gives way.
    if shown.len() == 2 && width(&shown[0]) + width(&shown[1]) + 2 > SET_TO {
        shown.truncate(1);
    }
    shown.join("  ")
}

/// A state in a place too narrow for it.
fn short_of(progress: &str) -> String {
    progress.split(',').next().unwrap_or_default().to_owned()
}

/// A name, and the progress at the other end of the line.
fn apart(name: &str, progress: &str, room: u16) -> String {
    let gap = usize::from(room).saturating_sub(name.chars().count() + progress.chars().count());
    whole_or_dots(&format!("{name}{}{progress}", " ".repeat(gap.max(1))), room)
}
