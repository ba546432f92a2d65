//! A drawing made ready for little room: what only holds or cuts is made thin, so
//! that the wood keeps the room, and a measured size gets a mark at both ends.

use super::{Drawing, DrawnShape, Material, Point};
use crate::measure::Length;

/// A box in real lengths.
#[derive(Clone, Copy)]
struct DrawnBox {
    left: Length,
    right: Length,
    bottom: Length,
    top: Length,
}

impl DrawnBox {
    fn around(points: &[Point]) -> Option<DrawnBox> {
        let first = points.first()?;
        let start = DrawnBox { left: first.x, right: first.x, bottom: first.y, top: first.y };
        Some(points.iter().fold(start, |held, point| DrawnBox {
            left: held.left.min(point.x),
            right: held.right.max(point.x),
            bottom: held.bottom.min(point.y),
            top: held.top.max(point.y),
        }))
    }

    fn join(self, other: DrawnBox) -> DrawnBox {
        DrawnBox {
            left: self.left.min(other.left),
            right: self.right.max(other.right),
            bottom: self.bottom.min(other.bottom),
            top: self.top.max(other.top),
        }
    }

    fn corners(self) -> Vec<Point> {
        let DrawnBox { left, right, bottom, top } = self;
        vec![
            Point::new(left, bottom),
            Point::new(right, bottom),
            Point::new(right, top),
            Point::new(left, top),
        ]
    }
}

/// Whether the corners are those of a box.
fn is_box(points: &[Point]) -> bool {
    points.len() == 4
        && points.iter().zip(points.iter().cycle().skip(1)).all(|(a, b)| a.x == b.x || a.y == b.y)
}

/// The box around the piece, with what is cut away from it.
fn piece_of(drawing: &Drawing) -> Option<DrawnBox> {
    let boxes = drawing.shapes.iter().filter_map(|shape| match shape {
        DrawnShape::Polygon { of: Material::Wood | Material::Waste, points } => {
            DrawnBox::around(points)
        }
        _ => None,
    });
    boxes.reduce(DrawnBox::join)
}

/// The drawing with fence, table and cutter no thicker, where they stand beside the
/// piece, than this fraction of its width and of its height: one in so many.
pub fn slimmed(drawing: &Drawing, across: i64, up: i64) -> Drawing {
    let Some(piece) = piece_of(drawing) else { return drawing.clone() };
    let high = (piece.top - piece.bottom) / up.max(1);
    let wide = (piece.right - piece.left) / across.max(1);
    let slim = |held: DrawnBox| {
        let mut is = held;
        // Of what stands above or below only the side toward the piece is kept.
        if held.bottom >= piece.top {
            is.top = held.top.min(held.bottom + high);
        } else if held.top <= piece.bottom {
            is.bottom = held.bottom.max(held.top - high);
        } else {
            is.top = held.top.min(piece.top + high);
            is.bottom = held.bottom.max(piece.bottom - high);
        }
        if held.left >= piece.right {
            is.right = held.right.min(held.left + wide);
        } else if held.right <= piece.left {
            is.left = held.left.max(held.right - wide);
        } else {
            is.right = held.right.min(piece.right + wide);
            is.left = held.left.max(piece.left - wide);
        }
        is
    };
    let mut shapes: Vec<DrawnShape> = drawing
        .shapes
        .iter()
        .map(|shape| match shape {
            DrawnShape::Polygon { of: of @ (Material::Fence | Material::Cutter), points }
                if is_box(points) =>
            {
                let thin = DrawnBox::around(points).map(slim);
                let points = thin.map_or_else(|| points.clone(), DrawnBox::corners);
                DrawnShape::Polygon { of: *of, points }
            }
            other => other.clone(),
        })
        .collect();
    let all = shapes.iter().filter_map(|shape| match shape {
        DrawnShape::Polygon { points, .. } => DrawnBox::around(points),
        _ => None,
    });
    // A text stands over what it names, not where that was thick.
    if let Some(all) = all.reduce(DrawnBox::join) {
        for shape in &mut shapes {
            if let DrawnShape::Label { at, .. } = shape
                && (at.y > all.top || at.y < all.bottom)
            {
                at.x = at.x.max(all.left).min(all.right);
            }
        }
    }
    Drawing { shapes, ..drawing.clone() }
}

/// The two ends of what is measured at a place, where a size of the drawing
/// says: across it when the place is in its middle, along it when at its end.
pub fn measured_ends(drawing: &Drawing, at: Point) -> Option<(Point, Point)> {
    let near = |a: Length, b: Length| (a - b).abs() <= Length::thousandths(2);
    drawing.shapes.iter().find_map(|shape| {
        let DrawnShape::Dimension { from, to, .. } = shape else { return None };
        if from.x == to.x && (near(at.y, from.y) || near(at.y, to.y)) {
            return Some((Point::new(at.x, from.y), Point::new(at.x, to.y)));
        }
        let is_middle = near((from.x + to.x) / 2, at.x);
        (from.y == to.y && is_middle).then(|| (Point::new(from.x, at.y), Point::new(to.x, at.y)))
    })
}
