//! What can start now: the next operation of each part as a table, those that can
//! start first, the longest wait ahead first among them.

use ratatui::Frame;
use ratatui::layout::Rect;
use ratatui::text::Line;

use super::beside::{beside, draw_piece, draw_words};
use super::frame::framed;
use super::lists::{draw_lines, first_line, list_line};
use crate::operation::decimal;
use crate::prose::{counted, long, wrap};
use crate::tui::app::{App, Session};
use crate::tui::list_words::{others_words, waiting_words};
use crate::tui::widgets::{whole_or_dots, width};
use crate::work::NextOperation;

/// From so many columns on there is a table, and from so many it says how long the
/// work takes and who may do it.
const COLUMNS_FOR_A_TABLE: u16 = 60;
const COLUMNS_FOR_WHO: u16 = 76;

/// The columns of `START op 160`, of what is done, where, on how many, and of times.
const START: u16 = 13;
const WHAT: u16 = 18;
const AT: u16 = 16;
const TO_GO: u16 = 3;
const TIME: u16 = 7;
const WHO: u16 = 9;

pub(super) fn draw(
    app: &App,
    session: &Session,
    (held, selected): (&[NextOperation], usize),
    frame: &mut Frame<'_>,
    area: Rect,
) {
    let body = framed(app, frame, area, "What can start now", "go there");
    let (list, right) = beside(body);
    let room = list.width.saturating_sub(2);
    let mut lines: Vec<Line<'static>> = Vec::new();
    if room >= COLUMNS_FOR_A_TABLE && !held.is_empty() {
        lines.push(Line::styled(format!("  {}", headings(room)), app.theme.strong()));
    }
    let mut selected_at = 0;
    for (n, held) in held.iter().enumerate() {
        if n == selected {
            selected_at = lines.len();
        }
        lines.push(list_line(app.theme, n == selected, row(held, room)));
        // Beside the list everything is said of the row in hand.
        let is_said = right.is_some() && n == selected;
        let reasons = held.reasons.iter().filter(|_| !is_said);
        lines.extend(reasons.flat_map(|reason| below(reason, room)));
        let others = others_words(held, app.now()).filter(|_| !is_said);
        lines.extend(others.flat_map(|words| below(&words, room)));
        if room < COLUMNS_FOR_A_TABLE {
            let waits =
                (held.waiting > 0).then(|| format!("{} of waiting ahead", long(held.waiting)));
            lines.extend(waits.iter().flat_map(|words| below(words, room)));
        }
    }
    if lines.is_empty() {
        lines.push(Line::from("Every operation is finished."));
    }
    let first = first_line(selected_at + 2, list.height as usize);
    draw_lines(lines.into_iter().skip(first).collect(), list, frame.buffer_mut());
    let Some((right, held)) = right.and_then(|right| Some((right, held.get(selected)?))) else {
        return;
    };
    let context = session.at(held.op);
    let pieces = context.pieces();
    let next = pieces.iter().find(|piece| !context.state.is_done(held.op, &piece.id));
    let rest = match next {
        Some(piece) => draw_piece(&context, piece, app.theme, frame, right),
        None => right,
    };
    draw_words(&told(session, held), frame, rest);
}

/// Everything about one operation.
fn told(session: &Session, held: &NextOperation) -> Vec<String> {
    let at = held.at.as_ref().map_or_else(String::new, |at| format!(", {at}"));
    let mut told = vec![format!("op {} {} {}{at}", held.op, held.kind, held.part)];
    told.push(format!("{} to go", counted(held.to_go, "piece")));
    let context = session.at(held.op);
    if let Some(group) = context.planned().and_then(|planned| planned.groups.first()) {
        let settings = group.outcome.settings.iter().filter(|setting| !setting.by_passes);
        told.extend(settings.map(|setting| format!("{}: {}", setting.name, setting.dial_text())));
        let passes = group.outcome.passes.len();
        if passes > 0 {
            told.push(counted(passes, "pass"));
        }
        let unit = session.snapshot.route.unit;
        let checks = context.planned().into_iter().flat_map(|planned| &planned.checks);
        told.extend(checks.zip(&group.limits).map(|(check, limits)| {
            let (low, high) = (limits.limits.low, limits.limits.high);
            let band: Vec<String> =
                [low, high].into_iter().flatten().map(|at| decimal(at, unit)).collect();
            format!("{}: {}", check.of, band.join(" to "))
        }));
    }
    told.push(String::new());
    told.extend(held.minutes.map(|minutes| format!("Feeding takes {}.", long(minutes))));
    if !held.may.is_empty() {
        told.push(format!("May do it: {}.", held.may.join(", ")));
    }
    told.extend(others_words(held, context.now));
    told.extend(waiting_words(held));
    told
}

fn headings(room: u16) -> String {
    let start = fitted("", START);
    let head = [("what", WHAT), ("machine", AT), ("go", TO_GO)].map(|(word, columns)| {
        let word = fitted(word, columns);
        format!(" {word}")
    });
    let head = format!("{start}{}", head.concat());
    if room < COLUMNS_FOR_WHO {
        return format!("{head} wait");
    }
    format!("{head} {} {} who", fitted("time", TIME), fitted("wait", TIME))
}

/// `START op 130  rip rail      cabinet saw      9   25 min  12 h    MB JT`
fn row(held: &NextOperation, room: u16) -> String {
    let word = if held.is_ready() { "START" } else { "waits" };
    let start = format!("{word} op {:<4}", held.op);
    let what = format!("{} {}", held.kind, held.part);
    let time = |minutes: Option<u64>| minutes.map_or_else(String::new, long);
    let waiting = Some(held.waiting).filter(|waiting| *waiting > 0);
    if room < COLUMNS_FOR_A_TABLE {
        return whole_or_dots(&format!("{start} {what}: {} to go", held.to_go), room);
    }
    let mut row = format!(
        "{} {} {} {}",
        fitted(&start, START),
        fitted(&what, WHAT),
        fitted(held.at.as_deref().unwrap_or_default(), AT),
        fitted(&held.to_go.to_string(), TO_GO),
    );
    if room >= COLUMNS_FOR_WHO {
        row = format!("{row} {}", fitted(&time(held.minutes), TIME));
    }
    row = format!("{row} {}", fitted(&time(waiting), TIME));
    if room >= COLUMNS_FOR_WHO {
        row = format!("{row} {}", whole_or_dots(&held.may.join(" "), WHO));
    }
    whole_or_dots(row.trim_end(), room)
}

fn below(text: &str, room: u16) -> Vec<Line<'static>> {
    let lines = wrap(text, room.saturating_sub(6)).into_iter();
    lines.map(|line| Line::from(format!("        {line}"))).collect()
}

/// A text in so many columns.
fn fitted(text: &str, columns: u16) -> String {
    let text = whole_or_dots(text, columns);
    let gap = " ".repeat(usize::from(columns.saturating_sub(width(&text))));
    format!("{text}{gap}")
}
