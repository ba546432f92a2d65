//! Readings in the order they were cut, against their limits.
//! Judges nothing: verdicts and the words for numbers are handed in.

use ratatui::buffer::Buffer;
use ratatui::layout::Rect;
use ratatui::style::Style;
use ratatui::widgets::Widget;

use super::prose::width;
use super::readings::{Axis, ChartOrList, LimitLine, LimitLines, LimitRows, ReadingMark};
use crate::measure::Length;
use crate::tui::theme::Theme;

/// Fewer columns beside the axis than this hold no reading with its number.
const FEWEST_COLUMNS: u16 = 4;

/// A chart with size upward and the pieces in cut order to the right, or a
/// list of the last readings where there is no room for one.
///
/// A limit is a line of its own: what is in stands between the lines, what is
/// out beyond them, whatever the rounding to rows would have done.
#[derive(Clone, Copy, Debug)]
pub(crate) struct ReadingStrip<'a> {
    /// Limits and target.
    pub lines: &'a LimitLines,
    /// In cut order.
    pub readings: &'a [ReadingMark],
    /// Whether to draw the lines between the middle half and the outer quarters.
    pub zones: bool,
    /// What one reading can be off by: `0.003`, or nothing.
    pub uncertainty: &'a str,
    /// The signs and styles to draw with.
    pub theme: Theme,
}

/// Sizes to rows; row 0 is the top.
struct StripScale {
    top: f64,
    bottom: f64,
    count: u16,
    limits: LimitRows,
}

impl StripScale {
    fn new(strip: &ReadingStrip, count: u16) -> StripScale {
        let nanometres = |length: Length| length.nanometres() as f64;
        let at = |line: &Option<LimitLine>| line.as_ref().map(|line| nanometres(line.at));
        let (high, low) = (at(&strip.lines.high), at(&strip.lines.low));
        let (top, bottom) = match (high, low) {
            // The band takes the middle half, so that the lines stay where they
            // are whatever is read.
            (Some(high), Some(low)) if high > low => {
                let band = high - low;
                (high + band / 2.0, low - band / 2.0)
            }
            _ => {
                let read = strip.readings.iter().map(|reading| nanometres(reading.value));
                let all: Vec<f64> = read.chain(strip.lines.sizes().map(nanometres)).collect();
                let most = all.iter().copied().reduce(f64::max).unwrap_or(0.0);
                let least = all.iter().copied().reduce(f64::min).unwrap_or(0.0);
                // A thousandth of an inch keeps equal readings off the edges.
                let margin = ((most - least) / 4.0).max(nanometres(Length::thousandths(1)));
                (most + margin, least - margin)
            }
        };
        let limits = LimitRows { high: None, low: None, last: count - 1 };
        let mut rows = StripScale { top, bottom, count, limits };
        rows.limits.high = high.map(|high| rows.nearest(high));
        rows.limits.low = low.map(|low| rows.nearest(low));
        rows
    }

    fn nearest(&self, size: f64) -> u16 {
        let part = (self.top - size) / (self.top - self.bottom);
        let row = (part * f64::from(self.count)).floor();
        row.clamp(0.0, f64::from(self.count - 1)) as u16
    }

    fn of_length(&self, size: Length) -> u16 {
        self.nearest(size.nanometres() as f64)
    }

    fn of_reading(&self, reading: &ReadingMark) -> u16 {
        reading.kind.row_beside_limits(self.of_length(reading.value), self.limits)
    }

    /// Whether a size lies beyond the rows there are.
    fn off_scale(&self, size: Length) -> bool {
        let size = size.nanometres() as f64;
        size > self.top || size < self.bottom
    }
}

impl ReadingStrip<'_> {
    fn style_of(&self, reading: &ReadingMark) -> Style {
        if reading.voided { self.theme.quiet() } else { reading.kind.style(self.theme) }
    }

    fn mark_of(&self, reading: &ReadingMark, rows: &StripScale) -> &'static str {
        match reading.kind {
            _ if reading.voided => "/",
            kind if rows.off_scale(reading.value) => kind.sign(),
            kind => kind.chart_sign(),
        }
    }
}

