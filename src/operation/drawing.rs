//! A drawing of a cut as data: shapes, dimension lines and labels in real
//! lengths. Knows nothing of cells, pixels or paper: whoever shows it scales it.

use crate::measure::Length;

/// A place on the drawing, x to the right and y upward.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Point {
    pub x: Length,
    pub y: Length,
}

impl Point {
    pub const fn new(x: Length, y: Length) -> Point {
        Point { x, y }
    }
}

/// What a shape is made of; how that looks is the viewer's choice.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Material {
    /// The piece that is kept.
    Wood,
    /// What the cut takes away.
    Waste,
    /// Blade, knives, belt or bit.
    Cutter,
    /// Fence, stop or table: what the wood is held against.
    Fence,
    /// A knot or a split.
    Flaw,
}

/// Whether both axes share one scale.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Scale {
    /// True shape: end views, small sections.
    Even,
    /// Each axis fills the room it has: long thin pieces.
    Stretched,
}

#[derive(Clone, Debug, PartialEq, Eq)]
pub enum DrawnShape {
    /// An axis-parallel or slanted area.
    Polygon { of: Material, points: Vec<Point> },
    /// A line with arrow heads between two points and a text on it.
    Dimension { from: Point, to: Point, text: String },
    /// A short text centred on a point (`face up`, `A`).
    Label { at: Point, text: String },
    /// A line drawn on the wood, level or upright.
    Mark { from: Point, to: Point },
    /// Where to put the gauge.
    MeasureHere { at: Point },
}

/// The drawing of one cut, and the caption that says from where it is seen.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Drawing {
    /// `from above`, `end view`.
    pub seen: String,
    pub scale: Scale,
    pub shapes: Vec<DrawnShape>,
}

impl Drawing {
    pub fn new(seen: &str, scale: Scale) -> Drawing {
        Drawing { seen: seen.to_owned(), scale, shapes: Vec::new() }
    }

    /// Adds an axis-parallel rectangle with `from` and `to` at opposite corners.
    #[must_use]
    pub fn block(mut self, of: Material, from: Point, to: Point) -> Drawing {
        let points = vec![from, Point::new(to.x, from.y), to, Point::new(from.x, to.y)];
        self.shapes.push(DrawnShape::Polygon { of, points });
        self
    }

    #[must_use]
    pub fn dimension(mut self, from: Point, to: Point, text: impl Into<String>) -> Drawing {
        self.shapes.push(DrawnShape::Dimension { from, to, text: text.into() });
        self
    }

    #[must_use]
    pub fn label(mut self, at: Point, text: impl Into<String>) -> Drawing {
        self.shapes.push(DrawnShape::Label { at, text: text.into() });
        self
    }

    #[must_use]
    pub fn mark(mut self, from: Point, to: Point) -> Drawing {
        self.shapes.push(DrawnShape::Mark { from, to });
        self
    }

    #[must_use]
    pub fn measure_here(mut self, at: Point) -> Drawing {
        self.shapes.push(DrawnShape::MeasureHere { at });
        self
    }
}
