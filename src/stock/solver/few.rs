//! The best choice where there are few boards: as much made as they hold, from
//! the cheapest of them.

use super::choose::Settled;
use super::cutting::Cutting;
use super::effort::{Effort, FEW_BOARDS, MOST_MISSING};
use super::fewest::{Fewest, FewestSearch, RackLot};
use super::group::GroupSearch;
use super::prices::prices;
use super::shortage::Quantities;
use super::tally::Score;

impl GroupSearch<'_> {
    /// Whether every set of these boards can be looked at.
    pub(super) fn has_few_boards(&self) -> bool {
        self.pool.lots.iter().map(|lot| lot.boards.len()).sum::<usize>() <= FEW_BOARDS
    }

    /// Betters a choice until it is the best there is or the effort is used up.
    pub(super) fn settle_few(&mut self, settled: &mut Settled) {
        let score = self.score(&settled.best);
        if score.missing() > MOST_MISSING {
            return;
        }
        let mut effort = Effort::of_making_more();
        let all: i64 = self.pool.lots.iter().map(|lot| lot.cost * lot.boards.len() as i64).sum();
        loop {
            let score = self.score(&settled.best);
            // Once no blank for a set is missing, whole sets count as well.
            let Some(quantities) = self.quantities_for(score) else { return };
            let missing = quantities.weight_of_score(score);
            if missing == 0 || settled.none_more {
                break;
            }
            let known = self.searched(&quantities, missing - 1, (all, all + 1), &mut effort);
            settled.none_more = known.bound > all;
            if !self.takes_better(known.found, score, settled) {
                break;
            }
        }
        let score = self.score(&settled.best);
        let Some(quantities) = self.quantities_for(score) else { return };
        let missing = quantities.weight_of_score(score);
        let wanted = self.wants_met(&settled.best);
        let found = prices(&mut self.pool, &wanted, &vec![0; self.blanks.len()]);
        settled.bound = settled.bound.max(self.raised_to_a_sum(found.bound, score.cost));
        let below = (settled.bound, score.cost);
        let known = self.searched(&quantities, missing, below, &mut Effort::of_few());
        self.takes_better(known.found, score, settled);
        let cost = self.score(&settled.best).cost;
        settled.bound = settled.bound.max(known.bound).min(cost);
    }

    /// What is wanted, to make what is better than this. Where blanks for sets are
    /// missing, nobody knows yet which sets could come whole from one board.
    pub(super) fn quantities_for(&self, score: Score) -> Option<Quantities> {
        Quantities::new(&self.wants, score.missing_for_sets == 0)
    }

    /// The cheapest boards that lack no more than is allowed.
    fn searched(
        &self,
        quantities: &Quantities,
        allowed: i64,
        (from, below): (i64, i64),
        effort: &mut Effort,
    ) -> Fewest {
        let mut lots: Vec<RackLot> = self
            .pool
            .lots
            .iter()
            .map(|lot| RackLot { lot, boards: lot.boards.len(), known: Vec::new() })
            .collect();
        for candidate in &self.pool.candidates {
            lots[candidate.lot].known.push(candidate);
        }
        FewestSearch::new(&lots, quantities, allowed, self.blanks.len()).search(from, below, effort)
    }

    /// Takes the cuttings found where they are better than what is known.
    fn takes_better(
        &mut self,
        found: Option<Vec<(usize, Cutting)>>,
        score: Score,
        settled: &mut Settled,
    ) -> bool {
        let Some(cuttings) = found else { return false };
        let kinds = self.blanks.len();
        let next: Vec<usize> = cuttings
            .into_iter()
            .map(|(lot, cutting)| self.pool.index_of(lot, cutting, kinds))
            .collect();
        let better = self.score(&next) < score;
        if better {
            settled.best = next;
        }
        better
    }
}
