//! The machine screen: the one number in big digits, what to do now, the
//! drawing of the cut, the last readings, the caution, the entry line.
//!
//! Things keep their places: title, number, doing, readings, caution, entry.

use std::borrow::Cow;

use ratatui::Frame;
use ratatui::layout::{Constraint, Layout, Rect};
use ratatui::style::Style;
use ratatui::text::Line;
use ratatui::widgets::Paragraph;

use super::{draw_entry, draw_hints, sentence};
use crate::journal::ReadingRecord;
use crate::measure::{Verdict, zone};
use crate::operation::{Drawing, decimal};
use crate::prose::{visible, wrap};
use crate::route::Role;
use crate::tui::app::{App, Notice};
use crate::tui::boards_view;
use crate::tui::machine_view::{MachineView, echo};
use crate::tui::theme::Theme;
use crate::tui::widgets::{
    BigNumber, Caution, DrawingView, LimitLine, MarkKind, ReadingMark, ReadingStrip, TitleBar, size,
};
use crate::work::{Task, WorkContext, verdict_of};

/// From this width on there is room for the drawing beside the number.
const SIDE_BY_SIDE: u16 = 70;

pub(super) fn draw(app: &App, frame: &mut Frame<'_>, area: Rect) {
    let (Some(context), Some(task)) = (app.context(), app.task()) else { return };
    let card = MachineView::of(&context, &task);
    let small = area.height < 18;
    let caution_height = if card.caution.is_empty() {
        0
    } else {
        Caution { text: &card.caution, theme: app.theme }.height(area.width).min(if small {
            1
        } else {
            2
        })
    };
    let [title, body, caution, entry, hints] = area.layout(&Layout::vertical([
        Constraint::Length(1),
        Constraint::Fill(1),
        Constraint::Length(caution_height),
        Constraint::Length(if small { 2 } else { 3 }),
        Constraint::Length(1),
    ]));
    let (left, right, invented) = (&card.title, &card.count, app.is_invented());
    frame.render_widget(TitleBar { left, right, invented, theme: app.theme }, title);
    frame.render_widget(Caution { text: &card.caution, theme: app.theme }, caution);
    let said = last_said(&context, &task);
    draw_entry(app, frame, entry, &card.prompt, card.unit, &said);
    draw_hints(app, frame.buffer_mut(), hints);
    draw_body(app, frame, body, &context, &task, &card);
}

fn draw_body(
    app: &App,
    frame: &mut Frame<'_>,
    body: Rect,
    context: &WorkContext<'_>,
    task: &Task,
    card: &MachineView,
) {
    let drawing = drawing_of(context, task);
    // A board is long and low: it takes the whole width, under the words.
    let long = matches!(task, Task::Boards(_)) && body.width >= SIDE_BY_SIDE;
    if let Some(drawing) = drawing.as_ref().filter(|_| long && body.height >= 14) {
        let rows = (body.height * 2 / 5).clamp(6, 12);
        let [words, picture] =
            body.layout(&Layout::vertical([Constraint::Fill(1), Constraint::Length(rows)]));
        draw_words(app, frame, words, context, card);
        frame.render_widget(DrawingView { drawing, theme: app.theme }, picture);
        return;
    }
    let wide = body.width >= SIDE_BY_SIDE && drawing.is_some();
    let sides = if wide {
        // The number comes first: the drawing takes what five rows of it leave.
        let digits = if card.stands { "" } else { card.big.as_str() };
        let (number, _) = size(digits, if body.height >= 24 { 10 } else { 5 });
        let usual = (body.width * 2 / 5).max(30);
        let right = usual.min(body.width.saturating_sub(number + 1)).max(24);
        Layout::horizontal([Constraint::Fill(1), Constraint::Length(1), Constraint::Length(right)])
    } else {
        Layout::horizontal([Constraint::Fill(1), Constraint::Length(0), Constraint::Length(0)])
    };
    let [left, _, right] = body.layout(&sides);
    let readings = marks(context, task);
    let strip_height = match (readings.is_empty(), right.width > 0, body.height) {
        (true, ..) => 0,
        (_, _, height) if height < 9 => u16::from(card.choices.is_empty()),
        (_, true, _) => 0,
        (_, false, height) => (height / 3).clamp(1, 8),
    };
    let [words, strip] =
        left.layout(&Layout::vertical([Constraint::Fill(1), Constraint::Length(strip_height)]));
    draw_words(app, frame, words, context, card);
    if right.width > 0 {
        let strip_rows = if readings.is_empty() { 0 } else { (right.height * 2 / 5).clamp(4, 10) };
        let [picture, below] =
            right.layout(&Layout::vertical([Constraint::Fill(1), Constraint::Length(strip_rows)]));
        if let Some(drawing) = &drawing {
            frame.render_widget(DrawingView { drawing, theme: app.theme }, picture);
        }
        draw_strip(app.theme, frame, below, context, task, &readings);
    }
    draw_strip(app.theme, frame, strip, context, task, &readings);
}

