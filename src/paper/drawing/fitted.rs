//! How large a drawing becomes on its part of a sheet, and which lanes its sizes get.

use super::super::ink::text_width;
use super::SheetRoom;
use crate::operation::drawing::{Bounds, Drawing, DrawnShape, Lane, Margins, Outside, Scale, real};

/// The size of all letters on a drawing, in millimetres: they read at arm's length.
pub(super) const LETTERS: f64 = 3.4;
/// What a row of sizes takes: letters, their gap, the line.
pub(super) const ROW: f64 = 5.8;
/// From the shapes to the first lane.
pub(super) const GAP: f64 = 1.4;
/// Shorter lines have their arrow heads outside.
pub(super) const SHORT: f64 = 7.0;
/// What an arrow head outside takes beyond its line.
pub(super) const TAIL: f64 = 4.5;
/// From the end of a line to a text beyond it.
pub(super) const BESIDE: f64 = 1.5;

/// Said below a drawing that can't be measured.
pub(super) const NOT_TO_SCALE: &str = "not to scale";

/// Wood thinner than this is better seen out of proportion.
const LEAST_WOOD: f64 = 2.5;
/// What the shapes keep for themselves, whatever stands beside them.
const LEAST_SHAPES: f64 = 15.0;
/// No detail is drawn larger than so many times itself.
const LARGEST: f64 = 4.0;
const NANOMETRES: f64 = 1e6;

/// The scales of true shapes, as drawings have them: so many to one, one to so many.
const SCALES: [(u32, u32); 24] = [
    (4, 1),
    (3, 1),
    (5, 2),
    (2, 1),
    (3, 2),
    (1, 1),
    (4, 5),
    (2, 3),
    (1, 2),
    (2, 5),
    (1, 3),
    (1, 4),
    (1, 5),
    (1, 6),
    (1, 8),
    (1, 10),
    (1, 12),
    (1, 15),
    (1, 20),
    (1, 25),
    (1, 30),
    (1, 40),
    (1, 50),
    (1, 100),
];

/// A drawing fitted to its room; places are in millimetres of paper, y downward.
pub(super) struct FittedDrawing<'a> {
    pub(super) bounds: Bounds,
    pub(super) margins: Margins<'a>,
    /// Millimetres of paper for a nanometre of the thing, across and up.
    scale: (f64, f64),
    is_true: bool,
    /// Which usual scale it is drawn to, where it is true.
    drawn: Option<(u32, u32)>,
}

/// What stands on the four sides of the shapes, in millimetres of paper.
struct Taken {
    across: f64,
    up: f64,
}

impl<'a> FittedDrawing<'a> {
    pub(super) fn new(drawing: &'a Drawing, room: SheetRoom) -> FittedDrawing<'a> {
        let bounds = with_sizes(drawing);
        let is_even = drawing.scale == Scale::Even;
        let even = FittedDrawing::settled(drawing, bounds, room, is_even);
        let (wide, high) = drawing.wood_extent();
        let is_lost = (wide * even.scale.0).min(high * even.scale.1) < LEAST_WOOD;
        if is_even && is_lost {
            return FittedDrawing::settled(drawing, bounds, room, false);
        }
        even
    }

    /// The lanes take room, and the less the shapes get, the longer the texts are beside
    /// them: a few rounds settle both.
    fn settled(
        drawing: &'a Drawing,
        bounds: Bounds,
        room: SheetRoom,
        even: bool,
    ) -> FittedDrawing<'a> {
        let most = LARGEST / NANOMETRES;
        let mut scale = (room.wide / bounds.wide(), room.high / bounds.high());
        let mut drawn = None;
        let mut rounds = 0;
        loop {
            if even {
                let least = scale.0.min(scale.1).min(most);
                drawn = nearest_scale(least * NANOMETRES);
                let each =
                    drawn.map_or(least, |(to, one)| f64::from(to) / f64::from(one) / NANOMETRES);
                scale = (each, each);
            }
            let margins = margins(drawing, bounds, scale);
            let taken = Taken::of(&margins);
            let next = (
                (room.wide - taken.across).max(LEAST_SHAPES) / bounds.wide(),
                (room.high - taken.up).max(LEAST_SHAPES) / bounds.high(),
            );
            let fits = next.0 >= scale.0 * 0.999 && next.1 >= scale.1 * 0.999;
            rounds += 1;
            if fits || rounds == 8 {
                return FittedDrawing { bounds, margins, scale, is_true: even, drawn };
            }
            scale = (next.0.min(scale.0), next.1.min(scale.1));
        }
    }

    /// A place in millimetres of paper.
    pub(super) fn at(&self, (x, y): (f64, f64)) -> (f64, f64) {
        (x * self.scale.0, -y * self.scale.1)
    }

