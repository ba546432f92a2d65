//! Readings in the order they were cut, against their limits.
//! Judges nothing: verdicts and the words for numbers are handed in.

use ratatui::buffer::Buffer;
use ratatui::layout::Rect;
use ratatui::style::Style;
use ratatui::widgets::Widget;

use super::prose::width;
use crate::measure::Length;
use crate::tui::theme::Theme;

/// Fewest rows and columns for the chart; below that the readings are a list.
const SHORTEST_CHART: u16 = 6;
const NARROWEST_CHART: u16 = 24;

/// The verdict on a reading, as far as a mark can say it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum MarkKind {
    In,
    TooBig,
    TooSmall,
    /// Too close to call.
    TooClose,
}

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
}

/// One reading: the piece it was taken on, the value, and how it is written.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct ReadingMark {
    pub label: String,
    pub value: Length,
    /// The value in words a scale would use: `1.754`.
    pub text: String,
    pub kind: MarkKind,
    /// Taken back: it stays in sight, and counts for nothing.
    pub voided: bool,
}

/// A line across the chart, and how its size is written.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct LimitLine<'a> {
    pub at: Length,
    pub text: &'a str,
}

/// A chart with size upward and the pieces in cut order to the right, or a
/// list of the last readings where there is no room for one.
///
/// A limit is a line of its own: what is in stands between the lines, what is
/// out beyond them, whatever the rounding to rows would have done.
#[derive(Clone, Copy, Debug)]
pub struct ReadingStrip<'a> {
    pub low: Option<LimitLine<'a>>,
    pub target: Option<LimitLine<'a>>,
    pub high: Option<LimitLine<'a>>,
    pub readings: &'a [ReadingMark],
    /// Whether to draw the lines between the middle half and the outer quarters.
    pub zones: bool,
    /// What one reading can be off by: `0.003`, or nothing.
    pub uncertainty: &'a str,
    pub theme: Theme,
}

/// Sizes to rows; row 0 is the top.
struct StripScale {
    top: f64,
    bottom: f64,
    count: u16,
    high: Option<u16>,
    low: Option<u16>,
}

impl StripScale {
    fn new(strip: &ReadingStrip, count: u16) -> StripScale {
        let nanometres = |length: Length| length.nanometres() as f64;
        let at = |limit: Option<LimitLine>| limit.map(|limit| nanometres(limit.at));
        let (high, low) = (at(strip.high), at(strip.low));
        let (top, bottom) = match (high, low) {
            // The band takes the middle half, so that the lines stay where they
            // are whatever is read.
            (Some(high), Some(low)) if high > low => {
                let band = high - low;
                (high + band / 2.0, low - band / 2.0)
            }
            _ => {
                let read = strip.readings.iter().map(|reading| nanometres(reading.value));
                let all: Vec<f64> =
                    read.chain([high, low, at(strip.target)].into_iter().flatten()).collect();
                let most = all.iter().copied().reduce(f64::max).unwrap_or(0.0);
                let least = all.iter().copied().reduce(f64::min).unwrap_or(0.0);
                // A thousandth of an inch keeps equal readings off the edges.
                let margin = ((most - least) / 4.0).max(nanometres(Length::thousandths(1)));
                (most + margin, least - margin)
            }
        };
        let mut rows = StripScale { top, bottom, count, high: None, low: None };
        rows.high = high.map(|high| rows.nearest(high));
        rows.low = low.map(|low| rows.nearest(low));
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

    /// The row of a reading, on the side of the limit lines its verdict says.
    fn of_reading(&self, reading: &ReadingMark) -> u16 {
        let row = self.of_length(reading.value);
        let last = self.count - 1;
        let below_high = self.high.map_or(0, |high| (high + 1).min(last));
        let above_low = self.low.map_or(last, |low| low.saturating_sub(1));
        match reading.kind {
            MarkKind::In => row.min(above_low).max(below_high),
            MarkKind::TooBig => row.min(self.high.map_or(last, |high| high.saturating_sub(1))),
            MarkKind::TooSmall => row.max(self.low.map_or(0, |low| (low + 1).min(last))),
            MarkKind::TooClose => row,
        }
    }

    /// Whether a size lies beyond the rows there are.
    fn off_scale(&self, size: Length) -> bool {
        let size = size.nanometres() as f64;
        size > self.top || size < self.bottom
    }
}

impl ReadingStrip<'_> {
    fn style_of(&self, reading: &ReadingMark) -> Style {
        match reading.kind {
            _ if reading.voided => self.theme.quiet(),
            MarkKind::In => self.theme.good(),
            MarkKind::TooClose => self.theme.warn(),
            MarkKind::TooBig | MarkKind::TooSmall => self.theme.stop(),
        }
    }

