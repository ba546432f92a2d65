//! The cheapest boards of a few that hold all that is wanted: sets of boards in
//! the order of their cost, each searched until one holds it.
//!
//! Prices at which one set falls short say the same of many others, so most sets
//! need no search of their own. Nothing here rests on the word of a solver: that a
//! set falls short is a comparison of whole numbers.

use std::cell::Cell;

use super::cutting::Cutting;
use super::effort::{Effort, MOST_SETS};
use super::every::KindLimits;
use super::hold_prices::{BestWay, HoldPrices, hold_prices};
use super::holding::{Held, HoldingSearch, LotWays};
use super::pool::{KnownCutting, Lot};
use super::shortage::{Amounts, MILLIONTHS, Quantities};
use super::worthwhile::Worth;

/// A lot of boards that may be cut, with the ways of cutting one of them that are
/// known.
#[derive(Clone, Debug)]
pub(super) struct RackLot<'a> {
    pub lot: &'a Lot,
    /// How many of its boards may be cut.
    pub boards: usize,
    pub known: Vec<&'a KnownCutting>,
}

/// The cheapest boards found.
#[derive(Clone, Debug, Default)]
pub(super) struct Fewest {
    /// Each board that is cut: its place among the lots, and its cutting.
    pub found: Option<Vec<(usize, Cutting)>>,
    /// No boards that hold it cost less, in billionths of a board foot.
    pub bound: i64,
}

/// What is known of one set of boards.
enum Tried {
    Holds(Vec<(usize, Cutting)>),
    HoldsNot,
    Undecided,
}

/// How one board can be cut: what it makes, and its cutting.
#[derive(Default)]
struct ListedWays {
    made: Vec<Amounts>,
    cuttings: Vec<Cutting>,
    /// Whether some way that is of use may not be listed.
    partial: bool,
    /// What all ways that are worth as much are listed down to.
    least: i64,
    /// What the best of them is worth.
    most: i64,
}

pub(super) struct FewestSearch<'a> {
    lots: &'a [RackLot<'a>],
    quantities: &'a Quantities,
    limits: KindLimits,
    /// The most that may be missing, as it counts.
    allowed: i64,
    /// What the known ways of each lot make.
    known: Vec<Vec<Amounts>>,
    /// Prices at which earlier sets fell short.
    prices: Vec<HoldPrices>,
    /// Ways tried in pricing that are not taken off the effort yet.
    tried_ways: Cell<usize>,
}

/// How often a set of boards is priced. Chosen, not measured.
const PRICINGS: usize = 3;

