//! Lists and texts that may be longer than the window.

use std::ops::Range;

use ratatui::text::Line;

use crate::tui::theme::Theme;

/// The first line to show of a list so that the selected one is in sight.
pub(super) fn first_line(selected: usize, rows: usize) -> usize {
    if rows == 0 { 0 } else { selected.saturating_sub(rows - 1) }
}

/// The lines of a list to show, and how many are below them: the selected one
/// is in sight, with a line that says that there is more.
pub(super) fn around(all: usize, selected: usize, rows: u16) -> (Range<usize>, usize) {
    let rows = usize::from(rows);
    if all <= rows {
        return (0..all, 0);
    }
    let shown = rows.saturating_sub(1).max(1);
    // What is selected stays about in the middle.
    let first = selected.saturating_sub(shown / 2).min(all.saturating_sub(shown));
    let end = first + shown;
    if end >= all { (all.saturating_sub(rows)..all, 0) } else { (first..end, all - end) }
}

/// The lines of a list from which the selected ones are in sight.
pub(super) fn listed(
    lines: Vec<Line<'static>>,
    selected: Range<usize>,
    rows: u16,
    theme: Theme,
) -> Vec<Line<'static>> {
    // The last row may be needed to say that there is more.
    let first = (selected.end + 1).saturating_sub(usize::from(rows)).min(selected.start);
    scrolled(lines, first, rows, theme)
}

/// The lines of a text from where it is scrolled to; the last line says how
/// many don't fit.
pub(super) fn scrolled(
    lines: Vec<Line<'static>>,
    first: usize,
    rows: u16,
    theme: Theme,
) -> Vec<Line<'static>> {
    let rows = usize::from(rows);
    let first = first.min(lines.len().saturating_sub(rows));
    let hidden = lines.len().saturating_sub(first + rows);
    let mut shown: Vec<Line<'static>> = lines.into_iter().skip(first).take(rows).collect();
    if hidden > 0
        && let Some(last) = shown.last_mut()
    {
        *last = Line::styled(format!("Down: {} more lines", hidden + 1), theme.plain());
    }
    shown
}

/// A list line, marked when selected.
pub(super) fn list_line(theme: Theme, selected: bool, text: String) -> Line<'static> {
    let mark = if selected { "> " } else { "  " };
    // The whole row is lit, however short its text.
    let style = if selected { theme.selected() } else { theme.plain() };
    Line::styled(format!("{mark}{text}"), style)
}
