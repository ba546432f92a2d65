//! What all screens have around them: title, route, entry line, keys.

use ratatui::Frame;
use ratatui::layout::{Constraint, Layout, Rect};
use ratatui::text::Line;
use ratatui::widgets::Widget;

use crate::prose::{visible, wrap};
use crate::tui::app::{App, Stage};
use crate::tui::keys::{BINDINGS, Command};
use crate::tui::screen::Screen;
use crate::tui::sentence::{refusal_words, sentence};
use crate::tui::widgets::{EntryLine, Hint, KeyHints, RoutePart, TitleBar, route_line, width};
use crate::work::last_answer;

/// From so many rows on a list screen has the route under its title.
const ROWS_FOR_THE_ROUTE: u16 = 20;

/// A wide screen also says in words how far the route has come.
const COLUMNS_FOR_WORDS: u16 = 120;

/// How many minutes before it the bell is counted down.
const COUNTDOWN: i64 = 10;

/// Title, body, foot: the frame of the list screens. The foot holds a
/// question when one is asked, then the keys.
pub(super) fn framed(
    app: &App,
    frame: &mut Frame<'_>,
    area: Rect,
    left: &str,
    enter: &str,
) -> Rect {
    let answer = app.refusal().map(|refusal| wrap(&refusal_words(refusal), area.width).len());
    let foot = match (app.prompt().is_some(), answer) {
        (false, None) => 0,
        (_, answer) => 2 + answer.unwrap_or(1).min(3) as u16,
    };
    let has_route = area.height >= ROWS_FOR_THE_ROUTE && app.session().is_some();
    let [title, route, body, entry, hints] = area.layout(&Layout::vertical([
        Constraint::Length(1),
        Constraint::Length(u16::from(has_route)),
        Constraint::Fill(1),
        Constraint::Length(foot),
        Constraint::Length(1),
    ]));
    draw_title(app, frame, title, left, "");
    draw_route(app, frame, route);
    if foot > 0 {
        draw_entry(app, frame, entry, EntryWords::default());
    }
    draw_hints(app, frame, hints, KeyWords { enter, more: 0 });
    body
}

/// The bar on top: what is in hand; how far, who, where and when.
pub(super) fn draw_title(app: &App, frame: &mut Frame<'_>, area: Rect, left: &str, count: &str) {
    let mut right = right_of_title(app, count, area.width);
    let is_smallest = frame.area().height <= super::SMALLEST.1;
    if let Some(says) = app.exchange().filter(|_| is_smallest) {
        let first =
            right.iter().position(|words| width(words) + width(&says.brief) < area.width / 2);
        let beside = first.map_or_else(String::new, |at| right[at].clone());
        right.insert(0, format!("{}  {beside}", says.brief).trim_end().to_owned());
        right.insert(1, says.brief.clone());
    }
    let invented = app.is_invented();
    frame.render_widget(TitleBar { left, right: &right, invented, theme: app.theme }, area);
}