impl<'a> FewestSearch<'a> {
    pub(super) fn new(
        lots: &'a [RackLot<'a>],
        quantities: &'a Quantities,
        allowed: i64,
        kinds: usize,
    ) -> FewestSearch<'a> {
        let made =
            |lot: &RackLot| lot.known.iter().map(|known| quantities.of(&known.counts)).collect();
        let known = lots.iter().map(made).collect();
        let limits = quantities.limits(kinds);
        FewestSearch {
            lots,
            quantities,
            limits,
            allowed,
            known,
            prices: Vec::new(),
            tried_ways: Cell::new(0),
        }
    }

    /// Takes prices into account that may show that some sets fall short.
    pub(super) fn knows(&mut self, price: &[i64]) {
        self.prices.push(HoldPrices {
            most: (0..self.lots.len()).map(|lot| self.best_way(lot, price).worth).collect(),
            wanted: self.quantities.worth_of(&self.quantities.wanted, price),
            price: price.to_vec(),
        });
    }

    /// Every set of boards that costs so much and less than `below`, the cheapest
    /// first: how many of each lot. `None` where there are too many.
    fn sets(&self, from: i64, below: i64) -> Option<Vec<(i64, Vec<usize>)>> {
        let mut sets = Vec::new();
        let costs: Vec<i64> =
            self.lots.iter().map(|lot| lot.lot.cost * lot.boards as i64).collect();
        // What all lots from each on cost together.
        let mut rest = vec![0; costs.len() + 1];
        for lot in (0..costs.len()).rev() {
            rest[lot] = rest[lot + 1] + costs[lot];
        }
        let mut begun = vec![(0_i64, Vec::new())];
        let mut steps = 0;
        while let Some((cost, set)) = begun.pop() {
            let at = set.len();
            steps += 1;
            if steps > MOST_SETS * 8 || sets.len() > MOST_SETS {
                return None;
            }
            let Some(lot) = self.lots.get(at) else {
                sets.push((cost, set));
                continue;
            };
            for n in 0..=lot.boards {
                let cost = cost + lot.lot.cost * n as i64;
                if cost < below && cost + rest[at + 1] >= from {
                    begun.push((cost, [&set[..], &[n]].concat()));
                }
            }
        }
        sets.sort();
        Some(sets)
    }

    /// The cheapest set of boards that costs so much and less than `below`, of which
    /// it is known that none cheaper holds what is wanted.
    pub(super) fn search(&mut self, from: i64, mut below: i64, effort: &mut Effort) -> Fewest {
        let Some(sets) = self.sets(from, below) else {
            return Fewest { found: None, bound: from };
        };
        let mut undecided = sets;
        let mut found = None;
        // A little effort for each set finds boards that hold it; more of it for
        // those that cost less shows whether they do.
        for pass in 0..Effort::PASSES {
            let mut still = Vec::new();
            for (cost, set) in undecided {
                if self.prices.iter().any(|prices| self.is_short(prices, &set)) {
                    continue;
                }
                if effort.is_spent() {
                    still.push((cost, set));
                    break;
                }
                effort.begin(pass);
                let tried = self.tried(&set, effort);
                effort.spend(self.tried_ways.take());
                match tried {
                    Tried::Holds(cuttings) => {
                        below = cost;
                        found = Some(cuttings);
                        break;
                    }
                    Tried::Undecided => still.push((cost, set)),
                    Tried::HoldsNot => {}
                }
            }
            undecided = still;
        }
        let bound = undecided.first().map(|(cost, _)| *cost);
        Fewest { found, bound: bound.unwrap_or(below) }
    }

    /// Whether these prices show that too much stays missing.
    fn is_short(&self, prices: &HoldPrices, set: &[usize]) -> bool {
        prices.least_missing(set) > self.allowed * MILLIONTHS
    }

    /// Whether these boards hold all that is wanted. Prices that overlook that no
    /// more is wanted than is wanted come first; where they leave too many ways of
    /// use, the ways listed so far give better ones.
    fn tried(&mut self, set: &[usize], effort: &mut Effort) -> Tried {
        let best = |lot: usize, price: &[i64]| self.best_way(lot, price);
        let Some(mut prices) = hold_prices(self.quantities, set, self.allowed, best) else {
            return Tried::Undecided;
        };
        if self.is_short(&prices, set) {
            self.prices.push(prices);
            return Tried::HoldsNot;
        }
        let mut all: Vec<Vec<Amounts>> = self.known.clone();
        for attempt in 0..PRICINGS {
            let Some(listed) = self.listed(set, prices.clone(), effort) else {
                return Tried::HoldsNot;
            };
            let lots = set.iter().zip(&listed);
            // A board that gives nothing is left uncut; it takes nothing from the others.
            let of_use = |boards: usize, ways: &[Amounts]| if ways.is_empty() { 0 } else { boards };
            let lots: Vec<LotWays> = lots
                .map(|(boards, ListedWays { made, .. })| LotWays {
                    boards: of_use(*boards, made),
                    ways: made,
                })
                .collect();
            let mut search = HoldingSearch::new(self.quantities, &lots, self.allowed);
            let partial = listed.iter().any(|ways| ways.partial);
            match search.search(&prices.price, effort) {
                Held::Yes(chosen) => {
                    let cutting =
                        |(lot, way): (usize, usize)| (lot, listed[lot].cuttings[way].clone());
                    return Tried::Holds(chosen.into_iter().map(cutting).collect());
                }
                Held::No if !partial => return Tried::HoldsNot,
                Held::No | Held::Open if attempt + 1 == PRICINGS => break,
                Held::No | Held::Open => {}
            }
            for (all, listed) in all.iter_mut().zip(listed) {
                all.extend(listed.made);
            }
            let best = |lot: usize, price: &[i64]| self.best_of(&all[lot], price);
            let Some(next) = hold_prices(self.quantities, set, self.allowed, best) else { break };
            let most = (0..set.len()).map(|lot| self.best_way(lot, &next.price).worth).collect();
            prices = HoldPrices { most, ..next };
        }
        Tried::Undecided
    }

    /// The ways to cut each board that can be of use; `None` where they show that
    /// too much stays missing. The best ways at these prices make more of something
    /// than is wanted. Lists of those that don't begin with few ways, and what the
    /// best of them is worth says how long the lists need to be.
    fn listed(
        &self,
        set: &[usize],
        mut prices: HoldPrices,
        effort: &mut Effort,
    ) -> Option<Vec<ListedWays>> {
        let mut listed: Vec<ListedWays> = Vec::new();
        let slack = |prices: &HoldPrices| self.allowed * MILLIONTHS - prices.least_missing(set);
        let mut deep = slack(&prices) / 16;
        for (lot, boards) in set.iter().enumerate() {
            let mut ways = ListedWays { least: prices.most[lot] + 1, ..ListedWays::default() };
            if self.lots[lot].lot.listed && *boards > 0 {
                ways = self.known_ways(lot, &prices);
                prices.most[lot] = ways.most;
            }
            listed.push(ways);
        }
        loop {
            let mut longer = false;
            for (lot, _) in set.iter().enumerate().filter(|(_, boards)| **boards > 0) {
                let least = prices.most[lot] - slack(&prices);
                let ways = &mut listed[lot];
                if ways.partial || ways.least <= least {
                    continue;
                }
                longer = true;
                let least = least.max(prices.most[lot] - deep);
                self.lengthen(lot, least, &prices, ways, effort);
                if !ways.partial {
                    // What is not listed is worth less than this.
                    prices.most[lot] = ways.most.max(least - 1);
                }
                if self.is_short(&prices, set) {
                    return None;
                }
            }
            if !longer {
                return Some(listed);
            }
            deep = (deep + 1) * 3;
        }
    }

    /// Lists all ways to cut a board that are worth so much. Where they are too many,
    /// those that are known join the ones listed so far.
    fn lengthen(
        &self,
        lot: usize,
        least: i64,
        prices: &HoldPrices,
        ways: &mut ListedWays,
        effort: &mut Effort,
    ) {
        let worth = Worth { quantities: self.quantities, price: &prices.price, least };
        let prepared = &self.lots[lot].lot.prepared;
        let list = |work: &mut usize| prepared.worthwhile(&self.limits, &worth, work);
        if let Some(cuttings) = effort.of_list(list) {
            let of = |cutting: &Cutting| self.quantities.of(&cutting.counts(self.limits.0.len()));
            let made: Vec<Amounts> = cuttings.iter().map(of).collect();
            let each = made.iter().map(|made| self.quantities.value(made, &prices.price));
            let most = each.max().unwrap_or(0);
            *ways = ListedWays { made, cuttings, partial: false, least, most };
            return;
        }
        ways.partial = true;
        for (made, known) in self.known[lot].iter().zip(&self.lots[lot].known) {
            if !ways.made.contains(made) {
                ways.made.push(*made);
                ways.cuttings.push(known.cutting.clone());
            }
        }
    }

    /// The known ways to cut a board, where all that count are known.
    fn known_ways(&self, lot: usize, prices: &HoldPrices) -> ListedWays {
        let made = self.known[lot].clone();
        let cuttings = self.lots[lot].known.iter().map(|known| known.cutting.clone()).collect();
        let each = made.iter().map(|made| self.quantities.value(made, &prices.price));
        let most = each.max().unwrap_or(0);
        ListedWays { made, cuttings, partial: false, least: i64::MIN, most }
    }

    /// The way to cut a board of a lot that is worth most at these prices.
    fn best_way(&self, lot: usize, price: &[i64]) -> BestWay {
        let RackLot { lot: own, .. } = &self.lots[lot];
        if !own.listed {
            let kinds = self.limits.0.len();
            let found = own.prepared.best_cutting(&self.quantities.prices_of_kinds(price, kinds));
            self.tried_ways.set(self.tried_ways.get() + found.work);
            let made = self.quantities.of(&found.cutting.counts(kinds));
            return BestWay { worth: found.worth, made };
        }
        self.best_of(&self.known[lot], price)
    }

    /// The way that is worth most of some.
    fn best_of(&self, ways: &[Amounts], price: &[i64]) -> BestWay {
        let ways = ways.iter().map(|made| (self.quantities.value(made, price), made));
        ways.max_by_key(|(worth, _)| *worth)
            .map_or_else(BestWay::default, |(worth, made)| BestWay { worth, made: *made })
    }
}

