//! Scales the drawing of a cut to cells. Sizes and texts outside the shapes get
//! rows and columns of their own, as on paper.

use ratatui::buffer::Buffer;
use ratatui::layout::Rect;
use ratatui::style::Style;
use ratatui::widgets::Widget;

use self::sheet::{Annotation, Sheet, cells_between};
use super::prose::{whole_or_dots, width};
use crate::operation::drawing::{Drawing, DrawnShape, Material};
use crate::tui::theme::Theme;

mod sheet;

/// Below this there is no row to spare for the caption.
const SHORTEST_WITH_CAPTION: u16 = 4;

/// A drawing, filled by material, outlined where it is wood, with its sizes,
/// its texts and from where it is seen.
///
/// However thin a thing is, it gets a cell. A text is whole or absent: half a
/// number is a wrong one.
#[derive(Clone, Copy, Debug)]
pub struct DrawingView<'a> {
    /// What is drawn, in real lengths.
    pub drawing: &'a Drawing,
    /// The signs and styles to draw with.
    pub theme: Theme,
}

impl Widget for DrawingView<'_> {
    fn render(self, area: Rect, buf: &mut Buffer) {
        let mut area = area.intersection(buf.area);
        if area.height >= SHORTEST_WITH_CAPTION {
            area.height -= 1;
            self.draw_caption(Rect { y: area.bottom(), height: 1, ..area }, buf);
        }
        if area.is_empty() {
            return;
        }
        let sheet = Sheet::new(self.drawing, area.width, area.height);
        let cells = usize::from(area.width) * usize::from(area.height);
        let (taken, owner) = (vec![false; cells], vec![None; cells]);
        let mut pen = Pen { buf, area, theme: self.theme, taken, owner };
        pen.draw_polygons(&sheet, &self.drawing.shapes);
        for shape in &self.drawing.shapes {
            match shape {
                DrawnShape::MeasureHere { at } => {
                    let (column, row) = sheet.cell(*at);
                    let glyph = self.theme.glyphs().measure;
                    pen.put_taken(column, row, glyph, self.theme.stop());
                }
                DrawnShape::Mark { from, to } => pen.draw_mark(sheet.cell(*from), sheet.cell(*to)),
                _ => {}
            }
        }
        for line in sheet.lines() {
            pen.draw_line(line);
        }
        for line in sheet.lines() {
            pen.draw_text(line);
        }
    }
}

impl DrawingView<'_> {
    /// From where it is seen, and what the fills mean where there is room.
    fn draw_caption(&self, area: Rect, buf: &mut Buffer) {
        let glyphs = self.theme.glyphs();
        let seen = whole_or_dots(&self.drawing.seen, area.width);
        buf.set_string(area.x, area.y, &seen, self.theme.quiet());
        let shows = |wanted: fn(&DrawnShape) -> bool| self.drawing.shapes.iter().any(wanted);
        let cutter =
            |shape: &DrawnShape| matches!(shape, DrawnShape::Polygon { of: Material::Cutter, .. });
        let waste =
            |shape: &DrawnShape| matches!(shape, DrawnShape::Polygon { of: Material::Waste, .. });
        let fence =
            |shape: &DrawnShape| matches!(shape, DrawnShape::Polygon { of: Material::Fence, .. });
        let flaw =
            |shape: &DrawnShape| matches!(shape, DrawnShape::Polygon { of: Material::Flaw, .. });
        let marked = |shape: &DrawnShape| matches!(shape, DrawnShape::MeasureHere { .. });
        let meanings = [
            (shows(marked), glyphs.measure, self.theme.stop(), "measure"),
            (shows(cutter), glyphs.cutter, self.theme.warn(), "cutter"),
            (shows(waste), glyphs.waste, self.theme.quiet(), "waste"),
            (shows(fence), glyphs.fence, self.theme.strong(), "fence or table"),
            (shows(flaw), glyphs.flaw, self.theme.warn(), "flaw"),
        ];
        let left = area.x + width(&seen);
        let mut right = area.right();
        for (present, sign, style, word) in meanings {
            let takes = width(word) + 2;
            if present && left + 2 + takes <= right {
                buf.set_string(right - takes, area.y, sign, style);
                buf.set_string(right - takes + 2, area.y, word, self.theme.quiet());
                right = (right - takes).saturating_sub(2);
            }
        }
    }
}

/// Puts signs into cells, and knows which cells a text may no longer take.
struct Pen<'a> {
    buf: &'a mut Buffer,
    area: Rect,
    theme: Theme,
    taken: Vec<bool>,
    /// Which polygon is seen in a cell.
    owner: Vec<Option<Owner>>,
}

