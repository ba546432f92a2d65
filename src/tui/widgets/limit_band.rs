//! The newest reading against its limits, in three rows: the figures, the
//! zones to scale, and the reading with its uncertainty. Judges nothing.

use ratatui::buffer::Buffer;
use ratatui::layout::Rect;
use ratatui::widgets::Widget;

use super::prose::width;
use crate::measure::Length;
use crate::tui::machine_view::{LimitLine, LimitLines, ReadingMark};
use crate::tui::theme::Theme;

/// Fewer columns than this hold no scale with its three figures.
const NARROWEST: u16 = 20;

/// Limits, zones and readings of one check.
#[derive(Clone, Copy, Debug)]
pub(crate) struct LimitBand<'a> {
    /// Limits and target.
    pub lines: &'a LimitLines,
    /// In cut order.
    pub readings: &'a [ReadingMark],
    /// The newest of them, and the name of its piece.
    pub newest: Option<(usize, &'a str)>,
    /// What one reading can be off by; zero where that is not known.
    pub uncertainty: Length,
    /// The same as it is written.
    pub uncertainty_text: &'a str,
    /// The signs and styles to draw with.
    pub theme: Theme,
}

/// Sizes to columns: the band between the limits takes a bit more than half.
struct BandScale {
    from: f64,
    per_column: f64,
    columns: u16,
}

impl BandScale {
    fn new(band: &LimitBand<'_>, columns: u16) -> Option<BandScale> {
        let number = |length: Length| length.nanometres() as f64;
        let at = |line: &Option<LimitLine>| line.as_ref().map(|line| number(line.at));
        let LimitLines { low, target, high } = band.lines;
        let apart = number(band.uncertainty).max(number(Length::thousandths(1)));
        let (low, high) = match (at(low), at(high), at(target)) {
            (Some(low), Some(high), _) if high > low => (low, high),
            // A form has no lower limit: from nothing on.
            (None, Some(high), target) => {
                let reach = (high - target.unwrap_or(0.0)).abs().max(apart * 4.0);
                (high - reach, high)
            }
            (Some(low), None, target) => {
                let reach = (target.unwrap_or(low) - low).abs().max(apart * 4.0);
                (low, low + reach)
            }
            _ => return None,
        };
        // Of 32 columns the band takes the 7th to the 25th.
        let per_column = (high - low) / (f64::from(columns) * 18.0 / 32.0).floor().max(1.0);
        let from = low - per_column * (f64::from(columns) * 7.0 / 32.0).floor();
        Some(BandScale { from, per_column, columns })
    }

    /// The column of a size, where it is in the picture.
    fn column(&self, size: Length) -> Option<u16> {
        let column = ((size.nanometres() as f64 - self.from) / self.per_column).round();
        (0.0..f64::from(self.columns)).contains(&column).then_some(column as u16)
    }

    /// The nearest column of a size.
    fn nearest(&self, size: Length) -> u16 {
        let column = ((size.nanometres() as f64 - self.from) / self.per_column).round();
        column.clamp(0.0, f64::from(self.columns.saturating_sub(1))) as u16
    }

    fn size(&self, column: u16) -> f64 {
        self.from + f64::from(column) * self.per_column
    }
}