    fn mark_of(&self, reading: &ReadingMark, rows: &StripScale) -> &'static str {
        match reading.kind {
            _ if reading.voided => "/",
            _ if rows.off_scale(reading.value) => reading.kind.sign(),
            MarkKind::In => "o",
            MarkKind::TooClose => "?",
            MarkKind::TooBig | MarkKind::TooSmall => "x",
        }
    }

    /// The words at the axis, and the row each stands on.
    fn axis(&self, rows: &StripScale) -> Vec<(u16, String)> {
        let mut words = Vec::new();
        let named = [("max", self.high), ("min", self.low), ("target", self.target)];
        for (word, limit) in named {
            let Some(limit) = limit else { continue };
            let row = rows.of_length(limit.at);
            if words.iter().all(|(taken, _)| *taken != row) {
                words.push((row, format!("{word} {}", limit.text)));
            }
        }
        words
    }

    fn draw_chart(&self, area: Rect, buf: &mut Buffer) {
        let rows = StripScale::new(self, area.height - 1);
        let glyphs = self.theme.glyphs();
        let words = self.axis(&rows);
        let gauge = match self.uncertainty {
            "" => String::new(),
            uncertainty => format!("{} {uncertainty}", glyphs.plus_minus),
        };
        let axis = words.iter().map(|(_, text)| width(text)).chain([width(&gauge)]).max();
        let axis = axis.unwrap_or(0);
        let Some(room) = area.width.checked_sub(axis + 2).filter(|room| *room >= 4) else {
            return self.draw_list(area, buf);
        };
        let left = area.x + axis + 1;
        let across = |buf: &mut Buffer, row: u16, symbol: &str, step: usize| {
            for column in (left + 1..area.right()).step_by(step) {
                buf[(column, area.y + row)].set_symbol(symbol).set_style(self.theme.quiet());
            }
        };

        for row in 0..rows.count {
            buf[(left, area.y + row)].set_symbol(glyphs.vertical);
        }
        if let (true, Some(low), Some(high)) = (self.zones, self.low, self.high) {
            let quarter = (high.at - low.at) / 4;
            across(buf, rows.of_length(low.at + quarter), glyphs.horizontal, 3);
            across(buf, rows.of_length(high.at - quarter), glyphs.horizontal, 3);
        }
        if let Some(target) = self.target {
            across(buf, rows.of_length(target.at), ".", 2);
        }
        for row in [rows.low, rows.high].into_iter().flatten() {
            across(buf, row, glyphs.horizontal, 1);
        }
        for (row, text) in &words {
            let column = area.x + axis - width(text);
            buf.set_string(column, area.y + row, text, self.theme.plain());
        }
        buf.set_stringn(area.x, area.bottom() - 1, gauge, axis.into(), self.theme.quiet());

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
    }

    /// The last readings on one line, the latest at the end, beneath the limits
    /// when there is a second line. Only whole numbers, never a clipped one.
    fn draw_list(&self, area: Rect, buf: &mut Buffer) {
        let mut row = area.y;
        if area.height >= 2 {
            let named = [("min", self.low), ("max", self.high)];
            let words: Vec<String> = named
                .into_iter()
                .filter_map(|(word, limit)| Some(format!("{word} {}", limit?.text)))
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
        let area = area.intersection(buf.area);
        if area.is_empty() {
            return;
        }
        if area.height < SHORTEST_CHART || area.width < NARROWEST_CHART {
            self.draw_list(area, buf);
        } else {
            self.draw_chart(area, buf);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::super::trial::{ASCII, BLOCKS, drawn, draws_at_every_size};
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

    fn strip(readings: &[ReadingMark], theme: Theme) -> ReadingStrip<'_> {
        let limit = |at, text| Some(LimitLine { at: Length::thousandths(at), text });
        ReadingStrip {
            low: limit(1734, "1.734"),
            target: limit(1750, "1.750"),
            high: limit(1766, "1.766"),
            readings,
            zones: true,
            uncertainty: "0.003",
            theme,
        }
    }

    #[test]
    fn the_list_says_by_sign_where_a_reading_lies() {
        let readings = drifting();
        let line = "5 =1.761  6 ?1.765  7 ^1.771  12 v1.729";
        assert_eq!(drawn(strip(&readings, ASCII), 40, 1), line);
        let two = drawn(strip(&readings[..4], ASCII), 23, 3);
        assert_eq!(two, "min 1.734  max 1.766\n3 =1.756  4 (1.900)\n");
        assert_eq!(drawn(strip(&readings, ASCII), 7, 1), "v1.729");
        assert_eq!(drawn(strip(&readings, ASCII), 5, 1), "");
    }

    /// However few rows there are, what is in never stands on or beyond a line.
    #[test]
    fn a_mark_stands_on_the_side_its_verdict_says() {
        let readings = drifting();
        for count in 5..40 {
            let strip = strip(&readings, ASCII);
            let rows = StripScale::new(&strip, count);
            let (high, low) = (rows.high.unwrap_or(0), rows.low.unwrap_or(0));
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
        let many: Vec<ReadingMark> =
            (1..=99).map(|piece| reading(piece, 1750, MarkKind::In)).collect();
        let chart = drawn(strip(&many, ASCII), 40, 8);
        assert!(chart.ends_with("98 99"), "{chart}");
    }

    /// Always: Every widget draws at every size.
    #[test]
    fn draws_anywhere() {
        let readings = drifting();
        let far = [
            reading(1, -1_000_000, MarkKind::TooSmall),
            ReadingMark {
                label: "front left, second".into(),
                ..reading(2, 9_000_000, MarkKind::TooBig)
            },
        ];
        draws_at_every_size(|theme| strip(&readings, theme));
        draws_at_every_size(|theme| strip(&[], theme));
        draws_at_every_size(|theme| strip(&far, theme));
        draws_at_every_size(|theme| ReadingStrip { low: None, ..strip(&readings, theme) });
        draws_at_every_size(|theme| {
            let whole = strip(&far, theme);
            ReadingStrip { low: whole.high, high: whole.low, target: None, ..whole }
        });
        draws_at_every_size(|theme| {
            let whole = strip(&[], theme);
            ReadingStrip { low: None, high: None, target: None, ..whole }
        });
    }

    #[test]
    #[ignore = "prints, to be judged by eye"]
    fn look() {
        let readings = drifting();
        for (width, height) in [(60, 14), (40, 8), (36, 6), (40, 2)] {
            for theme in [BLOCKS, ASCII] {
                println!("{}\n", drawn(strip(&readings, theme), width, height));
            }
        }
        let one_sided = ReadingStrip { low: None, zones: false, ..strip(&readings[..3], ASCII) };
        println!("{}\n", drawn(one_sided, 40, 9));
    }
}
