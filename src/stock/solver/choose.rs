//! Which boards to cut and how, so that as much as possible is made from as
//! little wood as possible. All that counts of a cutting is how many
//! blanks of each kind it gives, and of a board what it costs.
//!
//! Boards that share no need are chosen apart. Where every cutting of a board
//! that no other beats can be listed, all of them are candidates, and the choice
//! is exact. Otherwise candidates are collected by prices (see `prices`), a
//! first choice is made board after board and improved, and what it could still
//! lose is its distance to the bound. No clock decides anything: the same boards
//! and needs give the same choice on every machine.

use std::collections::BTreeSet;

use super::blank_kind::BlankKind;
use super::cutting::Cutting;
use super::effort::{MOST_MISSING, MOST_SEARCHES, MOST_SUMS};
use super::group::GroupSearch;
use super::least_missing::least_missing;
use super::pool::{Lot, Prices, UsableBoard, Want};
use super::prices::prices;

/// The boards that are cut, in the order they were given, each with how it is
/// cut; and a bound on the cost.
#[derive(Clone, Debug, Default)]
pub(in crate::stock) struct Selection {
    /// Which of the usable boards, and its cutting.
    pub cuttings: Vec<(usize, Cutting)>,
    /// For each need, whether no way of cutting these boards, crosscut first
    /// and then ripped, makes more than what is missing leaves.
    pub proved: Vec<bool>,
    /// No choice that makes as much costs less, in billionths of a board foot.
    pub bound: i64,
    /// No choice makes more than all but so much of the wood of what is wanted, in
    /// billionths of a board foot.
    pub least_missing: i64,
}

/// The best choice so far, and what is known of it.
#[derive(Clone, Debug, Default)]
pub(super) struct Settled {
    /// Which of the candidates, one as often as it is used.
    pub best: Vec<usize>,
    /// No choice that makes as much costs less.
    pub bound: i64,
    /// Whether no choice makes more.
    pub none_more: bool,
}

/// Chooses which boards to cut and how. `wood` has what a blank of each need
/// contains, in billionths of a board foot.
pub(in crate::stock) fn choose(
    usable: &[UsableBoard],
    blanks: &[BlankKind],
    wants: &[Want],
    wood: &[i64],
) -> Selection {
    // What no board may serve is missing for sure.
    let mut all = Selection { proved: vec![true; wants.len()], ..Selection::default() };
    for (group, needs) in groups(usable, blanks, wants.len()) {
        let mut here = vec![Want::default(); wants.len()];
        for &need in &needs {
            here[need] = wants[need];
        }
        let chosen = GroupSearch::new(usable, &group, blanks, here, wood).solve();
        all.cuttings.extend(chosen.cuttings);
        all.bound += chosen.bound;
        for &need in &needs {
            all.proved[need] = chosen.proved[need];
        }
        all.least_missing += chosen.least_missing;
    }
    all.cuttings.sort_by_key(|(board, _)| *board);
    all
}

