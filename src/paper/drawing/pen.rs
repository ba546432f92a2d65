//! Draws the shapes, sizes and texts of a fitted drawing, and knows which places a text
//! has taken already.

use maud::{Markup, html};

use super::super::ink::{number, text_width};
use super::fitted::{
    BESIDE, FittedDrawing, GAP, LETTERS, ROW, SHORT, TAIL, TextPlace, reach, strip,
};
use super::hatch::{Spot, hatching};
use crate::operation::drawing::{Drawing, DrawnShape, Lane, Material, Outside, real};

/// Lines in millimetres of paper: outlines, sizes, hatching.
const STRONG: f64 = 0.55;
const FINE: f64 = 0.2;
const HATCH: f64 = 0.18;
/// How far apart hatching is, and how far the crossed lines of a flaw.
const APART: f64 = 1.5;
const CROSSED: f64 = 1.0;
/// An arrow head: three times as long as it is wide, as ISO 129-1 draws it closed.
const HEAD: f64 = 2.4;
/// How far an extension line stays off what is measured, and goes past its line.
const OFF: f64 = 0.7;
const PAST: f64 = 1.2;
/// The height of a capital, in letters.
const CAPITAL: f64 = 0.73;

/// A box on the paper.
#[derive(Clone, Copy, Debug)]
pub(super) struct PaperBox {
    pub(super) left: f64,
    pub(super) right: f64,
    pub(super) top: f64,
    pub(super) bottom: f64,
}

impl PaperBox {
    pub(super) fn wide(self) -> f64 {
        self.right - self.left
    }

    pub(super) fn high(self) -> f64 {
        self.bottom - self.top
    }

    pub(super) fn meets(self, other: PaperBox) -> bool {
        self.left < other.right
            && other.left < self.right
            && self.top < other.bottom
            && other.top < self.bottom
    }

    fn join(self, other: PaperBox) -> PaperBox {
        PaperBox {
            left: self.left.min(other.left),
            right: self.right.max(other.right),
            top: self.top.min(other.top),
            bottom: self.bottom.max(other.bottom),
        }
    }
}

#[derive(Clone, Copy)]
enum Anchor {
    Start,
    Middle,
    End,
}

/// What is drawn, and where texts are.
pub(super) struct PaperPen<'f, 'd> {
    fitted: &'f FittedDrawing<'d>,
    drawn: Vec<Markup>,
    texts: Vec<PaperBox>,
    /// Black boxes, on which no text reads well.
    cutters: Vec<PaperBox>,
    all: Option<PaperBox>,
}

impl<'f, 'd> PaperPen<'f, 'd> {
    pub(super) fn new(fitted: &'f FittedDrawing<'d>) -> PaperPen<'f, 'd> {
        PaperPen { fitted, drawn: Vec::new(), texts: Vec::new(), cutters: Vec::new(), all: None }
    }

    /// The box around everything, with a margin.
    pub(super) fn extent(&self) -> PaperBox {
        let none = PaperBox { left: 0.0, right: 1.0, top: 0.0, bottom: 1.0 };
        let PaperBox { left, right, top, bottom } = self.all.unwrap_or(none);
        PaperBox { left: left - 1.0, right: right + 1.0, top: top - 1.0, bottom: bottom + 1.0 }
    }

    /// Everything drawn.
    pub(super) fn ink(self) -> Markup {
        html! {
            g stroke="#000" stroke-width=(self.n(FINE)) font-size=(self.n(LETTERS)) {
                @for drawn in &self.drawn { (drawn) }
            }
        }
    }

    /// Millimetres of paper in the unit of the picture.
    fn n(&self, millimetres: f64) -> String {
        number(millimetres * self.fitted.unit())
    }

    fn see(&mut self, (x, y): Spot) {
        let spot = PaperBox { left: x, right: x, top: y, bottom: y };
        self.all = Some(self.all.map_or(spot, |all| all.join(spot)));
    }

    fn path(&self, spots: &[Spot], close: bool) -> String {
        let at = |(n, (x, y)): (usize, &Spot)| {
            format!("{}{} {}", if n == 0 { "M" } else { "L" }, self.n(*x), self.n(*y))
        };
        let mut path: String = spots.iter().enumerate().map(at).collect();
        if close {
            path.push('Z');
        }
        path
    }

