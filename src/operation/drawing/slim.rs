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

#[cfg(test)]
mod tests {
    use super::super::Scale;
    use super::*;

    /// A point in 64ths of an inch.
    fn at(x: i64, y: i64) -> Point {
        Point::new(Length::inch_fraction(x, 64), Length::inch_fraction(y, 64))
    }

    /// A piece 16 by 5, one in 16 across and one in 5 up: what holds or cuts it keeps one
    /// unit beside it, on the side toward it.
    #[test]
    fn what_only_holds_or_cuts_is_made_thin() {
        let solid = [
            (Material::Fence, at(0, -3), at(16, 0), at(0, -1), at(16, 0)),
            (Material::Cutter, at(6, 5), at(8, 9), at(6, 5), at(8, 6)),
            (Material::Fence, at(-4, 0), at(0, 8), at(-1, 0), at(0, 6)),
            (Material::Fence, at(16, 0), at(20, 5), at(16, 0), at(17, 5)),
            (Material::Cutter, at(8, -3), at(9, 9), at(8, -1), at(9, 6)),
            (Material::Cutter, at(-5, 1), at(25, 2), at(-1, 1), at(17, 2)),
            (Material::Fence, at(-9, -9), at(-5, -5), at(-6, -6), at(-5, -5)),
            (Material::Fence, at(20, 9), at(29, 19), at(20, 9), at(21, 10)),
        ];
        for (of, from, to, thin_from, thin_to) in solid {
            let piece = || Drawing::new("", Scale::Even).block(Material::Wood, at(0, 0), at(16, 5));
            let thin = slimmed(&piece().block(of, from, to), 16, 5);
            assert_eq!(thin, piece().block(of, thin_from, thin_to), "{from:?} {to:?}");
        }
    }

    /// A text above or below everything comes in as far as what it names; one beside it
    /// stays, and so do wood and flaws.
    #[test]
    fn texts_follow_what_was_made_thin() {
        let drawing = |far: i64, text: i64| {
            Drawing::new("", Scale::Even)
                .block(Material::Wood, at(0, 0), at(16, 5))
                .block(Material::Fence, at(far, 0), at(0, 5))
                .block(Material::Flaw, at(3, 1), at(5, 2))
                .label(at(text, 7), "stop")
                .label(at(text, -1), "stop")
                .label(at(-4, 3), "stop")
        };
        assert_eq!(slimmed(&drawing(-4, -4), 16, 5), drawing(-1, -1));
        // Without a piece nothing says what is thick.
        let alone = Drawing::new("", Scale::Even).block(Material::Fence, at(0, 0), at(9, 9));
        assert_eq!(slimmed(&alone, 16, 5), alone);
    }

    /// A gauge in the middle of a size is put across it, one at its end along it; 0.002
    /// to the side is still the middle.
    #[test]
    fn a_gauge_belongs_to_the_size_it_stands_at() {
        let drawing = Drawing::new("", Scale::Even)
            .block(Material::Wood, at(0, 0), at(16, 6))
            .dimension(at(0, -2), at(16, -2), "1/4")
            .dimension(at(18, 0), at(18, 6), "3/32");
        let ends = |x, y| measured_ends(&drawing, at(x, y));
        assert_eq!(ends(8, 3), Some((at(0, 3), at(16, 3))));
        assert_eq!(ends(3, 6), Some((at(3, 0), at(3, 6))));
        assert_eq!(ends(3, 0), Some((at(3, 0), at(3, 6))));
        assert_eq!(ends(3, 3), None);
        let beside = |thousandths| {
            let off = Point::new(at(8, 3).x + Length::thousandths(thousandths), at(8, 3).y);
            measured_ends(&drawing, off).is_some()
        };
        assert!(beside(2) && beside(-2) && !beside(3) && !beside(-3));
    }

    /// Only boxes are made thin: a tilted blade and a step of two blocks stay as they are.
    #[test]
    fn what_is_no_box_keeps_its_shape() {
        let with = |corners: &[(i64, i64)]| {
            let mut drawing =
                Drawing::new("", Scale::Even).block(Material::Wood, at(0, 0), at(16, 5));
            let points = corners.iter().map(|(x, y)| at(*x, *y)).collect();
            drawing.shapes.push(DrawnShape::Polygon { of: Material::Cutter, points });
            drawing
        };
        let blade = with(&[(6, -4), (8, -4), (12, 9), (10, 9)]);
        let step = with(&[(0, 5), (4, 5), (4, 9), (2, 9), (2, 12), (0, 12)]);
        let wedge = with(&[(0, 5), (4, 5), (4, 9)]);
        for drawing in [blade, step, wedge] {
            assert_eq!(slimmed(&drawing, 16, 5), drawing);
        }
    }
}
