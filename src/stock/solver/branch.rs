//! The search among the candidates that are known: which boards to cut, and
//! each in which of the known ways.

use std::collections::BTreeMap;

use microlp::{ComparisonOp, OptimizationDirection, Problem, SolveOptions, Variable};

use super::effort::MOST_BRANCHES;
use super::group::GroupSearch;
use super::pool::{BILLIONTHS, KnownCutting, Lot, Prices, Want};

/// What a search found.
#[derive(Clone, Debug)]
pub(super) struct BranchResult {
    /// Which of the candidates, one as often as it is used.
    pub chosen: Vec<usize>,
    /// Whether no choice among these candidates is better.
    pub proved: bool,
}

impl GroupSearch<'_> {
    /// The choice from the pool that makes most, or the one given where that is
    /// as good; and whether no choice from the pool makes more.
    pub(super) fn most_made(&self, known: Vec<usize>) -> BranchResult {
        // A blank for a set counts more than all the spares, a spare more than
        // all the setup pieces.
        let (spares, setups) = self.wants.iter().fold((0, 0), |(spares, setups), want| {
            (spares + want.good - want.for_sets, setups + want.proving)
        });
        let spare = 1.0 + f64::from(setups);
        let set = spare * (1.0 + f64::from(spares));
        let mut problem = Problem::new(OptimizationDirection::Maximize);
        let candidates: Vec<usize> = (0..self.pool.candidates.len()).collect();
        let vars = self.candidate_vars(&mut problem, &candidates, |_| 0.0);
        self.made_vars(&mut problem, &vars, [set, spare, 1.0]);
        let searched = self.branch_and_bound(&problem, &vars, &known);
        let found = self.without_spare_boards(searched.chosen);
        let chosen = if self.score(&found) < self.score(&known) { found } else { known };
        BranchResult { chosen, ..searched }
    }

    /// Variables for what is made of each need: blanks for sets, spares, and
    /// setup pieces, at most as many as the candidates give.
    fn made_vars(
        &self,
        problem: &mut Problem,
        vars: &[(Variable, usize)],
        weights: [f64; 3],
    ) -> Vec<[Variable; 3]> {
        let mut made = Vec::new();
        for (need, want) in self.wants.iter().enumerate() {
            let wanted = [want.for_sets, want.good - want.for_sets, want.proving];
            let of = [0, 1, 2]
                .map(|role| problem.add_integer_var(weights[role], (0, whole(wanted[role]))));
            let mut good = self.row(vars, need, |counts| counts[0]);
            good.extend([(of[0], -1.0), (of[1], -1.0)]);
            problem.add_constraint(&good, ComparisonOp::Ge, 0.0);
            let mut any = self.row(vars, need, |counts| counts[0] + counts[1]);
            any.extend(of.map(|var| (var, -1.0)));
            problem.add_constraint(&any, ComparisonOp::Ge, 0.0);
            made.push(of);
        }
        made
    }

    /// What the candidates give of one need, good blanks and others counted by
    /// `count`.
    fn row(
        &self,
        vars: &[(Variable, usize)],
        need: usize,
        count: impl Fn(&[u32]) -> u32,
    ) -> Vec<(Variable, f64)> {
        let of = |(var, candidate): &(Variable, usize)| {
            let counts = &self.pool.candidates[*candidate].counts;
            let count = count(&counts[2 * need..2 * need + 2]);
            (count > 0).then_some((*var, f64::from(count)))
        };
        vars.iter().filter_map(of).collect()
    }

    /// The cheapest choice from the pool that makes as much as `known` and keeps
    /// as many sets together as possible.
    pub(super) fn cheapest(
        &self,
        wanted: &[Want],
        known: &[usize],
        found: &Prices,
    ) -> BranchResult {
        let score = self.score(known);
        let short = score.missing() > 0;
        // Once everything is made and no set is apart, only a cheaper choice is
        // better, so a candidate that no cheaper choice can use is left out.
        let of_use = |candidate: &KnownCutting| {
            short || score.apart > 0 || self.pool.least_cost_with(candidate, found) < score.cost
        };
        let candidates: Vec<usize> = (0..self.pool.candidates.len())
            .filter(|index| known.contains(index) || of_use(&self.pool.candidates[*index]))
            .collect();
        let mut problem = Problem::new(OptimizationDirection::Minimize);
        let vars =
            self.candidate_vars(&mut problem, &candidates, |lot| lot.cost as f64 / BILLIONTHS);
        let made = match short {
            false => None,
            true => Some(self.made_vars(&mut problem, &vars, [0.0; 3])),
        };
        // Any blanks may be the missing ones, as long as no more are missing.
        for (role, short) in [score.missing_for_sets, score.missing_spares, score.missing_setup]
            .into_iter()
            .enumerate()
        {
            let Some(made) = &made else { break };
            let all = |want: &Want| [want.for_sets, want.good - want.for_sets, want.proving][role];
            let all: u32 = self.wants.iter().map(all).sum();
            let row: Vec<_> = made.iter().map(|vars| (vars[role], 1.0)).collect();
            problem.add_constraint(&row, ComparisonOp::Ge, f64::from(all - short));
        }
        for (need, want) in wanted.iter().enumerate().filter(|_| !short) {
            if want.good > 0 {
                let good = self.row(&vars, need, |counts| counts[0].min(want.good));
                problem.add_constraint(&good, ComparisonOp::Ge, f64::from(want.good));
            }
            if want.proving > 0 {
                let all = want.good + want.proving;
                let any = self.row(&vars, need, |counts| (counts[0] + counts[1]).min(all));
                problem.add_constraint(&any, ComparisonOp::Ge, f64::from(all));
            }
        }
        let together = score.cost as f64 / BILLIONTHS + 1.0;
        for (need, want) in self.wants.iter().enumerate() {
            let Some(a_set) = want.a_set.filter(|a_set| want.for_sets >= *a_set && *a_set > 1)
            else {
                continue;
            };
            let sets = want.for_sets / a_set;
            let mut row = self.row(&vars, need, |counts| (counts[0] / a_set).min(sets));
            row.push((problem.add_integer_var(together, (0, whole(sets))), 1.0));
            match &made {
                None => problem.add_constraint(&row, ComparisonOp::Ge, f64::from(sets)),
                Some(made) => {
                    // As many sets as what is made comes to.
                    let sets = problem.add_integer_var(0.0, (0, whole(sets)));
                    row.push((sets, -1.0));
                    problem.add_constraint(&row, ComparisonOp::Ge, 0.0);
                    let of_made = [(sets, f64::from(a_set)), (made[need][0], -1.0)];
                    let rest = f64::from(a_set) - 1.0;
                    problem.add_constraint(of_made, ComparisonOp::Ge, -rest);
                }
            }
        }
        self.branch_and_bound(&problem, &vars, known)
    }

    /// A variable for each candidate: how often it is used, at most as often as
    /// its lot has boards.
    fn candidate_vars(
        &self,
        problem: &mut Problem,
        candidates: &[usize],
        cost: impl Fn(&Lot) -> f64,
    ) -> Vec<(Variable, usize)> {
        let mut vars = Vec::new();
        let mut lots: BTreeMap<usize, Vec<(Variable, f64)>> = BTreeMap::new();
        let most = |lot: &Lot| i32::try_from(lot.boards.len()).unwrap_or(i32::MAX);
        for &index in candidates {
            let candidate = &self.pool.candidates[index];
            let lot = &self.pool.lots[candidate.lot];
            let var = problem.add_integer_var(cost(lot), (0, most(lot)));
            lots.entry(candidate.lot).or_default().push((var, 1.0));
            vars.push((var, index));
        }
        for (lot, row) in lots {
            let most = f64::from(most(&self.pool.lots[lot]));
            problem.add_constraint(&row, ComparisonOp::Le, most);
        }
        vars
    }

    /// The search itself, started from a choice that is known.
    fn branch_and_bound(
        &self,
        problem: &Problem,
        vars: &[(Variable, usize)],
        known: &[usize],
    ) -> BranchResult {
        let times = |index: usize| known.iter().filter(|known| **known == index).count() as f64;
        let mut options = SolveOptions::default();
        // A branch takes about the root of the candidates times as long, and
        // there are about as many more of them.
        let candidates = vars.len().max(15);
        options.node_limit = Some((MOST_BRANCHES / (candidates * candidates.isqrt())) as u64);
        options.warm_start = Some(vars.iter().map(|(var, index)| (*var, times(*index))).collect());
        let mut searched = BranchResult { chosen: known.to_vec(), proved: false };
        let Ok(outcome) = problem.solve_with(options) else { return searched };
        searched.proved = outcome.is_optimal();
        if let Some(solution) = outcome.solution() {
            let times = |var| solution.var_value(var).round().max(0.0) as usize;
            let each = vars.iter();
            searched.chosen =
                each.flat_map(|(var, index)| std::iter::repeat_n(*index, times(*var))).collect();
        }
        searched
    }
}

