//! What hiding or filling a knot would save.
//!
//! The boards that are cut into are laid out again, one knot at a time, because
//! whether a knot costs anything depends on everything else: no rule of thumb
//! can tell. Asking the lead about every knot was rejected.

use super::lay::{BoardLayout, OnHand, lay_out_on_hand, layouts_in_time};
use crate::measure::Length;
use crate::stock::board::{Flaw, FlawKind, RackBoard, Ruling};
use crate::stock::need::BlankNeed;
use crate::stock::saw::Saw;
use crate::stock::suitability::may;

/// Every try lays out boards again, so this many times the wait for one layout is
/// the longest it takes. Chosen, not measured.
const MOST_TRIED: usize = 8;
/// Savings smaller than this many board feet show as 0.0, so they are none.
const LEAST_SAVED: f64 = 0.05;

/// What another ruling on one flaw would save.
#[derive(Clone, Debug, PartialEq)]
pub struct Offer {
    /// Which of the boards, by its index.
    pub board: usize,
    /// Which of its flaws, by index.
    pub flaw: usize,
    /// The other ruling.
    pub ruling: Ruling,
    /// The parts whose blanks would contain it.
    pub parts: Vec<String>,
    /// Blanks that would no longer be missing.
    pub more: u32,
    /// Board feet that would not be cut into.
    pub saved: f64,
    /// How many more sets would come from one board.
    pub together: u32,
}

/// The offers, and how many more could have been tried.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Offers {
    /// What is worth a decision.
    pub offers: Vec<Offer>,
    /// Rulings that were not tried, because each takes another layout.
    pub untried: usize,
}

/// What other rulings on flaws would save, on boards that are all uncut.
pub fn offers(boards: &[RackBoard], needs: &[BlankNeed], saw: &Saw, now: &BoardLayout) -> Offers {
    offers_on_hand(&OnHand { boards, taken: &[] }, needs, saw, now)
}

/// Tries other rulings on the flaws of the boards in a layout, one at a time, and
/// keeps those that save something. Only these boards are laid out again: the aim
/// is to get more from them, or to leave one of them whole.
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
                if !needs.iter().any(|need| could_contain(board, need, saw, flaw, ruling)) {
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
                let parts = parts_with(&then, needs, &ruled, place, index);
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

/// Whether a blank that may come from this board could contain a flaw with this
/// ruling. A split can run further, and what the lead has ruled on is settled.
fn could_contain(
    board: &RackBoard,
    need: &BlankNeed,
    saw: &Saw,
    flaw: &Flaw,
    ruling: Ruling,
) -> bool {
    let long = flaw.along.length();
    flaw.kind != FlawKind::Split
        && flaw.ruling == Ruling::Around
        && may(board, need, saw)
        && match ruling {
            Ruling::Around => false,
            Ruling::Hidden => need.hidden.iter().any(|hidden| hidden.length() >= long),
            Ruling::Fill => need.fill.is_some_and(|most| long <= most),
        }
}

/// The parts whose blanks contain a flaw in a layout.
fn parts_with(
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
