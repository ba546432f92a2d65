//! The leg on its sled, from above and from the foot.

use super::super::drawing::{Drawing, DrawnShape, Material, Point, Scale};
use super::super::work::Work;
use super::{Taper, TaperCut, Tapered, face};
use crate::measure::Length;

impl Taper {
    /// The leg along the sled's fence, as the first cut leaves it.
    pub(super) fn draw(&self, work: &Work<'_>, cut: TaperCut) -> Drawing {
        let p = Point::new;
        let zero = Length::ZERO;
        let end = cut.start + cut.run;
        let foot = cut.section - cut.sawn;
        let gap = cut.section / 4;
        let slanted = |of, points: Vec<Point>| DrawnShape::Polygon { of, points };
        let mut drawing = Drawing::new("from above, first cut", Scale::Stretched).block(
            Material::Fence,
            p(zero, -gap),
            p(end, zero),
        );
        drawing.shapes.push(slanted(
            Material::Wood,
            vec![
                p(zero, zero),
                p(end, zero),
                p(end, foot),
                p(cut.start, cut.section),
                p(zero, cut.section),
            ],
        ));
        drawing.shapes.push(slanted(
            Material::Waste,
            vec![p(cut.start, cut.section), p(end, foot), p(end, cut.section)],
        ));
        drawing
            .dimension(
                p(zero, cut.section + gap),
                p(cut.start, cut.section + gap),
                work.words(cut.start),
            )
            .dimension(
                p(cut.start, cut.section + gap),
                p(end, cut.section + gap),
                work.words(cut.run),
            )
            .dimension(p(end + cut.run / 12, zero), p(end + cut.run / 12, foot), work.words(foot))
            .label(p(cut.start / 2, cut.section / 2), "top")
            .measure_here(p(end - Length::INCH / 2, foot / 2))
    }

    /// The leg as it is turned for a cut, seen from the foot: an outside face at
    /// the fence, and no tapered face there or below sooner than it must be.
    pub(super) fn turned(&self, work: &Work<'_>, turn: usize, cut: TaperCut) -> Drawing {
        let p = Point::new;
        let zero = Length::ZERO;
        let size = cut.section;
        let kept = size - cut.sawn;
        let kerf = work.drawn_kerf().max(size / 16);
        let gap = size / 4;
        let shim = if turn >= 2 { ", with the shim" } else { "" };
        let seen = format!("from the foot: {} cut{shim}", face(turn, 2));
        let mortised = |face: &str| {
            let inside = self.faces != Tapered::Four && matches!(face, "C" | "D");
            if inside { format!("{face} mortise") } else { face.to_owned() }
        };
        Drawing::new(&seen, Scale::Even)
            .block(Material::Fence, p(-gap, zero), p(zero, size))
            .block(Material::Fence, p(-gap, -gap), p(kept, zero))
            .block(Material::Wood, p(zero, zero), p(kept, size))
            .block(Material::Waste, p(kept, zero), p(size, size))
            .block(Material::Cutter, p(kept, -gap), p(kept + kerf, size + gap))
            .label(p(gap / 2, size / 2), face(turn, 0))
            .label(p(kept / 2, size - gap / 2), mortised(face(turn, 1)))
            .label(p(kept / 2, gap / 2), mortised(face(turn, 3)))
            .label(p(size + gap, size / 2), mortised(face(turn, 2)))
            .dimension(p(kept, size + gap * 2), p(size, size + gap * 2), work.words(cut.sawn))
    }
}
