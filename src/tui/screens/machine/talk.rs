//! How, choices, why, in that order, in the rows there are. Choices never give
//! way; what doesn't fit is left out sentence by sentence, why first, and help
//! has all of it.

use ratatui::Frame;
use ratatui::layout::Rect;
use ratatui::style::Style;
use ratatui::text::Line;
use ratatui::widgets::Paragraph;

use crate::prose::{visible, wrap};
use crate::tui::screens::lists;
use crate::tui::sentence::sentence;
use crate::tui::theme::Theme;
use crate::tui::widgets::width;
use crate::work::Remedy;

/// Everything that may be said.
pub(super) struct Talk<'a> {
    /// Something happened that is to be known first.
    pub(super) notice: Option<String>,
    pub(super) how: Vec<Sentence>,
    pub(super) choices: &'a [Remedy],
    pub(super) why: Vec<String>,
    pub(super) theme: Theme,
}

/// Something that is said of the work.
pub(super) struct Sentence {
    pub(super) text: String,
    /// Whether it is the next step after the one before it: it isn't shown without that.
    pub(super) is_next: bool,
}

/// A line, and whether it is the one that Enter takes.
struct TalkLine {
    text: String,
    is_chosen: bool,
}

impl TalkLine {
    fn plain(text: String) -> TalkLine {
        TalkLine { text, is_chosen: false }
    }
}

impl Talk<'_> {
    /// Draws what fits; answers how many sentences were left out.
    pub(super) fn draw(&self, frame: &mut Frame<'_>, area: Rect) -> usize {
        let rows = usize::from(area.height);
        let (lines, left_out) = self.lines(area.width, rows);
        let styled = |line: TalkLine| {
            let style = if line.is_chosen { self.theme.strong() } else { self.theme.plain() };
            Line::styled(line.text, style)
        };
        let lines: Vec<Line<'static>> = lines.into_iter().take(rows).map(styled).collect();
        frame.render_widget(Paragraph::new(lines), area);
        left_out
    }

    fn lines(&self, columns: u16, rows: usize) -> (Vec<TalkLine>, usize) {
        // What is too long for all rows would keep everything else away.
        let fits = |text: &&String| wrap(text, columns).len() <= rows;
        let notice = self.notice.iter().filter(fits).map(|text| (text, false));
        let how = self.how.iter().map(|sentence| (&sentence.text, sentence.is_next));
        let said: Vec<(String, bool)> =
            notice.chain(how).map(|(text, is_next)| (visible(text).to_string(), is_next)).collect();
        let first = said.first().map_or(0, |(text, _)| wrap(text, columns).len());
        let choices = self.choices(columns, rows.saturating_sub(first), first > 0 && rows > 2);
        let mut room = rows.saturating_sub(choices.len());
        let mut how: Vec<TalkLine> = Vec::new();
        let mut left_out = 0;
        let (mut is_full, mut is_whole) = (false, true);
        for (text, is_next) in said {
            // A step that doesn't fit ends them, so that none is left out between two.
            let is_passed = is_next && !is_whole;
            let shown;
            (shown, is_whole) =
                if is_passed { (Vec::new(), false) } else { begun(&text, columns, room) };
            is_full |= !is_whole;
            left_out += usize::from(!is_whole);
            room -= shown.len();
            how.extend(shown.into_iter().map(TalkLine::plain));
        }
        // The first sentence stands above the choices, the rest below.
        let above = first.min(how.len());
        let mut lines: Vec<TalkLine> = how.drain(..above).collect();
        let has_choices = !choices.is_empty();
        let gaps = rows >= 10 && room > 1;
        if has_choices && gaps && !lines.is_empty() {
            lines.push(TalkLine::plain(String::new()));
            room -= 1;
        }
        lines.extend(choices);
        if has_choices && gaps && !how.is_empty() {
            lines.push(TalkLine::plain(String::new()));
            room -= 1;
        }
        lines.extend(how);
        for text in &self.why {
            let sentence = wrap(&visible(text), columns);
            let gap = usize::from(!lines.is_empty() && sentence.len() < room);
            if is_full || sentence.len() + gap > room {
                left_out += 1;
                continue;
            }
            room -= sentence.len() + gap;
            lines.extend((0..gap).map(|_| TalkLine::plain(String::new())));
            lines.extend(sentence.into_iter().map(TalkLine::plain));
        }
        (lines, left_out)
    }

    /// One on a row where there is room for all, else side by side.
    fn choices(&self, columns: u16, room: usize, may_flow: bool) -> Vec<TalkLine> {
        let whole: Vec<String> = self
            .choices
            .iter()
            .map(|choice| format!("{} {}", choice.key(), choice.words()))
            .collect();
        let is_wide_enough = whole.iter().all(|text| width(text) + 2 <= columns);
        if whole.len() <= room && is_wide_enough {
            let line = |(n, text): (usize, String)| {
                let mark = if n == 0 { ">" } else { " " };
                TalkLine { text: format!("{mark} {text}"), is_chosen: n == 0 }
            };
            return whole.into_iter().enumerate().map(line).collect();
        }
        if self.choices.is_empty() {
            return Vec::new();
        }
        let (words, gap): (fn(Remedy) -> &'static str, &str) =
            if may_flow { (in_short, "   ") } else { (Remedy::brief, " ") };
        let mut lines: Vec<String> = Vec::new();
        for choice in self.choices {
            let text = format!("{} {}", choice.key(), words(*choice));
            match lines.last_mut() {
                Some(last) if width(last) + width(gap) + width(&text) <= columns => {
                    last.push_str(gap);
                    last.push_str(&text);
                }
                _ => lines.push(text),
            }
        }
        let chosen = |(n, text)| TalkLine { text, is_chosen: n == 0 };
        lines.into_iter().enumerate().map(chosen).collect()
    }
}

