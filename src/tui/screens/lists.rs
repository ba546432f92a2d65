//! Lists and texts that may be longer than the window.

use std::ops::Range;

use ratatui::buffer::Buffer;
use ratatui::layout::Rect;
use ratatui::text::Line;
use ratatui::widgets::Widget;

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

/// The first line in view of a text that is scrolled so far, and not beyond its end.
pub(super) fn first_in_view(lines: usize, scrolled: usize, rows: u16) -> usize {
    scrolled.min(lines.saturating_sub(usize::from(rows)))
}

/// The lines of a text from where it is scrolled to; the last line says how
/// many don't fit.
pub(super) fn scrolled(
    lines: Vec<Line<'static>>,
    first: usize,
    rows: u16,
    theme: Theme,
) -> Vec<Line<'static>> {
    let first = first_in_view(lines.len(), first, rows);
    let rows = usize::from(rows);
    let hidden = lines.len().saturating_sub(first + rows);
    let mut shown: Vec<Line<'static>> = lines.into_iter().skip(first).take(rows).collect();
    if hidden > 0
        && let Some(last) = shown.last_mut()
    {
        *last = Line::styled(format!("Down: {} more lines", hidden + 1), theme.plain());
    }
    shown
}

/// Draws lines from the top of an area, each over its whole row: a lit row is lit
/// however short its text is.
pub(super) fn draw_lines(lines: Vec<Line<'static>>, area: Rect, buf: &mut Buffer) {
    for (line, row) in lines.into_iter().zip(area.rows()) {
        line.render(row, buf);
    }
}

/// A list line, marked when selected.
pub(super) fn list_line(theme: Theme, selected: bool, text: String) -> Line<'static> {
    let mark = if selected { "> " } else { "  " };
    let style = if selected { theme.selected() } else { theme.plain() };
    Line::styled(format!("{mark}{text}"), style)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_selected_line_is_in_sight() {
        // Five rows show lines 0 to 4; line 5 needs the first to be 1.
        assert_eq!([0, 4, 5, 9].map(|line| first_line(line, 5)), [0, 0, 1, 5]);
        assert_eq!(first_line(3, 0), 0);
    }

    /// Of twelve lines in five rows four are shown, and the fifth says how many are
    /// below; at the end all five are lines.
    #[test]
    fn a_list_is_shown_around_its_selected_line() {
        assert_eq!(around(5, 4, 5), (0..5, 0));
        assert_eq!(around(12, 0, 5), (0..4, 8));
        assert_eq!(around(12, 2, 5), (0..4, 8));
        assert_eq!(around(12, 3, 5), (1..5, 7));
        assert_eq!(around(12, 9, 5), (7..11, 1));
        assert_eq!(around(12, 10, 5), (7..12, 0));
        assert_eq!(around(12, 11, 5), (7..12, 0));
        assert_eq!(around(6, 5, 5), (1..6, 0));
        // One row has only the selected line.
        assert_eq!(around(3, 1, 1), (1..2, 1));
    }

    fn texts(lines: &[Line<'static>]) -> Vec<String> {
        lines.iter().map(Line::to_string).collect()
    }

    fn numbered(count: usize) -> Vec<Line<'static>> {
        (1..=count).map(|n| Line::from(n.to_string())).collect()
    }

    #[test]
    fn the_last_row_says_how_much_is_below() {
        let theme = Theme::new(false, true);
        let shown = |first, rows| texts(&scrolled(numbered(6), first, rows, theme));
        assert_eq!(shown(0, 6), ["1", "2", "3", "4", "5", "6"]);
        // Three rows: two lines, and four more.
        assert_eq!(shown(0, 3), ["1", "2", "Down: 4 more lines"]);
        assert_eq!(shown(2, 3), ["3", "4", "Down: 2 more lines"]);
        assert_eq!(shown(3, 3), ["4", "5", "6"]);
        assert_eq!(shown(99, 3), ["4", "5", "6"]);
    }

    #[test]
    fn several_selected_lines_are_in_sight_together() {
        let theme = Theme::new(false, true);
        let shown = |selected| texts(&listed(numbered(9), selected, 4, theme));
        assert_eq!(shown(0..1), ["1", "2", "3", "Down: 6 more lines"]);
        assert_eq!(shown(2..3), ["1", "2", "3", "Down: 6 more lines"]);
        assert_eq!(shown(3..4), ["2", "3", "4", "Down: 5 more lines"]);
        // More than the rows hold: from the first of them.
        assert_eq!(shown(2..8), ["3", "4", "5", "Down: 4 more lines"]);
        assert_eq!(texts(&[list_line(theme, true, "leg".to_owned())]), ["> leg"]);
        assert_eq!(texts(&[list_line(theme, false, "leg".to_owned())]), ["  leg"]);
    }
}