/// Label, number, what it is for; then what to do now; then the rest. A number
/// that the scale already stands at comes after what to do, in one line.
fn draw_words(
    app: &App,
    frame: &mut Frame<'_>,
    area: Rect,
    context: &WorkContext<'_>,
    card: &MachineView,
) {
    let mut top = area;
    let take = |top: &mut Rect, rows: u16| {
        let rows = rows.min(top.height);
        let row = Rect { height: rows, ..*top };
        top.y += rows;
        top.height -= rows;
        row
    };
    let mut lines: Vec<(String, Style)> = Vec::new();
    if let Some(notice) = &app.notice {
        match notice {
            Notice::Said(text) => lines.push((text.clone(), app.theme.strong())),
            Notice::Wrong(text) => lines.push((text.clone(), app.theme.stop())),
        }
    }
    let now_style = if card.stop { app.theme.stop() } else { app.theme.strong() };
    // What lies on either side of a mark counts more than big digits.
    let cramped = context.at_boards() && !card.big.is_empty() && area.height < 9;
    let now = if cramped { vec![card.now.join(" ")] } else { card.now.clone() };
    let urgent = lines.len() + now.len() + card.choices.len() + usize::from(app.notice.is_none());
    for (n, line) in now.into_iter().enumerate() {
        lines.push((line, if n == 0 { now_style } else { app.theme.strong() }));
    }
    let stands = card.stands && !card.big.is_empty();
    if stands {
        let line = format!("{} {} {}", card.label, card.big, card.under);
        lines.push((sentence(&line), app.theme.quiet()));
    }
    if area.height < 12 && !card.choices.is_empty() {
        let brief: Vec<String> = card
            .choices
            .iter()
            .map(|choice| format!("{} {}", choice.key(), choice.brief()))
            .collect();
        lines.insert(0, (brief.join(" "), app.theme.strong()));
    } else {
        for choice in &card.choices {
            lines.push((format!("{} {}", choice.key(), choice.words()), app.theme.plain()));
        }
    }
    if card.shows_last {
        lines.extend(after_last_reading(context, app.theme));
    }
    lines.extend(card.details.iter().map(|line| (line.clone(), app.theme.plain())));
    let rows = |(text, _): &(String, Style)| wrap(text, area.width).len() as u16;
    let needed: u16 = lines.iter().take(urgent).map(rows).sum::<u16>().min(area.height);
    if !card.big.is_empty() && !stands {
        let label = take(&mut top, 1);
        frame.render_widget(Line::styled(card.label.clone(), app.theme.quiet()), label);
        // Three rows of number before anything else, ten only in a tall window.
        let hidden = u16::from(lines.len() > urgent);
        let least =
            if top.height >= 6 && !(cramped && needed + hidden + 3 > top.height) { 3 } else { 1 };
        let most = if top.height >= 24 { 10 } else { 5 };
        let room = top.height.saturating_sub(needed).clamp(least, most);
        let rows = BigNumber { text: &card.big, theme: app.theme }.rows_within(area.width, room);
        let big = take(&mut top, rows);
        frame.render_widget(BigNumber { text: &card.big, theme: app.theme }, big);
        let (columns, _) = size(&card.big, rows);
        let beside = Rect {
            x: big.x + (columns + 2).min(big.width),
            y: big.y + rows.saturating_sub(1),
            width: big.width.saturating_sub(columns + 2),
            height: 1,
        };
        if usize::from(beside.width) >= card.under.len() {
            frame.render_widget(Line::styled(card.under.clone(), app.theme.quiet()), beside);
        } else if top.height > needed {
            let under = take(&mut top, 1);
            frame.render_widget(Line::styled(card.under.clone(), app.theme.quiet()), under);
        }
    }
    let all: Vec<Line<'static>> = lines
        .into_iter()
        .flat_map(|(text, style)| {
            wrap(&visible(&text), top.width).into_iter().map(move |line| Line::styled(line, style))
        })
        .collect();
    let room = usize::from(top.height);
    let scrolled = app.scrolled.min(all.len().saturating_sub(room));
    let hidden = all.len().saturating_sub(scrolled + room);
    let mut shown: Vec<Line<'static>> = all.into_iter().skip(scrolled).take(room).collect();
    if hidden > 0
        && let Some(last) = shown.last_mut()
    {
        *last = Line::styled(format!("Down: {} more lines", hidden + 1), app.theme.quiet());
    }
    frame.render_widget(Paragraph::new(shown), top);
}

/// The last reading here that stands.
fn last_reading<'a>(context: &WorkContext<'a>) -> Option<&'a ReadingRecord> {
    context.state.readings.iter().rev().find(|r| !r.voided && r.taken.op == context.op)
}

/// `leg 7 1.254: in; one point two five four`. What is to be decided begins
/// with the verdict, so that it isn't told twice.
fn last_said(context: &WorkContext<'_>, task: &Task) -> String {
    let Some(reading) = last_reading(context) else { return String::new() };
    let (said, advice) = echo(context, reading);
    let advice = advice.filter(|_| !matches!(task, Task::Decide { .. }));
    let name = context.state.name(&reading.taken.piece);
    let verdict = advice.map_or_else(String::new, |advice| format!("{}; ", advice.headline));
    format!("{name} {}: {verdict}{said}", visible(reading.taken.typed.trim()))
}

