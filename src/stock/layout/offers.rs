//! What could be done with a knot: hidden or filled, and what that would save.
//! Knows nothing of who decides it.

use super::lay::{BoardLayout, OnHand, lay_out_on_hand, layouts_in_time};
use crate::measure::Length;
use crate::stock::board::{Flaw, FlawKind, RackBoard, Ruling};
use crate::stock::need::BlankNeed;
use crate::stock::saw::Saw;
use crate::stock::suitability::may;

/// Every try lays out boards again.
const MOST_TRIED: usize = 8;
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
pub fn offers(boards: &[RackBoard], needs: &[BlankNeed], saw: &Saw, now: &BoardLayout) -> Offers {
    offers_on_hand(&OnHand { boards, taken: &[] }, needs, saw, now)
}

/// Tries every flaw of the boards that are cut into that could be ruled
/// otherwise, one at a time, and keeps what is worth it. Only those boards are
/// laid out again: what is wanted is more from them, or one of them left whole.
pub fn offers_on_hand(
    on_hand: &OnHand,
    needs: &[BlankNeed],
    saw: &Saw,
    now: &BoardLayout,
) -> Offers {
    let boards = on_hand.boards;
    let mut found = Offers::default();
    let mut tried = 0;
    let missing = |layout: &BoardLayout| layout.missing.iter().map(|m| m.blanks).sum::<u32>();
    let apart = |layout: &BoardLayout| layout.apart.iter().map(|(_, sets)| *sets).sum::<u32>();
    let cut: Vec<usize> = now.boards.iter().map(|cut| cut.board).collect();
    let used: Vec<RackBoard> = cut.iter().filter_map(|index| boards.get(*index)).cloned().collect();
    if used.len() != cut.len() {
        return found;
    }
    let most_tried = layouts_in_time(&used, needs, saw, MOST_TRIED);
    let place_of = |board: usize| cut.iter().position(|index| *index == board);
    let taken: Vec<(usize, Length)> =
        on_hand.taken.iter().filter_map(|(board, at)| Some((place_of(*board)?, *at))).collect();
    for (place, board) in used.iter().enumerate() {
        for (index, flaw) in board.flaws.iter().enumerate() {
            for ruling in [Ruling::Hidden, Ruling::Fill] {
                if !needs.iter().any(|need| could_hold(board, need, saw, flaw, ruling)) {
                    continue;
                }
                if tried == most_tried {
                    found.untried += 1;
                    continue;
                }
                tried += 1;
                let mut ruled = used.clone();
                ruled[place].flaws[index].ruling = ruling;
                let then = lay_out_on_hand(&OnHand { boards: &ruled, taken: &taken }, needs, saw);
                let more = i64::from(missing(now)) - i64::from(missing(&then));
                let saved = now.board_feet - then.board_feet;
                let together = i64::from(apart(now)) - i64::from(apart(&then));
                let parts = holding(&then, needs, &ruled, place, index);
                let better = more > 0
                    || more == 0 && (saved >= LEAST_SAVED || saved > -LEAST_SAVED && together > 0);
                if better && !parts.is_empty() {
                    found.offers.push(Offer {
                        board: cut[place],
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

/// Whether a blank that may come from this board could hold a flaw so ruled. A
/// split runs; and what the lead has ruled on is settled.
fn could_hold(board: &RackBoard, need: &BlankNeed, saw: &Saw, flaw: &Flaw, ruling: Ruling) -> bool {
    let long = flaw.along.long();
    flaw.kind != FlawKind::Split
        && flaw.ruling == Ruling::Around
        && may(board, need, saw)
        && match ruling {
            Ruling::Around => false,
            Ruling::Hidden => need.hidden.iter().any(|hidden| hidden.long() >= long),
            Ruling::Fill => need.fill.is_some_and(|most| long <= most),
        }
}

/// The parts whose blanks hold a flaw in a layout.
fn holding(
    layout: &BoardLayout,
    needs: &[BlankNeed],
    boards: &[RackBoard],
    board: usize,
    flaw: usize,
) -> Vec<String> {
    let Some(flaw) = boards.get(board).and_then(|board| board.flaws.get(flaw)) else {
        return Vec::new();
    };
    let cut = layout.boards.iter().filter(|cut| cut.board == board);
    let blanks = cut.flat_map(|cut| &cut.plan.sections).flat_map(|section| &section.blanks);
    let mut parts: Vec<String> = blanks
        .filter(|blank| blank.footprint().contains(flaw))
        .filter_map(|blank| Some(needs.get(blank.need)?.part.clone()))
        .collect();
    parts.sort();
    parts.dedup();
    parts
}