/// A polygon by its number, and what it is made of.
type Owner = (usize, Material);

impl Pen<'_> {
    fn is_free(&self, column: i32, row: i32) -> bool {
        self.index(column, row).is_some_and(|index| !self.taken[index])
    }

    fn index(&self, column: i32, row: i32) -> Option<usize> {
        let (width, height) = (i32::from(self.area.width), i32::from(self.area.height));
        let inside = (0..width).contains(&column) && (0..height).contains(&row);
        inside.then_some((row * width + column) as usize)
    }

    fn owner(&self, column: i32, row: i32) -> Option<Owner> {
        self.index(column, row).and_then(|index| self.owner[index])
    }

    fn put(&mut self, column: i32, row: i32, symbol: &str, style: Style) {
        if self.is_free(column, row) {
            let at = (self.area.x + column as u16, self.area.y + row as u16);
            self.buf[at].reset();
            self.buf[at].set_symbol(symbol).set_style(style);
        }
    }

    fn put_taken(&mut self, column: i32, row: i32, symbol: &str, style: Style) {
        self.put(column, row, symbol, style);
        if let Some(index) = self.index(column, row) {
            self.taken[index] = true;
        }
    }

    /// Wood first and the cutter last, but thin things after thick ones: no
    /// blade, shaving or strip disappears under its neighbour.
    fn draw_polygons(&mut self, sheet: &Sheet, shapes: &[DrawnShape]) {
        let mut polygons: Vec<_> = shapes
            .iter()
            .filter_map(|shape| match shape {
                DrawnShape::Polygon { of, points } => {
                    Some((*of, Outline::new(points.iter().map(|point| sheet.scaled(*point)))))
                }
                _ => None,
            })
            .collect();
        polygons.sort_by_key(|(of, outline)| {
            let layer = match of {
                Material::Wood => 0,
                Material::Waste => 1,
                Material::Fence => 2,
                Material::Cutter => 3,
                Material::Flaw => 4,
            };
            (outline.is_thin(), layer)
        });

        for (number, (of, outline)) in polygons.iter().enumerate() {
            for (column, row) in outline.cells(self.area.width.into(), self.area.height.into()) {
                if let Some(index) = self.index(column, row) {
                    self.owner[index] = Some((number, *of));
                }
            }
        }
        for row in 0..i32::from(self.area.height) {
            for column in 0..i32::from(self.area.width) {
                let Some(owner) = self.owner(column, row) else { continue };
                let (of, outline) = &polygons[owner.0];
                let same = |dx, dy| self.owner(column + dx, row + dy) == Some(owner);
                let open = OpenSides {
                    left: !same(-1, 0),
                    right: !same(1, 0),
                    above: !same(0, -1),
                    below: !same(0, 1),
                };
                let glyphs = self.theme.glyphs();
                let (symbol, style) = match of {
                    Material::Wood => (self.wood(open, outline.slanted), self.theme.plain()),
                    Material::Waste => (glyphs.waste, self.theme.quiet()),
                    Material::Fence => (glyphs.fence, self.theme.strong()),
                    Material::Cutter => (glyphs.cutter, self.theme.warn()),
                    Material::Flaw => (glyphs.flaw, self.theme.warn()),
                };
                self.put(column, row, symbol, style);
            }
        }
    }

    /// The outline where the wood ends, the fill inside and where it is too
    /// thin for an outline.
    fn wood(&self, open: OpenSides, slanted: bool) -> &'static str {
        let glyphs = self.theme.glyphs();
        match open {
            OpenSides { left: true, right: true, .. }
            | OpenSides { above: true, below: true, .. } => glyphs.wood,
            OpenSides { left: true, above: true, .. }
            | OpenSides { right: true, below: true, .. }
                if slanted =>
            {
                "/"
            }
            OpenSides { right: true, above: true, .. }
            | OpenSides { left: true, below: true, .. }
                if slanted =>
            {
                "\\"
            }
            OpenSides { left: true, above: true, .. } => glyphs.top_left,
            OpenSides { right: true, above: true, .. } => glyphs.top_right,
            OpenSides { left: true, below: true, .. } => glyphs.bottom_left,
            OpenSides { right: true, below: true, .. } => glyphs.bottom_right,
            OpenSides { left: true, .. } | OpenSides { right: true, .. } => glyphs.vertical,
            OpenSides { above: true, .. } | OpenSides { below: true, .. } => glyphs.horizontal,
            _ => glyphs.wood,
        }
    }

    /// A line from cell to cell, as a knife or a gauge leaves it.
    fn draw_mark(&mut self, from: (i32, i32), to: (i32, i32)) {
        let glyphs = self.theme.glyphs();
        let level = from.1 == to.1 && from.0 != to.0;
        let symbol = if level { glyphs.horizontal } else { glyphs.vertical };
        for column in from.0.min(to.0)..=from.0.max(to.0) {
            for row in from.1.min(to.1)..=from.1.max(to.1) {
                self.put(column, row, symbol, self.theme.strong());
            }
        }
    }

    fn draw_line(&mut self, line: &Annotation) {
        let glyphs = self.theme.glyphs();
        let style = self.theme.plain();
        match line {
            Annotation::Label { .. } => {}
            Annotation::Level { first, last, row, .. } if first == last => {
                self.put_taken(*first, *row, glyphs.vertical, style);
            }
            Annotation::Level { first, last, row, .. } => {
                for column in first + 1..*last {
                    self.put(column, *row, glyphs.horizontal, style);
                }
                self.put_taken(*first, *row, "<", style);
                self.put_taken(*last, *row, ">", style);
            }
            Annotation::Upright { first, last, column, .. } if first == last => {
                self.put_taken(*column, *first, glyphs.horizontal, style);
            }
            Annotation::Upright { first, last, column, .. } => {
                for row in first + 1..*last {
                    self.put_taken(*column, row, glyphs.vertical, style);
                }
                self.put_taken(*column, *first, "^", style);
                self.put_taken(*column, *last, "v", style);
            }
            Annotation::Slanted { from, to, .. } => {
                let (dx, dy) = (to.0 - from.0, to.1 - from.1);
                let steps = dx.abs().max(dy.abs()).max(1);
                let symbol = if (dx < 0) == (dy < 0) { "\\" } else { "/" };
                for step in 0..=steps {
                    let part = f64::from(step) / f64::from(steps);
                    let column = f64::from(from.0) + f64::from(dx) * part;
                    let row = f64::from(from.1) + f64::from(dy) * part;
                    self.put_taken(column.round() as i32, row.round() as i32, symbol, style);
                }
            }
        }
    }

    fn draw_text(&mut self, line: &Annotation) {
        let text = line.text();
        let cells = i32::from(width(text));
        if cells == 0 {
            return;
        }
        let style = match line {
            Annotation::Label { .. } => self.theme.plain(),
            _ => self.theme.strong(),
        };
        // The places a draughtsman would choose, best first.
        let places = match line {
            Annotation::Label { at, .. } => vec![(at.0 - cells / 2, at.1)],
            Annotation::Level { first, last, row, .. } => {
                let middle = first + (last - first + 1 - cells) / 2;
                let within = (last - first > cells).then_some((middle, *row));
                let beside = [(last + 2, *row), (first - 1 - cells, *row)];
                within.into_iter().chain(beside).collect()
            }
            Annotation::Upright { first, last, column, text_on_the_left, .. } => {
                let middle = (first + last) / 2;
                let (left, right) = ((column - 1 - cells, middle), (column + 2, middle));
                if *text_on_the_left { vec![left, right] } else { vec![right, left] }
            }
            Annotation::Slanted { from, to, .. } => {
                let middle = ((from.0 + to.0) / 2, (from.1 + to.1) / 2);
                vec![(middle.0 + 2, middle.1), (middle.0 - 1 - cells, middle.1)]
            }
        };
        let wish = places[0];
        // What is written on a thing stays on it.
        let on = match line {
            Annotation::Label { at, .. } => self.owner(at.0, at.1),
            _ => None,
        };
        let fits = |place: &(i32, i32)| match line {
            Annotation::Label { .. } => self.has_room_on(on, *place, cells),
            _ => self.has_room(*place, cells),
        };
        let place = places.into_iter().find(fits).or_else(|| self.nearest(wish, cells, fits));
        let Some((column, row)) = place else { return };
        let last = column + cells - 1;
        for (end, beside, beyond) in [(column, column - 1, column - 2), (last, last + 1, last + 2)]
        {
            // An outline, the end of a blade, and what lies beside stay.
            let owner = self.owner(beside, row);
            let within = owner == self.owner(end, row) && owner == self.owner(beyond, row);
            if owner.is_none() || within {
                self.put(beside, row, " ", style);
            }
        }
        for taken in column..column + cells {
            self.put_taken(taken, row, " ", style);
        }
        let at = (self.area.x + column as u16, self.area.y + row as u16);
        self.buf.set_string(at.0, at.1, text, style);
    }

    /// Neither fence nor cutter ever disappears under a size.
    fn has_room(&self, place: (i32, i32), cells: i32) -> bool {
        (place.0..place.0 + cells).all(|column| {
            let of = self.owner(column, place.1).map(|(_, of)| of);
            let hides = matches!(of, Some(Material::Fence | Material::Cutter | Material::Flaw));
            self.is_free(column, place.1) && !hides
        })
    }

    /// On a polygon with some of it left at both ends, or where nothing is and
    /// nothing touches it. A single letter may lie at the edge.
    fn has_room_on(&self, on: Option<Owner>, place: (i32, i32), cells: i32) -> bool {
        let margin = i32::from(cells > 1);
        (place.0..place.0 + cells).all(|column| self.is_free(column, place.1))
            && (place.0 - margin..place.0 + cells + margin)
                .all(|column| self.owner(column, place.1) == on)
    }

    /// The place that fits nearest to the one wished for; a row counts as two columns.
    fn nearest(
        &self,
        wish: (i32, i32),
        cells: i32,
        fits: impl Fn(&(i32, i32)) -> bool,
    ) -> Option<(i32, i32)> {
        let rows = 0..i32::from(self.area.height);
        let columns = 0..=i32::from(self.area.width) - cells;
        rows.flat_map(|row| columns.clone().map(move |column| (column, row)))
            .filter(fits)
            .min_by_key(|place| (place.0 - wish.0).abs() + 2 * (place.1 - wish.1).abs())
    }
}