/// A count as the solver takes it.
fn whole(count: u32) -> i32 {
    i32::try_from(count).unwrap_or(i32::MAX)
}

#[cfg(test)]
mod tests {
    use super::super::tests::{kinds, need, search};
    use super::*;

    fn anything_goes(lots: usize) -> Prices {
        Prices { of: vec![0; 4], bound: 0, beyond: vec![0; lots] }
    }

    fn feet<const N: usize>(costs: [i64; N]) -> [i64; N] {
        costs.map(|cost| cost * 1_000_000_000)
    }

    /// Eight blanks are four sets of two, and four of them are missing. Two from one board and
    /// one each from two others, for 9, leave one of the two sets apart; two boards with two
    /// each, for 14, leave none.
    #[test]
    fn sets_are_kept_together_while_some_are_missing() {
        let blanks = kinds(&need(400, 200));
        let want = Want { good: 8, for_sets: 8, a_set: Some(2), ..Want::default() };
        let ways = [(0, [2, 0, 0, 0]), (1, [1, 0, 0, 0]), (2, [1, 0, 0, 0]), (3, [2, 0, 0, 0])];
        let search = search(&blanks, &[want, Want::default()], &feet([5, 2, 2, 9]), &ways);
        let wanted = search.wants_met(&[0, 1, 2]);
        let found = search.cheapest(&wanted, &[0, 1, 2], &anything_goes(4));
        assert_eq!((found.chosen, found.proved), (vec![0, 3], true));
    }

