//! A board from above, with what is cut from it, as a drawing in real lengths.
//! Knows nothing of cells and of what the pieces are called.

use super::board::{RackBoard, Stretch};
use super::sawn::Sawn;
use crate::measure::Length;
use crate::operation::drawing::{Drawing, Material, Point, Scale};

/// Gaps up to this are sawdust and drawn as none.
const DUST: Length = Length::from_nanometres(Length::INCH.nanometres() / 2);

/// A board with its marked end at the left and its marked edge at the bottom.
/// What a cut turns to dust is drawn with the wood before it.
/// `named` says what a blank is called, by its section and its place in it.
pub fn drawing(
    board: &RackBoard,
    sawn: Option<&Sawn>,
    named: impl Fn(usize, usize) -> String,
) -> Drawing {
    let across = Stretch { from: Length::ZERO, to: board.width };
    let whole = Stretch { from: Length::ZERO, to: board.length };
    let mut drawing = Drawing::new("from above, the marked end at the left", Scale::Stretched);
    let block = |drawing: Drawing, of, along: Stretch, across: Stretch| {
        let (near, far) = (Point::new(along.from, across.from), Point::new(along.to, across.to));
        drawing.block(of, near, far)
    };
    let label = |drawing: Drawing, along: Stretch, across: Stretch, text: String| {
        let middle = |of: Stretch| (of.from + of.to) / 2;
        drawing.label(Point::new(middle(along), middle(across)), text)
    };
    let Some(sawn) = sawn else {
        drawing = block(drawing, Material::Wood, whole, across);
        return flaws(drawing, board);
    };
    let mut end = Length::ZERO;
    let sections = sawn.sections.iter().map(|section| section.along);
    let until_the_end = Stretch { from: board.length, to: board.length };
    for along in sections.chain([until_the_end]) {
        let mut from = end;
        for rest in sawn.left.iter().filter(|rest| end <= rest.from && rest.to <= along.from) {
            if rest.from - from > DUST {
                drawing = block(drawing, Material::Waste, Stretch { from, to: rest.from }, across);
            }
            drawing = block(drawing, Material::Wood, *rest, across);
            drawing = label(drawing, *rest, across, "rest, keep".to_owned());
            from = rest.to;
        }
        if along.from - from > DUST {
            drawing = block(drawing, Material::Waste, Stretch { from, to: along.from }, across);
        }
        end = along.to;
    }
    for (at, section) in sawn.sections.iter().enumerate() {
        let mut strips: Vec<Stretch> = section.blanks.iter().map(|blank| blank.across).collect();
        strips.sort_by_key(|strip| (strip.from, strip.to));
        strips.dedup();
        let mut near = Length::ZERO;
        for (place, strip) in strips.iter().enumerate() {
            if strip.from - near > DUST {
                let gap = Stretch { from: near, to: strip.from };
                drawing = block(drawing, Material::Waste, section.along, gap);
            }
            near = near.max(strip.to);
            let across = with_dust(*strip, beyond(&strips, place, board));
            let mut from = section.along.from;
            let mut own: Vec<Stretch> = section
                .blanks
                .iter()
                .filter(|blank| blank.across == *strip)
                .map(|blank| blank.along)
                .collect();
            own.sort_by_key(|along| along.from);
            own.push(Stretch { from: section.along.to, to: section.along.to });
            for along in own {
                if along.from - from > DUST {
                    let gap = Stretch { from, to: along.from };
                    drawing = block(drawing, Material::Waste, gap, across);
                }
                from = along.to;
            }
        }
        if board.width - near > DUST {
            let gap = Stretch { from: near, to: board.width };
            drawing = block(drawing, Material::Waste, section.along, gap);
        }
        let next = sawn.sections.get(at + 1).map_or(board.length, |next| next.along.from);
        for (index, blank) in section.blanks.iter().enumerate() {
            let place = strips.iter().position(|strip| *strip == blank.across).unwrap_or(0);
            let along = with_dust(blank.along, next);
            let across = with_dust(blank.across, beyond(&strips, place, board));
            drawing = block(drawing, Material::Wood, along, across);
            drawing = label(drawing, blank.along, blank.across, named(at, index));
        }
    }
    flaws(drawing, board)
}

/// Where what follows a strip across the board begins.
fn beyond(strips: &[Stretch], place: usize, board: &RackBoard) -> Length {
    strips.get(place + 1).map_or(board.width, |next| next.from)
}

/// A stretch up to what follows, where only dust lies between.
fn with_dust(stretch: Stretch, next: Length) -> Stretch {
    let gap = next - stretch.to;
    if gap.is_negative() || gap > DUST { stretch } else { Stretch { to: next, ..stretch } }
}

fn flaws(mut drawing: Drawing, board: &RackBoard) -> Drawing {
    for flaw in &board.flaws {
        let across = flaw.across.unwrap_or(Stretch { from: Length::ZERO, to: board.width });
        let (near, far) =
            (Point::new(flaw.along.from, across.from), Point::new(flaw.along.to, across.to));
        drawing = drawing.block(Material::Flaw, near, far);
    }
    drawing
}
