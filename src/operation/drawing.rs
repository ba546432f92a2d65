//! A drawing of a cut as data: shapes, dimension lines and labels in real
//! lengths. Whoever shows it scales it.

mod margins;
mod slim;

pub use margins::{Bounds, Lane, Margins, Outside, real};
pub use slim::{measured_ends, slimmed};

use crate::measure::Length;

/// A place on the drawing, x to the right and y upward.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Point {
    /// To the right.
    pub x: Length,
    /// Upward.
    pub y: Length,
}

impl Point {
    /// A place at `x` and `y`.
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

/// One shape of a drawing; a later shape covers an earlier one.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum DrawnShape {
    /// An axis-parallel or slanted area.
    Polygon {
        /// What it is made of.
        of: Material,
        /// Its corners in order; the last joins the first.
        points: Vec<Point>,
    },
    /// A line with arrow heads between two points and a text on it.
    Dimension {
        /// One end.
        from: Point,
        /// The other end.
        to: Point,
        /// The length as it is written on the line.
        text: String,
    },
    /// A short text centred on a point (`face up`, `A`).
    Label {
        /// Its middle.
        at: Point,
        /// What it says.
        text: String,
    },
    /// A line drawn on the wood, level or upright.
    Mark {
        /// One end.
        from: Point,
        /// The other end.
        to: Point,
    },
    /// Where to put the gauge.
    MeasureHere {
        /// The place.
        at: Point,
    },
}

/// The drawing of one cut, and the caption that says from where it is seen.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Drawing {
    /// `from above`, `end view`.
    pub seen: String,
    /// Whether both axes share one scale.
    pub scale: Scale,
    /// What is drawn, the lowest first.
    pub shapes: Vec<DrawnShape>,
}

impl Drawing {
    /// A drawing without shapes yet; `seen` is its caption.
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

    /// Adds a dimension line with a text on it.
    #[must_use]
    pub fn dimension(mut self, from: Point, to: Point, text: impl Into<String>) -> Drawing {
        self.shapes.push(DrawnShape::Dimension { from, to, text: text.into() });
        self
    }

    /// Adds a text centred on a point.
    #[must_use]
    pub fn label(mut self, at: Point, text: impl Into<String>) -> Drawing {
        self.shapes.push(DrawnShape::Label { at, text: text.into() });
        self
    }

    /// Adds a line drawn on the wood.
    #[must_use]
    pub fn mark(mut self, from: Point, to: Point) -> Drawing {
        self.shapes.push(DrawnShape::Mark { from, to });
        self
    }

    /// Adds the place to put the gauge.
    #[must_use]
    pub fn measure_here(mut self, at: Point) -> Drawing {
        self.shapes.push(DrawnShape::MeasureHere { at });
        self
    }
}
