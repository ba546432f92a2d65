//! What every picture of readings shares: the readings, the lines they are
//! drawn against, the axis.

use ratatui::buffer::Buffer;
use ratatui::layout::Rect;
use ratatui::style::Style;

use super::prose::width;
use crate::measure::Length;
use crate::tui::machine_view::{LimitLine, LimitLines, MarkKind};
use crate::tui::theme::Theme;

impl MarkKind {
    /// The sign beside a number in a list.
    pub(super) const fn sign(self) -> &'static str {
        match self {
            MarkKind::In => "=",
            MarkKind::TooBig => "^",
            MarkKind::TooSmall => "v",
            MarkKind::TooClose => "?",
        }
    }

    /// The sign in a chart.
    pub(super) const fn chart_sign(self) -> &'static str {
        match self {
            MarkKind::In => "o",
            MarkKind::TooClose => "?",
            MarkKind::TooBig | MarkKind::TooSmall => "x",
        }
    }

    pub(super) fn style(self, theme: Theme) -> Style {
        match self {
            MarkKind::In => theme.measured(),
            MarkKind::TooClose => theme.plain(),
            MarkKind::TooBig | MarkKind::TooSmall => theme.cutter(),
        }
    }

    /// The row of a reading on the side of the limit lines its verdict says,
    /// whatever rounding to rows would have done.
    pub(super) fn row_beside_limits(self, row: u16, limits: LimitRows) -> u16 {
        let LimitRows { high, low, last } = limits;
        let below_high = high.map_or(0, |high| (high + 1).min(last));
        let above_low = low.map_or(last, |low| low.saturating_sub(1));
        match self {
            MarkKind::In => row.min(above_low).max(below_high),
            MarkKind::TooBig => row.min(high.map_or(last, |high| high.saturating_sub(1))),
            MarkKind::TooSmall => row.max(low.map_or(0, |low| (low + 1).min(last))),
            MarkKind::TooClose => row,
        }
    }
}

/// The rows the limit lines stand on, and the last row there is.
#[derive(Clone, Copy)]
pub(super) struct LimitRows {
    pub(super) high: Option<u16>,
    pub(super) low: Option<u16>,
    pub(super) last: u16,
}

impl LimitLines {
    /// Each line, the limits before the target.
    fn all(&self) -> [Option<&LimitLine>; 3] {
        [self.high.as_ref(), self.low.as_ref(), self.target.as_ref()]
    }

    /// The sizes of all lines there are.
    pub(super) fn sizes(&self) -> impl Iterator<Item = Length> {
        self.all().into_iter().filter_map(|line| Some(line?.at))
    }
}

/// The words left of a chart: what its lines are, and the uncertainty.
pub(super) struct Axis {
    words: Vec<(u16, String)>,
    uncertainty: String,
    width: u16,
}

impl Axis {
    /// Of two lines on one row only the first is named.
    pub(super) fn new(
        lines: &LimitLines,
        uncertainty: &str,
        theme: Theme,
        row_of: impl Fn(Length) -> u16,
    ) -> Axis {
        let mut words: Vec<(u16, String)> = Vec::new();
        for line in lines.all() {
            let Some(line) = line else { continue };
            let row = row_of(line.at);
            if words.iter().all(|(taken, _)| *taken != row) {
                words.push((row, line.text.clone()));
            }
        }
        let uncertainty = match uncertainty {
            "" => String::new(),
            uncertainty => format!("{} {uncertainty}", theme.glyphs().plus_minus),
        };
        // As wide with plain signs, where `±` takes two cells.
        let wide = match uncertainty.as_str() {
            "" => 0,
            text => width(text) + u16::from(!theme.ascii),
        };
        let widths = words.iter().map(|(_, text)| width(text)).chain([wide]);
        let width = widths.max().unwrap_or(0);
        Axis { words, uncertainty, width }
    }

    /// The column of the axis, where at least so many columns are left beside it.
    pub(super) fn column(&self, area: Rect, least: u16) -> Option<u16> {
        let room = area.width.checked_sub(self.width + 2)?;
        (room >= least).then_some(area.x + self.width + 1)
    }

    /// The axis over so many rows of the area, with its words.
    pub(super) fn draw(&self, area: Rect, rows: u16, theme: Theme, buf: &mut Buffer) {
        let column = area.x + self.width + 1;
        for row in 0..rows {
            buf[(column, area.y + row)].set_symbol(theme.glyphs().vertical);
        }
        for (row, text) in &self.words {
            let start = column - 1 - width(text);
            buf.set_string(start, area.y + row, text, theme.plain());
        }
        let bottom = area.bottom() - 1;
        buf.set_stringn(area.x, bottom, &self.uncertainty, self.width.into(), theme.plain());
    }
}

#[cfg(test)]
mod tests {
    use super::super::trial::{ASCII, BLOCKS};
    use super::*;

    fn lines() -> LimitLines {
        let line = |at: i64, text: &str| {
            Some(LimitLine { at: Length::thousandths(at), text: text.to_owned() })
        };
        LimitLines {
            low: line(1240, "1.240"),
            target: line(1250, "1 1/4"),
            high: line(1260, "1.2600"),
        }
    }

    /// The widest word is 6 columns and a gap, then the axis and a gap: 20 - 8 = 12 are
    /// left for the readings.
    #[test]
    fn an_axis_leaves_room_for_readings() {
        let rows =
            |size: Length| (Length::thousandths(1260) - size).ratio(Length::thousandths(5)) as u16;
        let axis = Axis::new(&lines(), "", ASCII, rows);
        let area = |width| Rect::new(3, 0, width, 5);
        assert_eq!(axis.column(area(20), 12), Some(3 + 6 + 1));
        assert_eq!(axis.column(area(20), 13), None);
        assert_eq!(axis.column(area(8), 0), Some(10));
        assert_eq!(axis.column(area(7), 0), None);
        // 0.003 with a plain sign: `+- 0.003` is 8.
        for theme in [ASCII, BLOCKS] {
            let axis = Axis::new(&lines(), "0.003", theme, rows);
            assert_eq!(axis.column(area(20), 0), Some(3 + 8 + 1));
        }
    }

    /// Words end at the axis; of two lines on one row the first is named, the upper
    /// limit before the lower and the target.
    #[test]
    fn an_axis_names_its_lines() {
        let drawn = |rows: fn(Length) -> u16| {
            let axis = Axis::new(&lines(), "0.003", ASCII, rows);
            let area = Rect::new(0, 0, 12, 4);
            let mut buffer = Buffer::empty(area);
            axis.draw(area, 3, ASCII, &mut buffer);
            let row = |y| (0..12).map(|x| buffer[(x, y)].symbol()).collect::<String>();
            [0, 1, 2, 3].map(|y| row(y).trim_end().to_owned())
        };
        let apart =
            |size: Length| (Length::thousandths(1260) - size).ratio(Length::thousandths(10)) as u16;
        assert_eq!(drawn(apart), ["  1.2600 |", "   1 1/4 |", "   1.240 |", "+- 0.003"]);
        assert_eq!(drawn(|_| 1), ["         |", "  1.2600 |", "         |", "+- 0.003"]);
    }
}
