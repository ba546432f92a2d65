//! The readings of one check in cut order, joined by a line, against limits and
//! target. Judges nothing: verdicts, names and the place of a break are handed in.

use ratatui::buffer::Buffer;
use ratatui::layout::Rect;
use ratatui::style::Color;
use ratatui::symbols::Marker;
use ratatui::widgets::Widget;
use ratatui::widgets::canvas::{Canvas, Context, Line, Points};

use super::prose::{whole_or_dots, width};
use super::readings::{Axis, ChartOrList, LimitLine, LimitLines, LimitRows, ReadingMark};
use crate::measure::Length;
use crate::tui::theme::Theme;

/// Fewer columns beside the axis than this show no course.
const FEWEST_COLUMNS: u16 = 8;
/// From so many rows on there is one for the sign under the chosen reading.
const WITH_SIGN: u16 = 7;

/// A chart with size upward and pieces to the right, or a list from the chosen
/// reading on where there is no room for one.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Course<'a> {
    /// Limits and target.
    pub lines: &'a LimitLines,
    /// Their labels are the pieces' names.
    pub readings: &'a [ReadingMark],
    /// A line is drawn after so many readings: it moved there.
    pub moved_after: Option<usize>,
    /// Places, from zero, whose pieces are named, before those at the ends.
    pub named: &'a [usize],
    /// The place of the chosen reading.
    pub chosen: usize,
    /// What one reading can be off by: `0.003`, or nothing.
    pub uncertainty: &'a str,
    /// The signs and styles to draw with.
    pub theme: Theme,
}

/// What is drawn where: numbers to cells as the dots of the canvas fall.
struct CourseScale {
    area: Rect,
    count: usize,
    top: f64,
    bottom: f64,
    fine: (u16, u16),
}

impl CourseScale {
    fn new(course: &Course, area: Rect) -> CourseScale {
        let number = |length: Length| length.nanometres() as f64;
        let all = course
            .lines
            .sizes()
            .map(number)
            .chain(course.readings.iter().map(|reading| number(reading.value)));
        let (least, most) =
            all.fold((f64::MAX, f64::MIN), |(least, most), x| (least.min(x), most.max(x)));
        let (least, most) = if least > most { (0.0, 0.0) } else { (least, most) };
        // A thousandth of an inch keeps equal readings off the edges.
        let margin = ((most - least) / 8.0).max(number(Length::thousandths(1)));
        let fine = if course.theme.ascii { (1, 1) } else { (2, 4) };
        let count = course.readings.len();
        CourseScale { area, count, top: most + margin, bottom: least - margin, fine }
    }

    fn x_bounds(&self) -> [f64; 2] {
        [-0.5, (self.count.max(1)) as f64 - 0.5]
    }

    /// As the canvas places a dot, then the cell that dot is in.
    fn cell(share: f64, cells: u16, fine: u16) -> u16 {
        let dots = f64::from(cells) * f64::from(fine) - 1.0;
        let dot = (share * dots).round().clamp(0.0, dots.max(0.0));
        (dot as u16) / fine
    }

    fn row(&self, value: Length) -> u16 {
        let share = (self.top - value.nanometres() as f64) / (self.top - self.bottom);
        CourseScale::cell(share, self.area.height, self.fine.1)
    }

    fn column(&self, place: usize) -> u16 {
        let [left, right] = self.x_bounds();
        CourseScale::cell((place as f64 - left) / (right - left), self.area.width, self.fine.0)
    }

    fn limits(&self, lines: &LimitLines) -> LimitRows {
        let row = |line: &Option<LimitLine>| line.as_ref().map(|line| self.row(line.at));
        LimitRows { high: row(&lines.high), low: row(&lines.low), last: self.area.height - 1 }
    }

    fn row_of(&self, course: &Course, reading: &ReadingMark) -> u16 {
        reading.kind.row_beside_limits(self.row(reading.value), self.limits(course.lines))
    }
}

