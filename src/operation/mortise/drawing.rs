//! The mortise in section, and the piece once more as it lies when it is turned to
//! its neighbouring face.

use super::super::drawing::{Drawing, DrawnShape, Material, Point, Scale};
use super::super::hole::{Hole, Into};
use super::super::work::Work;
use super::Mortise;
use crate::measure::Length;

impl Mortise {
    /// Each of two neighbouring faces comes up in turn, its own outside face against
    /// the fence and the other one on the table: the first mortise is then in the side
    /// away from the fence, as far above the table as it was from the fence.
    pub(super) fn draw(&self, work: &Work<'_>, hole: Hole, tool: &str) -> Drawing {
        let across = work.blank.most(self.keys.into.unwrap_or(Into::Edge).across());
        let (Some(across), true) = (across, self.keys.adjacent) else {
            return hole.draw(work, "", tool);
        };
        let high = work.blank.most(hole.into.deep()).unwrap_or(hole.deep * 2);
        let section = Section { hole, across, high };
        let turned = across + across * 2 / 3;
        let mut drawing = Drawing::new("end views", Scale::Even);
        drawing = section.add(drawing, Length::ZERO, false);
        drawing = section.add(drawing, turned, true);
        let gap = high / 6;
        let p = Point::new;
        let far = hole.near + hole.wide;
        drawing
            .label(p(far + across / 5, high + gap), tool)
            .label(p(-across / 10, high + gap), "fence")
            .label(p(turned + across / 2, -gap * 2), "turned")
            .dimension(p(Length::ZERO, -gap * 2), p(hole.near, -gap * 2), work.words(hole.near))
    }
}

/// A piece of two neighbouring mortises, from its end.
struct Section {
    hole: Hole,
    across: Length,
    high: Length,
}

impl Section {
    /// The piece `x` from the left, with the other mortise in it or still whole.
    fn add(&self, drawing: Drawing, x: Length, is_turned: bool) -> Drawing {
        let Section { hole, across, high } = *self;
        let p = |along: Length, up: Length| Point::new(x + along, up);
        let far = hole.near + hole.wide;
        let bottom = (high - hole.deep).max(Length::ZERO);
        let mut corners = vec![p(Length::ZERO, Length::ZERO), p(across, Length::ZERO)];
        if is_turned {
            let inside = (across - hole.deep).max(Length::ZERO);
            corners.extend([
                p(across, hole.near),
                p(inside, hole.near),
                p(inside, far),
                p(across, far),
            ]);
        }
        corners.extend([p(across, high), p(Length::ZERO, high)]);
        let mut drawing = drawing
            .block(Material::Fence, p(-across / 5, Length::ZERO), p(Length::ZERO, high))
            .block(Material::Fence, p(-across / 5, -high / 10), p(across, Length::ZERO));
        drawing.shapes.push(DrawnShape::Polygon { of: Material::Wood, points: corners });
        drawing.block(Material::Waste, p(hole.near, bottom), p(far, high)).block(
            Material::Cutter,
            p(hole.near, high),
            p(far, high + high / 3),
        )
    }
}