/// The sides of a cell at which its polygon ends.
#[derive(Clone, Copy)]
struct OpenSides {
    left: bool,
    right: bool,
    above: bool,
    below: bool,
}

/// A polygon in columns and rows.
struct Outline {
    corners: Vec<(f64, f64)>,
    slanted: bool,
}

impl Outline {
    fn new(corners: impl Iterator<Item = (f64, f64)>) -> Outline {
        let corners: Vec<_> = corners.collect();
        let slanted = edges(&corners).any(|(a, b)| a.0 != b.0 && a.1 != b.1);
        Outline { corners, slanted }
    }

    /// The smallest box around it: left, right, top, bottom.
    fn extent(&self) -> (f64, f64, f64, f64) {
        self.corners.iter().fold(
            (f64::INFINITY, f64::NEG_INFINITY, f64::INFINITY, f64::NEG_INFINITY),
            |(left, right, top, bottom), (x, y)| {
                (left.min(*x), right.max(*x), top.min(*y), bottom.max(*y))
            },
        )
    }

    fn is_thin(&self) -> bool {
        let (left, right, top, bottom) = self.extent();
        right - left < 1.0 || bottom - top < 1.0
    }

    /// The cells whose centre is inside. Where it is thinner than a cell it
    /// still gets one in every row and column it passes, so it has no gaps.
    fn cells(&self, columns: i32, rows: i32) -> Vec<(i32, i32)> {
        let (left, right, top, bottom) = self.extent();
        let mut cells = Vec::new();
        for row in touched(top, bottom, rows) {
            for (from, to) in self.crossings(f64::from(row) + 0.5, |(x, y)| (x, y)) {
                cells.extend(cells_between(from, to, columns).map(|column| (column, row)));
            }
        }
        for column in touched(left, right, columns) {
            for (from, to) in self.crossings(f64::from(column) + 0.5, |(x, y)| (y, x)) {
                cells.extend(cells_between(from, to, rows).map(|row| (column, row)));
            }
        }
        if cells.is_empty() && !self.corners.is_empty() {
            let middle = ((left + right) / 2.0, (top + bottom) / 2.0);
            cells.push((middle.0.floor() as i32, middle.1.floor() as i32));
        }
        cells
    }

