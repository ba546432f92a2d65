//! The words of the machine screen: label, number, what it is for; then what
//! to do now; then the rest.

use ratatui::Frame;
use ratatui::layout::Rect;
use ratatui::style::Style;
use ratatui::text::Line;
use ratatui::widgets::Paragraph;

use crate::prose::{visible, wrap};
use crate::tui::app::Notice;
use crate::tui::machine_view::MachineView;
use crate::tui::screens::frame::sentence;
use crate::tui::screens::lists;
use crate::tui::theme::Theme;
use crate::tui::widgets::{BigNumber, size};

/// With fewer rows than this, choices share one line and come first.
const ROWS_FOR_CHOICES: u16 = 12;

/// With fewer rows than this, what is on either side of a mark counts more
/// than big digits.
const ROWS_FOR_A_MARK: u16 = 9;

/// From so many rows on the number is three rows tall before anything else.
const ROWS_FOR_DIGITS: u16 = 6;

/// From so many rows on the number may be ten rows tall, else five.
pub(super) const ROWS_FOR_TALL_DIGITS: u16 = 24;

/// Everything the words are made from.
pub(super) struct Words<'a> {
    pub(super) view: &'a MachineView,
    pub(super) notice: Option<&'a Notice>,
    /// What to do after the last reading.
    pub(super) after_last: Vec<(String, Style)>,
    pub(super) at_the_rack: bool,
    /// The lines that are scrolled past.
    pub(super) scrolled: usize,
    pub(super) theme: Theme,
}

/// WordLines of text, and how many of them must be seen.
struct WordLines {
    all: Vec<(String, Style)>,
    urgent: usize,
}

impl WordLines {
    /// The rows the lines take that must be seen.
    fn urgent_rows(&self, width: u16) -> u16 {
        let urgent = self.all.iter().take(self.urgent);
        urgent.map(|(text, _)| wrap(text, width).len() as u16).sum()
    }
}

impl Words<'_> {
    pub(super) fn draw(&self, frame: &mut Frame<'_>, area: Rect) {
        let is_cramped =
            self.at_the_rack && !self.view.big.is_empty() && area.height < ROWS_FOR_A_MARK;
        let lines = self.lines(area, is_cramped);
        let mut rest = area;
        if !self.view.big.is_empty() && !self.view.is_set {
            rest = self.draw_number(frame, area, &lines, is_cramped);
        }
        let wrapped: Vec<Line<'static>> = lines
            .all
            .into_iter()
            .flat_map(|(text, style)| {
                let wrapped = wrap(&visible(&text), rest.width).into_iter();
                wrapped.map(move |line| Line::styled(line, style))
            })
            .collect();
        let shown = lists::scrolled(wrapped, self.scrolled, rest.height, self.theme);
        frame.render_widget(Paragraph::new(shown), rest);
    }

    /// A number that the scale shows already is one line among others.
    fn lines(&self, area: Rect, is_cramped: bool) -> WordLines {
        let (view, theme) = (self.view, self.theme);
        let mut all: Vec<(String, Style)> = Vec::new();
        match self.notice {
            Some(Notice::Said(text)) => all.push((text.clone(), theme.strong())),
            Some(Notice::Wrong(text)) => all.push((text.clone(), theme.stop())),
            None => {}
        }
        let now = if is_cramped { vec![view.now.join(" ")] } else { view.now.clone() };
        let urgent =
            all.len() + now.len() + view.choices.len() + usize::from(self.notice.is_none());
        for (n, line) in now.into_iter().enumerate() {
            let stops = view.stop && n == 0;
            all.push((line, if stops { theme.stop() } else { theme.strong() }));
        }
        if view.is_set && !view.big.is_empty() {
            let line = format!("{} {} {}", view.label, view.big, view.under);
            all.push((sentence(&line), theme.quiet()));
        }
        if area.height < ROWS_FOR_CHOICES && !view.choices.is_empty() {
            let brief = view.choices.iter().map(|it| format!("{} {}", it.key(), it.brief()));
            all.insert(0, (brief.collect::<Vec<_>>().join(" "), theme.strong()));
        } else {
            let choices = view.choices.iter();
            all.extend(choices.map(|it| (format!("{} {}", it.key(), it.words()), theme.plain())));
        }
        all.extend(self.after_last.iter().cloned());
        all.extend(view.details.iter().map(|line| (line.clone(), theme.plain())));
        WordLines { all, urgent }
    }

    /// Draws label, number and what it is for; answers with the room left.
    fn draw_number(
        &self,
        frame: &mut Frame<'_>,
        area: Rect,
        lines: &WordLines,
        is_cramped: bool,
    ) -> Rect {
        let view = self.view;
        let needed = lines.urgent_rows(area.width).min(area.height);
        let (label, mut rest) = taken(area, 1);
        frame.render_widget(Line::styled(view.label.clone(), self.theme.quiet()), label);
        // Three rows of number before anything else, ten only in a tall window.
        let hidden = u16::from(lines.all.len() > lines.urgent);
        let is_short = is_cramped && needed + hidden + 3 > rest.height;
        let least = if rest.height >= ROWS_FOR_DIGITS && !is_short { 3 } else { 1 };
        let most = if rest.height >= ROWS_FOR_TALL_DIGITS { 10 } else { 5 };
        let room = rest.height.saturating_sub(needed).clamp(least, most);
        let number = BigNumber { text: &view.big, theme: self.theme };
        let rows = number.rows_within(area.width, room);
        let (big, left) = taken(rest, rows);
        rest = left;
        frame.render_widget(number, big);
        let (columns, _) = size(&view.big, rows);
        let beside = Rect {
            x: big.x + (columns + 2).min(big.width),
            y: big.y + rows.saturating_sub(1),
            width: big.width.saturating_sub(columns + 2),
            height: 1,
        };
        let under = Line::styled(view.under.clone(), self.theme.quiet());
        if usize::from(beside.width) >= view.under.len() {
            frame.render_widget(under, beside);
        } else if rest.height > needed {
            let (row, left) = taken(rest, 1);
            rest = left;
            frame.render_widget(under, row);
        }
        rest
    }
}

/// So many rows off the top, and what is left.
fn taken(area: Rect, rows: u16) -> (Rect, Rect) {
    let rows = rows.min(area.height);
    let rest = Rect { y: area.y + rows, height: area.height - rows, ..area };
    (Rect { height: rows, ..area }, rest)
}
