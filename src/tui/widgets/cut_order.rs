//! Readings in the order pieces are cut, against their limits, size upward.
//! Judges nothing: verdicts, names and the place of a break are handed in.

use ratatui::buffer::Buffer;
use ratatui::layout::Rect;
use ratatui::widgets::Widget;

use super::prose::{whole_or_dots, width};
use super::readings::{Axis, LimitRows};
use crate::measure::Length;
use crate::tui::machine_view::{CutPlace, LimitLine, LimitLines, ReadingMark};
use crate::tui::theme::Theme;

/// Fewer rows or columns than this hold no chart: the readings are listed.
const SHORTEST_CHART: u16 = 5;
const NARROWEST_CHART: u16 = 24;

/// Fewer columns beside the axis than this show no order.
const FEWEST_COLUMNS: u16 = 8;

/// From so many rows on there is one for the sign under the chosen reading.
const ROWS_FOR_A_SIGN: u16 = 7;

/// A place for a piece is at most so many columns wide, so that few pieces
/// stand together.
const WIDEST_PLACE: f64 = 6.0;

/// A chart with size upward and a place for each piece to the right, the ones
/// to come too. No line joins two readings: between them nothing was measured.
#[derive(Clone, Copy, Debug)]
pub(crate) struct CutOrderChart<'a> {
    /// Limits and target.
    pub lines: &'a LimitLines,
    /// Every piece, in cut order.
    pub places: &'a [CutPlace],
    /// What one reading can be off by; zero where that is not known.
    pub uncertainty: Length,
    /// The same as it is written: `0.003`, or nothing.
    pub uncertainty_text: &'a str,
    /// A line is drawn after so many places: it moved there.
    pub moved_after: Option<usize>,
    /// Places that are named before others.
    pub named: &'a [usize],
    /// The chosen place, where one is chosen.
    pub chosen: Option<usize>,
    /// Whether the picture is wide enough for every reading; else the limits
    /// stay where they are, and what is beyond stands at the edge.
    pub shows_all: bool,
    /// The signs and styles to draw with.
    pub theme: Theme,
}

/// Sizes to rows and places to columns.
struct ChartScale {
    top: f64,
    bottom: f64,
    rows: u16,
    columns: u16,
    per_place: f64,
}

fn number(length: Length) -> f64 {
    length.nanometres() as f64
}

impl ChartScale {
    fn new(chart: &CutOrderChart<'_>, rows: u16, columns: u16) -> ChartScale {
        let at = |line: &Option<LimitLine>| line.as_ref().map(|line| number(line.at));
        let all = || chart.places.iter().flat_map(|place| &place.readings);
        let (high, low) = (at(&chart.lines.high), at(&chart.lines.low));
        let (top, bottom) = match (high, low) {
            // The band takes the middle half, whatever is read.
            (Some(high), Some(low)) if high > low && !chart.shows_all => {
                let band = high - low;
                (high + band / 2.0, low - band / 2.0)
            }
            _ => {
                let sizes = chart.lines.sizes().map(number);
                let sizes = sizes.chain(all().map(|reading| number(reading.value)));
                let (least, most) = sizes
                    .fold((f64::MAX, f64::MIN), |(least, most), x| (least.min(x), most.max(x)));
                let (least, most) = if least > most { (0.0, 0.0) } else { (least, most) };
                // A thousandth of an inch keeps equal readings off the edges.
                let margin = ((most - least) / 6.0).max(number(Length::thousandths(1)));
                (most + margin, least - margin)
            }
        };
        let count = chart.places.len().max(1) as f64;
        let per_place = (f64::from(columns) / count).min(WIDEST_PLACE);
        ChartScale { top, bottom, rows, columns, per_place }
    }

    fn row(&self, size: f64) -> u16 {
        let part = (self.top - size) / (self.top - self.bottom);
        let row = (part * f64::from(self.rows)).floor();
        row.clamp(0.0, f64::from(self.rows.saturating_sub(1))) as u16
    }

    fn column(&self, place: usize) -> u16 {
        let column = ((place as f64 + 0.5) * self.per_place).floor();
        column.clamp(0.0, f64::from(self.columns.saturating_sub(1))) as u16
    }

    fn limits(&self, lines: &LimitLines) -> LimitRows {
        let row = |line: &Option<LimitLine>| line.as_ref().map(|line| self.row(number(line.at)));
        LimitRows { high: row(&lines.high), low: row(&lines.low), last: self.rows - 1 }
    }