/// Who, where and when, the fullest first: the station goes before the clock,
/// the clock before the bell.
fn right_of_title(app: &App, count: &str, room: u16) -> Vec<String> {
    let session = match app.stage() {
        Stage::Session(session) => session,
        Stage::Shop(shop) => {
            let clock = shop.listing.now.format("%H:%M").to_string();
            return vec![format!("{}  {clock}", shop.listing.station), clock];
        }
        // Its title says what time it is.
        Stage::Opening(opening) if opening.today().is_some() => return Vec::new(),
        Stage::Opening(opening) => {
            let clock = opening.lists.now.format("%H:%M").to_string();
            return vec![format!("{}  {clock}", opening.lists.station), clock];
        }
    };
    let context = session.context();
    let present = context.state.people.get(context.station);
    let who = match (context.who, present) {
        (Some(_), Some(present)) => present.join("+"),
        (Some(who), None) => who.to_owned(),
        (None, _) => String::new(),
    };
    // A narrow window has no room for the station.
    let station = if room >= 80 { context.station.to_owned() } else { String::new() };
    let clock = context.now.format("%H:%M").to_string();
    let bell = context.bell.map_or_else(String::new, |bell| {
        let minutes = (bell - context.now).num_minutes();
        match minutes {
            ..0 => "bell".to_owned(),
            0..=COUNTDOWN => format!("bell {minutes} min"),
            _ if room >= COLUMNS_FOR_WORDS => {
                format!("bell {}, in {minutes} min", bell.format("%H:%M"))
            }
            _ => format!("bell {}", bell.format("%H:%M")),
        }
    });
    let count = count.to_owned();
    let gap = if room >= 80 { "  " } else { " " };
    let joined = |parts: &[&String]| {
        let parts: Vec<&str> =
            parts.iter().map(|part| part.as_str()).filter(|part| !part.is_empty()).collect();
        parts.join(gap)
    };
    vec![
        joined(&[&count, &who, &station, &clock, &bell]),
        joined(&[&count, &who, &clock, &bell]),
        joined(&[&count, &who, &bell]),
        joined(&[&count, &who]),
        joined(&[&who]),
    ]
}

/// Every operation as a cell, grouped by part.
pub(super) fn draw_route(app: &App, frame: &mut Frame<'_>, area: Rect) {
    let Some(session) = app.session().filter(|_| !area.is_empty()) else { return };
    let context = session.context();
    let mut parts: Vec<RoutePart> = Vec::new();
    for step in &context.route.steps {
        let cell = (step.op, context.state.is_closed(step.op));
        match parts.iter_mut().find(|held| held.part == step.part) {
            Some(held) => held.ops.push(cell),
            None => parts.push(RoutePart { part: step.part.clone(), ops: vec![cell] }),
        }
    }
    let all = context.route.steps.len();
    let place = context.route.steps.iter().position(|step| step.op == context.op);
    let words = place.filter(|_| area.width >= COLUMNS_FOR_WORDS);
    let words = words.map(|place| format!("op {}, {} of {all}", context.op, place + 1));
    let words = words.unwrap_or_default();
    let room = area.width.saturating_sub(width(&words) + 2);
    let line = route_line(&parts, context.op, room, app.theme);
    frame.render_widget(Line::styled(line, app.theme.plain()), area);
    let right = Rect { x: area.right().saturating_sub(width(&words)), ..area };
    frame.render_widget(Line::styled(words, app.theme.plain()), right.intersection(area));
}

/// The words around the entry line.
#[derive(Clone, Copy, Default)]
pub(super) struct EntryWords<'a> {
    /// What is to be typed.
    pub(super) prompt: &'a str,
    /// The unit of a bare number.
    pub(super) unit: &'a str,
    /// What the program made of the last entry.
    pub(super) echo: &'a str,
}

/// The row of an entry line on which is typed: the question has the row above
/// it where there are three.
pub(super) fn typed_row(entry: Rect) -> Rect {
    Rect { y: entry.y + u16::from(entry.height >= 3), height: 1.min(entry.height), ..entry }
}

/// The entry line, or the question that is asked in its place.
pub(super) fn draw_entry(app: &App, frame: &mut Frame<'_>, area: Rect, words: EntryWords<'_>) {
    let rows = usize::from(answer_rows(area));
    let error = app.refusal().map_or_else(String::new, |refusal| {
        // Where there is no room for both, what to do comes first.
        let fits = |text: &String| wrap(text, area.width).len() <= rows;
        let whole = refusal_words(refusal);
        let help = refusal.help.as_deref().map(sentence);
        let forms = [Some(whole.clone()), help, Some(sentence(&refusal.what))];
        forms.into_iter().flatten().find(fits).unwrap_or(whole)
    });
    let typed = (app.typed(), app.cursor());
    let question = app.prompt();
    let (words, (typed, cursor)) = match &question {
        Some((prompt, input)) => {
            (EntryWords { prompt, ..EntryWords::default() }, (input.value(), input.cursor()))
        }
        None => (words, typed),
    };
    let EntryWords { prompt, unit, echo } = words;
    let line = EntryLine { prompt, typed, cursor, unit, echo, error: &error, theme: app.theme };
    frame.render_widget(line, area);
    if let Some(position) = line.cursor_position(area) {
        frame.set_cursor_position(position);
    }
}