/// As many sentences of a text as fit, from the first on, and whether that is all of it.
/// A place is one without the word before it, where only that has no room.
fn begun(text: &str, columns: u16, room: usize) -> (Vec<String>, bool) {
    let whole = wrap(text, columns);
    if whole.len() <= room {
        return (whole, true);
    }
    if let Some(place) = text.strip_prefix("Where: ") {
        let place = wrap(&sentence(place), columns);
        return if place.len() <= room { (place, true) } else { (Vec::new(), false) };
    }
    let ends = text.match_indices(". ").map(|(at, _)| &text[..=at]);
    let fitting = ends.map(|part| wrap(part, columns)).take_while(|part| part.len() <= room);
    (fitting.last().unwrap_or_default(), false)
}

/// What a remedy does, in two or three words.
fn in_short(remedy: Remedy) -> &'static str {
    match remedy {
        Remedy::MeasureAgain => "measure again",
        Remedy::CutAgain => "cut it again",
        Remedy::PutRight => "put it right",
        Remedy::MoveTheSetting => "move the setting",
        Remedy::SetAside => "set it aside",
        Remedy::Accept => "the lead accepts",
    }
}

/// The rows that the lines above a list may take: two are left for the list.
pub(super) fn rows_for_fixed(area: Rect) -> usize {
    usize::from(area.height.saturating_sub(2))
}

/// A list longer than its rows: the first lines stay, the rest is scrolled.
pub(super) fn draw_list(
    frame: &mut Frame<'_>,
    area: Rect,
    (fixed, list): (Vec<String>, &[String]),
    scrolled: usize,
    theme: Theme,
) {
    let styled = |text: &String, style: Style| -> Vec<Line<'static>> {
        let wrapped = wrap(&visible(text), area.width).into_iter();
        wrapped.map(|line| Line::styled(line, style)).collect()
    };
    let mut lines: Vec<Line<'static>> =
        fixed.iter().flat_map(|text| styled(text, theme.plain())).collect();
    lines.truncate(rows_for_fixed(area));
    let rest: Vec<Line<'static>> =
        list.iter().flat_map(|text| styled(text, theme.plain())).collect();
    let rows = area.height.saturating_sub(lines.len() as u16);
    lines.extend(lists::scrolled(rest, scrolled, rows, theme));
    frame.render_widget(Paragraph::new(lines), area);
}
