//! The least wood that is missing whatever layout is made: a bound from prices.
//!
//! No blank is worth more than its own wood here. What all wanted blanks are worth,
//! less what the best cuttings of all boards are worth, is wood that no layout makes.

use microlp::{ComparisonOp, OptimizationDirection, Problem, Solution, Variable};

use super::effort::MOST_ROUNDS;
use super::pool::{BILLIONTHS, Lot, Want};

/// A cutting is new only where it is worth more by so many board feet, which is the
/// accuracy of the solver.
const ACCURACY: f64 = 1e-6;

/// The prices of a good blank beyond one for proving settings, and of that one, need
/// by need, and what each lot is worth.
struct WoodProgram {
    prices: Vec<[Variable; 2]>,
    lots: Vec<Variable>,
    solution: Solution,
}

impl WoodProgram {
    /// `wood` has what a blank of each need contains, in board feet.
    fn new(lots: &[Lot], wants: &[Want], wood: &[f64]) -> Option<WoodProgram> {
        let mut problem = Problem::new(OptimizationDirection::Maximize);
        let mut prices = Vec::new();
        for (want, wood) in wants.iter().zip(wood) {
            let [good, any] = [want.good, want.good + want.proving].map(f64::from);
            let most = |wanted: u32| if wanted > 0 { *wood } else { 0.0 };
            let both = [
                problem.add_var(good, (0.0, most(want.good))),
                problem.add_var(any, (0.0, most(want.proving))),
            ];
            problem.add_constraint(both.map(|var| (var, 1.0)), ComparisonOp::Le, *wood);
            prices.push(both);
        }
        let worth = |lot: &Lot| -(lot.boards.len() as f64);
        let lots =
            lots.iter().map(|lot| problem.add_var(worth(lot), (0.0, f64::INFINITY))).collect();
        let solution = problem.solve().ok()?.into_solution().ok()?;
        Some(WoodProgram { prices, lots, solution })
    }

    /// Of each kind of blank, in billionths of a board foot.
    fn prices(&self) -> Vec<i64> {
        let of = |both: &[Variable; 2]| {
            let [good, any] = both.map(|var| self.solution.var_value(var).max(0.0));
            [good + any, any].map(|price| (price * BILLIONTHS) as i64)
        };
        self.prices.iter().flat_map(of).collect()
    }

    /// That a board of a lot is worth no less than this way of cutting it.
    fn row(&self, lot: usize, counts: &[u32]) -> Vec<(Variable, f64)> {
        let mut row = vec![(self.lots[lot], -1.0)];
        for (both, counts) in self.prices.iter().zip(counts.chunks(2)) {
            let [good, any] = [counts[0], counts[0] + counts[1]].map(f64::from);
            row.extend([(both[0], good), (both[1], any)]);
        }
        row.retain(|(_, n)| *n != 0.0);
        row
    }

    fn with_row(mut self, row: &[(Variable, f64)]) -> Option<WoodProgram> {
        let solved = self.solution.add_constraint(row, ComparisonOp::Le, 0.0).ok()?;
        self.solution = solved.into_solution().ok()?;
        Some(self)
    }
}

/// The wood that no layout of these boards makes of what is wanted, in billionths of a
/// board foot: it is this much or more. `wood` has what a blank of each need contains,
/// in the same unit.
pub(super) fn least_missing(lots: &[Lot], wants: &[Want], wood: &[i64]) -> i64 {
    let in_feet: Vec<f64> = wood.iter().map(|wood| *wood as f64 / BILLIONTHS).collect();
    let mut least = 0_i128;
    let mut program = WoodProgram::new(lots, wants, &in_feet);
    for _ in 0..MOST_ROUNDS {
        let Some(known) = program.take() else { break };
        let mut price = known.prices();
        // The solver is accurate only nearly.
        price.iter_mut().zip(wood.iter().flat_map(|wood| [wood; 2])).for_each(|(price, wood)| {
            *price = *wood.min(price);
        });
        let wanted = wants.iter().flat_map(|want| [want.good, want.proving]);
        let each = wanted.zip(&price).map(|(n, price)| i128::from(n) * i128::from(*price));
        let mut missing: i128 = each.sum();
        let mut rows = Vec::new();
        for (at, lot) in lots.iter().enumerate() {
            let best = lot.prepared.best_cutting(&price);
            missing -= i128::from(best.worth) * lot.boards.len() as i128;
            let row = known.row(at, &best.cutting.counts(price.len()));
            let worth: f64 = row.iter().map(|(var, n)| n * known.solution.var_value(*var)).sum();
            if worth > ACCURACY {
                rows.push(row);
            }
        }
        least = least.max(missing);
        if !rows.is_empty() {
            program = rows.iter().try_fold(known, |program, row| program.with_row(row));
        }
    }
    i64::try_from(least).unwrap_or(i64::MAX)
}

#[cfg(test)]
mod tests {
    use super::super::tests::{kinds, need, search};
    use super::*;

    /// A board gives eight blanks of half a board foot. Of twelve, four are missing on it, 2 board
    /// feet; two boards hold them all. A thousandth of a board foot is more than rounding takes.
    #[test]
    fn what_boards_cannot_hold_is_missing() {
        let blanks = kinds(&need(400, 200));
        let least = |wanted, boards: &[i64]| {
            let want = Want { good: wanted, for_sets: wanted, ..Want::default() };
            let search = search(&blanks, &[want], boards, &[]);
            least_missing(&search.pool.lots, &[want], &[500_000_000])
        };
        let four = least(12, &[1]);
        assert!((1_999_000_000..=2_000_000_000).contains(&four), "{four}");
        assert_eq!((least(8, &[1]), least(12, &[1, 1])), (0, 0));
    }
}
