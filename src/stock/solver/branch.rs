//! The search among cuttings that are known: which boards to cut in which of
//! these ways. Knows nothing of how cuttings are found.

use std::collections::BTreeMap;

use microlp::{ComparisonOp, OptimizationDirection, Problem, SolveOptions, Variable};

use super::choose::{Candidate, GroupSearch, Lot, Want};
use super::price::{ONE, Prices};

/// How many branches of the choice are looked at: this by the columns times
/// their root, which is about how a branch takes longer with more of them.
const BRANCHES: usize = 8_000_000;

/// What a search came to.
#[derive(Clone, Debug)]
pub(in crate::stock) struct BranchResult {
    pub chosen: Vec<usize>,
    pub proved: bool,
    /// What no choice from the pool costs less than, in billionths of a board
    /// foot, where costs alone were searched.
    pub bound: i64,
}

impl GroupSearch<'_> {
    /// The choice that makes most from the pool, or the one given.
    pub fn most_made(&self, known: Vec<usize>) -> Vec<usize> {
        // A blank for a set counts more than all the spares, a spare more than
        // all the setup pieces.
        let (spares, setups) = self.wants.iter().fold((0, 0), |(spares, setups), want| {
            (spares + want.good - want.for_sets, setups + want.proving)
        });
        let spare = 1.0 + f64::from(setups);
        let set = spare * (1.0 + f64::from(spares));
        let mut problem = Problem::new(OptimizationDirection::Maximize);
        let columns: Vec<usize> = (0..self.pool.columns.len()).collect();
        let vars = self.column_vars(&mut problem, &columns, |_| 0.0);
        self.made_vars(&mut problem, &vars, [set, spare, 1.0]);
        let found = self.searched(&problem, &vars, &known).chosen;
        let found = self.without_spare_boards(found);
        if self.score(&found) < self.score(&known) { found } else { known }
    }

    /// Variables for what is made of each need: blanks for sets, spares, and
    /// setup pieces, at most as many as the columns give.
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

    /// What the columns give of one need, good blanks and others counted by
    /// `count`.
    fn row(
        &self,
        vars: &[(Variable, usize)],
        need: usize,
        count: impl Fn(&[u32]) -> u32,
    ) -> Vec<(Variable, f64)> {
        let of = |(var, column): &(Variable, usize)| {
            let counts = &self.pool.columns[*column].counts;
            let count = count(&counts[2 * need..2 * need + 2]);
            (count > 0).then_some((*var, f64::from(count)))
        };
        vars.iter().filter_map(of).collect()
    }

    /// The cheapest choice from the pool that makes as much and keeps as many
    /// sets together as can be, and whether that is proved.
    pub fn branched(&self, wanted: &[Want], known: &[usize], found: &Prices) -> BranchResult {
        let score = self.score(known);
        let short = score.short() > 0;
        // With all made and no set apart only a cheaper choice is better, and no
        // choice with a column that costs at least as much is.
        let of_use = |column: &Candidate| {
            short || score.apart > 0 || self.pool.at_least(column, found) < score.cost
        };
        let columns: Vec<usize> = (0..self.pool.columns.len())
            .filter(|index| known.contains(index) || of_use(&self.pool.columns[*index]))
            .collect();
        let mut problem = Problem::new(OptimizationDirection::Minimize);
        let vars = self.column_vars(&mut problem, &columns, |lot| lot.cost as f64 / ONE);
        let made = match short {
            false => None,
            true => Some(self.made_vars(&mut problem, &vars, [0.0; 3])),
        };
        // Which blanks are missing is free, only not how many.
        for (role, short) in [score.sets, score.spare, score.setup].into_iter().enumerate() {
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
        let together = score.cost as f64 / ONE + 1.0;
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
                    // So many sets as there are whole ones of what is made.
                    let sets = problem.add_integer_var(0.0, (0, whole(sets)));
                    row.push((sets, -1.0));
                    problem.add_constraint(&row, ComparisonOp::Ge, 0.0);
                    let of_made = [(sets, f64::from(a_set)), (made[need][0], -1.0)];
                    let rest = f64::from(a_set) - 1.0;
                    problem.add_constraint(of_made, ComparisonOp::Ge, -rest);
                }
            }
        }
        let searched = self.searched(&problem, &vars, known);
        match score.apart {
            0 => searched,
            // What is apart was counted with the costs.
            _ => BranchResult { bound: 0, ..searched },
        }
    }

    /// A variable for each column, with what it may be used for at most.
    fn column_vars(
        &self,
        problem: &mut Problem,
        columns: &[usize],
        cost: impl Fn(&Lot) -> f64,
    ) -> Vec<(Variable, usize)> {
        let mut vars = Vec::new();
        let mut lots: BTreeMap<usize, Vec<(Variable, f64)>> = BTreeMap::new();
        let most = |lot: &Lot| i32::try_from(lot.stock.len()).unwrap_or(i32::MAX);
        for &index in columns {
            let column = &self.pool.columns[index];
            let lot = &self.pool.lots[column.lot];
            let var = problem.add_integer_var(cost(lot), (0, most(lot)));
            lots.entry(column.lot).or_default().push((var, 1.0));
            vars.push((var, index));
        }
        for (lot, row) in lots {
            let most = f64::from(most(&self.pool.lots[lot]));
            problem.add_constraint(&row, ComparisonOp::Le, most);
        }
        vars
    }

    /// The search, begun from a choice that is known.
    fn searched(
        &self,
        problem: &Problem,
        vars: &[(Variable, usize)],
        known: &[usize],
    ) -> BranchResult {
        let times = |index: usize| known.iter().filter(|known| **known == index).count() as f64;
        let mut options = SolveOptions::default();
        let columns = vars.len().max(15);
        options.node_limit = Some((BRANCHES / (columns * columns.isqrt())) as u64);
        options.warm_start = Some(vars.iter().map(|(var, index)| (*var, times(*index))).collect());
        let mut searched = BranchResult { chosen: known.to_vec(), proved: false, bound: 0 };
        let Ok(outcome) = problem.solve_with(options) else { return searched };
        searched.proved = outcome.is_optimal();
        // Less what the solver may be off by.
        let bound = outcome.stats().best_bound.map_or(0.0, |bound| (bound - 1e-6) * ONE);
        searched.bound = bound.max(0.0) as i64;
        if let Some(solution) = outcome.solution() {
            let times = |var| solution.var_value(var).round().max(0.0) as usize;
            let each = vars.iter();
            searched.chosen =
                each.flat_map(|(var, index)| std::iter::repeat_n(*index, times(*var))).collect();
        }
        searched
    }
}

fn whole(count: u32) -> i32 {
    i32::try_from(count).unwrap_or(i32::MAX)
}