    /// A set, two spares and two setup pieces are wanted of the first need, a spare of the
    /// second. What is known makes a set, a spare and a setup piece for 9. The same for 7 is
    /// cheaper, and so is the spare of the second need for 6; without a setup piece it is 5, and
    /// that is less.
    #[test]
    fn as_much_of_each_role_is_made_for_less() {
        let blanks = kinds(&need(400, 200));
        let wants = [
            Want { good: 3, for_sets: 1, proving: 2, ..Want::default() },
            Want { good: 1, ..Want::default() },
        ];
        let ways = [(0, [2, 1, 0, 0]), (1, [2, 1, 0, 0]), (2, [1, 1, 1, 0]), (3, [2, 0, 0, 0])];
        for (costs, best) in
            [([9, 7, 8, 5], 1), ([9, 7, 6, 5], 2), ([9, 10, 10, 5], 0), ([9, 10, 8, 1], 2)]
        {
            let search = search(&blanks, &wants, &feet(costs), &ways);
            let wanted = search.wants_met(&[0]);
            let found = search.cheapest(&wanted, &[0], &anything_goes(4));
            assert_eq!((found.chosen, found.proved), (vec![best], true), "{costs:?}");
        }
    }

    /// One blank is wanted for a set and one setup piece: a second good blank is no spare.
    #[test]
    fn no_spare_counts_where_none_is_wanted() {
        let blanks = kinds(&need(400, 200));
        let wants = [
            Want { good: 1, for_sets: 1, ..Want::default() },
            Want { proving: 1, ..Want::default() },
        ];
        let ways = [(0, [2, 0, 0, 0]), (0, [1, 0, 0, 1])];
        assert_eq!(search(&blanks, &wants, &[1], &ways).most_made(Vec::new()).chosen, [1]);
    }
}
