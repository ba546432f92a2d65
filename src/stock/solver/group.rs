//! The boards and needs that are chosen among together, and how good a choice
//! of candidates is.

use super::blank_kind::BlankKind;
use super::effort::MOST_COMPARISONS;
use super::every::KindLimits;
use super::pool::{Lot, Pool, UsableBoard, Want};
use super::tally::{ChoiceTally, Remaining, Score};

/// The choice among boards that can serve the same needs.
#[derive(Debug)]
pub(super) struct GroupSearch<'a> {
    pub blanks: &'a [BlankKind],
    pub wants: Vec<Want>,
    /// What a blank of each need contains, in billionths of a board foot.
    pub wood: Vec<i64>,
    pub pool: Pool,
}

impl GroupSearch<'_> {
    pub(super) fn new<'a>(
        usable: &[UsableBoard],
        group: &[usize],
        blanks: &'a [BlankKind],
        wants: Vec<Want>,
        wood: &[i64],
    ) -> GroupSearch<'a> {
        let mut lots: Vec<Lot> = Vec::new();
        for &index in group {
            let UsableBoard { prepared, cost, .. } = &usable[index];
            match lots.iter_mut().find(|lot| lot.cost == *cost && lot.prepared == *prepared) {
                Some(lot) => lot.boards.push(index),
                None => {
                    let boards = vec![index];
                    let prepared = prepared.clone();
                    lots.push(Lot { boards, prepared, cost: *cost, listed: false });
                }
            }
        }
        let limits =
            wants.iter().flat_map(|want| [want.good + want.proving, want.proving]).collect();
        let limits = KindLimits(limits);
        let mut pool = Pool::new(limits.0.clone());
        let share = MOST_COMPARISONS / lots.len().max(3);
        for (index, mut lot) in lots.into_iter().enumerate() {
            let every = lot.prepared.every_cutting(&limits, share);
            lot.listed = every.is_some();
            pool.lots.push(lot);
            for cutting in every.into_iter().flatten() {
                pool.add(index, cutting, blanks.len());
            }
        }
        GroupSearch { blanks, wants, wood: wood.to_vec(), pool }
    }

    /// The sums of a choice.
    pub(super) fn tally(&self, chosen: &[usize]) -> ChoiceTally<'_> {
        ChoiceTally::of(&self.wants, &self.pool, chosen)
    }

    /// What is still to be made after these candidates, and how many boards of
    /// each lot are left.
    pub(super) fn remaining_after(&self, chosen: &[usize]) -> (Remaining, Vec<usize>) {
        let tally = self.tally(chosen);
        (tally.remaining(), tally.left)
    }

    /// How good a choice is.
    pub(super) fn score(&self, chosen: &[usize]) -> Score {
        self.tally(chosen).score()
    }

    /// The wants that this choice meets.
    pub(super) fn wants_met(&self, chosen: &[usize]) -> Vec<Want> {
        let (remaining, _) = self.remaining_after(chosen);
        let less = |(want, open): (&Want, &(u32, u32))| {
            let good = want.good - open.0;
            Want {
                good,
                proving: want.proving - open.1,
                for_sets: want.for_sets.min(good),
                a_set: want.a_set,
            }
        };
        self.wants.iter().zip(&remaining.0).map(less).collect()
    }
}
