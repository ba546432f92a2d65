//! A board from above with what is cut from it, as a drawing in real lengths.
//!
//! It is one `Drawing`, as the cuts at machines are, so one way of scaling shapes
//! to cells serves both, and a board prints on the command line as it shows on
//! the screens. A picture of its own for the command was rejected.

use super::cut_plan::{CutPlan, CutSection};
use crate::measure::Length;
use crate::operation::drawing::{Drawing, Material, Point, Scale};
use crate::stock::board::{RackBoard, Stretch};

/// Gaps up to half an inch are too narrow to draw and count as sawdust. Chosen
/// so that a kerf and its mark never show as waste; not measured.
const DUST: Length = Length::from_nanometres(Length::INCH.nanometres() / 2);

/// A board with its marked end at the left and its marked edge at the bottom.
/// Sawdust is drawn with the wood before it. `named` gives the name of a blank
/// from the index of its section and its own index there.
pub fn drawing(
    board: &RackBoard,
    plan: &CutPlan,
    named: impl Fn(usize, usize) -> String,
) -> Drawing {
    let across = Stretch { from: Length::ZERO, to: board.width };
    let mut drawing = Drawing::new("from above, the marked end at the left", Scale::Stretched);
    drawing = between_sections(drawing, board, plan, across);
    for (at, section) in plan.sections.iter().enumerate() {
        let next = plan.sections.get(at + 1).map_or(board.length, |next| next.along.from);
        drawing = one_section(drawing, board, section, next, |blank| named(at, blank));
    }
    for flaw in &board.flaws {
        drawing = block(drawing, Material::Flaw, flaw.along, flaw.across.unwrap_or(across));
    }
    drawing
}

/// The waste and the offcuts between sections.
fn between_sections(
    mut drawing: Drawing,
    board: &RackBoard,
    plan: &CutPlan,
    across: Stretch,
) -> Drawing {
    let mut end = Length::ZERO;
    let sections = plan.sections.iter().map(|section| section.along);
    let until_the_end = Stretch { from: board.length, to: board.length };
    for along in sections.chain([until_the_end]) {
        let mut from = end;
        for offcut in
            plan.offcuts.iter().filter(|offcut| end <= offcut.from && offcut.to <= along.from)
        {
            let before = Stretch { from, to: offcut.from };
            drawing = waste(drawing, before.length(), before, across);
            drawing = block(drawing, Material::Wood, *offcut, across);
            drawing = label(drawing, *offcut, across, "offcut, keep".to_owned());
            from = offcut.to;
        }
        let before = Stretch { from, to: along.from };
        drawing = waste(drawing, before.length(), before, across);
        end = along.to;
    }
    drawing
}

/// The blanks of a section and the waste between them; `next` is where the next
/// section begins.
fn one_section(
    mut drawing: Drawing,
    board: &RackBoard,
    section: &CutSection,
    next: Length,
    named: impl Fn(usize) -> String,
) -> Drawing {
    let mut strips: Vec<Stretch> = section.blanks.iter().map(|blank| blank.across).collect();
    strips.sort_by_key(|strip| (strip.from, strip.to));
    strips.dedup();
    let drawn_across = |strip: Stretch| {
        let after = strips.iter().position(|held| *held == strip).map_or(0, |place| place + 1);
        with_dust(strip, strips.get(after).map_or(board.width, |next| next.from))
    };
    let mut near = Length::ZERO;
    for strip in &strips {
        let beside = Stretch { from: near, to: strip.from };
        drawing = waste(drawing, beside.length(), section.along, beside);
        near = near.max(strip.to);
        let blanks = section.blanks.iter().filter(|blank| blank.across == *strip);
        let mut own: Vec<Stretch> = blanks.map(|blank| blank.along).collect();
        own.sort_by_key(|along| along.from);
        own.push(Stretch { from: section.along.to, to: section.along.to });
        let mut from = section.along.from;
        for along in own {
            let before = Stretch { from, to: along.from };
            drawing = waste(drawing, before.length(), before, drawn_across(*strip));
            from = along.to;
        }
    }
    let beside = Stretch { from: near, to: board.width };
    drawing = waste(drawing, beside.length(), section.along, beside);
    for (index, blank) in section.blanks.iter().enumerate() {
        let (along, across) = (with_dust(blank.along, next), drawn_across(blank.across));
        drawing = block(drawing, Material::Wood, along, across);
        drawing = label(drawing, blank.along, blank.across, named(index));
    }
    drawing
}

fn block(drawing: Drawing, of: Material, along: Stretch, across: Stretch) -> Drawing {
    let (near, far) = (Point::new(along.from, across.from), Point::new(along.to, across.to));
    drawing.block(of, near, far)
}

/// Waste as wide as a gap, where that is more than dust.
fn waste(drawing: Drawing, gap: Length, along: Stretch, across: Stretch) -> Drawing {
    if gap > DUST { block(drawing, Material::Waste, along, across) } else { drawing }
}

fn label(drawing: Drawing, along: Stretch, across: Stretch, text: String) -> Drawing {
    let middle = |of: Stretch| (of.from + of.to) / 2;
    drawing.label(Point::new(middle(along), middle(across)), text)
}

/// A stretch, extended to what follows where only sawdust is between.
fn with_dust(stretch: Stretch, next: Length) -> Stretch {
    let gap = next - stretch.to;
    if gap.is_negative() || gap > DUST { stretch } else { Stretch { to: next, ..stretch } }
}