/// Boards with the needs they can serve, in groups that share no need.
fn groups(
    usable: &[UsableBoard],
    blanks: &[BlankKind],
    needs: usize,
) -> Vec<(Vec<usize>, BTreeSet<usize>)> {
    let mut groups: Vec<(Vec<usize>, BTreeSet<usize>)> = Vec::new();
    for (index, board) in usable.iter().enumerate() {
        let of: BTreeSet<usize> =
            board.prepared.kinds().into_iter().map(|kind| blanks[kind].need).collect();
        if of.is_empty() {
            continue;
        }
        let mut joined = (vec![index], of);
        groups.retain(|(boards, needs)| {
            let together = !needs.is_disjoint(&joined.1);
            if together {
                joined.0.extend(boards);
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

impl GroupSearch<'_> {
    /// The choice for this group and its bound.
    fn solve(mut self) -> Selection {
        let kinds = self.blanks.len();
        // Any prices will do at first; what a blank costs is mostly its area.
        let area: Vec<i64> =
            self.blanks.iter().map(|b| (b.length / 1000) * (b.width / 1000)).collect();
        for lot in 0..self.pool.lots.len() {
            if self.pool.lots[lot].listed {
                continue;
            }
            self.pool.add_best(lot, &area);
            for kind in self.pool.lots[lot].prepared.kinds() {
                let mut alone = vec![0; kinds];
                alone[kind] = 1;
                self.pool.add_best(lot, &alone);
            }
        }
        let first = self.first_choice(&area);
        let wanted = self.wants_met(&first);
        let found = prices(&mut self.pool, &wanted, &vec![0; kinds]);
        self.more_cuttings(&found);
        let mut best = self.improved(&found, first);
        self.closer_cuttings(&found, &best);
        best = self.improved(&found, best);
        let mut settled = Settled { best, bound: 0, none_more: false };
        if self.has_few_boards() {
            self.settle_few(&mut settled);
        }
        if !self.is_proved(&settled) {
            self.settle_by_branches(&mut settled, &found);
        }
        if !self.is_proved(&settled) && self.score(&settled.best).missing() <= MOST_MISSING {
            self.exchange(&mut settled, &found);
        }
        let Settled { best, bound, none_more } = settled;
        let needs = 0..self.wants.len();
        let proved = needs.map(|need| none_more || self.holds_no_more(&best, need)).collect();
        let least_missing = match self.score(&best).missing() {
            0 => 0,
            _ => least_missing(&self.pool.lots, &self.wants, &self.wood),
        };
        Selection { cuttings: self.without_excess(&best), proved, bound, least_missing }
    }

    /// Whether nothing better is left to be found.
    fn is_proved(&self, settled: &Settled) -> bool {
        let score = self.score(&settled.best);
        // Which sets are apart is searched only once no blank for a set is missing.
        let together = score.apart == 0 || settled.none_more && score.missing_for_sets == 0;
        let made = score.missing() == 0 || settled.none_more;
        made && together && settled.bound >= score.cost
    }

    /// Betters a choice by searching among the candidates.
    fn settle_by_branches(&mut self, settled: &mut Settled, found: &Prices) {
        let kinds = self.blanks.len();
        let mut best = std::mem::take(&mut settled.best);
        let mut found = found.clone();
        if self.score(&best).missing() > 0 {
            // This also finds cuttings that make more of what is missing.
            prices(&mut self.pool, &self.wants.clone(), &vec![0; kinds]);
        }
        let (mut bound, none_more) = (settled.bound, settled.none_more);
        for _ in 0..MOST_SEARCHES {
            let score = self.score(&best);
            if score.missing() > 0 && !none_more {
                best = self.most_made(best).chosen;
            }
            let wanted = self.wants_met(&best);
            found = prices(&mut self.pool, &wanted, &found.of);
            let score = self.score(&best);
            bound = bound.max(self.raised_to_a_sum(found.bound, score.cost));
            if score.apart == 0 && bound >= score.cost {
                break;
            }
            let next = self.cheapest(&wanted, &best, &found);
            let better = self.score(&next.chosen) < score;
            if better {
                best = next.chosen;
            }
            bound = bound.min(self.score(&best).cost);
            // A choice that also makes more can leave boards for still more.
            let as_much = self.score(&best).made() == score.made();
            if !better || next.proved && as_much {
                break;
            }
        }
        *settled = Settled { best, bound, none_more };
    }

    /// Whether these boards hold no more blanks of a need than a choice makes,
    /// even where nothing else is cut from them.
    fn holds_no_more(&self, chosen: &[usize], need: usize) -> bool {
        let (remaining, _) = self.remaining_after(chosen);
        let open = remaining.0[need];
        let kinds = [2 * need, 2 * need + 1];
        let holds_no_more = |kinds: &[usize]| {
            let mut price = vec![0; self.blanks.len()];
            kinds.iter().for_each(|&kind| price[kind] = 1);
            let most = |lot: &Lot| {
                lot.prepared.best_cutting(&price).worth.saturating_mul(lot.boards.len() as i64)
            };
            let most: i64 = self.pool.lots.iter().map(most).sum();
            let counts = chosen.iter().map(|&index| &self.pool.candidates[index].counts);
            let made: u32 = counts.map(|c| kinds.iter().map(|&kind| c[kind]).sum::<u32>()).sum();
            most <= i64::from(made)
        };
        (open.0 == 0 || holds_no_more(&kinds[..1])) && (open.1 == 0 || holds_no_more(&kinds))
    }

    /// The bound raised to the next cost that whole boards can add up to.
    pub(super) fn raised_to_a_sum(&self, bound: i64, cost: i64) -> i64 {
        // A millionth of a board foot: the accuracy of the prices, and less than
        // any two boards differ by.
        let slack = 1000;
        let mut sums = BTreeSet::from([0_i64]);
        for lot in &self.pool.lots {
            for _ in 0..lot.boards.len() {
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

    /// The chosen cuttings without the blanks that are more than wanted. Blanks
    /// that make no whole set on their board go first.
    fn without_excess(&self, chosen: &[usize]) -> Vec<(usize, Cutting)> {
        let kinds = self.blanks.len();
        let mut keep: Vec<Vec<u32>> =
            chosen.iter().map(|&index| self.pool.candidates[index].cutting.counts(kinds)).collect();
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
            let candidate = &self.pool.candidates[index];
            let Some(&board) = self.pool.lots[candidate.lot].boards.get(used[candidate.lot]) else {
                continue;
            };
            used[candidate.lot] += 1;
            let mut cutting = candidate.cutting.clone();
            cutting.keep_only(|kind| {
                let some = keep[kind] > 0;
                keep[kind] = keep[kind].saturating_sub(1);
                some
            });
            if !cutting.sections.is_empty() {
                cuttings.push((board, cutting));
            }
        }
        cuttings
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    use super::super::tests::{kinds, need, search};

    /// Boards of 3 and 5 board feet cost 0, 3 or 5 below the known 8. A bound of 4 is raised to
    /// 5; what is within a millionth of 5 stays, beyond it nothing but 8 is left.
    #[test]
    fn a_bound_is_raised_to_what_boards_add_up_to() {
        let blanks = kinds(&need(400, 200));
        let feet = |n: i64| n * 1_000_000_000;
        let search = search(&blanks, &[Want::default(); 2], &[feet(3), feet(5)], &[]);
        let raised = |bound| search.raised_to_a_sum(bound, feet(8));
        assert_eq!([raised(0), raised(feet(3)), raised(feet(4))], [0, feet(3), feet(5)]);
        assert_eq!([raised(feet(5) + 500), raised(feet(5) + 2_000)], [feet(5) + 500, feet(8)]);
        assert_eq!(search.raised_to_a_sum(feet(9), feet(8)), feet(8));
    }

    /// Two boards hold eight blanks each. A choice that makes eight of twenty is not all they
    /// hold; sixteen are, and so is whatever makes all that is wanted.
    #[test]
    fn boards_hold_no_more() {
        let blanks = kinds(&need(400, 200));
        let holds = |wanted, chosen: &[usize]| {
            let wants =
                [Want { good: wanted, for_sets: wanted, ..Want::default() }, Want::default()];
            let ways = [(0, [8, 0, 0, 0]), (1, [8, 0, 0, 0])];
            search(&blanks, &wants, &[1, 1], &ways).holds_no_more(chosen, 0)
        };
        assert!(!holds(20, &[0]));
        assert!(holds(20, &[0, 1]));
        assert!(holds(8, &[0]));
    }
}