    /// Where a line at `level` enters and leaves; `turn` says which axis is level.
    fn crossings(
        &self,
        level: f64,
        turn: fn((f64, f64)) -> (f64, f64),
    ) -> impl Iterator<Item = (f64, f64)> {
        let mut met: Vec<f64> = edges(&self.corners)
            .map(|(a, b)| (turn(a), turn(b)))
            .filter(|(a, b)| (a.1 <= level) != (b.1 <= level))
            .map(|(a, b)| a.0 + (b.0 - a.0) * (level - a.1) / (b.1 - a.1))
            .collect();
        met.sort_by(f64::total_cmp);
        (0..met.len() / 2).map(move |pair| (met[2 * pair], met[2 * pair + 1]))
    }
}

/// The rows or columns a stretch touches, of so many.
fn touched(from: f64, to: f64, count: i32) -> std::ops::Range<i32> {
    // Casting a float saturates, so what lies far outside does no harm.
    (from.floor() as i32).max(0)..(to.ceil() as i32).min(count)
}

fn edges(corners: &[(f64, f64)]) -> impl Iterator<Item = ((f64, f64), (f64, f64))> {
    let next = corners.iter().cycle().skip(1);
    corners.iter().copied().zip(next.copied())
}

#[cfg(test)]
mod tests;
