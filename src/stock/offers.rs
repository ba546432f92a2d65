//! What could be done with a knot: hidden or filled, and what that would save.
//! Knows nothing of who decides it.

use super::board::{FlawKind, RackBoard, Ruling};
use super::layout::{Layout, Rack, Saw, lay};
use super::need::Need;
use crate::measure::Length;

/// Every try lays out the whole rack again.
const MOST_TRIED: usize = 12;
/// Savings below this are rounding.
const LEAST_SAVED: f64 = 0.05;

/// What ruling otherwise on one flaw would bring.
#[derive(Clone, Debug, PartialEq)]
pub struct Offer {
    /// Which of the boards, and which of its flaws.
    pub board: usize,
    pub flaw: usize,
    pub ruling: Ruling,
    /// Parts whose blank would hold it.
    pub parts: Vec<String>,
    /// Blanks that would no longer be missing.
    pub more: u32,
    /// Board feet that would not be opened.
    pub saved: f64,
    /// Sets more that would come from one board.
    pub together: u32,
}

/// What was found, and how many flaws nobody tried.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Offers {
    pub offers: Vec<Offer>,
    pub untried: usize,
}

/// What ruling otherwise on flaws of these boards would bring, none of them
/// cut yet.
pub fn offers(boards: &[RackBoard], needs: &[Need], saw: &Saw, now: &Layout) -> Offers {
    offered(&Rack { boards, taken: &[] }, needs, saw, now)
}

/// Tries every flaw of the boards that are cut into that could be ruled
/// otherwise, one at a time, and keeps what is worth it.
pub fn offered(rack: &Rack, needs: &[Need], saw: &Saw, now: &Layout) -> Offers {
    let boards = rack.boards;
    let mut found = Offers::default();
    let mut tried = 0;
    let missing = |layout: &Layout| layout.missing.iter().map(|m| m.blanks).sum::<u32>();
    let apart = |layout: &Layout| layout.apart.iter().map(|(_, sets)| *sets).sum::<u32>();
    for laid in &now.laid {
        let Some(board) = boards.get(laid.board) else { continue };
        for (index, flaw) in board.flaws.iter().enumerate() {
            // A split runs; and what the lead has ruled on is settled.
            if flaw.kind == FlawKind::Split || flaw.ruling != Ruling::Around {
                continue;
            }
            let may = [
                (Ruling::Hidden, needs.iter().any(|need| !need.hidden.is_empty())),
                (
                    Ruling::Fill,
                    needs.iter().any(|need| {
                        need.fill
                            .is_some_and(|most| most > Length::ZERO && flaw.along.long() <= most)
                    }),
                ),
            ];
            for (ruling, _) in may.into_iter().filter(|(_, may)| *may) {
                if tried == MOST_TRIED {
                    found.untried += 1;
                    continue;
                }
                tried += 1;
                let mut ruled = boards.to_vec();
                ruled[laid.board].flaws[index].ruling = ruling;
                let then = lay(&Rack { boards: &ruled, taken: rack.taken }, needs, saw);
                let more = i64::from(missing(now)) - i64::from(missing(&then));
                let saved = now.board_feet - then.board_feet;
                let together = i64::from(apart(now)) - i64::from(apart(&then));
                let parts = holding(&then, needs, boards, laid.board, index);
                let better = more > 0
                    || more == 0 && (saved >= LEAST_SAVED || saved > -LEAST_SAVED && together > 0);
                if better && !parts.is_empty() {
                    found.offers.push(Offer {
                        board: laid.board,
                        flaw: index,
                        ruling,
                        parts,
                        more: u32::try_from(more).unwrap_or(0),
                        saved: if saved.abs() < LEAST_SAVED { 0.0 } else { saved },
                        together: u32::try_from(together).unwrap_or(0),
                    });
                }
            }
        }
    }
    found
}

/// The parts whose blanks hold a flaw in a layout.
fn holding(
    layout: &Layout,
    needs: &[Need],
    boards: &[RackBoard],
    board: usize,
    flaw: usize,
) -> Vec<String> {
    let Some(flaw) = boards.get(board).and_then(|board| board.flaws.get(flaw)) else {
        return Vec::new();
    };
    let laid = layout.laid.iter().filter(|laid| laid.board == board);
    let blanks = laid.flat_map(|laid| &laid.sections).flat_map(|section| &section.blanks);
    let mut parts: Vec<String> = blanks
        .filter(|blank| blank.along.overlaps(&flaw.along))
        .filter(|blank| flaw.across.is_none_or(|across| blank.across.overlaps(&across)))
        .filter_map(|blank| Some(needs.get(blank.need)?.part.clone()))
        .collect();
    parts.sort();
    parts.dedup();
    parts
}