impl LimitBand<'_> {
    fn draw_figures(&self, scale: &BandScale, area: Rect, buf: &mut Buffer) {
        let LimitLines { low, target, high } = self.lines;
        let mut taken: Vec<(u16, u16)> = Vec::new();
        for line in [low, high, target].into_iter().flatten() {
            let Some(column) = scale.column(line.at) else { continue };
            let wide = width(&line.text);
            let start = column.saturating_sub(wide / 2).min(area.width.saturating_sub(wide));
            let end = start + wide;
            if end > area.width || taken.iter().any(|(a, b)| start <= *b && *a <= end) {
                continue;
            }
            taken.push((start, end));
            buf.set_string(area.x + start, area.y, &line.text, self.theme.plain());
        }
    }

    fn draw_zones(&self, scale: &BandScale, area: Rect, buf: &mut Buffer) {
        let glyphs = self.theme.glyphs();
        let number = |length: Length| length.nanometres() as f64;
        let LimitLines { low, target, high } = self.lines;
        let unsure = number(self.uncertainty);
        let half = scale.per_column / 2.0;
        for column in 0..area.width {
            let size = scale.size(column);
            let over = high.as_ref().map(|high| size - number(high.at));
            let under = low.as_ref().map(|low| number(low.at) - size);
            let beyond = [over, under].into_iter().flatten().fold(f64::MIN, f64::max);
            let sign = match beyond {
                beyond if beyond > unsure + half => "x",
                beyond if beyond > -unsure - half && unsure > 0.0 => "?",
                _ => glyphs.horizontal,
            };
            buf.set_string(area.x + column, area.y, sign, self.theme.plain());
        }
        let ends = [(low, glyphs.low_end), (target, glyphs.tick), (high, glyphs.high_end)];
        for (line, sign) in ends {
            if let Some(column) = line.as_ref().and_then(|line| scale.column(line.at)) {
                buf.set_string(area.x + column, area.y, sign, self.theme.plain());
            }
        }
        for reading in self.readings.iter().filter(|reading| !reading.voided) {
            if let Some(column) = scale.column(reading.value) {
                let style = reading.kind.style(self.theme);
                buf.set_string(area.x + column, area.y, reading.kind.chart_sign(), style);
            }
        }
    }

    /// `leg 4  20.063 (^)`, its brackets as wide as it can be off.
    fn draw_newest(&self, scale: &BandScale, area: Rect, buf: &mut Buffer) {
        let newest = self.newest.and_then(|(at, name)| Some((self.readings.get(at)?, name)));
        let Some((reading, name)) = newest else {
            let glyphs = self.theme.glyphs();
            let mut legend = "x out   ? unsure".to_owned();
            if !self.uncertainty_text.is_empty() {
                legend += &format!("   {} {}", glyphs.plus_minus, self.uncertainty_text);
            }
            // As wide with plain signs, where `±` takes two cells.
            let wide = width(&legend) + u16::from(!self.theme.ascii);
            if wide <= area.width {
                let start = area.right() - wide;
                buf.set_string(start, area.y, legend, self.theme.plain());
            }
            return;
        };
        let off = (self.uncertainty.nanometres() as f64 / scale.per_column).round().max(1.0) as u16;
        let off = off.min(area.width / 4);
        let column = scale.nearest(reading.value).clamp(off, area.width - 1 - off);
        let style = reading.kind.style(self.theme).patch(self.theme.strong());
        for (at, sign) in [(column - off, "("), (column, "^"), (column + off, ")")] {
            buf.set_string(area.x + at, area.y, sign, style);
        }
        let whole = format!("{name}  {}", reading.text);
        let (left, right) = (column - off, area.width - column - off - 1);
        for text in [whole.as_str(), reading.text.as_str()] {
            let wide = width(text) + 1;
            if wide <= left {
                buf.set_string(area.x + left - wide, area.y, text, self.theme.plain());
                return;
            }
            if wide <= right {
                buf.set_string(area.x + column + off + 2, area.y, text, self.theme.plain());
                return;
            }
        }
    }
}

impl Widget for LimitBand<'_> {
    fn render(self, area: Rect, buf: &mut Buffer) {
        let area = area.intersection(buf.area);
        if area.height < 3 || area.width < NARROWEST {
            return;
        }
        let Some(scale) = BandScale::new(&self, area.width) else { return };
        let row = |n: u16| Rect { y: area.y + n, height: 1, ..area };
        self.draw_figures(&scale, row(0), buf);
        self.draw_zones(&scale, row(1), buf);
        self.draw_newest(&scale, row(2), buf);
    }
}

#[cfg(test)]
mod tests {
    use super::super::trial::{ASCII, BLOCKS, drawn, draws_at_every_size};
    use super::*;
    use crate::tui::machine_view::MarkKind;