    fn row_of(&self, chart: &CutOrderChart<'_>, reading: &ReadingMark) -> u16 {
        let row = self.row(number(reading.value));
        reading.kind.row_beside_limits(row, self.limits(chart.lines))
    }

    fn is_beyond(&self, reading: &ReadingMark) -> bool {
        !(self.bottom..=self.top).contains(&number(reading.value))
    }
}

impl CutOrderChart<'_> {
    fn draw_chart(&self, area: Rect, buf: &mut Buffer) -> bool {
        let below = if self.chosen.is_some() && area.height >= ROWS_FOR_A_SIGN { 2 } else { 1 };
        let rows = area.height - below;
        let upward = ChartScale::new(self, rows, 1);
        let row_of = |at: Length| upward.row(number(at));
        let axis = Axis::new(self.lines, self.uncertainty_text, self.theme, row_of);
        let Some(left) = axis.column(area, FEWEST_COLUMNS) else { return false };
        let field = Rect { x: left + 1, width: area.right() - left - 1, height: rows, ..area };
        let scale = ChartScale::new(self, rows, field.width);
        self.draw_lines(&scale, field, buf);
        axis.draw(area, rows, self.theme, buf);
        for (n, place) in self.places.iter().enumerate() {
            for reading in &place.readings {
                let (column, row) = (scale.column(n), scale.row_of(self, reading));
                let style = if reading.voided {
                    self.theme.plain()
                } else {
                    reading.kind.style(self.theme)
                };
                let sign = if reading.voided { "/" } else { reading.kind.chart_sign() };
                let (x, y) = (field.x + column, field.y + row);
                buf.set_string(x, y, sign, style);
                let text = format!(" {}", reading.text);
                if scale.is_beyond(reading) && column + 1 + width(&text) <= field.width {
                    buf.set_string(x + 1, y, text, self.theme.plain());
                }
            }
        }
        if let Some(chosen) = self.chosen.filter(|at| below == 2 && *at < self.places.len()) {
            let x = field.x + scale.column(chosen);
            buf.set_string(x, field.bottom(), "^", self.theme.strong());
        }
        let names = Rect { y: area.bottom() - 1, height: 1, ..field };
        self.draw_names(names, &scale, buf);
        true
    }

    /// Limits as thick as a reading can be off, target, and where it moved.
    fn draw_lines(&self, scale: &ChartScale, field: Rect, buf: &mut Buffer) {
        let LimitLines { low, target, high } = self.lines;
        let across = |buf: &mut Buffer, row: u16, sign: &str| {
            for column in (0..field.width).step_by(2) {
                buf.set_string(field.x + column, field.y + row, sign, self.theme.plain());
            }
        };
        if let Some(target) = target {
            let row = scale.row(number(target.at));
            across(buf, row, self.theme.glyphs().horizontal);
        }
        let off = number(self.uncertainty);
        for limit in [low, high].into_iter().flatten() {
            let at = number(limit.at);
            for row in scale.row(at + off)..=scale.row(at - off) {
                let thick = (scale.top - scale.bottom) / f64::from(scale.rows);
                let middle = scale.top - (f64::from(row) + 0.5) * thick;
                if row == scale.row(at) || (middle - at).abs() <= off {
                    across(buf, row, "?");
                }
            }
        }
        if let Some(after) = self.moved_after {
            let x = (after as f64 * scale.per_place).floor() as u16;
            for row in 0..scale.rows {
                if x < field.width {
                    buf.set_string(field.x + x, field.y + row, ":", self.theme.strong());
                }
            }
        }
    }

    /// Names under their places, as many as stand apart.
    fn draw_names(&self, area: Rect, scale: &ChartScale, buf: &mut Buffer) {
        let mut taken: Vec<(u16, u16)> = Vec::new();
        let ends = [0, self.places.len().saturating_sub(1)];
        let all = 0..self.places.len();
        let order = self.chosen.into_iter().chain(self.named.iter().copied());
        for n in order.chain(ends).chain(all) {
            let Some(place) = self.places.get(n) else { continue };
            let name = whole_or_dots(&place.label, area.width);
            let long = width(&name);
            let start = scale.column(n).saturating_sub((long.max(1) - 1) / 2);
            let start = start.min(area.width.saturating_sub(long));
            let apart = |(from, to): &(u16, u16)| start + long < *from || *to < start;
            if !taken.iter().all(apart) {
                continue;
            }
            taken.push((start, start + long));
            buf.set_stringn(area.x + start, area.y, &name, long.into(), self.theme.plain());
        }
    }

    /// One reading after the other from the chosen one on, only whole ones.
    fn draw_list(&self, area: Rect, buf: &mut Buffer) {
        let (mut column, mut row) = (area.x, area.y);
        for place in self.places.iter().skip(self.chosen.unwrap_or(0)) {
            for reading in place.readings.iter().filter(|reading| !reading.voided) {
                let style = reading.kind.style(self.theme);
                let text = format!("{}{}", reading.kind.sign(), reading.text);
                let long = width(&place.label) + 1 + width(&text);
                if long > area.width {
                    return;
                }
                if column > area.x && long > area.right().saturating_sub(column) {
                    (column, row) = (area.x, row + 1);
                }
                if row >= area.bottom() {
                    return;
                }
                buf.set_string(column, row, &place.label, self.theme.plain());
                buf.set_string(column + width(&place.label) + 1, row, &text, style);
                column = column.saturating_add(long + 2);
            }
        }
    }
}