#[cfg(test)]
mod tests {
    use super::super::pool::Want;
    use super::super::tests::{kinds, need, search};
    use super::*;

    /// Each board gives eight blanks. For eight the cheapest is cut, for twenty all three; below
    /// 12 no two boards hold sixteen, and the two for 3 and 5 hold them for 8.
    #[test]
    fn the_cheapest_boards_that_hold_it_are_found() {
        let blanks = kinds(&need(400, 200));
        let found = |wanted, below| {
            let want = Want { good: wanted, for_sets: wanted, ..Want::default() };
            let quantities = Quantities::new(&[want], true).unwrap();
            let mut search = search(&blanks, &[want], &[9, 3, 5], &[]);
            search.pool.lots.iter_mut().for_each(|lot| lot.listed = false);
            let lots: Vec<RackLot> = search
                .pool
                .lots
                .iter()
                .map(|lot| RackLot { lot, boards: 1, known: Vec::new() })
                .collect();
            let mut effort = Effort::of_few();
            let found = FewestSearch::new(&lots, &quantities, 0, 2).search(0, below, &mut effort);
            let cut = found.found.map(|cuttings| {
                let mut lots: Vec<usize> = cuttings.into_iter().map(|(lot, _)| lot).collect();
                lots.sort_unstable();
                lots
            });
            (cut, found.bound)
        };
        assert_eq!(found(8, 100), (Some(vec![1]), 3));
        assert_eq!(found(16, 100), (Some(vec![1, 2]), 8));
        assert_eq!(found(20, 100), (Some(vec![0, 1, 2]), 17));
        assert_eq!(found(16, 8), (None, 8));
        assert_eq!(found(25, 100), (None, 100));
    }
}
