//! Shapes that wear leaves in a row: fast at first and then hardly, up and back again, and
//! more and more scatter.

use super::cause::Cause;
use super::fitted::{Fitted, Kept};
use super::level;

/// After how many parts of the row the wear has done two thirds of what it does: an eighth,
/// or a quarter. In between is no difference that readings show.
const SETTLES: [f64; 2] = [8.0, 4.0];
/// The fewest and the most pieces from one cleaning to the next.
const FEWEST_BETWEEN: usize = 4;
const MOST_BETWEEN: usize = 40;
/// Sums of the same readings in another order differ by less than this part of them.
const ROUNDING: f64 = 1e-9;
/// The fewest readings on either side that show a scatter.
const FEWEST_SIDE: usize = 5;
/// Less than so many times the scatter is no change that anybody sees. Judgement, no source.
const LOOSER: f64 = 2.0;

/// Fast at first, then hardly: 1 - exp(-place / tau). The direction of time is the row's, so
/// three parameters, level, size and tau, and the choice of tau.
pub(super) fn wore(kept: &Kept, n: usize) -> Option<Fitted> {
    let of = |parts: f64| {
        let tau = n as f64 / parts;
        let worn = move |at: usize| 1.0 - (-(at as f64) / tau).exp();
        let line = Line::through(kept, worn)?;
        Some((line, worn))
    };
    let (line, worn) = best(SETTLES.into_iter().filter_map(of))?;
    let expected = line.expected(n, worn);
    let cause = Cause::WoreIn { by: expected[n - 1] - expected[0], start: line.start };
    Some(Fitted { parameters: 3, ..Fitted::of(cause, expected) })
}

/// From one cleaning to the next a little more from piece to piece, and back: level, size,
/// period and place, four parameters. It takes two cleanings to see a period.
pub(super) fn saw_tooth(kept: &Kept, n: usize) -> Option<Fitted> {
    let since = |(period, first): (usize, usize)| {
        move |at: usize| ((at + period - first) % period) as f64 / (period - 1) as f64
    };
    let of = |tooth| Some((Line::through(kept, since(tooth))?, tooth));
    let (line, tooth) = best(likely_teeth(kept, n).into_iter().filter_map(of))?;
    let cause = Cause::SawTooth { by: line.by, every: tooth.0 };
    Some(Fitted { parameters: 4, ..Fitted::of(cause, line.expected(n, since(tooth))) })
}

/// The periods and places that explain as much as any other, but for rounding. Pieces a
/// whole number of periods apart are alike, so each period adds them up once for all of its
/// places.
fn likely_teeth(kept: &Kept, n: usize) -> Vec<(usize, usize)> {
    let count = kept.readings.len() as f64;
    let mean = kept.readings.iter().map(|(_, miss)| miss).sum::<f64>() / count;
    let all: f64 = kept.readings.iter().map(|(_, miss)| (miss - mean).powi(2)).sum();
    let mut explained = Vec::new();
    for period in FEWEST_BETWEEN..=(n / 2).min(MOST_BETWEEN) {
        let mut alike = vec![(0.0, 0.0); period];
        for (at, miss) in &kept.readings {
            let (count, sum) = &mut alike[at % period];
            *count += 1.0;
            *sum += miss - mean;
        }
        for first in 0..period {
            // Those at its first place come first, then those one piece later.
            let in_turn = alike[first..].iter().chain(&alike[..first]).zip(0..);
            let (mut x, mut squares, mut products) = (0.0, 0.0, 0.0);
            for ((count, sum), at) in in_turn {
                let at = f64::from(at);
                x += at * count;
                squares += at * at * count;
                products += at * sum;
            }
            let squares = squares - x * x / count;
            if squares > 0.0 {
                explained.push(((period, first), products * products / squares));
            }
        }
    }
    let most = explained.iter().map(|(_, explained)| *explained).fold(0.0, f64::max);
    let is_likely = |explained: f64| explained >= most - all * ROUNDING;
    explained.retain(|(_, explained)| is_likely(*explained));
    explained.into_iter().map(|(tooth, _)| tooth).collect()
}

/// One level, and from a place on more scatter: level, place and how much more.
pub(super) fn looser(kept: &Kept, n: usize, sd: f64) -> Option<Fitted> {
    let middle = level(&kept.values()).ok()?.0;
    let squares: Vec<f64> = kept.readings.iter().map(|(_, miss)| (miss - middle).powi(2)).collect();
    let count = squares.len();
    let sides = (FEWEST_SIDE..=count.checked_sub(FEWEST_SIDE)?).filter_map(|cut| {
        let (before, after) = squares.split_at(cut);
        let sd_of = |side: &[f64]| (side.iter().sum::<f64>() / side.len() as f64).sqrt();
        let (calm, wild) = (sd_of(before).max(sd), sd_of(after));
        let times = wild / calm;
        // What the scatter of the later ones costs by itself.
        let cost = after.len() as f64 * times.max(1.0).ln();
        let gain = after.iter().sum::<f64>() * (1.0 - 1.0 / times.powi(2)) / (2.0 * calm * calm);
        (times >= LOOSER).then_some((gain - cost, cut, times, cost))
    });
    let (_, cut, times, cost) = sides.max_by(|one, other| one.0.total_cmp(&other.0))?;
    let after = kept.readings[cut - 1].0 + 1;
    let cause = Cause::Loosened { after, times };
    let fitted = Fitted::of(cause, vec![middle; n]);
    Some(Fitted { parameters: 3, choices: cost, looser: Some((after, times)), ..fitted })
}

/// A shape with its level and size, and what it leaves unexplained.
struct Line {
    start: f64,
    by: f64,
    left: f64,
}

impl Line {
    /// By least squares: the miss at each place is the level plus the size times what the
    /// shape is there.
    fn through(kept: &Kept, shape: impl Fn(usize) -> f64) -> Option<Line> {
        let count = kept.readings.len() as f64;
        let mean = kept.readings.iter().map(|(_, miss)| miss).sum::<f64>() / count;
        let shapes: Vec<f64> = kept.readings.iter().map(|(at, _)| shape(*at)).collect();
        let middle = shapes.iter().sum::<f64>() / count;
        let with_shape = || kept.readings.iter().zip(&shapes).map(|((_, miss), x)| (*x, *miss));
        let (products, squares) =
            with_shape().fold((0.0, 0.0), |(products, squares), (x, miss)| {
                let (x, y) = (x - middle, miss - mean);
                (products + x * y, squares + x * x)
            });
        (squares > 0.0).then(|| {
            let by = products / squares;
            let start = mean - by * middle;
            let left = with_shape().map(|(x, miss)| (miss - (start + by * x)).powi(2)).sum();
            Line { start, by, left }
        })
    }

    /// What it expects at each of so many places.
    fn expected(&self, n: usize, shape: impl Fn(usize) -> f64) -> Vec<f64> {
        (0..n).map(|at| self.start + self.by * shape(at)).collect()
    }
}

/// The one that leaves the least unexplained; the first of equals.
fn best<T>(all: impl Iterator<Item = (Line, T)>) -> Option<(Line, T)> {
    all.reduce(|one, other| if other.0.left < one.0.left { other } else { one })
}

#[cfg(test)]
mod tests;
