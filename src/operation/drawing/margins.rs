//! What of a drawing lies between its shapes and what beside them. Sizes and texts
//! beside them get lanes of their own, the nearest first, so that none covers another;
//! how long a text is only its viewer knows.

use super::{Drawing, DrawnShape, Material, Point};

/// The smallest box around the shapes, in nanometres.
#[derive(Clone, Copy, Debug)]
pub struct Bounds {
    /// The leftmost place.
    pub left: f64,
    /// The rightmost.
    pub right: f64,
    /// The lowest.
    pub bottom: f64,
    /// The highest.
    pub top: f64,
}

impl Bounds {
    fn around(points: impl Iterator<Item = Point>) -> Option<Bounds> {
        points.map(real).fold(None, |bounds: Option<Bounds>, (x, y)| {
            let so_far = bounds.unwrap_or(Bounds { left: x, right: x, bottom: y, top: y });
            Some(Bounds {
                left: so_far.left.min(x),
                right: so_far.right.max(x),
                bottom: so_far.bottom.min(y),
                top: so_far.top.max(y),
            })
        })
    }

    /// Never zero, so that it can be divided by.
    pub fn wide(self) -> f64 {
        (self.right - self.left).max(1.0)
    }

    /// Never zero, so that it can be divided by.
    pub fn high(self) -> f64 {
        (self.top - self.bottom).max(1.0)
    }
}

/// A point in nanometres.
pub fn real(point: Point) -> (f64, f64) {
    (point.x.nanometres() as f64, point.y.nanometres() as f64)
}

#[derive(Clone, Copy, PartialEq, Eq)]
enum Edge {
    Above,
    Below,
    Left,
    Right,
}

/// A size or a text, and where it lies in nanometres.
#[derive(Clone, Copy, Debug)]
pub struct Outside<'a> {
    /// One end; a text's own place.
    pub from: (f64, f64),
    /// The other end; a text's own place.
    pub to: (f64, f64),
    /// What it says.
    pub text: &'a str,
    /// Whether it is a size, with a line.
    pub is_size: bool,
    /// How far from the shapes.
    away: f64,
}

/// One row, or one strip, beside the shapes.
#[derive(Clone, Debug, Default)]
pub struct Lane<'a> {
    /// What stands in it.
    pub of: Vec<Outside<'a>>,
    /// What is spoken for along the lane, in nanometres.
    spans: Vec<(f64, f64)>,
}

/// Places outside items in lanes, the nearest first, side by side where they can.
fn lanes<'a>(mut items: Vec<Outside<'a>>, span: impl Fn(&Outside) -> (f64, f64)) -> Vec<Lane<'a>> {
    items.sort_by(|a, b| a.away.total_cmp(&b.away));
    let mut lanes: Vec<Lane> = Vec::new();
    for item in items {
        let (from, to) = span(&item);
        let fits = |lane: &&mut Lane| lane.spans.iter().all(|(a, b)| *b <= from || to <= *a);
        match lanes.iter_mut().find(fits) {
            Some(lane) => {
                lane.spans.push((from, to));
                lane.of.push(item);
            }
            None => lanes.push(Lane { of: vec![item], spans: vec![(from, to)] }),
        }
    }
    lanes
}

impl Drawing {
    /// The box around what is solid, or around everything where nothing is.
    pub fn bounds(&self) -> Bounds {
        let solid = self.shapes.iter().flat_map(|shape| match shape {
            DrawnShape::Polygon { points, .. } => points.clone(),
            _ => Vec::new(),
        });
        let any = self.shapes.iter().flat_map(|shape| match shape {
            DrawnShape::Polygon { points, .. } => points.clone(),
            DrawnShape::Dimension { from, to, .. } => vec![*from, *to],
            DrawnShape::Mark { from, to } => vec![*from, *to],
            DrawnShape::Label { at, .. } | DrawnShape::MeasureHere { at } => vec![*at],
        });
        let nothing = Bounds { left: 0.0, right: 0.0, bottom: 0.0, top: 0.0 };
        Bounds::around(solid).or_else(|| Bounds::around(any)).unwrap_or(nothing)
    }

