//! Where everything of a drawing goes on so many columns and rows.

use std::ops::RangeInclusive;

use super::super::prose::width;
use crate::operation::drawing::{Bounds, Drawing, Lane, Margins, Outside, Point, Scale, real};

/// A cell is about twice as tall as it is wide.
const CELL_ASPECT: f64 = 2.0;

/// What the shapes keep for themselves before sizes outside may take any room.
const LEAST_ROWS: u16 = 3;
const LEAST_COLUMNS: u16 = 10;

/// Wood of fewer rows or columns is all outline.
const LEAST_WOOD_ROWS: f64 = 2.6;
const LEAST_WOOD_COLUMNS: f64 = 3.0;

#[derive(Clone, Copy, PartialEq, Eq)]
enum TextSide {
    Left,
    Right,
}

/// A size or a text, placed: columns from the left, rows from the top.
pub(super) enum Annotation {
    Label { at: (i32, i32), text: String },
    Level { first: i32, last: i32, row: i32, text: String },
    Upright { first: i32, last: i32, column: i32, text_on_the_left: bool, text: String },
    Slanted { from: (i32, i32), to: (i32, i32), text: String },
}

impl Annotation {
    pub(super) fn text(&self) -> &str {
        match self {
            Annotation::Label { text, .. }
            | Annotation::Level { text, .. }
            | Annotation::Upright { text, .. }
            | Annotation::Slanted { text, .. } => text,
        }
    }
}

/// The cells a stretch covers: those whose middle is in it, at least one.
pub(super) fn cells_between(from: f64, to: f64, count: i32) -> RangeInclusive<i32> {
    let first = (from - 0.5).ceil();
    let last = (to - 0.5).ceil() - 1.0;
    let (first, last) = if first <= last {
        (first, last)
    } else {
        let middle = ((from + to) / 2.0).floor();
        (middle, middle)
    };
    (first as i32).max(0)..=(last as i32).min(count - 1)
}

/// The lanes that so many columns and rows have room for.
fn margins(drawing: &Drawing, bounds: Bounds, columns: u16, rows: u16) -> Margins<'_> {
    // Cells to nanometres, roughly, as the true scale depends on the lanes.
    let column = bounds.wide() / f64::from(columns.max(2)) * 1.25;
    let row = bounds.high() / f64::from(rows.max(2)) * 1.5;
    let level = |item: &Outside| {
        let half = f64::from(width(item.text)) / 2.0 * column + column;
        let middle = (item.from.0 + item.to.0) / 2.0;
        let ends = (item.from.0.min(item.to.0), item.from.0.max(item.to.0));
        (ends.0.min(middle - half), ends.1.max(middle + half))
    };
    let upright = |item: &Outside| {
        let middle = (item.from.1 + item.to.1) / 2.0;
        let ends = (item.from.1.min(item.to.1), item.from.1.max(item.to.1));
        (ends.0.min(middle - row / 2.0), ends.1.max(middle + row / 2.0))
    };
    let mut lanes = Margins::of(drawing, bounds, level, upright);
    drop_outermost(&mut lanes, columns, rows);
    lanes
}

/// The outermost lanes go first when there is no room for all.
fn drop_outermost(lanes: &mut Margins, columns: u16, rows: u16) {
    let Margins { above, below, left, right, .. } = lanes;
    while above.len() + below.len() > usize::from(rows.saturating_sub(LEAST_ROWS)) {
        if above.len() > below.len() {
            above.pop()
        } else {
            below.pop()
        };
    }
    while wide(left).saturating_add(wide(right)) > columns.saturating_sub(LEAST_COLUMNS) {
        if left.len() > right.len() {
            left.pop()
        } else {
            right.pop().or_else(|| left.pop())
        };
    }
}

/// The columns an upright lane takes: text, gap, line, gap.
fn columns_of(lane: &Lane) -> u16 {
    lane.of
        .iter()
        .map(|outside| width(outside.text).saturating_add(if outside.is_size { 3 } else { 1 }))
        .max()
        .unwrap_or(0)
}

/// The columns lanes take together.
fn wide(lanes: &[Lane]) -> u16 {
    lanes.iter().map(columns_of).fold(0, u16::saturating_add)
}

/// The scale of a drawing, and its sizes and texts in cells.
pub(super) struct Sheet {
    bounds: Bounds,
    columns: i32,
    rows: i32,
    /// The column and row at which the shapes' lower left corner lies.
    left: f64,
    bottom: f64,
    per_column: f64,
    per_row: f64,
    /// Whether the two axes have scales of their own.
    pub(super) is_stretched: bool,
    lines: Vec<Annotation>,
}

