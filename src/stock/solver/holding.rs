//! Whether given boards hold what is wanted, each cut in one of the ways listed
//! for it: a search board by board that prices cut short.
//!
//! Whatever prices the quantities have: where the best ways of all boards left are
//! together worth less than what is open, the boards don't hold it. For the same
//! reason a way that is worth too little leaves the others too much to make. Prices
//! are adjusted from board to board; any prices are right, good ones only cut more.

use std::collections::BTreeSet;

use super::effort::Effort;
use super::shortage::{Amounts, MILLIONTHS, Quantities};

/// The ways listed for the boards of one lot.
#[derive(Clone, Copy, Debug)]
pub(super) struct LotWays<'a> {
    /// How many boards there are.
    pub boards: usize,
    /// The quantities of each way.
    pub ways: &'a [Amounts],
}

/// What a search found.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) enum Held {
    /// For each board its lot and the way it is cut.
    Yes(Vec<(usize, usize)>),
    /// No combination of these ways makes it.
    No,
    /// The effort was used up.
    Open,
}

/// How often prices are adjusted at one place of the search.
const ADJUSTED: usize = 12;

struct SearchPlace {
    /// How many boards of each lot are left.
    left: Vec<usize>,
    /// The ways of each lot that can still be of use, by index.
    of_use: Vec<Vec<u32>>,
    /// The first way that a board of each lot may still be cut in: boards that are
    /// alike are cut in the order of their ways.
    first: Vec<u32>,
    open: Amounts,
    price: Vec<i64>,
}

/// What the ways of all lots are worth at one price.
struct Valued {
    /// The least that is missing at these prices, in millionths.
    least: i64,
    /// The most one way of each lot is worth.
    most: Vec<i64>,
    /// Worth of each way of use.
    worth: Vec<Vec<i64>>,
    /// What the best ways give of each quantity.
    given: Vec<u64>,
}

pub(super) struct HoldingSearch<'a> {
    quantities: &'a Quantities,
    lots: &'a [LotWays<'a>],
    /// The most that may be missing, as it counts.
    allowed: i64,
    /// Comparisons left.
    work: usize,
    failed: BTreeSet<(Vec<usize>, Vec<u32>, Amounts)>,
    chosen: Vec<(usize, usize)>,
}

impl<'a> HoldingSearch<'a> {
    pub(super) fn new(
        quantities: &'a Quantities,
        lots: &'a [LotWays<'a>],
        allowed: i64,
    ) -> HoldingSearch<'a> {
        HoldingSearch {
            quantities,
            lots,
            allowed,
            work: 0,
            failed: BTreeSet::new(),
            chosen: Vec::new(),
        }
    }

    /// Searches from these prices on.
    pub(super) fn search(&mut self, price: &[i64], effort: &mut Effort) -> Held {
        let of_use = self.lots.iter().map(|lot| (0..lot.ways.len() as u32).collect()).collect();
        let left = self.lots.iter().map(|lot| lot.boards).collect();
        let first = vec![0; self.lots.len()];
        let place = SearchPlace {
            left,
            of_use,
            first,
            open: self.quantities.wanted,
            price: price.to_vec(),
        };
        let held = effort.of_holding(|work| {
            self.work = *work;
            let held = self.holds(place);
            *work = self.work;
            held
        });
        match held {
            Some(true) => Held::Yes(std::mem::take(&mut self.chosen)),
            Some(false) => Held::No,
            None => Held::Open,
        }
    }

    /// Whether what is open here is made; `None` once the effort is used up.
    fn holds(&mut self, mut place: SearchPlace) -> Option<bool> {
        if self.quantities.weight_of(&place.open) <= self.allowed {
            return Some(true);
        }
        if place.left.iter().all(|left| *left == 0) {
            return Some(false);
        }
        let known = (place.left.clone(), place.first.clone(), place.open);
        if self.failed.contains(&known) {
            return Some(false);
        }
        let Some(valued) = self.adjusted(&mut place)? else {
            self.failed.insert(known);
            return Some(false);
        };
        let slack = self.allowed * MILLIONTHS - valued.least;
        let mut next: Option<(usize, Vec<(i64, u32)>)> = None;
        for lot in 0..self.lots.len() {
            if place.left[lot] == 0 {
                place.of_use[lot].clear();
                continue;
            }
            let least = valued.most[lot] - slack;
            let worth = valued.worth[lot].iter().copied();
            let mut kept: Vec<(i64, u32)> =
                worth.zip(place.of_use[lot].iter().copied()).filter(|(w, _)| *w >= least).collect();
            place.of_use[lot] = kept.iter().map(|(_, way)| *way).collect();
            if next.as_ref().is_none_or(|(_, ways)| kept.len() < ways.len()) {
                kept.sort_by_key(|(worth, way)| (-worth, *way));
                next = Some((lot, kept));
            }
        }
        let (lot, ways) = next?;
        for (_, way) in ways {
            let made = &self.lots[lot].ways[way as usize];
            let mut left = place.left.clone();
            left[lot] -= 1;
            let (mut of_use, mut first) = (place.of_use.clone(), place.first.clone());
            if left[lot] > 0 {
                first[lot] = way;
                of_use[lot].retain(|other| *other >= way);
            }
            let open = self.quantities.after(&place.open, made);
            let price = place.price.clone();
            self.chosen.push((lot, way as usize));
            if self.holds(SearchPlace { left, of_use, first, open, price })? {
                return Some(true);
            }
            self.chosen.pop();
        }
        self.failed.insert(known);
        Some(false)
    }

    /// The ways of use valued at the best prices found near those of this place;
    /// `None` inside where they show that too much stays missing.
    fn adjusted(&mut self, place: &mut SearchPlace) -> Option<Option<Valued>> {
        let mut best = self.valued(place, &place.price.clone())?;
        let mut price = place.price.clone();
        let mut given = best.given.clone();
        let mut step = 0.25;
        for _ in 0..ADJUSTED {
            if best.least > self.allowed * MILLIONTHS {
                return Some(None);
            }
            // What the best ways give too much of becomes cheaper.
            for (at, price) in price.iter_mut().enumerate() {
                let open = f64::from(place.open.get(at));
                let lacking = if open > 0.0 { (open - given[at] as f64) / open } else { -1.0 };
                *price = (*price as f64 * (1.0 + step * lacking.clamp(-1.0, 1.0))) as i64 + 1;
            }
            self.scale(&mut price, &place.open);
            let found = self.valued(place, &price)?;
            given.clone_from(&found.given);
            if found.least > best.least {
                best = found;
                place.price.clone_from(&price);
            } else {
                step *= 0.7;
            }
        }
        Some((best.least <= self.allowed * MILLIONTHS).then_some(best))
    }

    /// Scales prices so that the dearest of what is open is as high as it can be
    /// of use.
    fn scale(&self, price: &mut [i64], open: &Amounts) {
        let highest = self.quantities.highest();
        let most = (0..price.len())
            .filter(|at| open.get(*at) > 0)
            .map(|at| price[at] as f64 / (highest[at] * MILLIONTHS) as f64)
            .fold(0.0, f64::max);
        if most > 0.0 {
            price.iter_mut().for_each(|price| *price = (*price as f64 / most) as i64);
        }
    }

    /// What the ways of use are worth at these prices.
    fn valued(&mut self, place: &SearchPlace, price: &[i64]) -> Option<Valued> {
        let quantities = self.quantities.len;
        let mut found = Valued {
            least: self.quantities.worth_of(&place.open, price),
            most: vec![0; self.lots.len()],
            worth: vec![Vec::new(); self.lots.len()],
            given: vec![0; quantities],
        };
        for (lot, ways) in self.lots.iter().enumerate() {
            if place.left[lot] == 0 {
                continue;
            }
            let of_use = &place.of_use[lot];
            self.work = self.work.checked_sub(of_use.len() + 1)?;
            let mut best = None;
            let mut worth = Vec::with_capacity(of_use.len());
            for &way in of_use {
                let made = &ways.ways[way as usize];
                let here = self.quantities.value_of_open(made, &place.open, price);
                worth.push(here);
                if here > found.most[lot] {
                    found.most[lot] = here;
                    best = Some(made);
                }
            }
            found.worth[lot] = worth;
            found.least -= found.most[lot] * place.left[lot] as i64;
            let Some(best) = best else { continue };
            for (at, given) in found.given.iter_mut().enumerate() {
                *given += u64::from(best.get(at)) * place.left[lot] as u64;
            }
        }
        Some(found)
    }
}