    pub(super) fn polygon(&mut self, of: Material, corners: &[Spot]) {
        corners.iter().for_each(|corner| self.see(*corner));
        if of == Material::Cutter {
            let spots =
                corners.iter().map(|(x, y)| PaperBox { left: *x, right: *x, top: *y, bottom: *y });
            self.cutters.extend(spots.reduce(PaperBox::join));
        }
        let (fill, stroke) = match of {
            Material::Wood => ("#fff", STRONG),
            Material::Waste | Material::Flaw => ("#fff", FINE),
            Material::Cutter => ("#111", STRONG * 0.7),
            Material::Fence => ("#bbb", FINE),
        };
        let lines: Vec<(Spot, Spot)> = match of {
            Material::Waste => hatching(corners, APART, true),
            Material::Flaw => {
                [hatching(corners, CROSSED, true), hatching(corners, CROSSED, false)].concat()
            }
            Material::Wood | Material::Cutter | Material::Fence => Vec::new(),
        };
        let hatch: String =
            lines.iter().map(|(from, to)| self.path(&[*from, *to], false)).collect();
        let drawn = html! {
            path fill=(fill) stroke-width=(self.n(stroke)) stroke-linejoin="round"
                d=(self.path(corners, true)) {}
            @if !hatch.is_empty() { path fill="none" stroke-width=(self.n(HATCH)) d=(hatch) {} }
        };
        self.drawn.push(drawn);
    }

    /// A pencil line on the wood.
    pub(super) fn mark(&mut self, from: Spot, to: Spot) {
        self.see(from);
        self.see(to);
        let dashes = format!("{} {}", self.n(2.0), self.n(1.0));
        let drawn = html! {
            path fill="none" stroke-width=(self.n(0.4)) stroke-dasharray=(dashes)
                d=(self.path(&[from, to], false)) {}
        };
        self.drawn.push(drawn);
    }

    /// Two jaws at the ends of what is measured, or a ring at the place.
    pub(super) fn measure_here(&mut self, at: Spot, ends: Option<(Spot, Spot)>) {
        let drawn = match ends {
            Some((from, to)) if from != to => {
                let jaws = [(from, to), (to, from)];
                let path: String = jaws.iter().map(|(tip, other)| self.jaw(*tip, *other)).collect();
                for (tip, other) in jaws {
                    let (x, y) = toward(tip, other);
                    self.see((tip.0 - x * 3.4, tip.1 - y * 3.4));
                }
                html! { path fill="#000" stroke="#fff" stroke-width=(self.n(0.3)) d=(path) {} }
            }
            _ => html! {
                circle fill="#fff" stroke-width=(self.n(0.5)) cx=(self.n(at.0)) cy=(self.n(at.1))
                    r=(self.n(1.6)) {}
                circle fill="#000" cx=(self.n(at.0)) cy=(self.n(at.1)) r=(self.n(0.5)) {}
            },
        };
        self.drawn.push(drawn);
    }

    /// A thick triangle outside, its tip on the measured face.
    fn jaw(&self, tip: Spot, other: Spot) -> String {
        let (x, y) = toward(tip, other);
        let base = (tip.0 - x * 3.2, tip.1 - y * 3.2);
        let half = 1.5;
        self.path(
            &[tip, (base.0 - y * half, base.1 + x * half), (base.0 + y * half, base.1 - x * half)],
            true,
        )
    }

    /// A text whose baseline begins, has its middle or ends at a spot.
    fn text(&mut self, (x, y): Spot, anchor: Anchor, text: &str) -> Markup {
        let taken = text_box((x, y), anchor, text);
        self.see((taken.left, taken.top));
        self.see((taken.right, taken.bottom));
        self.texts.push(taken);
        let anchor = match anchor {
            Anchor::Start => "start",
            Anchor::Middle => "middle",
            Anchor::End => "end",
        };
        // White around the letters keeps lines that pass behind them off.
        html! {
            text x=(self.n(x)) y=(self.n(y)) text-anchor=(anchor) fill="#000" stroke="#fff"
                stroke-width=(self.n(0.9)) stroke-linejoin="round" paint-order="stroke" { (text) }
        }
    }

