//! Which boards to cut and how, so that as much as possible is made from as
//! little wood as possible. Knows nothing of places on a board: a cutting is
//! only so many blanks of each kind, and what the board costs.
//!
//! Boards that share no need are chosen apart. Where every cutting of a board
//! worth a thought can be listed, they all are, and the choice among them is
//! exact. Otherwise cuttings are collected by prices (see `price`), a first
//! choice is made from them board after board and bettered, and what it could
//! still lose is the distance to the bound. No clock decides anything: the same
//! boards and needs give the same choice everywhere.

mod better;

use std::collections::BTreeSet;

use super::pattern::{BestCutting, BlankKind, Cutting, KindLimits, PreparedBoard};
use super::price::{Prices, prices};

/// Comparisons of ways to cut, shared by the boards; where one needs more than
/// its share, its ways aren't all listed.
const MOST_WORK: usize = 3_000_000;
/// How often the search goes on from what it found.
const MOST_SEARCHES: usize = 4;
/// Ways tried in looking for dearest cuttings: past a fourth of it the first choice
/// looks for no more, past all of it nobody does. Racks that one shop has don't
/// come near.
const MOST_TRIED: usize = 150_000_000;
/// Sums of boards that are listed to lift a bound to the next of them.
const MOST_SUMS: usize = 20_000;

/// What is wanted of one need.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub(in crate::stock) struct Want {
    /// Blanks for sets and spares.
    pub good: u32,
    /// Blanks to prove settings on; good ones do as well.
    pub proving: u32,
    /// How many of the good ones are for sets.
    pub for_sets: u32,
    /// How many make a set, where a set comes from one board.
    pub a_set: Option<u32>,
}

/// A board that may be cut.
#[derive(Clone, Debug)]
pub(in crate::stock) struct UsableBoard {
    /// Which of the boards.
    pub board: usize,
    pub bed: PreparedBoard,
    /// In billionths of a board foot; nothing where it is opened already.
    pub cost: i64,
}

/// Boards like each other in everything that counts.
#[derive(Clone, Debug)]
pub(in crate::stock) struct Lot {
    /// Which of the stock.
    pub stock: Vec<usize>,
    pub bed: PreparedBoard,
    pub cost: i64,
    /// Whether the pool has every cutting of it worth a thought.
    listed: bool,
}

/// A way to cut a board of one lot.
#[derive(Clone, Debug)]
pub(in crate::stock) struct Candidate {
    pub lot: usize,
    pub counts: Vec<u32>,
    pub cutting: Cutting,
}

/// The ways to cut boards that are known so far.
#[derive(Clone, Debug, Default)]
pub(in crate::stock) struct Pool {
    pub lots: Vec<Lot>,
    pub columns: Vec<Candidate>,
    /// How many of each kind are wanted at most.
    most: Vec<u32>,
    known: BTreeSet<(usize, Vec<u32>)>,
    /// Ways tried so far in looking for dearest cuttings.
    tried: usize,
}

impl Pool {
    fn add(&mut self, lot: usize, cutting: Cutting, kinds: usize) {
        let mut counts = cutting.counts(kinds);
        if self.lots[lot].listed {
            for (count, most) in counts.iter_mut().zip(&self.most) {
                *count = (*count).min(*most);
            }
        }
        if counts.iter().any(|count| *count > 0) && self.known.insert((lot, counts.clone())) {
            self.columns.push(Candidate { lot, counts, cutting });
        }
    }

    /// The dearest cutting of a lot joins the pool; what it comes to, and how
    /// many of each kind it has.
    fn add_dearest(&mut self, lot: usize, price: &[i64]) -> (i64, Vec<u32>) {
        let BestCutting { worth, cutting, work } = self.lots[lot].bed.dearest(price);
        self.tried = self.tried.saturating_add(work);
        let counts = cutting.counts(price.len());
        self.add(lot, cutting, price.len());
        (worth, counts)
    }

    /// Whether enough was tried.
    pub fn is_tired(&self) -> bool {
        self.tried > MOST_TRIED
    }

    /// What a choice that makes these wants costs at least, where it uses this
    /// column: how far the column is from the dearest of its lot comes on top
    /// of the bound.
    pub fn at_least(&self, column: &Candidate, found: &Prices) -> i64 {
        let worth: i128 = column
            .counts
            .iter()
            .zip(&found.of)
            .map(|(n, price)| i128::from(*n) * i128::from(*price))
            .sum();
        let cost = i128::from(self.lots[column.lot].cost);
        let beyond = i128::from(found.beyond[column.lot]);
        i64::try_from(i128::from(found.bound) + beyond + cost - worth).unwrap_or(i64::MAX)
    }

