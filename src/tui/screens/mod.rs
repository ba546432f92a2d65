//! The screens, each a function of the app.
//! They read, and change nothing.

mod attribution;
mod help;
mod machine;
mod matched;
mod opening;
mod pieces;
mod ready;
mod review;
mod route;
mod series;

use ratatui::Frame;
use ratatui::layout::{Constraint, Layout, Rect};
use ratatui::text::Line;
use ratatui::widgets::Widget;

use super::app::{App, Ask, Screen};
use super::keys::BINDINGS;
use super::theme::Theme;
use super::widgets::{EntryLine, Hint, KeyHints, TitleBar};

/// The smallest window in which everything important has room.
pub const SMALLEST: (u16, u16) = (40, 12);

/// Draws whatever screen the app is on.
pub fn draw(app: &App, frame: &mut Frame<'_>) {
    let area = frame.area();
    if area.width < SMALLEST.0 || area.height < SMALLEST.1 {
        let text =
            format!("{}x{} needed, {}x{} here", SMALLEST.0, SMALLEST.1, area.width, area.height);
        frame.render_widget(Line::from(text), area);
        return;
    }
    match app.screen {
        Screen::Opening => opening::draw(app, frame, area),
        Screen::Machine => machine::draw(app, frame, area),
        Screen::Route => route::draw(app, frame, area),
        Screen::Pieces => pieces::draw(app, frame, area),
        Screen::Ready => ready::draw(app, frame, area),
        Screen::Matched => matched::draw(app, frame, area),
        Screen::Review => review::draw(app, frame, area),
        Screen::Series => series::draw(app, frame, area),
        Screen::Attribution => attribution::draw(app, frame, area),
        Screen::Help => help::draw(app, frame, area),
    }
}

/// Title, body, foot: the frame of the list screens. The foot holds a
/// question when one is asked, then the keys.
fn framed(app: &App, frame: &mut Frame<'_>, area: Rect, left: &str, right: &str) -> Rect {
    let foot = if app.ask.is_some() || app.refusal.is_some() { 3 } else { 0 };
    let [title, body, entry, hints] = area.layout(&Layout::vertical([
        Constraint::Length(1),
        Constraint::Fill(1),
        Constraint::Length(foot),
        Constraint::Length(1),
    ]));
    let invented = app.is_invented();
    frame.render_widget(TitleBar { left, right, invented, theme: app.theme }, title);
    if foot > 0 {
        draw_entry(app, frame, entry, "", "", "");
    }
    draw_hints(app, frame.buffer_mut(), hints);
    body
}

/// The entry line, or the question that is asked in its place.
fn draw_entry(app: &App, frame: &mut Frame<'_>, area: Rect, prompt: &str, unit: &str, echo: &str) {
    let error = app.refusal.as_ref().map_or_else(String::new, |refusal| match &refusal.help {
        Some(help) => format!("{} {}", sentence(&refusal.what), sentence(help)),
        None => sentence(&refusal.what),
    });
    let (prompt, input, unit, echo) = match &app.ask {
        Some((ask, input)) => (question(ask), input, "", ""),
        None => (prompt, &app.entry, unit, echo),
    };
    let line = EntryLine {
        prompt,
        typed: input.value(),
        cursor: input.cursor(),
        unit,
        echo,
        error: &error,
        theme: app.theme,
    };
    frame.render_widget(line, area);
    if let Some(position) = line.cursor_position(area) {
        frame.set_cursor_position(position);
    }
}

/// With a capital and a full stop.
fn sentence(text: &str) -> String {
    let mut letters = text.trim_end().chars();
    let mut whole: String = letters
        .next()
        .map_or_else(String::new, |first| first.to_uppercase().chain(letters).collect());
    if !whole.ends_with(['.', '?', '!', ':']) {
        whole.push('.');
    }
    whole
}

fn question(ask: &Ask) -> &'static str {
    match ask {
        Ask::Sets { .. } => "how many sets",
        Ask::Name { .. } => "name of the batch",
        Ask::Note => "note",
        Ask::Bell => "the bell rings at, such as 11:40",
        Ask::Gate => "lead's initials, then why",
        Ask::Leave => "half done: a word to whoever comes next",
        Ask::Aside(_) => "aside: lead's initials, why",
        Ask::Elsewhere(_) => "becomes: part, operation, initials, why",
        Ask::Remake(_) => "made again: lead's initials, why",
    }
}

/// The keys of the screen, from the table.
fn draw_hints(app: &App, buffer: &mut ratatui::buffer::Buffer, area: Rect) {
    let mut hints: Vec<Hint<'_>> = if app.ask.is_some() {
        vec![Hint { key: "Enter", does: "goes on" }, Hint { key: "Esc", does: "never mind" }]
    } else if app.takes_words() {
        // Letters belong to the text here; the keys with an F still work.
        vec![
            Hint { key: "Enter", does: "goes on" },
            Hint { key: "F1", does: "keys" },
            Hint { key: "F3", does: "operations" },
            Hint { key: "F12", does: "look back" },
            Hint { key: "F9", does: "leave" },
        ]
    } else {
        BINDINGS
            .iter()
            .filter(|binding| !binding.brief.is_empty())
            .filter(|binding| binding.screens.is_empty() || binding.screens.contains(&app.screen))
            .map(|binding| Hint { key: binding.name, does: binding.brief })
            .collect()
    };
    if app.ask.is_none() && app.is_refused() {
        hints.insert(0, Hint { key: "Esc", does: "clears the line" });
    }
    KeyHints { hints: &hints, theme: app.theme }.render(area, buffer);
}

/// The first line to show of a list so that the selected one is in sight.
fn first_line(selected: usize, rows: usize) -> usize {
    if rows == 0 { 0 } else { selected.saturating_sub(rows - 1) }
}

/// The lines of a text from where it is scrolled to; the last line says how
/// many don't fit.
fn scrolled(app: &App, lines: Vec<Line<'static>>, rows: u16) -> Vec<Line<'static>> {
    let rows = usize::from(rows);
    from_line(lines, app.scrolled, rows, app.theme)
}

/// The lines of a list from which the selected ones are in sight.
fn listed(
    lines: Vec<Line<'static>>,
    selected: std::ops::Range<usize>,
    rows: u16,
    theme: Theme,
) -> Vec<Line<'static>> {
    let rows = usize::from(rows);
    // The last row may be needed to say that there is more.
    let first = (selected.end + 1).saturating_sub(rows).min(selected.start);
    from_line(lines, first, rows, theme)
}

fn from_line(
    lines: Vec<Line<'static>>,
    first: usize,
    rows: usize,
    theme: Theme,
) -> Vec<Line<'static>> {
    let first = first.min(lines.len().saturating_sub(rows));
    let hidden = lines.len().saturating_sub(first + rows);
    let mut shown: Vec<Line<'static>> = lines.into_iter().skip(first).take(rows).collect();
    if hidden > 0
        && let Some(last) = shown.last_mut()
    {
        *last = Line::styled(format!("Down: {} more lines", hidden + 1), theme.quiet());
    }
    shown
}

/// A list line, marked when selected.
fn list_line(theme: Theme, selected: bool, text: String) -> Line<'static> {
    let mark = if selected { "> " } else { "  " };
    let style = if selected { theme.selected() } else { theme.plain() };
    Line::styled(format!("{mark}{text}"), style)
}
