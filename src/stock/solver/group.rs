//! The boards and needs that are chosen among together, and how good a choice
//! of candidates is.

use super::blank_kind::BlankKind;
use super::effort::MOST_COMPARISONS;
use super::every::KindLimits;
use super::pool::{Lot, Pool, UsableBoard, Want};

/// How good a choice is. Less is better, and the first field counts most.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
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

/// The choice among boards that can serve the same needs.
pub(super) struct GroupSearch<'a> {
    pub blanks: &'a [BlankKind],
    pub wants: Vec<Want>,
    pub pool: Pool,
}

impl GroupSearch<'_> {
    pub(super) fn new<'a>(
        usable: &[UsableBoard],
        group: &[usize],
        blanks: &'a [BlankKind],
        wants: Vec<Want>,
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
        GroupSearch { blanks, wants, pool }
    }

    /// What is still to be made after these candidates, and how many boards of
    /// each lot are left.
    pub(super) fn remaining_after(&self, chosen: &[usize]) -> (Remaining, Vec<usize>) {
        let mut remaining = Remaining::new(&self.wants);
        let mut left: Vec<usize> = self.pool.lots.iter().map(|lot| lot.boards.len()).collect();
        for &candidate in chosen {
            remaining.take_all(&self.pool.candidates[candidate].counts);
            left[self.pool.candidates[candidate].lot] -= 1;
        }
        (remaining, left)
    }

    /// How good a choice is.
    pub(super) fn score(&self, chosen: &[usize]) -> Score {
        let mut score =
            Score { missing_for_sets: 0, missing_spares: 0, missing_setup: 0, apart: 0, cost: 0 };
        let candidates = || chosen.iter().map(|&index| &self.pool.candidates[index]);
        for (need, want) in self.wants.iter().enumerate() {
            let sum =
                |kind: usize| -> u32 { candidates().map(|candidate| candidate.counts[kind]).sum() };
            let (good, cheap) = (sum(2 * need), sum(2 * need + 1));
            let sets = want.for_sets.min(good);
            let spare = (want.good - want.for_sets).min(good - sets);
            score.missing_for_sets += want.for_sets - sets;
            score.missing_spares += want.good - want.for_sets - spare;
            score.missing_setup += want.proving.saturating_sub(cheap + (good - sets - spare));
            if let Some(a_set) = want.a_set {
                let whole: u32 =
                    candidates().map(|candidate| candidate.counts[2 * need] / a_set).sum();
                score.apart += (sets / a_set).saturating_sub(whole);
            }
        }
        score.cost = candidates().map(|candidate| self.pool.lots[candidate.lot].cost).sum();
        score
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

    /// Whether everything is made.
    pub(super) fn is_done(&self) -> bool {
        self.0.iter().all(|open| *open == (0, 0))
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
