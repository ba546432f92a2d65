//! What all screens have around them: title, entry line, keys.

use ratatui::Frame;
use ratatui::layout::{Constraint, Layout, Rect};
use ratatui::widgets::Widget;

use crate::tui::app::App;
use crate::tui::keys::BINDINGS;
use crate::tui::widgets::{EntryLine, Hint, KeyHints, TitleBar};

/// Title, body, foot: the frame of the list screens. The foot holds a
/// question when one is asked, then the keys.
pub(super) fn framed(
    app: &App,
    frame: &mut Frame<'_>,
    area: Rect,
    left: &str,
    right: &str,
) -> Rect {
    let foot = if app.prompt().is_some() || app.refusal().is_some() { 3 } else { 0 };
    let [title, body, entry, hints] = area.layout(&Layout::vertical([
        Constraint::Length(1),
        Constraint::Fill(1),
        Constraint::Length(foot),
        Constraint::Length(1),
    ]));
    draw_title(app, frame, title, left, right);
    if foot > 0 {
        draw_entry(app, frame, entry, EntryWords::default());
    }
    draw_hints(app, frame, hints);
    body
}

/// The bar on top.
pub(super) fn draw_title(app: &App, frame: &mut Frame<'_>, area: Rect, left: &str, right: &str) {
    let invented = app.is_invented();
    frame.render_widget(TitleBar { left, right, invented, theme: app.theme }, area);
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

/// The entry line, or the question that is asked in its place.
pub(super) fn draw_entry(app: &App, frame: &mut Frame<'_>, area: Rect, words: EntryWords<'_>) {
    let error = app.refusal().map_or_else(String::new, |refusal| match &refusal.help {
        Some(help) => format!("{} {}", sentence(&refusal.what), sentence(help)),
        None => sentence(&refusal.what),
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

/// With a capital and a full stop.
pub(super) fn sentence(text: &str) -> String {
    let mut letters = text.trim_end().chars();
    let mut whole: String = letters
        .next()
        .map_or_else(String::new, |first| first.to_uppercase().chain(letters).collect());
    if !whole.ends_with(['.', '?', '!', ':']) {
        whole.push('.');
    }
    whole
}

/// The keys of the screen, from the table.
pub(super) fn draw_hints(app: &App, frame: &mut Frame<'_>, area: Rect) {
    let mut hints: Vec<Hint<'_>> = if app.prompt().is_some() {
        vec![Hint { key: "Enter", does: "continue" }, Hint { key: "Esc", does: "cancel" }]
    } else if app.takes_words() {
        // Letters belong to the text here; the keys with an F still work.
        vec![
            Hint { key: "Enter", does: "continue" },
            Hint { key: "F1", does: "keys" },
            Hint { key: "F3", does: "operations" },
            Hint { key: "F12", does: "look back" },
            Hint { key: "F9", does: "leave" },
        ]
    } else {
        let screen = app.screen();
        BINDINGS
            .iter()
            .filter(|binding| !binding.brief.is_empty() && binding.works_on(screen))
            .map(|binding| Hint { key: binding.name, does: binding.brief })
            .collect()
    };
    if app.prompt().is_none() && app.is_refused() {
        hints.insert(0, Hint { key: "Esc", does: "clears the line" });
    }
    KeyHints { hints: &hints, theme: app.theme }.render(area, frame.buffer_mut());
}