#[cfg(test)]
mod tests {
    use super::super::pool::Want;
    use super::*;

    fn held(wanted: [u32; 2], lots: &[(usize, &[[u32; 2]])], allowed: i64, effort: u32) -> Held {
        let wants = wanted.map(|good| Want { good, for_sets: good, ..Want::default() });
        let quantities = Quantities::new(&wants, true).unwrap();
        let ways: Vec<Vec<Amounts>> = lots
            .iter()
            .map(|(_, ways)| ways.iter().map(|[a, b]| quantities.of(&[*a, 0, *b, 0])).collect())
            .collect();
        let lots: Vec<LotWays> = lots
            .iter()
            .zip(&ways)
            .map(|((boards, _), ways)| LotWays { boards: *boards, ways })
            .collect();
        let mut left = Effort::of_few();
        left.begin(effort);
        HoldingSearch::new(&quantities, &lots, allowed).search(&[1_000, 1_000], &mut left)
    }

    /// Of a board come three of the first part or two of the second, of another two and one, or
    /// none and three. Five and one are 3 + 2 and 0 + 1. For three and three the first gives
    /// three of the first, the second three of the second. Four and two need (3, 0) and (2, 1),
    /// which lack one of the second; one may be missing or not.
    #[test]
    fn boards_hold_what_one_way_each_adds_up_to() {
        let lots: [(usize, &[[u32; 2]]); 2] = [(1, &[[3, 0], [0, 2]]), (1, &[[2, 1], [0, 3]])];
        assert_eq!(held([5, 1], &lots, 0, 0), Held::Yes(vec![(0, 0), (1, 0)]));
        let Held::Yes(mut chosen) = held([3, 3], &lots, 0, 0) else { panic!() };
        chosen.sort_unstable();
        assert_eq!(chosen, [(0, 0), (1, 1)]);
        assert_eq!(held([4, 2], &lots, 0, 0), Held::No);
        assert!(matches!(held([4, 2], &lots, 1, 0), Held::Yes(_)));
    }

    /// Three boards alike: (2, 0), (1, 1) or (0, 2) each are any six with no more than six of
    /// either; seven are too many.
    #[test]
    fn boards_that_are_alike_are_each_cut_in_their_own_way() {
        let lots: [(usize, &[[u32; 2]]); 1] = [(3, &[[0, 2], [2, 0], [1, 1]])];
        for first in 0..=6 {
            assert!(matches!(held([first, 6 - first], &lots, 0, 0), Held::Yes(_)), "{first}");
            assert_eq!(held([first, 7 - first], &lots, 0, 0), Held::No, "{first}");
        }
    }
}