/// The rows below what is typed.
pub(super) fn answer_rows(entry: Rect) -> u16 {
    entry.height.saturating_sub(if entry.height >= 3 { 2 } else { 1 })
}

/// What the key row says that the table of keys doesn't know.
#[derive(Clone, Copy, Default)]
pub(super) struct KeyWords<'a> {
    /// What Enter does with nothing typed; empty where it does nothing.
    pub(super) enter: &'a str,
    /// How many sentences had no room: help has them.
    pub(super) more: usize,
}

/// From so many columns on the key row names what Backspace undoes.
const COLUMNS_FOR_UNDO: u16 = 80;

/// The longest name of an answer in the key row, in columns.
const UNDO: u16 = 24;

/// What Backspace undoes at this station, for the key row.
fn session_undoes(app: &App) -> Option<String> {
    let (_, words) = last_answer(&app.session()?.context())?;
    let named = format!("undo: {}", visible(&words));
    Some(if width(&named) <= UNDO { named } else { "undo".to_owned() })
}

/// The keys that do something now, Enter first.
pub(super) fn draw_hints(app: &App, frame: &mut Frame<'_>, area: Rect, words: KeyWords<'_>) {
    let KeyWords { enter, more } = words;
    let more = (more > 0).then(|| format!("{more} more to read"));
    let help = more.as_deref().unwrap_or("this screen");
    let screen = app.screen();
    let is_typing = screen == Screen::Machine && !app.typed().is_empty();
    let undoes = session_undoes(app);
    let mut hints: Vec<Hint<'_>> = if app.prompt().is_some() {
        let yes = if app.wants_a_yes() { ("y, Enter", "yes") } else { ("Enter", "continue") };
        vec![Hint { key: yes.0, does: yes.1 }, Hint { key: "Esc", does: "cancel" }]
    } else if is_typing || app.takes_words() {
        // Letters belong to the text here; the keys with an F still work.
        let enter = if is_typing { "take it" } else { enter };
        let mut hints = vec![Hint { key: "Enter", does: enter }];
        hints.retain(|hint| !hint.does.is_empty());
        hints.extend([
            Hint { key: "F1", does: help },
            Hint { key: "F3", does: "operations" },
            Hint { key: "F4", does: "pieces" },
            Hint { key: "F12", does: "look back" },
            Hint { key: "F10", does: "menu" },
            Hint { key: "F9", does: "leave" },
        ]);
        hints
    } else {
        let in_hand = app.session().map_or(&[][..], |session| session.in_hand());
        let is_on = |command| match command {
            Command::Undo => undoes.is_some(),
            Command::Aside => screen != Screen::Machine || !in_hand.is_empty(),
            _ => true,
        };
        let bound = BINDINGS
            .iter()
            .filter(|binding| !binding.brief.is_empty() && binding.works_on(screen))
            .filter(|binding| is_on(binding.command))
            .map(|binding| match binding.command {
                Command::Help => Hint { key: binding.name, does: help },
                Command::Undo if area.width >= COLUMNS_FOR_UNDO => {
                    Hint { key: binding.name, does: undoes.as_deref().unwrap_or_default() }
                }
                _ => Hint { key: binding.name, does: binding.brief },
            });
        let enter = (!enter.is_empty()).then_some(Hint { key: "Enter", does: enter });
        // The key that leaves a screen is never left out.
        let is_first = screen == Screen::Machine;
        let leave = (!is_first).then_some(Hint { key: "Esc", does: "back" });
        enter.into_iter().chain(leave).chain(bound).collect()
    };
    if app.prompt().is_none() && is_typing {
        hints.insert(0, Hint { key: "Esc", does: "clears the line" });
    }
    KeyHints { hints: &hints, theme: app.theme }.render(area, frame.buffer_mut());
}
