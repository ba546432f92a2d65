//! How good a choice is: what it makes and costs, kept up to date as boards come and go, so that a
//! change is judged by what it changes.

use super::pool::{Pool, Want};

/// How good a choice is. Less is better, and the first field counts most.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct Score {
    /// Blanks for sets that are missing.
    pub missing_for_sets: u32,
    /// Spares that are missing.
    pub missing_spares: u32,
    /// Setup pieces that are missing.
    pub missing_setup: u32,
    /// Sets that come from several boards though one was wanted.
    pub apart: u32,
    /// In billionths of a board foot.
    pub cost: i64,
}

impl Score {
    /// Blanks that are missing.
    pub(super) fn missing(self) -> u32 {
        self.missing_for_sets + self.missing_spares + self.missing_setup
    }

    /// Everything but the cost.
    pub(super) fn made(self) -> (u32, u32, u32, u32) {
        (self.missing_for_sets, self.missing_spares, self.missing_setup, self.apart)
    }
}

/// What is still to be made of each need: good blanks, and blanks for proving
/// settings.
#[derive(Clone, Debug)]
pub(super) struct Remaining(pub Vec<(u32, u32)>);

impl Remaining {
    pub(super) fn new(wants: &[Want]) -> Remaining {
        Remaining(wants.iter().map(|want| (want.good, want.proving)).collect())
    }

    /// Takes these blanks off; a good blank that is not wanted as one proves
    /// settings.
    pub(super) fn take_all(&mut self, counts: &[u32]) {
        for ((good, cheap), counts) in self.0.iter_mut().zip(counts.chunks(2)) {
            let taken = counts[0].min(*good);
            *good -= taken;
            *cheap = cheap.saturating_sub(counts[0] - taken + counts[1]);
        }
    }

    /// How many blanks of a kind are still of use.
    pub(super) fn wants(&self, kind: usize) -> u32 {
        let (good, cheap) = self.0[kind / 2];
        cheap + if kind.is_multiple_of(2) { good } else { 0 }
    }

    /// Whether these blanks are all that is still to be made.
    pub(super) fn is_made_by(&self, counts: &[u32]) -> bool {
        self.0.iter().zip(counts.chunks(2)).all(|((good, cheap), counts)| {
            counts[0] >= *good && counts[0] - good + counts[1] >= *cheap
        })
    }

    /// What these blanks are worth, as far as they are still wanted.
    pub(super) fn worth(&self, counts: &[u32], worth: &[f64]) -> f64 {
        let each = self.0.iter().zip(counts.chunks(2)).zip(worth.chunks(2));
        each.map(|((open, counts), worth)| {
            let good = counts[0].min(open.0);
            let cheap = (counts[0] - good + counts[1]).min(open.1);
            f64::from(good) * worth[0] + f64::from(cheap) * worth[1]
        })
        .sum()
    }
}

/// The sums of a choice.
#[derive(Clone, Debug)]
pub(super) struct ChoiceTally<'s> {
    wants: &'s [Want],
    pool: &'s Pool,
    /// Blanks of each kind.
    made: Vec<u32>,
    /// Of each need, sets that come whole from one board.
    whole_sets: Vec<u32>,
    /// How many boards of each lot are left.
    pub left: Vec<usize>,
    /// In billionths of a board foot.
    cost: i64,
}

impl<'s> ChoiceTally<'s> {
    pub(super) fn of(wants: &'s [Want], pool: &'s Pool, chosen: &[usize]) -> ChoiceTally<'s> {
        let mut tally = ChoiceTally {
            wants,
            pool,
            made: vec![0; 2 * wants.len()],
            whole_sets: vec![0; wants.len()],
            left: pool.lots.iter().map(|lot| lot.boards.len()).collect(),
            cost: 0,
        };
        chosen.iter().for_each(|candidate| tally.add(*candidate));
        tally
    }

    /// With one more board, cut in this way.
    pub(super) fn add(&mut self, candidate: usize) {
        let own = &self.pool.candidates[candidate];
        self.left[own.lot] -= 1;
        self.cost += self.pool.lots[own.lot].cost;
        self.made.iter_mut().zip(&own.counts).for_each(|(made, count)| *made += count);
        for (need, want) in self.wants.iter().enumerate() {
            self.whole_sets[need] += want.a_set.map_or(0, |a_set| own.counts[2 * need] / a_set);
        }
    }

    /// Without one board that is cut in this way.
    pub(super) fn remove(&mut self, candidate: usize) {
        let own = &self.pool.candidates[candidate];
        self.left[own.lot] += 1;
        self.cost -= self.pool.lots[own.lot].cost;
        self.made.iter_mut().zip(&own.counts).for_each(|(made, count)| *made -= count);
        for (need, want) in self.wants.iter().enumerate() {
            self.whole_sets[need] -= want.a_set.map_or(0, |a_set| own.counts[2 * need] / a_set);
        }
    }

    /// How good the choice is.
    pub(super) fn score(&self) -> Score {
        let mut score = Score { cost: self.cost, ..Score::default() };
        let each = self.wants.iter().zip(self.made.chunks(2)).zip(&self.whole_sets);
        for ((want, made), whole) in each {
            let Want { good: wanted, for_sets, proving, a_set } = *want;
            let (good, cheap) = (made[0], made[1]);
            let sets = for_sets.min(good);
            let spare = (wanted - for_sets).min(good - sets);
            score.missing_for_sets += for_sets - sets;
            score.missing_spares += wanted - for_sets - spare;
            score.missing_setup += proving.saturating_sub(cheap + (good - sets - spare));
            score.apart += a_set.map_or(0, |a_set| (sets / a_set).saturating_sub(*whole));
        }
        score
    }

    /// What is still to be made.
    pub(super) fn remaining(&self) -> Remaining {
        let mut remaining = Remaining::new(self.wants);
        remaining.take_all(&self.made);
        remaining
    }
}

#[cfg(test)]
mod tests {
    use super::super::tests::{kinds, need, search};
    use super::*;

    /// Two sets of two, and boards with three, two and one. With the first two nothing is missing
    /// and each has a set; without the second a blank is; with the third instead, a set is apart.
    #[test]
    fn a_tally_follows_boards_that_come_and_go() {
        let blanks = kinds(&need(400, 200));
        let want = Want { good: 4, for_sets: 4, a_set: Some(2), ..Want::default() };
        let ways = [(0, [3, 0, 0, 0]), (1, [2, 0, 0, 0]), (2, [1, 0, 0, 0])];
        let search = search(&blanks, &[want, Want::default()], &[7, 5, 2], &ways);
        let mut tally = search.tally(&[0, 1]);
        let all = Score { cost: 12, ..Score::default() };
        assert_eq!((tally.score(), tally.left.clone()), (all, vec![0, 0, 1]));
        tally.remove(1);
        assert_eq!(tally.score(), Score { missing_for_sets: 1, cost: 7, ..Score::default() });
        assert_eq!(tally.remaining().0[0], (1, 0));
        tally.add(2);
        assert_eq!(tally.score(), Score { apart: 1, cost: 9, ..Score::default() });
        assert_eq!(tally.left, [0, 1, 0]);
    }
}