impl Course<'_> {
    fn paint(&self, context: &mut Context, field: &CourseScale) {
        let [left, right] = field.x_bounds();
        let marker = |sign| match self.theme.ascii {
            true => Marker::Custom(sign),
            false => Marker::Braille,
        };
        let number = |length: Length| length.nanometres() as f64;
        let dots = |count: u16, every: u16, at: &dyn Fn(f64) -> (f64, f64)| -> Vec<(f64, f64)> {
            let last = f64::from(count.saturating_sub(1).max(1));
            (0..count).step_by(every.into()).map(|n| at(f64::from(n) / last)).collect()
        };
        let (fine_x, fine_y) = field.fine;
        let across = field.area.width.saturating_mul(fine_x);
        let up = field.area.height.saturating_mul(fine_y);
        if let Some(target) = &self.lines.target {
            context.marker(marker('.'));
            let y = number(target.at);
            let every = if self.theme.ascii { 2 } else { 4 };
            let coords = dots(across, every, &|share| (left + (right - left) * share, y));
            context.draw(&Points { coords: &coords, color: Color::Reset });
        }
        if let Some(after) = self.moved_after {
            context.marker(marker(':'));
            let x = after as f64 - 0.5;
            let every = if self.theme.ascii { 1 } else { 2 };
            let (top, bottom) = (field.top, field.bottom);
            let coords = dots(up, every, &|share| (x, top + (bottom - top) * share));
            let color = self.theme.warn().fg.unwrap_or(Color::Reset);
            context.draw(&Points { coords: &coords, color });
        }
        context.marker(marker('-'));
        for limit in [&self.lines.low, &self.lines.high].into_iter().flatten() {
            let y = number(limit.at);
            context.draw(&Line { x1: left, y1: y, x2: right, y2: y, color: Color::Reset });
        }
        if self.theme.ascii {
            return;
        }
        // The line is cheaper to follow than dots alone, and the marks go over it.
        let color = self.theme.good().fg.unwrap_or(Color::Reset);
        for (place, pair) in self.readings.windows(2).enumerate() {
            context.draw(&Line {
                x1: place as f64,
                y1: number(pair[0].value),
                x2: place as f64 + 1.0,
                y2: number(pair[1].value),
                color,
            });
        }
    }

    /// Names under their readings, as many as stand apart.
    fn draw_names(&self, area: Rect, field: &CourseScale, buf: &mut Buffer) {
        let mut taken: Vec<(u16, u16)> = Vec::new();
        let ends = [0, self.readings.len().saturating_sub(1)];
        for place in self.named.iter().copied().chain(ends) {
            let Some(reading) = self.readings.get(place) else { continue };
            let name = whole_or_dots(&reading.label, area.width);
            let (long, column) = (width(&name), field.column(place));
            let most = area.width.saturating_sub(long);
            let before = (column + 1).saturating_sub(long);
            let (middle, after) = (column.saturating_sub(long / 2), column);
            let tries = match self.moved_after {
                Some(moved) if moved == place + 1 => [before, middle, after],
                Some(moved) if moved == place => [after, middle, before],
                _ => [middle, before, after],
            };
            let free = |start: &u16| {
                let apart = |(from, to): &(u16, u16)| start + long < *from || *to < *start;
                taken.iter().all(apart)
            };
            let Some(start) = tries.into_iter().map(|start| start.min(most)).find(free) else {
                continue;
            };
            taken.push((start, start + long));
            buf.set_stringn(area.x + start, area.y, &name, long.into(), self.theme.plain());
        }
    }
}

impl ChartOrList for Course<'_> {
    const SHORTEST_CHART: u16 = 5;
    const NARROWEST_CHART: u16 = 24;

    fn draw_chart(&self, area: Rect, buf: &mut Buffer) -> bool {
        let below = if area.height >= WITH_SIGN { 2 } else { 1 };
        let rows = area.height - below;
        let upward = CourseScale::new(self, Rect { height: rows, ..area });
        let axis = Axis::new(self.lines, self.uncertainty, self.theme, |at| upward.row(at));
        let Some(left) = axis.column(area, FEWEST_COLUMNS) else { return false };
        let room = area.right() - left - 1;
        let chart = Rect { x: left + 1, width: room, height: rows, ..area };
        let field = CourseScale { area: chart, ..upward };
        Canvas::default()
            .x_bounds(field.x_bounds())
            .y_bounds([field.bottom, field.top])
            .paint(|context| self.paint(context, &field))
            .render(chart, buf);
        axis.draw(area, rows, self.theme, buf);
        for (place, reading) in self.readings.iter().enumerate() {
            let at = (chart.x + field.column(place), chart.y + field.row_of(self, reading));
            let style = reading.kind.style(self.theme);
            buf[at].set_symbol(reading.kind.chart_sign()).set_style(style);
        }
        if below == 2 && self.chosen < self.readings.len() {
            let at = (chart.x + field.column(self.chosen), chart.bottom());
            buf[at].set_symbol("^").set_style(self.theme.strong());
        }
        let names = Rect { x: chart.x, y: area.bottom() - 1, width: chart.width, height: 1 };
        self.draw_names(names, &field, buf);
        true
    }

    /// One reading after the other from the chosen one on, only whole ones.
    fn draw_list(&self, area: Rect, buf: &mut Buffer) {
        let (mut column, mut row) = (area.x, area.y);
        for reading in self.readings.iter().skip(self.chosen) {
            let style = reading.kind.style(self.theme);
            let number = format!("{}{}", reading.kind.sign(), reading.text);
            let long = width(&reading.label) + 1 + width(&number);
            if long > area.width {
                return;
            }
            if column > area.x && long > area.right().saturating_sub(column) {
                (column, row) = (area.x, row + 1);
            }
            if row >= area.bottom() {
                return;
            }
            buf.set_string(column, row, &reading.label, self.theme.plain());
            buf.set_string(column + width(&reading.label) + 1, row, &number, style);
            column = column.saturating_add(long + 2);
        }
    }
}

