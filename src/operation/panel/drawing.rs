//! The panel in its clamps, from above.

use super::super::drawing::{Drawing, Material, Point, Scale};
use super::super::work::Work;
use super::{Glued, Lay, Panel};
use crate::measure::Length;

impl Panel {
    pub(super) fn draw(&self, work: &Work<'_>, lay: &Lay) -> Drawing {
        let across = lay.across().max(Length::thousandths(1));
        let joint = lay.joint.unwrap_or(across * 2);
        let shown = lay.pieces.min(12);
        let column = joint / 8;
        let p = Point::new;
        let zero = Length::ZERO;
        let jaw = across / 8;
        let mut drawing = Drawing::new("from above", Scale::Stretched);
        for n in 0..lay.clamps().unwrap_or(3).min(9) {
            let clamps = lay.clamps().unwrap_or(3).min(9);
            let x = joint * (2 * n + 1) / (2 * clamps);
            drawing = drawing
                .block(Material::Fence, p(x - joint / 60, -jaw), p(x + joint / 60, zero))
                .block(Material::Fence, p(x - joint / 60, across), p(x + joint / 60, across + jaw));
        }
        for n in 0..shown {
            let (low, high) = (across * n / shown, across * (n + 1) / shown);
            drawing = match self.pattern {
                // Every second square, and the other half the row after.
                Glued::Checkered { .. } => (0..4).fold(drawing, |drawing, square| {
                    let from = column * (2 * square + n % 2);
                    drawing.block(Material::Wood, p(from, low), p(from + column, high))
                }),
                Glued::Striped { .. } if n % 2 == 1 => drawing,
                _ => drawing.block(Material::Wood, p(zero, low), p(joint, high)),
            };
        }
        let end = joint + joint / 20;
        drawing
            .dimension(p(end, zero), p(end, across), work.words(lay.across()))
            .label(p(joint / 2, across + jaw * 2), "clamps")
            .measure_here(p(joint / 2, across))
    }
}