impl Sheet {
    /// Lays the drawing out on at least one column and row.
    pub(super) fn new(drawing: &Drawing, columns: u16, rows: u16) -> Sheet {
        let bounds = drawing.bounds();
        let Margins { above, below, left, right, inside } = margins(drawing, bounds, columns, rows);
        let room = (
            f64::from(columns - wide(&left) - wide(&right)),
            f64::from(rows) - (above.len() + below.len()) as f64,
        );
        let mut per_column = bounds.wide() / room.0;
        let mut per_row = bounds.high() / room.1;
        let mut is_stretched = drawing.scale == Scale::Stretched;
        if drawing.scale == Scale::Even {
            let even = per_column.max(per_row / CELL_ASPECT);
            // Wood too thin to be seen is better seen out of proportion.
            let (wide, high) = drawing.wood_extent();
            let is_lost =
                high / (even * CELL_ASPECT) < LEAST_WOOD_ROWS || wide / even < LEAST_WOOD_COLUMNS;
            if is_lost {
                is_stretched = true;
            } else {
                per_column = even;
                per_row = even * CELL_ASPECT;
            }
        }
        let used = ((bounds.wide() / per_column).ceil(), (bounds.high() / per_row).ceil());
        let spare = ((room.0 - used.0).max(0.0), (room.1 - used.1).max(0.0));
        let mut sheet = Sheet {
            bounds,
            columns: columns.into(),
            rows: rows.into(),
            left: f64::from(wide(&left)) + (spare.0 / 2.0).floor(),
            bottom: f64::from(rows) - below.len() as f64 - (spare.1 / 2.0).floor(),
            per_column,
            per_row,
            is_stretched,
            lines: Vec::new(),
        };
        let top = sheet.bottom as i32 - (used.1 as i32).max(1);
        for (lane, row) in above.iter().zip((0..top).rev()) {
            lane.of.iter().for_each(|item| sheet.add_level(item, row));
        }
        for (lane, row) in below.iter().zip(sheet.bottom as i32..) {
            lane.of.iter().for_each(|item| sheet.add_level(item, row));
        }
        let mut edge = sheet.left as i32;
        for lane in &left {
            lane.of.iter().for_each(|item| sheet.add_upright(item, edge, TextSide::Left));
            edge -= i32::from(columns_of(lane));
        }
        let mut edge = sheet.left as i32 + used.0 as i32 - 1;
        for lane in &right {
            lane.of.iter().for_each(|item| sheet.add_upright(item, edge, TextSide::Right));
            edge += i32::from(columns_of(lane));
        }
        inside.iter().for_each(|item| sheet.add_inside(item));
        sheet
    }

    pub(super) fn lines(&self) -> &[Annotation] {
        &self.lines
    }

    /// A point in columns from the left and rows from the top.
    pub(super) fn scaled(&self, point: Point) -> (f64, f64) {
        self.scaled_real(real(point))
    }

    fn scaled_real(&self, (x, y): (f64, f64)) -> (f64, f64) {
        (
            self.left + (x - self.bounds.left) / self.per_column,
            self.bottom - (y - self.bounds.bottom) / self.per_row,
        )
    }

    /// The cell a point is in, the nearest one when it lies outside.
    pub(super) fn cell(&self, point: Point) -> (i32, i32) {
        self.cell_real(real(point))
    }

    fn cell_real(&self, point: (f64, f64)) -> (i32, i32) {
        // A point on the right or upper edge belongs to the shape it bounds.
        let inside = (
            point.0.clamp(self.bounds.left, self.bounds.right - self.bounds.wide() * 1e-9),
            point.1.clamp(
                self.bounds.bottom + self.bounds.high() * 1e-9,
                self.bounds.top.max(self.bounds.bottom + 1.0),
            ),
        );
        let (column, row) = self.scaled_real(inside);
        (
            (column.floor() as i32).clamp(0, self.columns - 1),
            (row.floor() as i32).clamp(0, self.rows - 1),
        )
    }

    fn column_span(&self, item: &Outside) -> (i32, i32) {
        let (a, b) = (self.scaled_real(item.from).0, self.scaled_real(item.to).0);
        span(a.min(b), a.max(b), self.columns)
    }

    fn row_span(&self, item: &Outside) -> (i32, i32) {
        let (a, b) = (self.scaled_real(item.from).1, self.scaled_real(item.to).1);
        span(a.min(b), a.max(b), self.rows)
    }

    fn add_level(&mut self, item: &Outside, row: i32) {
        let (first, last) = self.column_span(item);
        let text = item.text.to_owned();
        self.lines.push(if item.is_size {
            Annotation::Level { first, last, row, text }
        } else {
            Annotation::Label { at: (first, row), text }
        });
    }

    /// `edge` is the cell the lane begins beside.
    fn add_upright(&mut self, item: &Outside, edge: i32, side: TextSide) {
        let (first, last) = self.row_span(item);
        let text = item.text.to_owned();
        let text_on_the_left = side == TextSide::Left;
        let outward = if text_on_the_left { -1 } else { 1 };
        self.lines.push(if item.is_size {
            let column = if text_on_the_left { edge - 2 } else { edge + 2 };
            Annotation::Upright { first, last, column, text_on_the_left, text }
        } else {
            let half = i32::from(width(item.text)) / 2;
            Annotation::Label { at: (edge + outward * (half + 1), first), text }
        });
    }

    fn add_inside(&mut self, item: &Outside) {
        let (from, to) = (self.cell_real(item.from), self.cell_real(item.to));
        let text = item.text.to_owned();
        self.lines.push(if !item.is_size {
            Annotation::Label { at: from, text }
        } else if item.from.1 == item.to.1 {
            let (first, last) = self.column_span(item);
            Annotation::Level { first, last, row: from.1, text }
        } else if item.from.0 == item.to.0 {
            let (first, last) = self.row_span(item);
            Annotation::Upright { first, last, column: from.0, text_on_the_left: false, text }
        } else {
            Annotation::Slanted { from, to, text }
        });
    }
}

fn span(from: f64, to: f64, count: i32) -> (i32, i32) {
    let cells = cells_between(from, to, count);
    let first = (*cells.start()).clamp(0, count - 1);
    (first, (*cells.end()).clamp(first, count - 1))
}

#[cfg(test)]
mod tests;
