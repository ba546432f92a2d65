//! Puts a chosen cutting in order: long sections first and the offcut in one
//! piece at the far end, and blanks dealt out to sets, spares and setup pieces.

use std::cmp::Reverse;

use crate::route::Role;
use crate::stock::board::{Footprint, RackBoard};
use crate::stock::need::BlankNeed;
use crate::stock::solver::{BlankKind, Cutting, PreparedBoard, SectionCut};

/// The same blanks with the long sections first, where flaws allow it. Of the
/// possible orders it takes the one that leaves the longest offcut.
pub(super) fn arranged(
    board: &RackBoard,
    prepared: &PreparedBoard,
    blanks: &[BlankKind],
    mut cutting: Cutting,
    shortest: i64,
) -> Cutting {
    for section in &mut cutting.sections {
        section.length = prepared.marks_needed(blanks, &section.strips).min(section.length);
    }
    let as_found = cutting.clone();
    let mut sorted = cutting.sections;
    sorted.sort_by_key(|section| Reverse(section.length));
    let nearer = prepared.in_order(blanks, as_found.sections.clone());
    let orders = [prepared.in_order(blanks, sorted), nearer];
    let longest = |cutting: &Cutting| {
        let left = prepared.offcuts(board, cutting, shortest);
        left.iter().map(|(from, to)| to - from).max().unwrap_or(0)
    };
    let mut best: Option<Cutting> = None;
    for cutting in orders.into_iter().flatten() {
        if best.as_ref().is_none_or(|known| longest(known) < longest(&cutting)) {
            best = Some(cutting);
        }
    }
    best.unwrap_or(as_found)
}

/// What a blank is for, and which set it belongs to, from 1.
pub(super) type BlankUse = (Role, Option<u32>);

/// How many blanks of one need are missing.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub(super) struct Shortfall {
    /// For sets.
    pub sets: u32,
    /// Spares.
    pub spare: u32,
    /// To prove settings on.
    pub setup: u32,
    /// Whole sets that come from several boards though one was wanted.
    pub apart: u32,
}

/// Deals out the blanks of one need: whole sets board by board, then sets from
/// what is left, then spares, then setup pieces. `good` has how many good blanks
/// each board gives, `proving` how many there are for proving settings only.
/// Returns the use of each good blank, board by board, and what is missing.
pub(super) fn share(
    need: &BlankNeed,
    good: &[u32],
    proving: u32,
) -> (Vec<Vec<BlankUse>>, Shortfall) {
    let mut left = good.to_vec();
    let mut found: Vec<Vec<BlankUse>> = vec![Vec::new(); good.len()];
    let mut short = Shortfall::default();
    let a_set = need.a_set.max(1);
    // The last set can be smaller.
    let size = |set: u32| a_set.min(need.for_sets - (set - 1) * a_set);
    let mut waiting: Vec<u32> = (1..=need.for_sets.div_ceil(a_set)).collect();
    if need.one_board {
        waiting.retain(|&set| {
            let whole = (0..left.len()).filter(|&board| left[board] >= size(set));
            let board = match size(set) == a_set {
                true => whole.min(),
                false => whole.min_by_key(|&board| left[board]),
            };
            let Some(board) = board else { return true };
            left[board] -= size(set);
            found[board].extend((0..size(set)).map(|_| (Role::Set, Some(set))));
            false
        });
    }
    for set in waiting {
        let mut missing = size(set);
        let mut boards = 0;
        while missing > 0 {
            // From as few boards as possible.
            let next = match need.one_board {
                true => (0..left.len()).rev().max_by_key(|&board| left[board]),
                false => left.iter().position(|&have| have > 0),
            };
            let Some(board) = next.filter(|&board| left[board] > 0) else { break };
            let now = missing.min(left[board]);
            left[board] -= now;
            missing -= now;
            boards += 1;
            found[board].extend((0..now).map(|_| (Role::Set, Some(set))));
        }
        short.sets += missing;
        short.apart += u32::from(need.one_board && boards > 1 && missing == 0);
    }
    let mut hand_out = |role: Role, mut wanted: u32| {
        for (have, found) in left.iter_mut().zip(&mut found) {
            let now = wanted.min(*have);
            *have -= now;
            wanted -= now;
            found.extend((0..now).map(|_| (role, None)));
        }
        wanted
    };
    short.spare = hand_out(Role::Spare, need.spare);
    short.setup = hand_out(Role::Setup, need.setup.saturating_sub(proving));
    (found, short)
}