/// What to do after the last reading; its verdict stands at the entry.
fn after_last_reading(context: &WorkContext<'_>, theme: Theme) -> Vec<(String, Style)> {
    let Some(reading) = last_reading(context) else { return Vec::new() };
    let (_, Some(advice)) = echo(context, reading) else { return Vec::new() };
    let style = match advice.verdict {
        Verdict::In => theme.plain(),
        _ => theme.warn(),
    };
    advice.next.into_iter().map(|line| (line, style)).collect()
}

fn drawing_of<'a>(context: &WorkContext<'a>, task: &Task) -> Option<Cow<'a, Drawing>> {
    match task {
        Task::Boards(task) => boards_view::drawing(context, task).map(Cow::Owned),
        Task::Caution { .. } | Task::Accept(_) | Task::Finished | Task::Tool { .. } => None,
        _ => {
            let outcome = &context.planned()?.groups.first()?.outcome;
            let pass = match task {
                Task::Set(set) => set.pass,
                Task::Feed { pass, .. } => *pass,
                _ => None,
            };
            let pass = outcome.passes.iter().find(|held| Some(held.number) == pass);
            let drawing = pass.and_then(|held| held.drawing.as_ref()).unwrap_or(&outcome.drawing);
            (!drawing.shapes.is_empty()).then_some(Cow::Borrowed(drawing))
        }
    }
}

/// Which check the readings shown belong to.
fn check_of(task: &Task) -> usize {
    match task {
        Task::Read { check, .. } | Task::Decide { check, .. } => *check,
        _ => 0,
    }
}

/// The readings of this operation in cut order, the struck ones too.
fn marks(context: &WorkContext<'_>, task: &Task) -> Vec<ReadingMark> {
    if matches!(task, Task::Caution { .. } | Task::Accept(_) | Task::Tool { .. } | Task::Who) {
        return Vec::new();
    }
    let Some(check) = context.planned().and_then(|planned| planned.checks.get(check_of(task)))
    else {
        return Vec::new();
    };
    let order = |reading: &ReadingRecord| {
        context.state.pieces.iter().position(|piece| piece.id == reading.taken.piece)
    };
    let mut held: Vec<&ReadingRecord> = context
        .state
        .readings
        .iter()
        .filter(|r| r.taken.op == context.op && r.taken.feature == check.of)
        .collect();
    held.sort_by_key(|reading| (order(reading), reading.order));
    held.into_iter()
        .filter_map(|reading| {
            let value = reading.taken.size()?;
            let kind = match verdict_of(&reading.taken) {
                Verdict::In => MarkKind::In,
                Verdict::TooBig { .. } => MarkKind::TooBig,
                Verdict::TooSmall { .. } => MarkKind::TooSmall,
                Verdict::TooClose { .. } => MarkKind::TooClose,
            };
            let label =
                context.state.piece(&reading.taken.piece).map_or_else(String::new, |piece| {
                    match piece.label.role {
                        Role::Setup => format!("s{}", piece.label.number),
                        _ => piece.label.number.to_string(),
                    }
                });
            let text = decimal(value, context.route.unit);
            Some(ReadingMark { label, value, text, kind, voided: reading.voided })
        })
        .collect()
}

fn draw_strip(
    theme: Theme,
    frame: &mut Frame<'_>,
    area: Rect,
    context: &WorkContext<'_>,
    task: &Task,
    readings: &[ReadingMark],
) {
    let n = check_of(task);
    let Some(planned) = context.planned() else { return };
    let limits = planned.groups.first().and_then(|group| group.limits.get(n));
    let (Some(check), Some(limits)) = (planned.checks.get(n), limits) else { return };
    if readings.is_empty() || area.height == 0 {
        return;
    }
    let unit = context.route.unit;
    let text = |length| decimal(length, unit);
    let low = limits.limits.low.map(|at| (at, text(at)));
    let high = limits.limits.high.map(|at| (at, text(at)));
    let target = limits.target.map(|at| (at, text(at)));
    let line = |held: &Option<(crate::measure::Length, String)>| {
        held.as_ref().map(|(at, text)| (*at, text.clone()))
    };
    let (low, high, target) = (line(&low), line(&high), line(&target));
    let gauge = context.gauge(check).and_then(|gauge| gauge.uncertainty());
    let zones = target
        .as_ref()
        .is_some_and(|(at, _)| gauge.is_some_and(|u| zone(*at, &limits.limits, u).is_some()));
    let uncertainty = gauge.map_or_else(String::new, |u| decimal(u, unit));
    fn as_limit(held: &Option<(crate::measure::Length, String)>) -> Option<LimitLine<'_>> {
        held.as_ref().map(|(at, text)| LimitLine { at: *at, text })
    }
    frame.render_widget(
        ReadingStrip {
            low: as_limit(&low),
            target: as_limit(&target),
            high: as_limit(&high),
            readings,
            zones,
            uncertainty: &uncertainty,
            theme,
        },
        area,
    );
}
