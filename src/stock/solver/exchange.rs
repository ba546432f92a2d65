//! Boards of a choice exchanged for others: a few opened boards and a few closed
//! ones are laid out again, as if they were the whole rack.

use super::choose::Settled;
use super::cutting::Cutting;
use super::effort::{CLOSED, EXCHANGES, Effort, OPENED};
use super::fewest::{FewestSearch, RackLot};
use super::group::GroupSearch;
use super::improve::Xorshift;
use super::pool::Prices;
use super::shortage::{Amounts, Quantities};

impl GroupSearch<'_> {
    /// Betters a choice by laying out a few of its boards again, each board a few
    /// times.
    pub(super) fn exchange(&mut self, settled: &mut Settled, found: &Prices) {
        let score = self.score(&settled.best);
        let Some(quantities) = self.quantities_for(score) else { return };
        let price = quantities.prices_of_quantities(&found.of);
        let mut rng = Xorshift(5);
        for round in 0..settled.best.len() * EXCHANGES {
            let Some(next) = self.exchanged(&quantities, &price, &settled.best, round, &mut rng)
            else {
                continue;
            };
            let kinds = self.blanks.len();
            let next: Vec<usize> = next
                .into_iter()
                .map(|part| match part {
                    ChoicePart::Kept(candidate) => candidate,
                    ChoicePart::Anew(lot, cutting) => self.pool.index_of(lot, cutting, kinds),
                })
                .collect();
            if self.score(&next) < self.score(&settled.best) {
                settled.best = next;
            }
        }
    }

    /// The choice with a few boards laid out again, where that takes less wood.
    fn exchanged(
        &self,
        quantities: &Quantities,
        price: &[i64],
        best: &[usize],
        round: usize,
        rng: &mut Xorshift,
    ) -> Option<Vec<ChoicePart>> {
        let mut rest = best.to_vec();
        let mut taken = vec![rest.remove(round % rest.len().max(1))];
        while taken.len() < OPENED && !rest.is_empty() {
            taken.push(rest.swap_remove((rng.next() * rest.len() as f64) as usize));
        }
        let of = |candidate: &usize| &self.pool.candidates[*candidate];
        let cost = |lot: usize| self.pool.lots[lot].cost;
        let below: i64 = taken.iter().map(|index| cost(of(index).lot)).sum();
        let mut boards = vec![0; self.pool.lots.len()];
        taken.iter().for_each(|index| boards[of(index).lot] += 1);
        let (_, left) = self.remaining_after(best);
        let mut closed: Vec<usize> =
            (0..left.len()).filter(|lot| left[*lot] > 0 && cost(*lot) < below).collect();
        for _ in 0..CLOSED {
            if closed.is_empty() {
                break;
            }
            let lot = closed.swap_remove((rng.next() * closed.len() as f64) as usize);
            boards[lot] += 1;
        }
        let made = rest.iter().map(|index| quantities.of(&of(index).counts));
        let open = made.fold(quantities.wanted, |open, made| quantities.after(&open, &made));
        let places: Vec<usize> = (0..boards.len()).filter(|lot| boards[*lot] > 0).collect();
        let quantities = quantities.with_open(open);
        let rack: Vec<RackLot> = places
            .iter()
            .map(|&place| RackLot {
                lot: &self.pool.lots[place],
                boards: boards[place],
                known: self.pool.of_lot(place).collect(),
            })
            .collect();
        let missing = quantities.weight_of(&self.open_after(&quantities, &taken));
        let mut search = FewestSearch::new(&rack, &quantities, missing, self.blanks.len());
        search.knows(price);
        let cuttings = search.search(0, below, &mut Effort::of_exchange()).found?;
        let anew =
            cuttings.into_iter().map(|(lot, cutting)| ChoicePart::Anew(places[lot], cutting));
        Some(rest.into_iter().map(ChoicePart::Kept).chain(anew).collect())
    }

    fn open_after(&self, quantities: &Quantities, taken: &[usize]) -> Amounts {
        taken.iter().fold(quantities.wanted, |open, index| {
            quantities.after(&open, &quantities.of(&self.pool.candidates[*index].counts))
        })
    }
}

/// A board of a choice: as it was, or a lot and how a board of it is cut anew.
enum ChoicePart {
    Kept(usize),
    Anew(usize, Cutting),
}
