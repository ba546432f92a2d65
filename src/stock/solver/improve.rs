//! A first choice of boards, and better ones found by starting over from parts
//! of it.

use std::cmp::Reverse;

use super::effort::{MOST_TRIED, REPAIRS, STARTS, starts_from_nothing};
use super::group::GroupSearch;
use super::pool::Prices;
use super::tally::{Remaining, Score};

impl GroupSearch<'_> {
    /// A choice made board after board, each time the one of which the largest
    /// share becomes blanks.
    pub(super) fn first_choice(&mut self, area: &[i64]) -> Vec<usize> {
        let mut chosen = Vec::new();
        let (mut remaining, mut left) = self.remaining_after(&chosen);
        loop {
            let price: Vec<i64> = (0..area.len())
                .map(|kind| if remaining.wants(kind) > 0 { area[kind] } else { 0 })
                .collect();
            for (lot, left) in left.iter().enumerate() {
                // The rest of the effort is for the prices.
                let has_effort = self.pool.tried < MOST_TRIED / 4;
                if *left > 0 && !self.pool.lots[lot].listed && has_effort {
                    self.pool.add_best(lot, &price);
                }
            }
            let worth: Vec<f64> = area.iter().map(|area| *area as f64).collect();
            let Some(next) = self.most_for_its_cost(&remaining, &left, &worth, |_| 1.0) else {
                break;
            };
            let candidate = &self.pool.candidates[next];
            remaining.take_all(&candidate.counts);
            left[candidate.lot] -= 1;
            chosen.push(next);
        }
        chosen
    }

    /// The candidate that makes most for its cost. `weight` varies the choice
    /// from one start to the next.
    fn most_for_its_cost(
        &self,
        remaining: &Remaining,
        left: &[usize],
        worth: &[f64],
        mut weight: impl FnMut(usize) -> f64,
    ) -> Option<usize> {
        let mut best: Option<(f64, usize)> = None;
        for (index, candidate) in self.pool.candidates.iter().enumerate() {
            if left[candidate.lot] == 0 {
                continue;
            }
            let worth = remaining.worth(&candidate.counts, worth);
            if worth <= 0.0 {
                continue;
            }
            let cost = self.pool.lots[candidate.lot].cost.max(1) as f64;
            let rate = worth / cost * weight(index);
            if best.is_none_or(|(known, _)| known < rate) {
                best = Some((rate, index));
            }
        }
        best.map(|(_, index)| index)
    }

    /// Adds cuttings that are nearly the best: a choice needs more of them than
    /// the bound does.
    pub(super) fn more_cuttings(&mut self, found: &Prices) {
        let mut rng = Xorshift(1);
        for lot in 0..self.pool.lots.len() {
            if self.pool.lots[lot].listed || self.pool.is_exhausted() {
                continue;
            }
            for _ in 0..8 {
                let mut of = |price: &i64| ((*price + 1) as f64 * (0.7 + 0.6 * rng.next())) as i64;
                let mut price: Vec<i64> = found.of.iter().map(&mut of).collect();
                for pair in price.chunks_mut(2) {
                    pair[0] = pair[0].max(pair[1]);
                }
                self.pool.add_best(lot, &price);
            }
        }
    }

    /// Adds cuttings for what the best choice lacks without a few of its boards:
    /// the last boards need other cuttings than the first.
    pub(super) fn closer_cuttings(&mut self, found: &Prices, best: &[usize]) {
        let kinds = self.blanks.len();
        let mut rng = Xorshift(3);
        for start in 0..REPAIRS {
            if self.pool.is_exhausted() {
                return;
            }
            let mut rest = best.to_vec();
            for _ in 0..1 + start % 3 {
                if !rest.is_empty() {
                    rest.swap_remove((rng.next() * rest.len() as f64) as usize);
                }
            }
            let (remaining, left) = self.remaining_after(&rest);
            // What would be cut too often becomes worth less.
            let mut price: Vec<i64> = (0..kinds)
                .map(|kind| if remaining.wants(kind) > 0 { found.of[kind] + 1 } else { 0 })
                .collect();
            for _ in 0..2 {
                let mut over = vec![false; kinds];
                for (lot, left) in left.iter().enumerate() {
                    if *left == 0 || self.pool.lots[lot].listed {
                        continue;
                    }
                    let (_, counts) = self.pool.add_best(lot, &price);
                    for (kind, count) in counts.into_iter().enumerate() {
                        over[kind] |= count > remaining.wants(kind);
                    }
                }
                for pair in 0..kinds / 2 {
                    if over[2 * pair] || over[2 * pair + 1] {
                        price[2 * pair] = price[2 * pair] * 2 / 3;
                        price[2 * pair + 1] = price[2 * pair + 1] * 2 / 3;
                    }
                }
            }
        }
    }

    /// The best of many choices, each made with slightly varied weights.
    pub(super) fn improved(&self, found: &Prices, first: Vec<usize>) -> Vec<usize> {
        let mut best_score = self.score(&first);
        let mut best = first;
        let all: f64 = found.of.iter().map(|price| *price as f64).sum::<f64>() + 1.0;
        let worth: Vec<f64> = self
            .blanks
            .iter()
            .zip(&found.of)
            .map(|(blank, price)| *price as f64 + all * 1e-6 * (blank.length as f64 / 1e9))
            .collect();
        let mut rng = Xorshift(2);
        let each = self.pool.candidates.len() * self.blanks.len() * (best.len() + 1);
        let from_nothing = starts_from_nothing(each);
        for start in 0..from_nothing + STARTS {
            let wide = if start == 0 { 0.0 } else { 0.25 };
            let mut kept = Vec::new();
            if start >= from_nothing {
                // Start from the best so far, without a few of its boards.
                kept.clone_from(&best);
                for _ in 0..2 + start % 4 {
                    if !kept.is_empty() {
                        kept.swap_remove((rng.next() * kept.len() as f64) as usize);
                    }
                }
            }
            let mut tally = self.tally(&kept);
            let mut chosen = Vec::new();
            loop {
                let remaining = tally.remaining();
                let weight = |_| 1.0 + wide * (rng.next() - 0.5);
                let Some(next) = self.most_for_its_cost(&remaining, &tally.left, &worth, weight)
                else {
                    break;
                };
                if let Some(last) = self.cheapest_for(&remaining, &tally.left, i64::MAX) {
                    let with = [&chosen[..], &[last]].concat();
                    self.keep_better(
                        self.without_spare_among(&kept, with),
                        &mut best,
                        &mut best_score,
                    );
                }
                tally.add(next);
                chosen.push(next);
            }
            self.keep_better(self.without_spare_among(&kept, chosen), &mut best, &mut best_score);
        }
        best
    }

    /// Keeps `found` where it is better.
    fn keep_better(&self, found: Vec<usize>, best: &mut Vec<usize>, score: &mut Score) {
        let found_score = self.score(&found);
        if found_score < *score {
            (*best, *score) = (found, found_score);
        }
    }

    /// The cheapest candidate that makes everything that is still wanted and costs
    /// less than `below`.
    fn cheapest_for(&self, remaining: &Remaining, left: &[usize], below: i64) -> Option<usize> {
        let mut best: Option<(i64, usize)> = None;
        for (index, candidate) in self.pool.candidates.iter().enumerate() {
            let cost = self.pool.lots[candidate.lot].cost;
            let cheaper = cost < best.map_or(below, |(cost, _)| cost);
            if cheaper && left[candidate.lot] > 0 && remaining.is_made_by(&candidate.counts) {
                best = Some((cost, index));
            }
        }
        best.map(|(_, index)| index)
    }

    /// Drops boards that can go without anything missing, the most expensive
    /// first, and exchanges others for cheaper ones.
    pub(super) fn without_spare_boards(&self, chosen: Vec<usize>) -> Vec<usize> {
        self.without_spare_among(&[], chosen)
    }

    /// The same of two parts of a choice, of which the kept ones were once tried to
    /// exchange: trying all of them each time would take the square of the boards.
    fn without_spare_among(&self, kept: &[usize], new: Vec<usize>) -> Vec<usize> {
        let cost = |candidate: usize| self.pool.lots[self.pool.candidates[candidate].lot].cost;
        let mut tally = self.tally(kept);
        new.iter().for_each(|candidate| tally.add(*candidate));
        let kept = kept.iter().map(|candidate| (*candidate, false));
        let mut chosen: Vec<(usize, bool)> =
            kept.chain(new.into_iter().map(|candidate| (candidate, true))).collect();
        chosen.sort_by_key(|(candidate, _)| Reverse(cost(*candidate)));
        let mut at = 0;
        while let Some(&(gone, is_new)) = chosen.get(at) {
            let before = tally.score();
            tally.remove(gone);
            if tally.score().made() <= before.made() {
                chosen.remove(at);
                continue;
            }
            let remaining = tally.remaining();
            let other = match is_new {
                true => self.cheapest_for(&remaining, &tally.left, cost(gone)),
                false => None,
            };
            if let Some(other) = other {
                tally.add(other);
                if tally.score() < before {
                    chosen.remove(at);
                    chosen.push((other, true));
                    continue;
                }
                tally.remove(other);
            }
            tally.add(gone);
            at += 1;
        }
        chosen.into_iter().map(|(candidate, _)| candidate).collect()
    }
}

