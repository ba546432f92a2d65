//! The drawings of a tenon: lying over the cutter, and on end in a jig.

use super::super::drawing::{Drawing, DrawnShape, Material, Point, Scale};
use super::super::words;
use super::super::work::Work;
use super::TenonCut;
use crate::measure::Length;

/// A cut in the piece as it lies.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Lying {
    /// The whole face cheek.
    FaceCheek,
    /// The whole back cheek, when the face cheek is gone.
    BackCheek,
    /// One cut at the shoulder of the face.
    FaceShoulder,
    /// One cut at the shoulder of the back, when the face has its own.
    BackShoulder,
}

/// From the side, the piece lying: its end to the stop, the shoulder at zero.
pub(super) fn lying(work: &Work<'_>, joint: TenonCut, cut: Lying) -> Drawing {
    let p = Point::new;
    let zero = Length::ZERO;
    let TenonCut { thick, face, back, long, stock } = joint;
    let (seen, down, height, above) = match cut {
        Lying::FaceCheek => ("from the side, face down", "face down", face, zero),
        Lying::BackCheek => ("from the side, back down", "back down", back, face),
        Lying::FaceShoulder => ("from the side, flat, face down", "face down", face, zero),
        Lying::BackShoulder => ("from the side, flat, back down", "back down", back, face),
    };
    let is_whole = matches!(cut, Lying::FaceCheek | Lying::BackCheek);
    let body = -long.max(stock);
    let gap = stock / 5;
    let kerf = work.drawn_kerf().max(long / 12).min(long);
    let height = height.max(gap / 4);
    // What the cut before took from the side that is up now.
    let cut_away = if is_whole { long } else { kerf };
    let mut wood = vec![p(body, zero), p(body, stock), p(zero, stock)];
    if above > zero {
        wood.extend([p(zero, stock - above), p(cut_away, stock - above)]);
    }
    if !is_whole && above > zero {
        wood.extend([p(cut_away, stock), p(long, stock)]);
    } else {
        wood.push(p(long, stock - above));
    }
    wood.push(p(long, zero));
    let mut drawing = Drawing::new(seen, Scale::Even)
        .block(Material::Fence, p(body, -gap), p(long + gap, zero))
        .block(Material::Fence, p(long, zero), p(long + gap, stock));
    drawing.shapes.push(DrawnShape::Polygon { of: Material::Wood, points: wood });
    if is_whole {
        drawing = drawing.block(Material::Waste, p(zero, zero), p(long, height));
    } else {
        drawing = drawing.mark(p(zero, height), p(long, height));
    }
    let tenon = height + thick;
    let drawing = drawing
        .block(Material::Cutter, p(zero, -gap), p(kerf, height))
        .label(p(long + gap, stock + gap), "stop")
        .label(p(body / 2, stock / 2), down)
        .dimension(p(zero, -gap * 2), p(long, -gap * 2), work.words(long))
        .dimension(p(body / 4, zero), p(body / 4, height), words::decimal(height, work.unit));
    if cut != Lying::BackCheek {
        return drawing;
    }
    drawing
        .dimension(p(long / 2, height), p(long / 2, tenon), words::decimal(thick, work.unit))
        .measure_here(p(long / 2, (height + tenon) / 2))
}

/// Along the jig, the piece on end with its face to it: the shoulders are cut,
/// and the back cheek comes off first.
pub(super) fn on_end(work: &Work<'_>, joint: TenonCut, height: Length) -> Drawing {
    let p = Point::new;
    let zero = Length::ZERO;
    let TenonCut { thick, face, long, stock, .. } = joint;
    let gap = stock / 5;
    let kerf = work.drawn_kerf().max(stock / 16);
    let near = face + thick;
    let top = long + stock;
    let side = stock / 2;
    // The shoulder cuts are open: the cheeks end a kerf below the shoulders.
    let cheek = (long - kerf).max(zero);
    Drawing::new("along the jig, on end", Scale::Even)
        .block(Material::Fence, p(-side, -gap), p(stock + side, zero))
        .block(Material::Fence, p(-side, zero), p(zero, top))
        .block(Material::Wood, p(zero, long), p(stock, top))
        .block(Material::Wood, p(zero, zero), p(face, cheek))
        .block(Material::Wood, p(face, zero), p(near, long))
        .block(Material::Waste, p(near, zero), p(stock, cheek))
        .block(Material::Cutter, p(near, -gap), p(near + kerf, height))
        .mark(p(face, zero), p(face, height))
        .label(p(-side / 2, top + gap), "jig")
        .label(p(stock / 2, long + stock / 2), "on end")
        .dimension(p(zero, top + gap), p(near, top + gap), words::decimal(near, work.unit))
        .dimension(p(stock + gap, zero), p(stock + gap, height), words::decimal(height, work.unit))
        .measure_here(p(face + thick / 2, long / 2))
}