impl ChartOrList for ReadingStrip<'_> {
    const SHORTEST_CHART: u16 = 6;
    const NARROWEST_CHART: u16 = 24;

    fn draw_chart(&self, area: Rect, buf: &mut Buffer) -> bool {
        let rows = StripScale::new(self, area.height - 1);
        let glyphs = self.theme.glyphs();
        let LimitLines { low, target, high } = self.lines;
        let axis = Axis::new(self.lines, self.uncertainty, self.theme, |at| rows.of_length(at));
        let Some(left) = axis.column(area, FEWEST_COLUMNS) else { return false };
        let room = area.right() - left - 1;
        let across = |buf: &mut Buffer, row: u16, symbol: &str, step: usize| {
            for column in (left + 1..area.right()).step_by(step) {
                buf[(column, area.y + row)].set_symbol(symbol).set_style(self.theme.quiet());
            }
        };

        if let (true, Some(low), Some(high)) = (self.zones, low, high) {
            let quarter = (high.at - low.at) / 4;
            across(buf, rows.of_length(low.at + quarter), glyphs.horizontal, 3);
            across(buf, rows.of_length(high.at - quarter), glyphs.horizontal, 3);
        }
        if let Some(target) = target {
            across(buf, rows.of_length(target.at), ".", 2);
        }
        for row in [rows.limits.low, rows.limits.high].into_iter().flatten() {
            across(buf, row, glyphs.horizontal, 1);
        }
        axis.draw(area, rows.count, self.theme, buf);

        let widest = self.readings.iter().map(|reading| width(&reading.label)).max();
        let slot = widest.unwrap_or(0).clamp(2, room - 1) + 1;
        let shown = usize::from(room / slot).min(self.readings.len());
        let last = &self.readings[self.readings.len() - shown..];
        for (reading, column) in last.iter().zip((left + 1..).step_by(slot.into())) {
            let middle = column + slot / 2;
            let row = area.y + rows.of_reading(reading);
            buf[(middle, row)]
                .set_symbol(self.mark_of(reading, &rows))
                .set_style(self.style_of(reading));
            let label = width(&reading.label).min(slot - 1);
            let start = middle - label / 2;
            let bottom = area.bottom() - 1;
            buf.set_stringn(start, bottom, &reading.label, label.into(), self.theme.plain());
        }
        true
    }

    /// The last readings on one line, the latest at the end, beneath the limits
    /// when there is a second line. Only whole numbers, never a clipped one.
    fn draw_list(&self, area: Rect, buf: &mut Buffer) {
        let mut row = area.y;
        if area.height >= 2 {
            let named = [("min", &self.lines.low), ("max", &self.lines.high)];
            let words: Vec<String> = named
                .into_iter()
                .filter_map(|(word, line)| Some(format!("{word} {}", line.as_ref()?.text)))
                .collect();
            let words = words.join("  ");
            if !words.is_empty() && width(&words) <= area.width {
                buf.set_string(area.x, row, words, self.theme.plain());
                row += 1;
            }
        }
        let mut entries = Vec::new();
        let mut used = 0;
        for reading in self.readings.iter().rev() {
            let sign = reading.kind.sign();
            let number = match reading.voided {
                true => format!("({})", reading.text),
                false => format!("{sign}{}", reading.text),
            };
            let label = format!("{} ", reading.label);
            let gap = if entries.is_empty() { 0 } else { 2 };
            let whole = width(&label).saturating_add(width(&number)).saturating_add(gap);
            if whole > area.width - used {
                if entries.is_empty() && width(&number) <= area.width {
                    entries.push((String::new(), number, reading));
                }
                break;
            }
            used += whole;
            entries.push((label, number, reading));
        }
        let mut column = area.x;
        for (label, number, reading) in entries.into_iter().rev() {
            buf.set_string(column, row, &label, self.theme.plain());
            column += width(&label);
            buf.set_string(column, row, &number, self.style_of(reading));
            column += width(&number) + 2;
        }
    }
}

impl Widget for ReadingStrip<'_> {
    fn render(self, area: Rect, buf: &mut Buffer) {
        self.draw_chart_or_list(area, buf);
    }
}

#[cfg(test)]
mod tests {
    use super::super::readings::MarkKind;
    use super::super::trial::{ASCII, drawn, draws_at_every_size};
    use super::*;

