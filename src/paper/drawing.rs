//! A drawing of a cut as SVG, in the manner of workshop drawings: sizes outside the
//! shapes on extension lines, arrow heads, the text above the line.
//!
//! What a thing is made of shows without colour: wood is white with a strong outline,
//! waste is hatched, the cutter is black, fence and table are grey, a flaw is crossed
//! both ways. In an even drawing a unit of the picture is a real millimetre, so that it
//! can be measured; a stretched one says that it is not to scale.

mod fitted;
mod hatch;
mod pen;

use maud::{Markup, html};

use self::fitted::{FittedDrawing, NOT_TO_SCALE};
use self::pen::PaperPen;
use super::ink::number;
use crate::operation::drawing::{Drawing, DrawnShape, measured_ends, real, slimmed};

/// Fence, table and cutter keep this share of the piece's size beside it, one in so many.
const SLIM: i64 = 7;

/// How much of a sheet a drawing may take, in millimetres.
#[derive(Clone, Copy, Debug)]
pub struct SheetRoom {
    /// Across.
    pub wide: f64,
    /// Up.
    pub high: f64,
}

/// What a drawing may take beyond its room before a page makes it smaller, which its scale
/// would not say.
const BEYOND: f64 = 4.0;
/// How often a drawing is tried narrower.
const TRIES: usize = 6;

/// The drawing with its caption below it; nothing where nothing is drawn.
pub fn figure(drawing: &Drawing, room: SheetRoom) -> Option<Markup> {
    if drawing.shapes.is_empty() {
        return None;
    }
    let thin = slimmed(drawing, SLIM, SLIM);
    let mut drawn = DrawnSheet::new(&thin, room);
    let mut narrower = room;
    for _ in 0..TRIES {
        // Texts beyond the shapes count only once they are placed.
        let beyond = drawn.wide - room.wide - BEYOND;
        if beyond <= 0.0 {
            break;
        }
        narrower.wide = (narrower.wide - beyond).max(room.wide / 4.0);
        drawn = DrawnSheet::new(&thin, narrower);
    }
    let is_whole = drawn.wide <= room.wide + BEYOND;
    let note = if is_whole { drawn.note.as_str() } else { NOT_TO_SCALE };
    Some(html! {
        figure.drawing {
            (drawn.svg)
            figcaption { (drawing.seen) @if !drawing.seen.is_empty() { ", " } (note) }
        }
    })
}

/// A drawing on its part of a sheet.
struct DrawnSheet {
    svg: Markup,
    /// What it takes across, texts and all.
    wide: f64,
    /// Its scale in words.
    note: String,
}

/// What it shows, for whoever hears the page read.
fn spoken(drawing: &Drawing) -> String {
    let texts = drawing.shapes.iter().filter_map(|shape| match shape {
        DrawnShape::Dimension { text, .. } if !text.is_empty() => Some(text.as_str()),
        DrawnShape::Label { text, .. } if !text.is_empty() => Some(text.as_str()),
        _ => None,
    });
    let texts: Vec<&str> = texts.collect();
    format!("Drawing, {}: {}", drawing.seen, texts.join("; "))
}

impl DrawnSheet {
    fn new(drawing: &Drawing, room: SheetRoom) -> DrawnSheet {
        let fitted = FittedDrawing::new(drawing, room);
        let mut pen = PaperPen::new(&fitted);
        for shape in &drawing.shapes {
            if let DrawnShape::Polygon { of, points } = shape {
                let corners: Vec<_> = points.iter().map(|point| fitted.at(real(*point))).collect();
                pen.polygon(*of, &corners);
            }
        }
        for shape in &drawing.shapes {
            match shape {
                DrawnShape::Mark { from, to } => {
                    pen.mark(fitted.at(real(*from)), fitted.at(real(*to)));
                }
                DrawnShape::MeasureHere { at } => {
                    let place = fitted.at(real(*at));
                    let ends = measured_ends(drawing, *at);
                    let ends = ends.map(|(from, to)| (fitted.at(real(from)), fitted.at(real(to))));
                    pen.measure_here(place, ends);
                }
                _ => {}
            }
        }
        pen.write_beside(drawing);
        pen.write_inside();
        let page = pen.extent();
        let unit = fitted.unit();
        let view = [page.left, page.top, page.wide(), page.high()].map(|mm| number(mm * unit));
        let svg = html! {
            svg xmlns="http://www.w3.org/2000/svg" role="img"
                width={ (number(page.wide())) "mm" } height={ (number(page.high())) "mm" }
                viewBox=(view.join(" ")) {
                title { (spoken(drawing)) }
                (pen.ink())
            }
        };
        DrawnSheet { svg, wide: page.wide(), note: fitted.note() }
    }
}

#[cfg(test)]
mod tests;