    /// The sizes and texts beside the shapes, lane after lane.
    pub(super) fn write_beside(&mut self, drawing: &Drawing) {
        let corners: Vec<Spot> = drawing
            .shapes
            .iter()
            .flat_map(|shape| match shape {
                DrawnShape::Polygon { points, .. } => {
                    points.iter().map(|point| self.fitted.at(real(*point))).collect()
                }
                _ => Vec::new(),
            })
            .collect();
        let fitted = self.fitted;
        let (left, bottom) = fitted.at((fitted.bounds.left, fitted.bounds.bottom));
        let (right, top) = fitted.at((fitted.bounds.right, fitted.bounds.top));
        let mut row = top - GAP;
        for lane in &fitted.margins.above {
            lane.of.iter().for_each(|item| self.level(item, row - 0.6, &corners, top));
            row -= ROW;
        }
        let mut row = bottom + GAP;
        for lane in &fitted.margins.below {
            let line = row + LETTERS * CAPITAL + 1.6;
            lane.of.iter().for_each(|item| self.level(item, line, &corners, bottom));
            row += ROW;
        }
        let mut edge = left - GAP;
        for lane in &fitted.margins.left {
            self.strip(lane, edge, -1.0, &corners, left);
            edge -= strip(lane);
        }
        let mut edge = right + GAP;
        for lane in &fitted.margins.right {
            self.strip(lane, edge, 1.0, &corners, right);
            edge += strip(lane);
        }
    }

    /// A size or text in a row: its line, and the text above it.
    fn level(&mut self, item: &Outside, line: f64, corners: &[Spot], edge: f64) {
        let (from, to) = (self.fitted.at(item.from), self.fitted.at(item.to));
        let middle = (from.0 + to.0) / 2.0;
        if !item.is_size {
            let text = self.text((middle, line - 0.6), Anchor::Middle, item.text);
            self.drawn.push(text);
            return;
        }
        let outward = if line < edge { -1.0 } else { 1.0 };
        let mut extensions = Vec::new();
        for x in [from.0, to.0] {
            let near = corners.iter().filter(|corner| (corner.0 - x).abs() < 0.02);
            let near = near.map(|corner| corner.1 * outward).fold(f64::MIN, f64::max);
            let start = if near == f64::MIN { edge } else { near * outward };
            extensions.push(((x, start + outward * OFF), (x, line + outward * PAST)));
        }
        let bounds = self.fitted.bounds;
        let centre = self.fitted.at(((bounds.left + bounds.right) / 2.0, 0.0)).0;
        let (left, right) = (from.0.min(to.0), from.0.max(to.0));
        let place = TextPlace::of(item.text, left, right, centre);
        let long = reach(item.text);
        let (x, anchor, tails) = match place {
            TextPlace::Over => (middle, Anchor::Middle, None),
            TextPlace::Right => (right + BESIDE, Anchor::Start, Some((TAIL, long))),
            TextPlace::Left => (left - BESIDE, Anchor::End, Some((long, TAIL))),
        };
        let text = self.text((x, line - 0.9), anchor, item.text);
        self.size(&extensions, (left, line), (right, line), tails, &text);
    }

    /// The sizes and texts of a strip; `side` is -1 on the left.
    fn strip(&mut self, lane: &Lane, edge: f64, side: f64, corners: &[Spot], shapes: f64) {
        let anchor = if side < 0.0 { Anchor::End } else { Anchor::Start };
        for item in &lane.of {
            let (from, to) = (self.fitted.at(item.from), self.fitted.at(item.to));
            let baseline = (from.1 + to.1) / 2.0 + LETTERS * CAPITAL / 2.0;
            if !item.is_size {
                let text = self.text((edge + side * 0.5, baseline), anchor, item.text);
                self.drawn.push(text);
                continue;
            }
            let line = edge + side * 1.2;
            let mut extensions = Vec::new();
            for y in [from.1, to.1] {
                let near = corners.iter().filter(|corner| (corner.1 - y).abs() < 0.02);
                let near = near.map(|corner| corner.0 * side).fold(f64::MIN, f64::max);
                let start = if near == f64::MIN { shapes } else { near * side };
                extensions.push(((start + side * OFF, y), (line + side * PAST, y)));
            }
            let text = self.text((line + side * 1.5, baseline), anchor, item.text);
            let tails = ((to.1 - from.1).abs() < SHORT).then_some((TAIL, TAIL));
            self.size(&extensions, (line, from.1), (line, to.1), tails, &text);
        }
    }

