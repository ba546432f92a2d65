//! The one number, and the order, as they are read from six feet.

use ratatui::buffer::Buffer;
use ratatui::layout::Rect;
use ratatui::style::Style;
use ratatui::widgets::Widget;

use self::dots::Dots;
use self::pattern::{pattern, strokes};
use super::prose::{whole_or_dots, width};
use crate::tui::theme::Theme;

mod dots;
mod pattern;

/// Blank columns of the pattern between two signs.
const GAP: u16 = 1;

/// How tall signs are drawn. A dot of their pattern is so many columns wide
/// and so many half rows tall; a half row is about as tall as a column is wide.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Tall {
    /// A dot of one column and one half row.
    Three,
    /// A dot of two and two.
    Five,
    /// A dot of three and three.
    Eight,
    /// A dot of six and six.
    Fifteen,
}

impl Tall {
    /// The tallest first.
    const ALL: [Tall; 4] = [Tall::Fifteen, Tall::Eight, Tall::Five, Tall::Three];

    /// The rows it takes.
    pub(crate) const fn rows(self) -> u16 {
        match self {
            Tall::Three => 3,
            Tall::Five => 5,
            Tall::Eight => 8,
            Tall::Fifteen => 15,
        }
    }

    /// Columns and half rows of a dot. Without half blocks a dot is whole rows
    /// tall, and the next smaller one that is takes its place.
    const fn dot(self, ascii: bool) -> (u16, u16) {
        match (self, ascii) {
            (Tall::Three, _) => (1, 1),
            (Tall::Five, _) | (Tall::Eight, true) => (2, 2),
            (Tall::Eight, false) => (3, 3),
            (Tall::Fifteen, true) => (4, 4),
            (Tall::Fifteen, false) => (6, 6),
        }
    }
}

/// A text in big signs: as tall as there is room for, otherwise in plain bold.
/// The fraction of a mixed number is half as tall, raised and lowered about a
/// stroke. A number that can't be shown whole gives way to dots, for half a
/// number is a wrong one.
#[derive(Clone, Copy, Debug)]
pub(crate) struct BigText<'a> {
    /// The text as its scale shows it.
    pub text: &'a str,
    /// The signs and styles to draw with.
    pub theme: Theme,
}

impl BigText<'_> {
    /// The columns it takes so tall; none where it can't be drawn so.
    pub(crate) fn columns(&self, tall: Tall) -> Option<u16> {
        if tall == Tall::Three && self.theme.ascii {
            return self.stroke_columns();
        }
        let big = self.split();
        let dots = Dots::of(big.drawn, tall.dot(self.theme.ascii), self.theme.ascii)?;
        let mut columns = dots.width;
        for plain in [big.fraction.filter(|_| tall == Tall::Three), big.rest] {
            columns = columns.saturating_add(plain.map_or(0, |text| width(text) + 1));
        }
        Some(columns)
    }

    /// How tall it is drawn in this much room.
    pub(crate) fn tall_within(&self, columns: u16, rows: u16) -> Option<Tall> {
        let fits = |tall: &Tall| {
            tall.rows() <= rows && self.columns(*tall).is_some_and(|wide| wide <= columns)
        };
        Tall::ALL.into_iter().find(fits)
    }

    fn stroke_columns(&self) -> Option<u16> {
        let mut columns: u16 = 0;
        for sign in self.text.chars() {
            columns = columns.saturating_add(strokes(sign)?[0].len() as u16 + GAP);
        }
        columns.checked_sub(GAP)
    }

    /// What is drawn big, and what is written beside it.
    fn split(&self) -> Parts<'_> {
        let is_big = |text: &str| text.chars().all(|sign| pattern(sign).is_some());
        let mut end = self.text.len();
        while !is_big(&self.text[..end]) {
            let Some(space) = self.text[..end].rfind(' ') else { break };
            end = space;
        }
        let (drawn, rest) = self.text.split_at(end);
        let fraction = dots::mixed(drawn).map(|mixed| mixed.fraction);
        let rest = Some(rest.trim_start()).filter(|rest| !rest.is_empty());
        Parts { drawn, fraction, rest }
    }

    fn draw_dots(&self, tall: Tall, area: Rect, buf: &mut Buffer) {
        let Parts { drawn, fraction, rest } = self.split();
        let (dot, ascii) = (tall.dot(self.theme.ascii), self.theme.ascii);
        let Some(dots) = Dots::of(drawn, dot, ascii) else { return };
        let style = self.theme.number();
        for row in 0..dots.height.div_ceil(2) {
            for column in 0..dots.width {
                let (above, below) =
                    (dots.is_lit(column, row * 2), dots.is_lit(column, row * 2 + 1));
                let symbol = match (above, below) {
                    (true, true) => self.theme.glyphs().block,
                    (true, false) => "▀",
                    (false, true) => "▄",
                    (false, false) => continue,
                };
                buf[(area.x + column, area.y + row)].set_symbol(symbol).set_style(style);
            }
        }
        let bottom = area.y + dots.height.div_ceil(2) - 1;
        let mut at = area.x + dots.width;
        let beside = [fraction.filter(|_| tall == Tall::Three), rest];
        for text in beside.into_iter().flatten() {
            buf.set_string(at + 1, bottom, text, style);
            at += 1 + width(text);
        }
    }

    fn draw_strokes(&self, area: Rect, style: Style, buf: &mut Buffer) {
        let mut left = area.x;
        for strokes in self.text.chars().filter_map(strokes) {
            for (y, row) in (area.y..).zip(strokes) {
                buf.set_string(left, y, row, style);
            }
            left += strokes[0].len() as u16 + GAP;
        }
    }
}

/// A text taken apart for drawing.
struct Parts<'a> {
    /// Every sign of it has a pattern.
    drawn: &'a str,
    /// Its fraction, where it is a mixed number.
    fraction: Option<&'a str>,
    /// `strong 0.006`: written beside it.
    rest: Option<&'a str>,
}

impl Widget for BigText<'_> {
    fn render(self, area: Rect, buf: &mut Buffer) {
        let area = area.intersection(buf.area);
        if area.is_empty() {
            return;
        }
        let style = self.theme.number();
        match self.tall_within(area.width, area.height) {
            Some(Tall::Three) if self.theme.ascii => self.draw_strokes(area, style, buf),
            Some(tall) => self.draw_dots(tall, area, buf),
            None if width(self.text) <= area.width => {
                buf.set_string(area.x, area.y, self.text, style);
            }
            None => {
                buf.set_string(area.x, area.y, whole_or_dots("...", area.width), style);
            }
        }
    }
}

#[cfg(test)]
mod tests;