    /// How many units of the picture a millimetre of paper is: in a true drawing a unit is
    /// a millimetre of the thing.
    pub(super) fn unit(&self) -> f64 {
        if self.is_true { 1.0 / (self.scale.0 * NANOMETRES) } else { 1.0 }
    }

    /// `scale 1:4`, `not to scale`.
    pub(super) fn note(&self) -> String {
        match self.drawn {
            Some((5, 2)) => "scale 2.5:1".to_owned(),
            Some((2, 5)) => "scale 1:2.5".to_owned(),
            Some((to, one)) => format!("scale {to}:{one}"),
            None if self.is_true => "true shape".to_owned(),
            None => NOT_TO_SCALE.to_owned(),
        }
    }
}

/// The box around all shapes and what is measured along them: a size may go beyond its
/// shape.
fn with_sizes(drawing: &Drawing) -> Bounds {
    let mut bounds = drawing.bounds();
    for shape in &drawing.shapes {
        let DrawnShape::Dimension { from, to, .. } = shape else { continue };
        let (from, to) = (real(*from), real(*to));
        if from.1 == to.1 {
            bounds.left = bounds.left.min(from.0).min(to.0);
            bounds.right = bounds.right.max(from.0).max(to.0);
        } else if from.0 == to.0 {
            bounds.bottom = bounds.bottom.min(from.1).min(to.1);
            bounds.top = bounds.top.max(from.1).max(to.1);
        }
    }
    bounds
}

/// The largest usual scale that is no larger; none for what is larger than a house.
fn nearest_scale(wanted: f64) -> Option<(u32, u32)> {
    SCALES.into_iter().find(|(to, one)| f64::from(*to) / f64::from(*one) <= wanted * 1.000_001)
}

/// Where the text of a level size is: over its line, or beyond one end where the line
/// is too short for it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum TextPlace {
    Over,
    Right,
    Left,
}

impl TextPlace {
    /// For a line between two places across, `middle` being that of all shapes.
    pub(super) fn of(text: &str, from: f64, to: f64, middle: f64) -> TextPlace {
        if (to - from).abs() >= SHORT.max(text_width(text, LETTERS) + 1.0) {
            TextPlace::Over
        } else if (from + to) / 2.0 <= middle {
            TextPlace::Right
        } else {
            TextPlace::Left
        }
    }
}

/// How far a line with its text beyond one end reaches there.
pub(super) fn reach(text: &str) -> f64 {
    (text_width(text, LETTERS) + BESIDE + 0.5).max(TAIL)
}

/// The lanes of a drawing at a scale.
fn margins(drawing: &Drawing, bounds: Bounds, scale: (f64, f64)) -> Margins<'_> {
    let centre = (bounds.left + bounds.right) / 2.0 * scale.0;
    let level = |item: &Outside| {
        let (one, other) = (item.from.0 * scale.0, item.to.0 * scale.0);
        let (from, to) = (one.min(other), one.max(other));
        let half = text_width(item.text, LETTERS) / 2.0 + 1.0;
        let middle = (from + to) / 2.0;
        let taken = match TextPlace::of(item.text, from, to, centre) {
            _ if !item.is_size => (middle - half, middle + half),
            TextPlace::Over => (from - 0.5, to + 0.5),
            TextPlace::Right => (from - TAIL, to + reach(item.text) + 1.0),
            TextPlace::Left => (from - reach(item.text) - 1.0, to + TAIL),
        };
        (taken.0 / scale.0, taken.1 / scale.0)
    };
    let upright = |item: &Outside| {
        let (from, to) = (item.from.1.min(item.to.1), item.from.1.max(item.to.1));
        let is_short = item.is_size && (to - from) * scale.1 < SHORT;
        let tail = if is_short { TAIL } else { 0.5 } / scale.1;
        let half = LETTERS * 0.7 / scale.1;
        let middle = (from + to) / 2.0;
        ((from - tail).min(middle - half), (to + tail).max(middle + half))
    };
    Margins::of(drawing, bounds, level, upright)
}

/// What a strip takes: line, gap, text.
pub(super) fn strip(lane: &Lane) -> f64 {
    let wide =
        |item: &Outside| text_width(item.text, LETTERS) + if item.is_size { 4.0 } else { 1.5 };
    lane.of.iter().map(wide).fold(0.0, f64::max)
}

impl Taken {
    fn of(margins: &Margins) -> Taken {
        let strips = margins.left.iter().chain(&margins.right).map(strip);
        let gaps = |first: &[Lane], second: &[Lane]| {
            GAP * f64::from(u8::from(!first.is_empty()) + u8::from(!second.is_empty())) + 1.0
        };
        let rows = (margins.above.len() + margins.below.len()) as f64;
        Taken {
            across: strips.sum::<f64>() + gaps(&margins.left, &margins.right),
            up: rows * ROW + gaps(&margins.above, &margins.below),
        }
    }
}
