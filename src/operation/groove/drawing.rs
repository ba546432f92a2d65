//! The section of a groove, dado or rabbet, the face it is cut into down.

use super::super::drawing::{Drawing, DrawnShape, Material, Point, Scale};
use super::super::feature::LENGTH;
use super::super::work::Work;
use super::{Groove, GrooveCut, GrooveSizes};
use crate::measure::Length;

impl Groove {
    pub(super) fn draw(&self, work: &Work<'_>, numbers: &GrooveSizes) -> Drawing {
        let p = Point::new;
        let zero = Length::ZERO;
        let thick =
            work.blank.most(self.into().deep()).unwrap_or(numbers.depth * 2).max(numbers.depth);
        let across = if self.cut == GrooveCut::Dado { LENGTH } else { self.into().across() };
        let near = numbers.from_edge.max(zero);
        let far = near + numbers.width.max(Length::thousandths(1));
        // Far from the groove there is nothing to see.
        let shown = far + thick * 2;
        let wide = work.blank.most(across).unwrap_or(shown).min(shown).max(far);
        let fence = thick / 3;
        let first = near + numbers.cutter.unwrap_or(numbers.width).min(far - near);
        let held = if self.cut == GrooveCut::Dado { "stop" } else { "fence" };
        let mut section =
            vec![p(zero, numbers.depth), p(zero, thick), p(wide, thick), p(wide, zero)];
        section.extend([p(far, zero), p(far, numbers.depth)]);
        if near > zero {
            section.extend([p(near, numbers.depth), p(near, zero), p(zero, zero)]);
        }
        let mut drawing = Drawing::new(&format!("end view, {}", self.down()), Scale::Even)
            .block(Material::Fence, p(-fence, zero), p(zero, thick + fence))
            .block(Material::Fence, p(-fence, -fence), p(near, zero))
            .block(Material::Fence, p(far, -fence), p(wide + fence, zero))
            .block(Material::Cutter, p(near, -fence), p(first, numbers.depth));
        drawing.shapes.push(DrawnShape::Polygon { of: Material::Wood, points: section });
        if near > zero {
            drawing = drawing.dimension(p(zero, -fence * 2), p(near, -fence * 2), work.words(near));
        }
        drawing
            .label(p(-fence, thick + fence * 2), held)
            .dimension(p(near, thick + fence), p(far, thick + fence), work.words(numbers.width))
            .dimension(
                p(wide + fence * 2, zero),
                p(wide + fence * 2, numbers.depth),
                work.words(numbers.depth),
            )
            .measure_here(p((near + far) / 2, numbers.depth))
    }
}
