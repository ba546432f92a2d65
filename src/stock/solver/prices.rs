//! The prices of blanks that give the highest bound (see `pool`).
//!
//! They come from a linear program. Cuttings are added to it until no board has
//! one that is worth more than it costs.

use microlp::{ComparisonOp, OptimizationDirection, Problem, Solution, Variable};

use super::effort::MOST_ROUNDS;
use super::pool::{BILLIONTHS, Pool, Prices, Want};

/// A cutting counts as worth more than it costs only by more than this many
/// board feet, which is the accuracy of the solver.
const ACCURACY: f64 = 1e-6;

/// The linear program. Its variables are what good blanks of a need, any blanks
/// of it, and each lot of boards are worth.
struct PriceProgram {
    /// How much more a good blank is worth than any blank, and any blank.
    needs: Vec<(Option<Variable>, Option<Variable>)>,
    lots: Vec<Variable>,
    solution: Solution,
    /// Candidates of the pool that were looked at, and those of them that are no
    /// constraints.
    seen: usize,
    others: Vec<usize>,
}

/// The best prices for these wants. Cuttings met on the way go into the pool.
/// Once the effort is used up, known prices are kept.
pub(super) fn prices(pool: &mut Pool, wants: &[Want], known: &[i64]) -> Prices {
    if pool.is_exhausted() && known.iter().any(|price| *price > 0) {
        return pool.bound(known, wants);
    }
    let mut best = pool.bound(&vec![0; wants.len() * 2], wants);
    let Some(mut worth) = PriceProgram::new(pool, wants) else { return best };
    let mut centre: Option<Vec<f64>> = None;
    for _ in 0..MOST_ROUNDS {
        let exact = worth.prices();
        let most = worth.solution.objective();
        if most <= best.bound as f64 / BILLIONTHS + ACCURACY {
            break;
        }
        // Prices jump while there are few cuttings, so prices half way to the
        // best ones so far are tried first.
        let tried = centre.as_ref().map(|centre| {
            centre.iter().zip(&exact).map(|(one, other)| (one + other) / 2.0).collect::<Vec<_>>()
        });
        let mut news = false;
        for prices in tried.iter().chain([&exact]) {
            let of: Vec<i64> = prices.iter().map(|price| (price * BILLIONTHS) as i64).collect();
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
        if !news || pool.is_exhausted() {
            break;
        }
    }
    best
}

impl PriceProgram {
    fn new(pool: &Pool, wants: &[Want]) -> Option<PriceProgram> {
        // No blank is worth more than all the boards together.
        let all: f64 = pool.lots.iter().map(|lot| lot.cost as f64 * lot.boards.len() as f64).sum();
        let all = (all / BILLIONTHS).max(1.0);
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
            .map(|lot| problem.add_var(-(lot.boards.len() as f64), (0.0, f64::INFINITY)))
            .collect();
        let solution = problem.solve().ok()?.into_solution().ok()?;
        let worth = PriceProgram { needs, lots, solution, seen: 0, others: Vec::new() };
        worth.with_news(pool).map(|(worth, _)| worth)
    }

    /// Of a good blank and of one for proving settings, need by need.
    fn prices(&self) -> Vec<f64> {
        let value = |var: Option<Variable>| var.map_or(0.0, |var| self.solution.var_value(var));
        let both = |&(good, any): &(Option<Variable>, Option<Variable>)| {
            [(value(good) + value(any)).max(0.0), value(any).max(0.0)]
        };
        self.needs.iter().flat_map(both).collect()
    }

    /// Adds the cuttings of the pool that are worth more than they cost at the prices
    /// so far as constraints. Returns whether there are any.
    fn with_news(mut self, pool: &Pool) -> Option<(PriceProgram, bool)> {
        self.others.extend(self.seen..pool.candidates.len());
        self.seen = pool.candidates.len();
        let mut news = false;
        let mut others = Vec::new();
        for index in std::mem::take(&mut self.others) {
            let candidate = &pool.candidates[index];
            let mut row = vec![(self.lots[candidate.lot], -1.0)];
            for (&(good, any), counts) in self.needs.iter().zip(candidate.counts.chunks(2)) {
                let [some, cheap] = [f64::from(counts[0]), f64::from(counts[1])];
                row.extend(good.filter(|_| some > 0.0).map(|var| (var, some)));
                row.extend(any.filter(|_| some + cheap > 0.0).map(|var| (var, some + cheap)));
            }
            let cost = pool.lots[candidate.lot].cost as f64 / BILLIONTHS;
            let worth: f64 = row.iter().map(|(var, n)| n * self.solution.var_value(*var)).sum();
            if worth <= cost + ACCURACY {
                others.push(index);
                continue;
            }
            news = true;
            let solved = self.solution.add_constraint(&row, ComparisonOp::Le, cost).ok()?;
            self.solution = solved.into_solution().ok()?;
        }
        self.others = others;
        Some((self, news))
    }
}

#[cfg(test)]
mod tests {
    use super::super::tests::{kinds, need, search};
    use super::*;

    /// Each of two boards for 40 board feet gives eight blanks. At 5 a blank no board is worth more
    /// than it costs: five blanks cost 25 at least, a whole board 40, twelve 60 and sixteen 80.
    #[test]
    fn prices_rise_until_a_board_is_worth_what_it_costs() {
        let blanks = kinds(&need(400, 200));
        for (good, feet) in [(5, 25), (8, 40), (12, 60), (16, 80)] {
            let wants = [Want { good, for_sets: good, ..Want::default() }, Want::default()];
            let mut search = search(&blanks, &wants, &[40_000_000_000], &[]);
            search.pool.lots[0].listed = false;
            search.pool.lots[0].boards = vec![0, 1];
            let found = prices(&mut search.pool, &wants, &[0; 4]);
            let least = feet * 1_000_000_000;
            assert!((least - 1_000..=least).contains(&found.bound), "{good}: {}", found.bound);
        }
    }
}