    /// What no choice that makes these wants costs less than, whatever the
    /// prices are; the dearest cuttings by these prices join the pool.
    pub fn bound(&mut self, price: &[i64], wants: &[Want]) -> Prices {
        let wide = |number: i64| i128::from(number);
        let worth = |counts: &[u32]| -> i128 {
            counts.iter().zip(price).map(|(n, price)| i128::from(*n) * wide(*price)).sum()
        };
        let wanted: Vec<u32> = wants.iter().flat_map(|want| [want.good, want.proving]).collect();
        let mut bound = worth(&wanted);
        let mut beyond_cost = Vec::new();
        for lot in 0..self.lots.len() {
            let most = if self.lots[lot].listed {
                let columns = self.columns.iter().filter(|column| column.lot == lot);
                columns.map(|column| worth(&column.counts)).max().unwrap_or(0)
            } else {
                wide(self.add_dearest(lot, price).0)
            };
            let beyond = (most - wide(self.lots[lot].cost)).max(0);
            bound -= beyond * self.lots[lot].stock.len() as i128;
            beyond_cost.push(i64::try_from(beyond).unwrap_or(i64::MAX));
        }
        let bound = i64::try_from(bound.max(0)).unwrap_or(0);
        Prices { of: price.to_vec(), bound, beyond: beyond_cost }
    }
}

/// How good a choice is; less is better, the first first.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(in crate::stock) struct Score {
    pub sets: u32,
    pub spare: u32,
    pub setup: u32,
    pub apart: u32,
    pub cost: i64,
}

impl Score {
    /// Blanks that are missing.
    pub fn short(self) -> u32 {
        self.sets + self.spare + self.setup
    }

    /// All but what it costs.
    fn made(self) -> (u32, u32, u32, u32) {
        (self.sets, self.spare, self.setup, self.apart)
    }
}

/// Boards in the order they were given, each with how it is cut, and what no
/// choice that makes as much costs less than.
#[derive(Clone, Debug, Default)]
pub(in crate::stock) struct Selection {
    pub cuttings: Vec<(usize, Cutting)>,
    /// In billionths of a board foot.
    pub bound: i64,
}

pub(in crate::stock) fn choose(
    stock: &[UsableBoard],
    blanks: &[BlankKind],
    wants: &[Want],
) -> Selection {
    let mut all = Selection::default();
    for (stocks, needs) in apart(stock, blanks, wants.len()) {
        let mut here = vec![Want::default(); wants.len()];
        for &need in &needs {
            here[need] = wants[need];
        }
        let chosen = GroupSearch::new(stock, &stocks, blanks, here).made();
        all.cuttings.extend(chosen.cuttings);
        all.bound += chosen.bound;
    }
    all.cuttings.sort_by_key(|(stock, _)| *stock);
    all
}

/// Boards and needs that have to do with each other, group by group.
fn apart(
    stock: &[UsableBoard],
    blanks: &[BlankKind],
    needs: usize,
) -> Vec<(Vec<usize>, BTreeSet<usize>)> {
    let mut groups: Vec<(Vec<usize>, BTreeSet<usize>)> = Vec::new();
    for (index, stock) in stock.iter().enumerate() {
        let of: BTreeSet<usize> =
            stock.bed.kinds().into_iter().map(|kind| blanks[kind].need).collect();
        if of.is_empty() {
            continue;
        }
        let mut joined = (vec![index], of);
        groups.retain(|(stocks, needs)| {
            let together = !needs.is_disjoint(&joined.1);
            if together {
                joined.0.extend(stocks);
                joined.1.extend(needs);
            }
            !together
        });
        joined.0.sort_unstable();
        groups.push(joined);
    }
    debug_assert!(groups.iter().map(|(_, of)| of.len()).sum::<usize>() <= needs);
    groups
}

/// The choice among boards that have to do with each other.
pub(in crate::stock) struct GroupSearch<'a> {
    blanks: &'a [BlankKind],
    pub wants: Vec<Want>,
    pub pool: Pool,
}