    /// How wide and how high the wood is, in nanometres; no end of it where none is drawn.
    pub fn wood_extent(&self) -> (f64, f64) {
        let wood = self.shapes.iter().flat_map(|shape| match shape {
            DrawnShape::Polygon { of: Material::Wood, points } => points.clone(),
            _ => Vec::new(),
        });
        Bounds::around(wood).map_or((f64::MAX, f64::MAX), |bounds| (bounds.wide(), bounds.high()))
    }
}

/// The lanes on each side of the shapes, the nearest first, and what lies between the
/// shapes.
#[derive(Clone, Debug)]
pub struct Margins<'a> {
    /// Rows above.
    pub above: Vec<Lane<'a>>,
    /// Rows below.
    pub below: Vec<Lane<'a>>,
    /// Strips on the left.
    pub left: Vec<Lane<'a>>,
    /// Strips on the right.
    pub right: Vec<Lane<'a>>,
    /// What lies between the shapes.
    pub inside: Vec<Outside<'a>>,
}

impl<'a> Margins<'a> {
    /// Sorts a drawing's sizes and texts. `level` and `upright` say what an item takes
    /// along a row or a strip, from and to in nanometres.
    pub fn of(
        drawing: &'a Drawing,
        bounds: Bounds,
        level: impl Fn(&Outside) -> (f64, f64),
        upright: impl Fn(&Outside) -> (f64, f64),
    ) -> Margins<'a> {
        let mut sides = [const { Vec::new() }; 4];
        let mut inside = Vec::new();
        for shape in &drawing.shapes {
            let (from, to, text, is_size) = match shape {
                DrawnShape::Dimension { from, to, text } => (real(*from), real(*to), text, true),
                DrawnShape::Label { at, text } => (real(*at), real(*at), text, false),
                _ => continue,
            };
            let item = |away| Outside { from, to, text, is_size, away };
            match side_of(bounds, from, to, is_size) {
                Some((side, away)) => sides[side as usize].push(item(away)),
                None => inside.push(item(0.0)),
            }
        }
        let [above, below, left, right] = sides;
        Margins {
            above: lanes(above, &level),
            below: lanes(below, &level),
            left: lanes(left, &upright),
            right: lanes(right, &upright),
            inside,
        }
    }
}

/// On which side of the shapes a size or a text lies, and how far from them.
fn side_of(bounds: Bounds, from: (f64, f64), to: (f64, f64), is_size: bool) -> Option<(Edge, f64)> {
    let level = from.1 == to.1;
    let upright = from.0 == to.0;
    // A size along an edge is meant to stand beside it; a text there is not.
    let beyond = |away: f64| if is_size { away >= 0.0 } else { away > 0.0 };
    let sides = [
        (level, Edge::Above, from.1 - bounds.top),
        (level, Edge::Below, bounds.bottom - from.1),
        (upright, Edge::Left, bounds.left - from.0),
        (upright, Edge::Right, from.0 - bounds.right),
    ];
    sides
        .into_iter()
        .find(|(parallel, _, away)| *parallel && beyond(*away))
        .map(|(_, side, away)| (side, away))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A size along an edge stands beside it; a text on the edge does not, nor does anything
    /// between the edges.
    #[test]
    fn each_side_takes_what_lies_beyond_it() {
        let bounds = Bounds { left: 0.0, right: 100.0, bottom: 0.0, top: 60.0 };
        let side = |from: (f64, f64), to, is_size| {
            side_of(bounds, from, to, is_size).map(|(edge, away)| (edge as usize, away))
        };
        assert_eq!(side((0.0, 60.0), (9.0, 60.0), true), Some((0, 0.0)));
        assert_eq!(side((5.0, 60.0), (5.0, 60.0), false), None);
        assert_eq!(side((5.0, 62.0), (5.0, 62.0), false), Some((0, 2.0)));
        assert_eq!(side((0.0, -3.0), (9.0, -3.0), true), Some((1, 3.0)));
        assert_eq!(side((-4.0, 0.0), (-4.0, 9.0), true), Some((2, 4.0)));
        assert_eq!(side((105.0, 0.0), (105.0, 9.0), true), Some((3, 5.0)));
        assert_eq!(side((0.0, 30.0), (9.0, 30.0), true), None);
        assert_eq!(side((110.0, 70.0), (120.0, 80.0), true), None);
    }
}
