//! The prices at which given boards fall short of what is wanted, or have least to
//! spare.

use microlp::{ComparisonOp, OptimizationDirection, Problem, Solution, Variable};

use super::shortage::{Amounts, MILLIONTHS, Quantities};

/// A row counts as violated only by more than this share of a weight, which is the
/// accuracy of the solver.
const ACCURACY: f64 = 1e-6;

/// How often rows are added at most. Chosen, not measured.
const MOST_ROUNDS: usize = 60;

/// What a lot gives at prices of quantities.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct BestWay {
    /// At these prices, in millionths.
    pub worth: i64,
    pub made: Amounts,
}

/// Prices of quantities, and what they say of a number of boards of each lot.
#[derive(Clone, Debug)]
pub(super) struct HoldPrices {
    pub price: Vec<i64>,
    /// The most one board of each lot is worth.
    pub most: Vec<i64>,
    /// What everything wanted is worth.
    pub wanted: i64,
}

impl HoldPrices {
    /// The least that is missing on these boards, in millionths.
    pub(super) fn least_missing(&self, boards: &[usize]) -> i64 {
        let given: i64 = self.most.iter().zip(boards).map(|(most, n)| most * *n as i64).sum();
        self.wanted - given
    }
}

struct HoldProgram {
    prices: Vec<Variable>,
    lots: Vec<Variable>,
    solution: Solution,
}

impl HoldProgram {
    /// Prices that add up to one weight for all that is wanted.
    fn new(quantities: &Quantities, boards: &[usize]) -> Option<HoldProgram> {
        let mut problem = Problem::new(OptimizationDirection::Minimize);
        let all: f64 = f64::from(quantities.wanted.sum());
        let blanks = quantities.are_blanks();
        let most = |at: usize| if blanks[at] { f64::INFINITY } else { 0.0 };
        let prices: Vec<Variable> =
            (0..blanks.len()).map(|at| problem.add_var(0.0, (0.0, most(at)))).collect();
        let lots: Vec<Variable> =
            boards.iter().map(|n| problem.add_var(*n as f64, (0.0, f64::INFINITY))).collect();
        let row: Vec<_> = (0..prices.len())
            .map(|at| (prices[at], f64::from(quantities.wanted.get(at))))
            .collect();
        problem.add_constraint(&row, ComparisonOp::Eq, all);
        let solution = problem.solve().ok()?.into_solution().ok()?;
        Some(HoldProgram { prices, lots, solution })
    }

    fn with_row(mut self, lot: usize, made: &Amounts) -> Option<HoldProgram> {
        let mut row = vec![(self.lots[lot], -1.0)];
        let each = self.prices.iter().enumerate().map(|(at, var)| (*var, f64::from(made.get(at))));
        row.extend(each.filter(|(_, n)| *n > 0.0));
        let solved = self.solution.add_constraint(&row, ComparisonOp::Le, 0.0).ok()?;
        self.solution = solved.into_solution().ok()?;
        Some(self)
    }
}

/// The prices at which these numbers of boards fall short most, or have least to
/// spare, of all that is wanted. `best` finds the best way to cut a board of a lot.
/// Stops early where more than `allowed` is missing.
pub(super) fn hold_prices(
    quantities: &Quantities,
    boards: &[usize],
    allowed: i64,
    mut best: impl FnMut(usize, &[i64]) -> BestWay,
) -> Option<HoldPrices> {
    let mut program = HoldProgram::new(quantities, boards)?;
    let mut known: Option<(HoldPrices, f64)> = None;
    for _ in 0..MOST_ROUNDS {
        let exact: Vec<f64> =
            program.prices.iter().map(|var| program.solution.var_value(*var).max(0.0)).collect();
        let held: Vec<f64> =
            program.lots.iter().map(|var| program.solution.var_value(*var)).collect();
        let price = quantities.scaled(&exact);
        let scale = price_scale(&price, &exact);
        let mut found = HoldPrices {
            wanted: quantities.worth_of(&quantities.wanted, &price),
            most: vec![0; boards.len()],
            price,
        };
        let mut news = false;
        for lot in 0..boards.len() {
            let way = best(lot, &found.price);
            found.most[lot] = way.worth;
            let worth: f64 =
                exact.iter().enumerate().map(|(at, p)| f64::from(way.made.get(at)) * p).sum();
            if boards[lot] > 0 && worth > held[lot] + ACCURACY {
                program = program.with_row(lot, &way.made)?;
                news = true;
            }
        }
        let least = found.least_missing(boards);
        let ratio = least as f64 / scale.max(1e-9);
        if known.as_ref().is_none_or(|(_, known)| ratio > *known) {
            known = Some((found, ratio));
        }
        if !news || least > allowed * MILLIONTHS {
            break;
        }
    }
    known.map(|(found, _)| found)
}

/// How many millionths one of the exact prices is.
fn price_scale(price: &[i64], exact: &[f64]) -> f64 {
    price.iter().map(|p| *p as f64).sum::<f64>() / exact.iter().sum::<f64>().max(1e-12)
}