    fn reading(piece: i64, thousandths: i64, kind: MarkKind) -> ReadingMark {
        ReadingMark {
            label: piece.to_string(),
            value: Length::thousandths(thousandths),
            text: format!("{}.{:03}", thousandths / 1000, thousandths % 1000),
            kind,
            voided: false,
        }
    }

    fn drifting() -> Vec<ReadingMark> {
        let mut readings: Vec<ReadingMark> = [
            (1, 1748, MarkKind::In),
            (2, 1751, MarkKind::In),
            (3, 1756, MarkKind::In),
            (4, 1900, MarkKind::TooBig),
            (5, 1761, MarkKind::In),
            (6, 1765, MarkKind::TooClose),
            (7, 1771, MarkKind::TooBig),
            (12, 1729, MarkKind::TooSmall),
        ]
        .into_iter()
        .map(|(piece, thousandths, kind)| reading(piece, thousandths, kind))
        .collect();
        readings[3].voided = true;
        readings
    }

    fn lines() -> LimitLines {
        let line =
            |at, text: &str| Some(LimitLine { at: Length::thousandths(at), text: text.to_owned() });
        LimitLines {
            low: line(1734, "1.734"),
            target: line(1750, "1.750"),
            high: line(1766, "1.766"),
        }
    }

    fn strip<'a>(
        lines: &'a LimitLines,
        readings: &'a [ReadingMark],
        theme: Theme,
    ) -> ReadingStrip<'a> {
        ReadingStrip { lines, readings, zones: true, uncertainty: "0.003", theme }
    }

    #[test]
    fn the_list_says_by_sign_where_a_reading_lies() {
        let lines = lines();
        let readings = drifting();
        let line = "5 =1.761  6 ?1.765  7 ^1.771  12 v1.729";
        assert_eq!(drawn(strip(&lines, &readings, ASCII), 40, 1), line);
        let two = drawn(strip(&lines, &readings[..4], ASCII), 23, 3);
        assert_eq!(two, "min 1.734  max 1.766\n3 =1.756  4 (1.900)\n");
        assert_eq!(drawn(strip(&lines, &readings, ASCII), 7, 1), "v1.729");
        assert_eq!(drawn(strip(&lines, &readings, ASCII), 5, 1), "");
    }

    /// However few rows there are, what is in never stands on or beyond a line.
    #[test]
    fn a_mark_stands_on_the_side_its_verdict_says() {
        let lines = lines();
        let readings = drifting();
        for count in 5..40 {
            let strip = strip(&lines, &readings, ASCII);
            let rows = StripScale::new(&strip, count);
            let (high, low) = (rows.limits.high.unwrap_or(0), rows.limits.low.unwrap_or(0));
            for reading in &readings {
                let row = rows.of_reading(reading);
                match reading.kind {
                    MarkKind::In => assert!(high < row && row < low, "{count} {reading:?}"),
                    MarkKind::TooBig => assert!(row < high),
                    MarkKind::TooSmall => assert!(row > low),
                    MarkKind::TooClose => {}
                }
            }
        }
    }

    #[test]
    fn the_latest_readings_are_the_ones_kept() {
        let lines = lines();
        let many: Vec<ReadingMark> =
            (1..=99).map(|piece| reading(piece, 1750, MarkKind::In)).collect();
        let chart = drawn(strip(&lines, &many, ASCII), 40, 8);
        assert!(chart.ends_with("98 99"), "{chart}");
    }

    /// Always: Every widget draws at every size.
    #[test]
    fn draws_anywhere() {
        let lines = lines();
        let readings = drifting();
        let far = [
            reading(1, -1_000_000, MarkKind::TooSmall),
            ReadingMark {
                label: "front left, second".into(),
                ..reading(2, 9_000_000, MarkKind::TooBig)
            },
        ];
        draws_at_every_size(|theme| strip(&lines, &readings, theme));
        draws_at_every_size(|theme| strip(&lines, &[], theme));
        draws_at_every_size(|theme| strip(&lines, &far, theme));
        let one_sided = LimitLines { low: None, ..lines.clone() };
        draws_at_every_size(|theme| strip(&one_sided, &readings, theme));
        let swapped = LimitLines { low: lines.high.clone(), high: lines.low.clone(), target: None };
        draws_at_every_size(|theme| strip(&swapped, &far, theme));
        let none = LimitLines::default();
        draws_at_every_size(|theme| strip(&none, &[], theme));
    }
}