impl GroupSearch<'_> {
    fn new<'a>(
        stock: &[UsableBoard],
        stocks: &[usize],
        blanks: &'a [BlankKind],
        wants: Vec<Want>,
    ) -> GroupSearch<'a> {
        let mut lots: Vec<Lot> = Vec::new();
        for &index in stocks {
            let UsableBoard { bed, cost, .. } = &stock[index];
            match lots.iter_mut().find(|lot| lot.cost == *cost && lot.bed == *bed) {
                Some(lot) => lot.stock.push(index),
                None => {
                    let stock = vec![index];
                    lots.push(Lot { stock, bed: bed.clone(), cost: *cost, listed: false });
                }
            }
        }
        let most = wants.iter().flat_map(|want| [want.good + want.proving, want.proving]).collect();
        let most = KindLimits(most);
        let mut pool = Pool { most: most.0.clone(), ..Pool::default() };
        let share = MOST_WORK / lots.len().max(3);
        for (index, mut lot) in lots.into_iter().enumerate() {
            let every = lot.bed.every(&most, share);
            lot.listed = every.is_some();
            pool.lots.push(lot);
            for cutting in every.into_iter().flatten() {
                pool.add(index, cutting, blanks.len());
            }
        }
        GroupSearch { blanks, wants, pool }
    }

    fn made(mut self) -> Selection {
        let kinds = self.blanks.len();
        // Any prices do to begin with: a blank's area is what it mostly costs.
        let area: Vec<i64> =
            self.blanks.iter().map(|b| (b.length / 1000) * (b.width / 1000)).collect();
        for lot in 0..self.pool.lots.len() {
            if self.pool.lots[lot].listed {
                continue;
            }
            self.pool.add_dearest(lot, &area);
            for kind in self.pool.lots[lot].bed.kinds() {
                let mut alone = vec![0; kinds];
                alone[kind] = 1;
                self.pool.add_dearest(lot, &alone);
            }
        }
        let first = self.first(&area);
        let mut wanted = self.as_made(&first);
        let mut found = prices(&mut self.pool, &wanted, &vec![0; kinds]);
        self.more_cuttings(&found);
        let mut best = self.bettered(&found, first);
        self.closer_cuttings(&found, &best);
        best = self.bettered(&found, best);
        if self.score(&best).short() > 0 {
            // Cuttings that make more of what is missing are met by the way.
            prices(&mut self.pool, &self.wants.clone(), &vec![0; kinds]);
        }
        let listed = self.pool.lots.iter().all(|lot| lot.listed);
        let mut bound = 0;
        for _ in 0..MOST_SEARCHES {
            let score = self.score(&best);
            if score.short() > 0 {
                best = self.most_made(best);
            }
            wanted = self.as_made(&best);
            found = prices(&mut self.pool, &wanted, &found.of);
            let score = self.score(&best);
            bound = self.lifted(found.bound, score.cost);
            if score.apart == 0 && bound >= score.cost {
                break;
            }
            let next = self.branched(&wanted, &best, &found);
            let better = self.score(&next.chosen) < score;
            if better {
                best = next.chosen;
            }
            let cost = self.score(&best).cost;
            // Where every cutting is listed there is no other choice.
            let searched = if next.proved { cost } else { self.lifted(next.bound, cost) };
            bound = if listed { bound.max(searched) } else { bound }.min(cost);
            // Where it makes more too, yet more may be made from what it spares.
            let as_much = self.score(&best).made() == score.made();
            if !better || next.proved && as_much {
                break;
            }
        }
        Selection { cuttings: self.cuttings(&best), bound }
    }

    /// What is still to be made after these cuttings, and how many boards of
    /// each lot are left.
    fn after(&self, chosen: &[usize]) -> (Remaining, Vec<usize>) {
        let mut open = Remaining::new(&self.wants);
        let mut left: Vec<usize> = self.pool.lots.iter().map(|lot| lot.stock.len()).collect();
        for &column in chosen {
            open.take_all(&self.pool.columns[column].counts);
            left[self.pool.columns[column].lot] -= 1;
        }
        (open, left)
    }

    pub fn score(&self, chosen: &[usize]) -> Score {
        let mut score = Score { sets: 0, spare: 0, setup: 0, apart: 0, cost: 0 };
        let columns = || chosen.iter().map(|&index| &self.pool.columns[index]);
        for (need, want) in self.wants.iter().enumerate() {
            let sum = |kind: usize| -> u32 { columns().map(|column| column.counts[kind]).sum() };
            let (good, cheap) = (sum(2 * need), sum(2 * need + 1));
            let sets = want.for_sets.min(good);
            let spare = (want.good - want.for_sets).min(good - sets);
            score.sets += want.for_sets - sets;
            score.spare += want.good - want.for_sets - spare;
            score.setup += want.proving.saturating_sub(cheap + (good - sets - spare));
            if let Some(a_set) = want.a_set {
                let whole: u32 = columns().map(|column| column.counts[2 * need] / a_set).sum();
                score.apart += (sets / a_set).saturating_sub(whole);
            }
        }
        score.cost = columns().map(|column| self.pool.lots[column.lot].cost).sum();
        score
    }

    /// The wants that this choice meets.
    fn as_made(&self, chosen: &[usize]) -> Vec<Want> {
        let (open, _) = self.after(chosen);
        let less = |(want, open): (&Want, &(u32, u32))| {
            let good = want.good - open.0;
            Want {
                good,
                proving: want.proving - open.1,
                for_sets: want.for_sets.min(good),
                a_set: want.a_set,
            }
        };
        self.wants.iter().zip(&open.0).map(less).collect()
    }

    /// The bound lifted to the next cost that boards can come to.
    fn lifted(&self, bound: i64, cost: i64) -> i64 {
        // Prices are known to so much; boards differ by more.
        let slack = 1000;
        let mut sums = BTreeSet::from([0_i64]);
        for lot in &self.pool.lots {
            for _ in 0..lot.stock.len() {
                let more: Vec<i64> = sums
                    .iter()
                    .map(|sum| sum + lot.cost)
                    .filter(|sum| *sum < cost && !sums.contains(sum))
                    .collect();
                if more.is_empty() {
                    break;
                }
                sums.extend(more);
                if sums.len() > MOST_SUMS {
                    return bound.min(cost);
                }
            }
        }
        sums.range(bound - slack..).next().map_or(cost, |sum| (*sum).max(bound)).min(cost)
    }

    /// The chosen cuttings with what is more than wanted left out, blanks that
    /// make no whole set on their board first.
    fn cuttings(&self, chosen: &[usize]) -> Vec<(usize, Cutting)> {
        let kinds = self.blanks.len();
        let mut keep: Vec<Vec<u32>> =
            chosen.iter().map(|&index| self.pool.columns[index].cutting.counts(kinds)).collect();
        for (need, want) in self.wants.iter().enumerate() {
            let (good, cheap) = (2 * need, 2 * need + 1);
            let sum = |keep: &[Vec<u32>], kind: usize| -> u32 {
                keep.iter().map(|counts| counts[kind]).sum()
            };
            let less = |keep: &mut [Vec<u32>], kind: usize, mut over: u32, of: u32| {
                for counts in keep.iter_mut().rev() {
                    let now = over.min(if of == 1 { counts[kind] } else { counts[kind] % of });
                    counts[kind] -= now;
                    over -= now;
                }
                over
            };
            let over = sum(&keep, cheap).saturating_sub(want.proving);
            less(&mut keep, cheap, over, 1);
            let rest = want.good + want.proving - sum(&keep, cheap);
            let over = sum(&keep, good).saturating_sub(rest);
            let over = less(&mut keep, good, over, want.a_set.unwrap_or(1));
            less(&mut keep, good, over, 1);
        }
        let mut used = vec![0; self.pool.lots.len()];
        let mut cuttings = Vec::new();
        for (&index, mut keep) in chosen.iter().zip(keep) {
            let column = &self.pool.columns[index];
            let Some(&stock) = self.pool.lots[column.lot].stock.get(used[column.lot]) else {
                continue;
            };
            used[column.lot] += 1;
            let mut cutting = column.cutting.clone();
            cutting.only(|kind| {
                let some = keep[kind] > 0;
                keep[kind] = keep[kind].saturating_sub(1);
                some
            });
            if !cutting.sections.is_empty() {
                cuttings.push((stock, cutting));
            }
        }
        cuttings
    }
}

