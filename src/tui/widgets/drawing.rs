//! Scales the drawing of a cut to cells. Sizes and texts outside the shapes get
//! rows and columns of their own, as on paper.

use ratatui::buffer::Buffer;
use ratatui::layout::Rect;
use ratatui::style::Style;
use ratatui::widgets::Widget;

use self::outline::Outline;
use self::sheet::{Annotation, Sheet};
use super::prose::{whole_or_dots, width};
use crate::operation::drawing::{Drawing, DrawnShape, Material, measured_ends, slimmed};
use crate::tui::theme::Theme;

mod outline;
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
    /// What is done now.
    pub emphasis: Emphasis,
    /// The signs and styles to draw with.
    pub theme: Theme,
}

/// What is done now, which decides what is drawn bold.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Emphasis {
    /// The wood is cut, or looked at.
    #[default]
    None,
    /// A scale is set: the words at fence and stop are bold.
    Setting,
    /// The piece is measured: the marks of the gauge are.
    Measuring,
}

impl Widget for DrawingView<'_> {
    fn render(self, area: Rect, buf: &mut Buffer) {
        let mut area = area.intersection(buf.area);
        let mut caption = None;
        if area.height >= SHORTEST_WITH_CAPTION {
            area.height -= 1;
            caption = Some(Rect { y: area.bottom(), height: 1, ..area });
        }
        if area.is_empty() {
            return;
        }
        // Sizes and the caption take about three rows.
        let rows = area.height.saturating_sub(3).max(2);
        let thin = slimmed(self.drawing, area.width.max(8).into(), rows.into());
        let sheet = Sheet::new(&thin, area.width, area.height);
        if let Some(caption) = caption {
            self.draw_caption(caption, sheet.is_stretched, buf);
        }
        let cells = usize::from(area.width) * usize::from(area.height);
        let (taken, owner) = (vec![false; cells], vec![None; cells]);
        let mut pen = Pen { buf, area, theme: self.theme, emphasis: self.emphasis, taken, owner };
        pen.draw_polygons(&sheet, &thin.shapes);
        for shape in &thin.shapes {
            match shape {
                DrawnShape::MeasureHere { at } => {
                    let ends = measured_ends(&thin, *at);
                    let (from, to) = ends.unwrap_or((*at, *at));
                    pen.draw_measured(sheet.cell(from), sheet.cell(to));
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
    fn draw_caption(&self, area: Rect, is_stretched: bool, buf: &mut Buffer) {
        let glyphs = self.theme.glyphs();
        let seen = whole_or_dots(&self.drawing.seen, area.width);
        buf.set_string(area.x, area.y, &seen, self.theme.plain());
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
            (shows(marked), glyphs.measure, self.theme.measured(), "measure"),
            (shows(cutter), glyphs.cutter, self.theme.cutter(), "cutter"),
            (shows(waste), glyphs.waste, self.theme.plain(), "waste"),
            (shows(fence), glyphs.fence, self.theme.fence(), "fence or table"),
            (shows(flaw), glyphs.flaw, self.theme.cutter(), "flaw"),
        ];
        let mut left = area.x + width(&seen);
        let note = "  not to scale";
        if is_stretched && left + width(note) <= area.right() {
            buf.set_string(left, area.y, note, self.theme.plain());
            left += width(note);
        }
        let mut right = area.right();
        for (present, sign, style, word) in meanings {
            let takes = width(word) + 2;
            if present && left + 2 + takes <= right {
                buf.set_string(right - takes, area.y, sign, style);
                buf.set_string(right - takes + 2, area.y, word, self.theme.plain());
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
    emphasis: Emphasis,
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
                    Material::Wood => (self.wood(open, outline.slanted), self.theme.wood()),
                    Material::Waste => (glyphs.waste, self.theme.wood()),
                    Material::Fence => (glyphs.fence, self.theme.fence()),
                    Material::Cutter => (glyphs.cutter, self.theme.cutter()),
                    Material::Flaw => (glyphs.flaw, self.theme.cutter()),
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

    /// A mark at both ends of what is measured, each on the wood.
    fn draw_measured(&mut self, from: (i32, i32), to: (i32, i32)) {
        let sign = self.theme.glyphs().measure;
        let style = match self.emphasis {
            Emphasis::Measuring => self.theme.measured().patch(self.theme.strong()),
            Emphasis::None | Emphasis::Setting => self.theme.plain(),
        };
        for (end, other) in [(from, to), (to, from)] {
            let step = ((other.0 - end.0).signum(), (other.1 - end.1).signum());
            let mut at = end;
            let is_wood = |pen: &Self, at: (i32, i32)| {
                matches!(pen.owner(at.0, at.1), Some((_, Material::Wood)))
            };
            while at != other && !is_wood(self, at) {
                at = (at.0 + step.0, at.1 + step.1);
            }
            let at = if is_wood(self, at) { at } else { end };
            self.put_taken(at.0, at.1, sign, style);
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
        if let Annotation::Label { at, text } = line
            && self.draw_face(*at, text)
        {
            return;
        }
        let is_set = |text: &str| text.contains("stop") || text.contains("fence");
        let style = match self.emphasis {
            Emphasis::Setting if is_set(text) => self.theme.strong(),
            _ => self.theme.plain(),
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

    /// Names a face on the outline next to its letter, in a blank of its own:
    /// a letter on the fill is hard to see. False where it is no face, or the
    /// wood has no outline there.
    fn draw_face(&mut self, at: (i32, i32), text: &str) -> bool {
        let is_face = matches!(text.as_bytes(), [b'A'..=b'D']);
        let Some(owner) = self.owner(at.0, at.1).filter(|(_, of)| *of == Material::Wood) else {
            return false;
        };
        if !is_face {
            return false;
        }
        let reach = |step: (i32, i32)| {
            let mut end = at;
            while self.owner(end.0 + step.0, end.1 + step.1) == Some(owner) {
                end = (end.0 + step.0, end.1 + step.1);
            }
            end
        };
        // A row is as far as two columns.
        let sides = [(0, -1), (0, 1), (-1, 0), (1, 0)].map(|step| (step, reach(step)));
        let far = |end: (i32, i32)| (end.0 - at.0).abs() + 2 * (end.1 - at.1).abs();
        let nearest = sides.into_iter().min_by_key(|(_, end)| far(*end));
        let Some((step, end)) = nearest else { return false };
        let [(_, up), (_, down), (_, left), (_, right)] = sides;
        let (high, wide) = (down.1 - up.1, right.0 - left.0);
        if high < 1 || wide < 2 || !self.is_free(end.0, end.1) {
            return false;
        }
        let blanks: &[(i32, i32)] = match step {
            (0, _) if wide >= 8 => &[(-2, 0), (-1, 0), (1, 0), (2, 0)],
            (0, _) if wide >= 4 => &[(-1, 0), (1, 0)],
            (-1, _) if wide >= 4 => &[(1, 0)],
            (1, _) if wide >= 4 => &[(-1, 0)],
            _ => &[],
        };
        let style = self.theme.wood();
        for blank in blanks {
            self.put_taken(end.0 + blank.0, end.1 + blank.1, " ", style);
        }
        self.put_taken(end.0, end.1, text, style);
        true
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

#[cfg(test)]
mod tests;