impl Widget for Course<'_> {
    fn render(self, area: Rect, buf: &mut Buffer) {
        self.draw_chart_or_list(area, buf);
    }
}

#[cfg(test)]
mod tests {
    use super::super::readings::MarkKind;
    use super::super::trial::{ASCII, BLOCKS, drawn, draws_at_every_size};
    use super::*;

    fn readings() -> Vec<ReadingMark> {
        [0, 2, -1, 1, 33, 31, 34, 15]
            .into_iter()
            .enumerate()
            .map(|(n, off)| ReadingMark {
                label: format!("leg {}", n + 1),
                value: Length::thousandths(20_000 + off),
                text: format!("20.{:03}", off.max(0)),
                kind: match off {
                    33.. => MarkKind::TooBig,
                    30.. => MarkKind::TooClose,
                    _ => MarkKind::In,
                },
                voided: false,
            })
            .collect()
    }

    fn lines() -> LimitLines {
        let line =
            |at, text: &str| Some(LimitLine { at: Length::thousandths(at), text: text.to_owned() });
        LimitLines {
            low: line(19_969, "19.969"),
            target: line(20_000, "20.000"),
            high: line(20_031, "20.031"),
        }
    }

    fn course<'a>(lines: &'a LimitLines, readings: &'a [ReadingMark], theme: Theme) -> Course<'a> {
        Course {
            lines,
            readings,
            moved_after: Some(4),
            named: &[3, 4],
            chosen: 4,
            uncertainty: "0.003",
            theme,
        }
    }

    /// Each mark is looked for by its column: what is in stands between the
    /// lines, what is out beyond them, at whatever height.
    #[test]
    fn a_mark_stands_on_the_side_its_verdict_says() {
        let lines = lines();
        let readings = readings();
        for height in 6..40 {
            let course = course(&lines, &readings, ASCII);
            let field = CourseScale::new(&course, Rect::new(0, 0, 60, height));
            let (high, low) =
                (field.row(Length::thousandths(20_031)), field.row(Length::thousandths(19_969)));
            for reading in &readings {
                let row = field.row_of(&course, reading);
                match reading.kind {
                    MarkKind::In => assert!(high < row && row < low, "{height} {reading:?}"),
                    MarkKind::TooBig => assert!(row < high || high == 0, "{height} {reading:?}"),
                    _ => {}
                }
            }
        }
    }

    #[test]
    fn the_break_and_the_pieces_at_it_are_named() {
        let lines = lines();
        let readings = readings();
        let chart = drawn(course(&lines, &readings, ASCII), 60, 12);
        let last = chart.lines().last().expect("a line of names");
        assert!(last.contains("leg 4") && last.contains("leg 5"), "{chart}");
        assert!(last.contains("leg 1") && last.contains("leg 8"), "{chart}");
        assert!(chart.contains(':') && chart.contains("max 20.031"), "{chart}");
        assert!(chart.is_ascii());
        let blocks = drawn(course(&lines, &readings, BLOCKS), 60, 12);
        let braille = |c: char| ('\u{2800}'..='\u{28ff}').contains(&c);
        assert!(blocks.chars().any(braille), "{blocks}");
    }

    #[test]
    fn with_little_room_it_is_a_list_from_the_chosen_on() {
        let lines = lines();
        let readings = readings();
        let list = drawn(course(&lines, &readings, ASCII), 30, 2);
        assert_eq!(list, "leg 5 ^20.033  leg 6 ?20.031\nleg 7 ^20.034  leg 8 =20.015");
    }

    /// Always: Every widget draws at every size.
    #[test]
    fn draws_anywhere() {
        let lines = lines();
        let readings = readings();
        draws_at_every_size(|theme| course(&lines, &readings, theme));
        draws_at_every_size(|theme| Course { chosen: 99, ..course(&lines, &[], theme) });
        let target_alone = LimitLines { low: None, high: None, ..lines.clone() };
        draws_at_every_size(|theme| course(&target_alone, &readings[..1], theme));
        let none = LimitLines::default();
        draws_at_every_size(|theme| Course {
            moved_after: Some(99),
            named: &[],
            ..course(&none, &readings, theme)
        });
    }
}