    /// A line with arrow heads, its extension lines and its text. With tails, so long
    /// beyond either end, the heads stand outside.
    fn size(
        &mut self,
        extensions: &[(Spot, Spot)],
        from: Spot,
        to: Spot,
        tails: Option<(f64, f64)>,
        text: &Markup,
    ) {
        let (x, y) = toward(from, to);
        let (before, after) = tails.unwrap_or_default();
        let turn = if tails.is_some() { -1.0 } else { 1.0 };
        let ends =
            ((from.0 - x * before, from.1 - y * before), (to.0 + x * after, to.1 + y * after));
        let head = |tip: Spot, way: f64| {
            let base = (tip.0 + x * HEAD * way, tip.1 + y * HEAD * way);
            let half = HEAD / 6.0;
            [tip, (base.0 - y * half, base.1 + x * half), (base.0 + y * half, base.1 - x * half)]
        };
        let heads = [head(from, turn), head(to, -turn)];
        let spots = [ends.0, ends.1].into_iter().chain(heads.iter().flatten().copied());
        spots.chain(extensions.iter().flat_map(|(a, b)| [*a, *b])).for_each(|spot| self.see(spot));
        let heads: String = heads.iter().map(|head| self.path(head, true)).collect();
        let drawn = html! {
            g.size {
                @for (a, b) in extensions {
                    line.extension x1=(self.n(a.0)) y1=(self.n(a.1)) x2=(self.n(b.0)) y2=(self.n(b.1)) {}
                }
                path fill="none" d=(self.path(&[ends.0, ends.1], false)) {}
                path fill="#000" stroke="none" d=(heads) {}
                (text)
            }
        };
        self.drawn.push(drawn);
    }

    /// What stands between the shapes: sizes where they are, texts where none is yet.
    pub(super) fn write_inside(&mut self) {
        let fitted = self.fitted;
        for item in fitted.margins.inside.iter().filter(|item| item.is_size) {
            let (from, to) = (fitted.at(item.from), fitted.at(item.to));
            let middle = ((from.0 + to.0) / 2.0, (from.1 + to.1) / 2.0);
            let text = match item.text {
                "" => html! {},
                text => {
                    // Over a level line, beside an upright one.
                    let aside = text_width(text, LETTERS) / 2.0 + BESIDE;
                    let (ways, rise) = if from.0 == to.0 {
                        ([aside, -aside], LETTERS * CAPITAL / 2.0)
                    } else {
                        ([0.0, 0.0], -0.9)
                    };
                    let at = self.free((middle.0, middle.1 + rise), &ways, text);
                    self.text(at, Anchor::Middle, text)
                }
            };
            let is_short = (to.0 - from.0).hypot(to.1 - from.1) < SHORT;
            self.size(&[], from, to, is_short.then_some((TAIL, TAIL)), &text);
        }
        for item in
            fitted.margins.inside.iter().filter(|item| !item.is_size && !item.text.is_empty())
        {
            let (x, y) = fitted.at(item.from);
            let at = self.free((x, y + LETTERS * CAPITAL / 2.0), &[0.0], item.text);
            let text = self.text(at, Anchor::Middle, item.text);
            self.drawn.push(text);
        }
    }

    /// The nearest place, a line or two up or down, where a text covers no other and lies
    /// on no cutter; at first in one of several ways beside its own place.
    fn free(&self, (x, y): Spot, ways: &[f64], text: &str) -> Spot {
        let row = LETTERS * 1.25;
        let lines = [0.0, -0.5, 0.5, -1.0, 1.0, -1.5, 1.5, -2.0, 2.0, -2.5, 2.5, -3.0, 3.0];
        let places =
            lines.iter().flat_map(|lines| ways.iter().map(move |way| (x + way, y + lines * row)));
        let places: Vec<Spot> = places.collect();
        let is_off = |taken: &[PaperBox], at: Spot| {
            let own = text_box(at, Anchor::Middle, text);
            !taken.iter().any(|taken| taken.meets(own))
        };
        let is_free = |at: &&Spot| is_off(&self.texts, **at);
        let is_clear = |at: &&Spot| is_free(at) && is_off(&self.cutters, **at);
        let found = places.iter().find(is_clear).or_else(|| places.iter().find(is_free));
        found.copied().unwrap_or((x, y))
    }

    /// Where the texts are.
    #[cfg(test)]
    pub(super) fn texts(&self) -> &[PaperBox] {
        &self.texts
    }
}

/// What a text takes at most, with a little air.
fn text_box((x, y): Spot, anchor: Anchor, text: &str) -> PaperBox {
    let wide = text_width(text, LETTERS);
    let left = match anchor {
        Anchor::Start => x,
        Anchor::Middle => x - wide / 2.0,
        Anchor::End => x - wide,
    };
    PaperBox { left, right: left + wide, top: y - LETTERS * 0.95, bottom: y + LETTERS * 0.25 }
}

/// The direction from one spot to another, one long.
fn toward(from: Spot, to: Spot) -> Spot {
    let (x, y) = (to.0 - from.0, to.1 - from.1);
    let long = x.hypot(y);
    if long == 0.0 { (1.0, 0.0) } else { (x / long, y / long) }
}