    fn line(at: i64, text: &str) -> Option<LimitLine> {
        Some(LimitLine { at: Length::thousandths(at), text: text.to_owned() })
    }

    fn lines() -> LimitLines {
        LimitLines {
            low: line(19_969, "19.969"),
            target: line(20_000, "20 in"),
            high: line(20_031, "20.031"),
        }
    }

    fn mark(thousandths: i64, kind: MarkKind) -> ReadingMark {
        ReadingMark {
            label: "4".to_owned(),
            value: Length::thousandths(thousandths),
            text: format!("{}.{:03}", thousandths / 1000, thousandths % 1000),
            kind,
            voided: false,
        }
    }

    fn band<'a>(
        lines: &'a LimitLines,
        readings: &'a [ReadingMark],
        newest: Option<(usize, &'a str)>,
        theme: Theme,
    ) -> LimitBand<'a> {
        let uncertainty = Length::thousandths(3);
        LimitBand { lines, readings, newest, uncertainty, uncertainty_text: "0.003", theme }
    }

    /// By hand: 0.062 on 18 columns is 0.00344 a column; the limits stand in
    /// columns 7 and 25, the target in 16; 0.003 is one column beside a limit.
    /// Six figures begin three columns before theirs, five two.
    #[test]
    fn zones_are_to_scale() {
        let lines = lines();
        let expected = [
            "    19.969    20 in   20.031",
            "xxxxxx?├?───────┼───────?┤?xxxxx",
            "    x out   ? unsure   ± 0.003",
        ];
        let shown = drawn(band(&lines, &[], None, BLOCKS), 32, 3);
        assert_eq!(shown.lines().nth(1), Some(expected[1]), "{shown}");
        assert!(shown.ends_with("x out   ? unsure   ± 0.003"), "{shown}");
        assert!(shown.starts_with(expected[0]), "{shown}");
    }

    /// By hand: 0.032 over 20.031 is 9.3 columns right of column 25: beyond the
    /// last, so it stands at the edge with its value.
    #[test]
    fn out_of_the_picture_it_stands_at_the_edge_with_its_value() {
        let lines = lines();
        let readings = [mark(20_001, MarkKind::In), mark(20_063, MarkKind::TooBig)];
        let shown = drawn(band(&lines, &readings, Some((1, "leg 4")), ASCII), 32, 3);
        let rows: Vec<&str> = shown.lines().collect();
        assert_eq!(rows[2], "               leg 4  20.063 (^)");
        let newest = drawn(band(&lines, &readings, Some((0, "leg 1")), ASCII), 32, 3);
        // 0.001 over is the target's column, 16: the bracket stands in 15, and
        // thirteen columns of words end before the blank in 14.
        assert_eq!(newest.lines().nth(2), Some(" leg 1  20.001 (^)"), "{newest}");
    }

    /// Always: Every widget draws at every size.
    #[test]
    fn draws_anywhere() {
        let all = lines();
        let readings = [mark(19_000, MarkKind::TooSmall), mark(90_000, MarkKind::TooBig)];
        let none = LimitLines::default();
        let high = LimitLines { high: all.high.clone(), ..LimitLines::default() };
        for lines in [&all, &none, &high] {
            draws_at_every_size(|theme| band(lines, &readings, Some((1, "leg 12, second")), theme));
            draws_at_every_size(|theme| band(lines, &[], None, theme));
        }
    }

    /// Three rows and so many columns, or nothing.
    #[test]
    fn less_than_three_rows_draw_nothing() {
        let lines = lines();
        let shown = |width, height| drawn(band(&lines, &[], None, ASCII), width, height);
        assert!(shown(32, 2).trim().is_empty());
        assert!(!shown(32, 3).trim().is_empty());
        // A fourth row stays blank.
        assert_eq!(shown(32, 4).lines().nth(3).unwrap_or_default(), "");
        assert!(shown(NARROWEST - 1, 3).trim().is_empty());
        assert!(!shown(NARROWEST, 3).trim().is_empty());
    }
}