/// Pseudorandom numbers from 0 up to 1, the same every time: G. Marsaglia,
/// "Xorshift RNGs", Journal of Statistical Software 8 (2003), 14.
pub(super) struct Xorshift(pub u64);

impl Xorshift {
    pub(super) fn next(&mut self) -> f64 {
        self.0 ^= self.0 << 13;
        self.0 ^= self.0 >> 7;
        self.0 ^= self.0 << 17;
        (self.0 >> 11) as f64 / (1_u64 << 53) as f64
    }
}

#[cfg(test)]
mod tests {
    use super::super::pool::Want;
    use super::super::tests::{kinds, need, search};
    use super::*;

    /// A fourth of the effort is for the first choice. Once it is used, no more ways to cut
    /// are looked for, and among none there is no choice.
    #[test]
    fn the_first_choice_leaves_effort_for_the_prices() {
        let blanks = kinds(&need(400, 200));
        let wants = [Want { good: 3, for_sets: 3, ..Want::default() }, Want::default()];
        let first = |tried| {
            let mut search = search(&blanks, &wants, &[30], &[]);
            search.pool.lots[0].listed = false;
            search.pool.tried = tried;
            search.first_choice(&[10, 0, 0, 0])
        };
        assert_eq!((first(0), first(MOST_TRIED / 4 - 1)), (vec![0], vec![0]));
        assert_eq!((first(MOST_TRIED / 4), first(MOST_TRIED)), (vec![], vec![]));
    }

    /// By hand from 1: shifted left by 13 and added without carry 8193, its 64 times smaller
    /// part 64 with it 8257, and 8257 x 131072 with that 1082269761. The upper 53 of 64 bits
    /// are 1082269761 / 2048 = 528452 whole.
    #[test]
    fn numbers_are_the_same_every_time() {
        let mut rng = Xorshift(1);
        assert_eq!(rng.next() * (1_u64 << 53) as f64, 528_452.0);
        assert_eq!(rng.0, 1_082_269_761);
        // The next, worked out apart with whole numbers of any length: 1152992998833853505.
        rng.next();
        assert_eq!(rng.0, 1_152_992_998_833_853_505);
        for _ in 0..1000 {
            assert!((0.0..1.0).contains(&rng.next()));
        }
    }
}