/// The blanks of a section in the order they are cut: each with its kind.
pub(super) fn in_cut_order(
    prepared: &PreparedBoard,
    blanks: &[BlankKind],
    section: &SectionCut,
) -> Vec<(usize, Footprint)> {
    let mut places = prepared.places(blanks, section);
    places.sort_by_key(|(_, place)| (place.across, place.along));
    places
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::stock::samples::{self, th};

    fn need(for_sets: u32, a_set: u32, one_board: bool) -> BlankNeed {
        let plain = samples::need(th(1_000), th(2_000), th(20_000));
        BlankNeed { for_sets, a_set, one_board, ..plain }
    }

    fn sets(found: &[Vec<BlankUse>]) -> Vec<Vec<Option<u32>>> {
        let of = |uses: &Vec<BlankUse>| {
            let sets = uses.iter().filter(|(role, _)| *role == Role::Set);
            sets.map(|(_, set)| *set).collect()
        };
        found.iter().map(of).collect()
    }

    fn of_role(found: &[Vec<BlankUse>], wanted: Role) -> Vec<usize> {
        found.iter().map(|uses| uses.iter().filter(|(role, _)| *role == wanted).count()).collect()
    }

    /// By hand: the first set of four comes from the first board that has four. The last set
    /// is of three and comes from the board with the fewest that suffice: three of four
    /// beside five, never the two.
    #[test]
    fn sets_come_from_one_board_and_the_rest_from_what_is_left() {
        let need = BlankNeed { spare: 2, setup: 3, ..need(7, 4, true) };
        let (found, short) = share(&need, &[5, 2, 6, 4], 1);
        assert_eq!(sets(&found), [vec![Some(1); 4], vec![], vec![], vec![Some(2); 3]]);
        // One is left of five, two of two, six and one: two spares, then two setup pieces,
        // because one blank is for proving only.
        assert_eq!(of_role(&found, Role::Spare), [1, 1, 0, 0]);
        assert_eq!(of_role(&found, Role::Setup), [0, 1, 1, 0]);
        assert_eq!(short, Shortfall::default());
    }

    /// By hand: no board has four, so the set takes three from the fuller board and one from
    /// the other, and counts as apart. Where boards may mix it begins with the first.
    #[test]
    fn a_set_that_no_board_holds_comes_from_as_few_as_possible() {
        let (found, short) = share(&need(4, 4, true), &[2, 3], 0);
        assert_eq!(sets(&found), [vec![Some(1)], vec![Some(1); 3]]);
        assert_eq!(short, Shortfall { apart: 1, ..Shortfall::default() });
        let (found, short) = share(&need(4, 4, false), &[2, 3], 0);
        assert_eq!(sets(&found), [vec![Some(1); 2], vec![Some(1); 2]]);
        assert_eq!(short, Shortfall::default());
    }

    /// By hand: of four and two spares there are three, of three setup pieces one.
    #[test]
    fn what_is_missing_is_counted() {
        let need = BlankNeed { spare: 2, setup: 3, ..need(4, 4, true) };
        let (found, short) = share(&need, &[1, 2], 1);
        assert_eq!(sets(&found), [vec![Some(1)], vec![Some(1); 2]]);
        assert_eq!(short, Shortfall { sets: 1, spare: 2, setup: 2, apart: 0 });
    }
}
