//! What each blank is worth while boards are chosen, and from it how few board
//! feet can possibly do. Knows nothing of how boards are cut, only of what a
//! cutting gives.
//!
//! Whatever blanks are said to be worth, a board can't give more worth than its
//! dearest cutting. So the wants' worth, less what each board's dearest cutting
//! is worth beyond its cost, is a number no way of cutting goes below: a bound,
//! good for any prices. The best prices come from a linear program to which
//! cuttings are added until no board has a dearer one.

use microlp::{ComparisonOp, OptimizationDirection, Problem, Solution, Variable};

use super::choose::{Pool, Want};

/// Prices are tried at most so often.
const ROUNDS: usize = 120;

/// Billionths in one board foot.
pub(in crate::stock) const ONE: f64 = 1e9;

/// A cutting is dearer only by more than this, in board feet.
const DEARER: f64 = 1e-6;

/// Prices for every kind of blank, and the bound that goes with them.
#[derive(Clone, Debug)]
pub(in crate::stock) struct Prices {
    /// In billionths of a board foot.
    pub of: Vec<i64>,
    /// The same; never less than nothing.
    pub bound: i64,
    /// What the dearest cutting of each lot is worth beyond its cost.
    pub beyond: Vec<i64>,
}

/// The program: what good blanks of a need, any blanks of it, and each lot of
/// like boards are worth.
struct PriceProgram {
    /// Good blanks beyond what any blank is worth, and any blank.
    needs: Vec<(Option<Variable>, Option<Variable>)>,
    lots: Vec<Variable>,
    solution: Solution,
    rows: usize,
}

/// The best prices for these wants; cuttings met on the way go into the pool.
/// Where enough was tried already, those known do.
pub(in crate::stock) fn prices(pool: &mut Pool, wants: &[Want], known: &[i64]) -> Prices {
    if pool.is_tired() && known.iter().any(|price| *price > 0) {
        return pool.bound(known, wants);
    }
    let mut best = pool.bound(&vec![0; wants.len() * 2], wants);
    let Some(mut worth) = PriceProgram::new(pool, wants) else { return best };
    let mut centre: Option<Vec<f64>> = None;
    for _ in 0..ROUNDS {
        let exact = worth.prices();
        let most = worth.solution.objective();
        if most <= best.bound as f64 / ONE + DEARER {
            break;
        }
        // Half way from the best prices so far: prices of few cuttings jump.
        let tried = centre.as_ref().map(|centre| {
            centre.iter().zip(&exact).map(|(one, other)| (one + other) / 2.0).collect::<Vec<_>>()
        });
        let mut news = false;
        for prices in tried.iter().chain([&exact]) {
            let of: Vec<i64> = prices.iter().map(|price| (price * ONE) as i64).collect();
            let found = pool.bound(&of, wants);
            if found.bound > best.bound || centre.is_none() {
                best = found;
                centre = Some(prices.clone());
            }
            let Some(next) = worth.with_news(pool) else { return best };
            (worth, news) = next;
            if news {
                break;
            }
        }
        if !news || pool.is_tired() {
            break;
        }
    }
    best
}

impl PriceProgram {
    fn new(pool: &Pool, wants: &[Want]) -> Option<PriceProgram> {
        // No blank is worth more than all the boards.
        let all: f64 = pool.lots.iter().map(|lot| lot.cost as f64 * lot.stock.len() as f64).sum();
        let all = (all / ONE).max(1.0);
        let mut problem = Problem::new(OptimizationDirection::Maximize);
        let needs = wants
            .iter()
            .map(|want| {
                let any = f64::from(want.good + want.proving);
                let both = want.good > 0 && want.proving > 0;
                let good = both.then(|| problem.add_var(f64::from(want.good), (0.0, all)));
                (good, (any > 0.0).then(|| problem.add_var(any, (0.0, all))))
            })
            .collect();
        let lots = pool
            .lots
            .iter()
            .map(|lot| problem.add_var(-(lot.stock.len() as f64), (0.0, f64::INFINITY)))
            .collect();
        let solution = problem.solve().ok()?.into_solution().ok()?;
        let worth = PriceProgram { needs, lots, solution, rows: 0 };
        worth.with_news(pool).map(|(worth, _)| worth)
    }

    /// For a good blank and for one for settings, need by need.
    fn prices(&self) -> Vec<f64> {
        let value = |var: Option<Variable>| var.map_or(0.0, |var| self.solution.var_value(var));
        let both = |&(good, any): &(Option<Variable>, Option<Variable>)| {
            [(value(good) + value(any)).max(0.0), value(any).max(0.0)]
        };
        self.needs.iter().flat_map(both).collect()
    }

    /// Holds the prices to the cuttings that are new in the pool and dearer
    /// than the program knows; whether there are any.
    fn with_news(mut self, pool: &Pool) -> Option<(PriceProgram, bool)> {
        let mut news = false;
        let from = std::mem::replace(&mut self.rows, pool.columns.len());
        for column in &pool.columns[from..] {
            let mut row = vec![(self.lots[column.lot], -1.0)];
            for (&(good, any), counts) in self.needs.iter().zip(column.counts.chunks(2)) {
                let [some, cheap] = [f64::from(counts[0]), f64::from(counts[1])];
                row.extend(good.filter(|_| some > 0.0).map(|var| (var, some)));
                row.extend(any.filter(|_| some + cheap > 0.0).map(|var| (var, some + cheap)));
            }
            let cost = pool.lots[column.lot].cost as f64 / ONE;
            let worth: f64 = row.iter().map(|(var, n)| n * self.solution.var_value(*var)).sum();
            news |= worth > cost + DEARER;
            let solved = self.solution.add_constraint(&row, ComparisonOp::Le, cost).ok()?;
            self.solution = solved.into_solution().ok()?;
        }
        Some((self, news))
    }
}
