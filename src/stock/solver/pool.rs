//! The ways to cut boards that are known so far, and the bound that prices for
//! blanks give.
//!
//! Whatever blanks are said to be worth, no board gives more worth than its best
//! cutting. So the worth of all wants, less what each board's best cutting is
//! worth beyond its cost, is a number that no choice costs less than: a bound,
//! valid at any prices.

use std::collections::BTreeSet;

use super::best_cutting::BestCutting;
use super::cutting::Cutting;
use super::effort::MOST_TRIED;
use super::prepared::PreparedBoard;

/// Board feet are whole billionths here, so that sums and comparisons are exact.
pub(super) const BILLIONTHS: f64 = 1e9;

/// What is wanted of one need.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub(in crate::stock) struct Want {
    /// Blanks for sets and spares.
    pub good: u32,
    /// Blanks to prove settings on; good ones serve as well.
    pub proving: u32,
    /// How many of the good ones are for sets.
    pub for_sets: u32,
    /// How many blanks make a set, where a set comes from one board.
    pub a_set: Option<u32>,
}

/// A board that may be cut.
#[derive(Clone, Debug)]
pub(in crate::stock) struct UsableBoard {
    /// Which of the boards, by its index.
    pub board: usize,
    /// What can be cut from it.
    pub prepared: PreparedBoard,
    /// In billionths of a board foot; zero where it is cut into already.
    pub cost: i64,
}

/// Boards that are alike in everything that counts.
#[derive(Clone, Debug)]
pub(super) struct Lot {
    /// Which of the usable boards.
    pub boards: Vec<usize>,
    pub prepared: PreparedBoard,
    /// In billionths of a board foot.
    pub cost: i64,
    /// Whether the pool has every cutting of it that no other cutting beats.
    pub listed: bool,
}

/// A way to cut a board of one lot. In the literature on cutting stock it is a
/// column.
#[derive(Clone, Debug)]
pub(super) struct KnownCutting {
    pub lot: usize,
    /// How many of each kind of blank it gives.
    pub counts: Vec<u32>,
    pub cutting: Cutting,
}

/// Prices for every kind of blank, and the bound that goes with them.
#[derive(Clone, Debug)]
pub(super) struct Prices {
    /// In billionths of a board foot.
    pub of: Vec<i64>,
    /// The same; zero at least.
    pub bound: i64,
    /// What the best cutting of each lot is worth beyond its cost.
    pub beyond: Vec<i64>,
}

/// The ways to cut boards that are known so far.
#[derive(Clone, Debug, Default)]
pub(super) struct Pool {
    pub lots: Vec<Lot>,
    pub candidates: Vec<KnownCutting>,
    /// How many of each kind are wanted at most.
    limits: Vec<u32>,
    known: BTreeSet<(usize, Vec<u32>)>,
    /// Ways tried so far in looking for best cuttings.
    pub tried: usize,
}

impl Pool {
    /// An empty pool, with how many of each kind are wanted at most.
    pub(super) fn new(limits: Vec<u32>) -> Pool {
        Pool { limits, ..Pool::default() }
    }

    /// Adds a cutting, unless one with the same counts is known.
    pub(super) fn add(&mut self, lot: usize, cutting: Cutting, kinds: usize) {
        let mut counts = cutting.counts(kinds);
        if self.lots[lot].listed {
            for (count, limit) in counts.iter_mut().zip(&self.limits) {
                *count = (*count).min(*limit);
            }
        }
        if counts.iter().any(|count| *count > 0) && self.known.insert((lot, counts.clone())) {
            self.candidates.push(KnownCutting { lot, counts, cutting });
        }
    }

    /// The known ways to cut a board of one lot.
    pub(super) fn of_lot(&self, lot: usize) -> impl Iterator<Item = &KnownCutting> {
        self.candidates.iter().filter(move |candidate| candidate.lot == lot)
    }

    /// Where a cutting is among the candidates, after it is added where none with
    /// the same counts is known.
    pub(super) fn index_of(&mut self, lot: usize, cutting: Cutting, kinds: usize) -> usize {
        let counts = cutting.counts(kinds);
        let same = |known: &KnownCutting| known.lot == lot && known.counts == counts;
        if let Some(known) = self.candidates.iter().position(same) {
            return known;
        }
        self.known.insert((lot, counts.clone()));
        self.candidates.push(KnownCutting { lot, counts, cutting });
        self.candidates.len() - 1
    }

    /// Adds the best cutting of a lot at these prices. Returns its worth, and how
    /// many of each kind it gives.
    pub(super) fn add_best(&mut self, lot: usize, price: &[i64]) -> (i64, Vec<u32>) {
        let BestCutting { worth, cutting, work } = self.lots[lot].prepared.best_cutting(price);
        self.tried = self.tried.saturating_add(work);
        let counts = cutting.counts(price.len());
        self.add(lot, cutting, price.len());
        (worth, counts)
    }

    /// Whether the effort for best cuttings is used up.
    pub(super) fn is_exhausted(&self) -> bool {
        self.tried > MOST_TRIED
    }

    /// The least that a choice meeting these wants costs if it uses this
    /// candidate: the bound, and how far the candidate is from the best of its
    /// lot.
    pub(super) fn least_cost_with(&self, candidate: &KnownCutting, found: &Prices) -> i64 {
        let worth: i128 = candidate
            .counts
            .iter()
            .zip(&found.of)
            .map(|(n, price)| i128::from(*n) * i128::from(*price))
            .sum();
        let cost = i128::from(self.lots[candidate.lot].cost);
        let beyond = i128::from(found.beyond[candidate.lot]);
        i64::try_from(i128::from(found.bound) + beyond + cost - worth).unwrap_or(i64::MAX)
    }

    /// The bound that these prices give for a choice that meets these wants. The
    /// best cuttings at these prices join the pool.
    pub(super) fn bound(&mut self, price: &[i64], wants: &[Want]) -> Prices {
        let wide = |number: i64| i128::from(number);
        let worth = |counts: &[u32]| -> i128 {
            counts.iter().zip(price).map(|(n, price)| i128::from(*n) * wide(*price)).sum()
        };
        let wanted: Vec<u32> = wants.iter().flat_map(|want| [want.good, want.proving]).collect();
        let mut bound = worth(&wanted);
        let mut beyond_cost = Vec::new();
        for lot in 0..self.lots.len() {
            let most = if self.lots[lot].listed {
                let own = self.candidates.iter().filter(|candidate| candidate.lot == lot);
                own.map(|candidate| worth(&candidate.counts)).max().unwrap_or(0)
            } else {
                wide(self.add_best(lot, price).0)
            };
            let beyond = (most - wide(self.lots[lot].cost)).max(0);
            bound -= beyond * self.lots[lot].boards.len() as i128;
            beyond_cost.push(i64::try_from(beyond).unwrap_or(i64::MAX));
        }
        let bound = i64::try_from(bound.max(0)).unwrap_or(0);
        Prices { of: price.to_vec(), bound, beyond: beyond_cost }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The effort is spent only once more ways were tried than are allowed.
    #[test]
    fn the_last_way_allowed_may_still_be_tried() {
        let tried = |tried| Pool { tried, ..Pool::new(vec![4, 1]) }.is_exhausted();
        assert_eq!([0, MOST_TRIED, MOST_TRIED + 1].map(tried), [false, false, true]);
    }
}