/// What is still to be made: good blanks and others of each need.
#[derive(Clone, Debug)]
struct Remaining(Vec<(u32, u32)>);

impl Remaining {
    fn new(wants: &[Want]) -> Remaining {
        Remaining(wants.iter().map(|want| (want.good, want.proving)).collect())
    }

    fn take_all(&mut self, counts: &[u32]) {
        for ((good, cheap), counts) in self.0.iter_mut().zip(counts.chunks(2)) {
            let taken = counts[0].min(*good);
            *good -= taken;
            *cheap = cheap.saturating_sub(counts[0] - taken + counts[1]);
        }
    }

    fn wants(&self, kind: usize) -> u32 {
        let (good, cheap) = self.0[kind / 2];
        cheap + if kind.is_multiple_of(2) { good } else { 0 }
    }

    fn is_done(&self) -> bool {
        self.0.iter().all(|open| *open == (0, 0))
    }

    /// What these blanks are worth as far as they are open.
    fn worth(&self, counts: &[u32], worth: &[f64]) -> f64 {
        let each = self.0.iter().zip(counts.chunks(2)).zip(worth.chunks(2));
        each.map(|((open, counts), worth)| {
            let good = counts[0].min(open.0);
            let cheap = (counts[0] - good + counts[1]).min(open.1);
            f64::from(good) * worth[0] + f64::from(cheap) * worth[1]
        })
        .sum()
    }
}