impl Widget for CutOrderChart<'_> {
    fn render(self, area: Rect, buf: &mut Buffer) {
        let area = area.intersection(buf.area);
        if area.is_empty() {
            return;
        }
        let has_room = area.height >= SHORTEST_CHART && area.width >= NARROWEST_CHART;
        if !has_room || !self.draw_chart(area, buf) {
            self.draw_list(area, buf);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::super::trial::{ASCII, BLOCKS, drawn, draws_at_every_size};
    use super::*;
    use crate::tui::machine_view::MarkKind;

    fn places() -> Vec<CutPlace> {
        let all = [0, 2, -1, 1, 33, 31, 34, 15].into_iter().enumerate();
        let place = |(n, off): (usize, i64)| CutPlace {
            label: format!("leg {}", n + 1),
            readings: vec![ReadingMark {
                label: format!("leg {}", n + 1),
                value: Length::thousandths(20_000 + off),
                text: format!("20.{:03}", off.max(0)),
                kind: match off {
                    33.. => MarkKind::TooBig,
                    30.. => MarkKind::TooClose,
                    _ => MarkKind::In,
                },
                voided: false,
            }],
        };
        all.map(place).collect()
    }

    fn lines() -> LimitLines {
        let line =
            |at, text: &str| Some(LimitLine { at: Length::thousandths(at), text: text.to_owned() });
        LimitLines {
            low: line(19_969, "19.969"),
            target: line(20_000, "20"),
            high: line(20_031, "20.031"),
        }
    }

    fn chart<'a>(lines: &'a LimitLines, places: &'a [CutPlace], theme: Theme) -> CutOrderChart<'a> {
        CutOrderChart {
            lines,
            places,
            uncertainty: Length::thousandths(3),
            uncertainty_text: "0.003",
            moved_after: Some(4),
            named: &[3, 4],
            chosen: Some(4),
            shows_all: true,
            theme,
        }
    }

    /// What is in stands between the lines, what is out beyond them, at
    /// whatever height.
    #[test]
    fn a_mark_stands_on_the_side_its_verdict_says() {
        let (lines, places) = (lines(), places());
        for shows_all in [true, false] {
            for rows in 4..40 {
                let chart = CutOrderChart { shows_all, ..chart(&lines, &places, ASCII) };
                let scale = ChartScale::new(&chart, rows, 60);
                let limits = scale.limits(&lines);
                let (high, low) = (limits.high.unwrap_or(0), limits.low.unwrap_or(0));
                for reading in places.iter().flat_map(|place| &place.readings) {
                    let row = scale.row_of(&chart, reading);
                    match reading.kind {
                        MarkKind::In => assert!(high < row && row < low, "{rows} {reading:?}"),
                        MarkKind::TooBig => assert!(row < high || high == 0, "{rows} {reading:?}"),
                        _ => {}
                    }
                }
            }
        }
    }

    /// Limits of 19.969 and 20.031 are 62 thousandths apart and take the middle half: 20.062 is the
    /// top of 31 rows and 19.938 the bottom, four thousandths a row. Eight places in 24 columns
    /// have three each, and a mark stands in the middle of its own.
    #[test]
    fn sizes_are_rows_and_places_are_columns() {
        let (lines, places) = (lines(), places());
        let chart = CutOrderChart { shows_all: false, ..chart(&lines, &places, ASCII) };
        let scale = ChartScale::new(&chart, 31, 24);
        for (thousandths, row) in [
            (20_900, 0),
            (20_060, 0),
            (20_056, 1),
            (20_031, 7),
            (20_000, 15),
            (19_969, 23),
            (19_940, 30),
            (19_100, 30),
        ] {
            assert_eq!(scale.row(number(Length::thousandths(thousandths))), row, "{thousandths}");
        }
        let columns: Vec<u16> = (0..9).map(|place| scale.column(place)).collect();
        // Three columns each: 1.5, 4.5 and so on; a ninth has no room and stands at the edge.
        assert_eq!(columns, [1, 4, 7, 10, 13, 16, 19, 22, 23]);
    }

    #[test]
    fn the_break_and_the_pieces_at_it_are_named() {
        let (lines, places) = (lines(), places());
        let text = drawn(chart(&lines, &places, ASCII), 60, 12);
        let last = text.lines().last().expect("a line of names");
        assert!(last.contains("leg 4") && last.contains("leg 5"), "{text}");
        assert!(last.contains("leg 1") && last.contains("leg 8"), "{text}");
        assert!(text.contains(':') && text.contains("20.031"), "{text}");
        assert!(text.is_ascii());
        let braille = |c: char| ('\u{2800}'..='\u{28ff}').contains(&c);
        assert!(!drawn(chart(&lines, &places, BLOCKS), 60, 12).chars().any(braille));
    }

    /// A piece that is not measured yet has its place.
    #[test]
    fn the_next_piece_has_its_place_already() {
        let (lines, mut places) = (lines(), places());
        places.truncate(2);
        places.push(CutPlace { label: "leg 3".to_owned(), readings: Vec::new() });
        let chart = CutOrderChart {
            moved_after: None,
            named: &[],
            chosen: None,
            shows_all: false,
            ..chart(&lines, &places, ASCII)
        };
        let text = drawn(chart, 54, 10);
        assert!(text.ends_with("leg 1 leg 2 leg 3"), "{text}");
        let marks = |text: &str| text.matches('o').count();
        assert_eq!(marks(&text), 2, "{text}");
    }

    #[test]
    fn with_little_room_it_is_a_list_from_the_chosen_on() {
        let (lines, places) = (lines(), places());
        let list = drawn(chart(&lines, &places, ASCII), 30, 2);
        assert_eq!(list, "leg 5 ^20.033  leg 6 ?20.031\nleg 7 ^20.034  leg 8 =20.015");
    }

    /// Always: Every widget draws at every size.
    #[test]
    fn draws_anywhere() {
        let (lines, places) = (lines(), places());
        draws_at_every_size(|theme| chart(&lines, &places, theme));
        draws_at_every_size(|theme| CutOrderChart {
            chosen: Some(99),
            ..chart(&lines, &[], theme)
        });
        let target_alone = LimitLines { low: None, high: None, ..lines.clone() };
        draws_at_every_size(|theme| chart(&target_alone, &places[..1], theme));
        let none = LimitLines::default();
        draws_at_every_size(|theme| CutOrderChart {
            moved_after: Some(99),
            named: &[],
            shows_all: false,
            ..chart(&none, &places, theme)
        });
    }

    /// What is drawn at its place says its number on the axis. What lies beyond the chart
    /// says its own, where there is room for it before the edge.
    #[test]
    fn a_mark_beyond_the_chart_says_its_number() {
        let (lines, mut places) = (lines(), places());
        let whole = CutOrderChart { chosen: None, ..chart(&lines, &places, ASCII) };
        let text = drawn(whole, 60, 12);
        assert!(!text.contains("20.034") && !text.contains("20.002"), "{text}");
        for (place, is_said) in [(1, true), (7, false)] {
            let mut places = places.clone();
            places[place].readings[0].value = Length::thousandths(20_900);
            places[place].readings[0].text = "20.900".to_owned();
            places[place].readings[0].kind = MarkKind::TooBig;
            let near = CutOrderChart { shows_all: false, ..chart(&lines, &places, ASCII) };
            let text = drawn(near, 60, 12);
            assert_eq!(text.contains("20.900"), is_said, "{text}");
            assert!(!text.contains("20.002"), "{text}");
        }
        // A reading that was struck out stays where it was, crossed.
        places[2].readings[0].voided = true;
        let text = drawn(chart(&lines, &places, ASCII), 60, 12);
        assert_eq!(text.matches('/').count(), 1, "{text}");
    }
}
