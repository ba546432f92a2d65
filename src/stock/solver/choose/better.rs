//! A first choice of boards, and better ones by beginning again and again.
//! Knows nothing of how good a choice can be at best.

use std::cmp::Reverse;

use super::{Candidate, GroupSearch, MOST_TRIED, Remaining, Score};
use crate::stock::solver::price::Prices;

/// How often a choice is begun anew, and how often of these with no board.
const STARTS: u64 = 150;
const FROM_NOTHING: u64 = 20;
/// How often cuttings are looked for that a good choice lacks.
const CLOSER: u64 = 30;
/// How often a blank of a cutting is looked at in bettering a choice.
const MOST_LOOKED: usize = 1_000_000_000;

impl GroupSearch<'_> {
    /// A choice made board after board, always the one most of which becomes
    /// blanks.
    pub(in crate::stock) fn first(&mut self, area: &[i64]) -> Vec<usize> {
        let mut chosen = Vec::new();
        let (mut open, mut left) = self.after(&chosen);
        loop {
            let price: Vec<i64> = (0..area.len())
                .map(|kind| if open.wants(kind) > 0 { area[kind] } else { 0 })
                .collect();
            for (lot, left) in left.iter().enumerate() {
                let is_rested = self.pool.tried < MOST_TRIED / 4;
                if *left > 0 && !self.pool.lots[lot].listed && is_rested {
                    self.pool.add_dearest(lot, &price);
                }
            }
            let worth: Vec<f64> = area.iter().map(|area| *area as f64).collect();
            let Some(next) = self.most_for_its_cost(&open, &left, &worth, |_| 1.0) else { break };
            let column = &self.pool.columns[next];
            open.take_all(&column.counts);
            left[column.lot] -= 1;
            chosen.push(next);
        }
        chosen
    }

    fn most_for_its_cost(
        &self,
        open: &Remaining,
        left: &[usize],
        worth: &[f64],
        mut chance: impl FnMut(usize) -> f64,
    ) -> Option<usize> {
        let mut best: Option<(f64, usize)> = None;
        for (index, column) in self.pool.columns.iter().enumerate() {
            if left[column.lot] == 0 {
                continue;
            }
            let worth = open.worth(&column.counts, worth);
            if worth <= 0.0 {
                continue;
            }
            let cost = self.pool.lots[column.lot].cost.max(1) as f64;
            let rate = worth / cost * chance(index);
            if best.is_none_or(|(known, _)| known < rate) {
                best = Some((rate, index));
            }
        }
        best.map(|(_, index)| index)
    }

    /// Cuttings near the dearest ones, for a choice needs more than the bound
    /// does.
    pub(in crate::stock) fn more_cuttings(&mut self, found: &Prices) {
        let mut chance = Xorshift(1);
        for lot in 0..self.pool.lots.len() {
            if self.pool.lots[lot].listed || self.pool.is_tired() {
                continue;
            }
            for _ in 0..8 {
                let mut of =
                    |price: &i64| ((*price + 1) as f64 * (0.7 + 0.6 * chance.next())) as i64;
                let mut price: Vec<i64> = found.of.iter().map(&mut of).collect();
                for pair in price.chunks_mut(2) {
                    pair[0] = pair[0].max(pair[1]);
                }
                self.pool.add_dearest(lot, &price);
            }
        }
    }

    /// Cuttings for what the best choice lacks without one or two of its boards:
    /// the last boards want other cuttings than the first.
    pub(in crate::stock) fn closer_cuttings(&mut self, found: &Prices, best: &[usize]) {
        let kinds = self.blanks.len();
        let mut chance = Xorshift(3);
        for start in 0..CLOSER {
            if self.pool.is_tired() {
                return;
            }
            let mut rest = best.to_vec();
            for _ in 0..1 + start % 3 {
                if !rest.is_empty() {
                    rest.swap_remove((chance.next() * rest.len() as f64) as usize);
                }
            }
            let (open, left) = self.after(&rest);
            // What would be cut too often is worth less and less.
            let mut price: Vec<i64> = (0..kinds)
                .map(|kind| if open.wants(kind) > 0 { found.of[kind] + 1 } else { 0 })
                .collect();
            for _ in 0..2 {
                let mut over = vec![false; kinds];
                for (lot, left) in left.iter().enumerate() {
                    if *left == 0 || self.pool.lots[lot].listed {
                        continue;
                    }
                    let (_, counts) = self.pool.add_dearest(lot, &price);
                    for (kind, count) in counts.into_iter().enumerate() {
                        over[kind] |= count > open.wants(kind);
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

    /// The best of many choices, each begun with a little chance.
    pub(in crate::stock) fn bettered(&self, found: &Prices, first: Vec<usize>) -> Vec<usize> {
        let mut best_score = self.score(&first);
        let mut best = first;
        let all: f64 = found.of.iter().map(|price| *price as f64).sum::<f64>() + 1.0;
        let worth: Vec<f64> = self
            .blanks
            .iter()
            .zip(&found.of)
            .map(|(blank, price)| *price as f64 + all * 1e-6 * (blank.length as f64 / 1e9))
            .collect();
        let mut chance = Xorshift(2);
        let each = self.pool.columns.len() * self.blanks.len() * (best.len() + 1);
        let most = (MOST_LOOKED / each.max(1)).max(1) as u64;
        for start in 0..STARTS.min(most) {
            let wide = if start == 0 { 0.0 } else { 0.25 };
            let mut chosen = Vec::new();
            if start >= FROM_NOTHING {
                // Of the best so far a few boards go back.
                chosen.clone_from(&best);
                for _ in 0..2 + start % 4 {
                    if !chosen.is_empty() {
                        chosen.swap_remove((chance.next() * chosen.len() as f64) as usize);
                    }
                }
            }
            let (mut open, mut left) = self.after(&chosen);
            while let Some(next) =
                self.most_for_its_cost(&open, &left, &worth, |_| 1.0 + wide * (chance.next() - 0.5))
            {
                if let Some(last) = self.cheapest_for(&open, &left) {
                    let mut with = chosen.clone();
                    with.push(last);
                    self.keep_better(self.without_spare_boards(with), &mut best, &mut best_score);
                }
                let column = &self.pool.columns[next];
                open.take_all(&column.counts);
                left[column.lot] -= 1;
                chosen.push(next);
            }
            self.keep_better(self.without_spare_boards(chosen), &mut best, &mut best_score);
        }
        best
    }

    fn keep_better(&self, found: Vec<usize>, best: &mut Vec<usize>, score: &mut Score) {
        let found_score = self.score(&found);
        if found_score < *score {
            (*best, *score) = (found, found_score);
        }
    }

    /// The cheapest cutting that makes all that is still open.
    fn cheapest_for(&self, open: &Remaining, left: &[usize]) -> Option<usize> {
        let fits = |(_, column): &(usize, &Candidate)| {
            left[column.lot] > 0 && {
                let mut open = open.clone();
                open.take_all(&column.counts);
                open.is_done()
            }
        };
        let columns = self.pool.columns.iter().enumerate().filter(fits);
        columns.min_by_key(|(_, column)| self.pool.lots[column.lot].cost).map(|(index, _)| index)
    }

    /// Boards that can go without anything missing go, the dearest first;
    /// others are changed for cheaper ones.
    pub(in crate::stock) fn without_spare_boards(&self, mut chosen: Vec<usize>) -> Vec<usize> {
        let cost = |column: usize| self.pool.lots[self.pool.columns[column].lot].cost;
        chosen.sort_by_key(|&column| Reverse(cost(column)));
        let mut at = 0;
        while at < chosen.len() {
            let mut without = chosen.clone();
            let gone = without.remove(at);
            let (before, after) = (self.score(&chosen), self.score(&without));
            if after.made() <= before.made() {
                chosen = without;
                continue;
            }
            let (open, left) = self.after(&without);
            if let Some(other) = self.cheapest_for(&open, &left).filter(|o| cost(*o) < cost(gone)) {
                without.push(other);
                if self.score(&without) < before {
                    chosen = without;
                    continue;
                }
            }
            at += 1;
        }
        chosen
    }
}

/// Numbers between nothing and one that look thrown, the same every time
/// (Marsaglia's xorshift, Journal of Statistical Software 8, 2003).
struct Xorshift(u64);

impl Xorshift {
    fn next(&mut self) -> f64 {
        self.0 ^= self.0 << 13;
        self.0 ^= self.0 >> 7;
        self.0 ^= self.0 << 17;
        (self.0 >> 11) as f64 / (1_u64 << 53) as f64
    }
}
