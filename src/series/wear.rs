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
/// The fewest readings on either side that show a scatter.
const FEWEST_SIDE: usize = 5;
/// Less than so many times the scatter is no change that anybody sees. Judgement, no source.
const LOOSER: f64 = 2.0;

/// Fast at first, then hardly: 1 - exp(-place / tau). The direction of time is the row's, so
/// three parameters, level, size and tau, and the choice of tau.
pub(super) fn wore(kept: &Kept, n: usize) -> Option<Fitted> {
    let of = |parts: f64| {
        let tau = n as f64 / parts;
        let worn = |at: usize| 1.0 - (-(at as f64) / tau).exp();
        let (start, by) = line(kept, worn)?;
        let expected: Vec<f64> = (0..n).map(|at| start + by * worn(at)).collect();
        let by = expected[n - 1] - expected[0];
        let cause = Cause::WoreIn { by, start };
        Some(Fitted { parameters: 3, ..Fitted::of(cause, expected) })
    };
    best(kept, SETTLES.into_iter().filter_map(of))
}

/// From one cleaning to the next a little more from piece to piece, and back: level, size,
/// period and place, four parameters. It takes two cleanings to see a period.
pub(super) fn saw_tooth(kept: &Kept, n: usize) -> Option<Fitted> {
    let periods = FEWEST_BETWEEN..=(n / 2).min(MOST_BETWEEN);
    let all = periods.flat_map(|period| (0..period).map(move |first| (period, first)));
    let of = |(period, first): (usize, usize)| {
        let since = |at: usize| ((at + period - first) % period) as f64 / (period - 1) as f64;
        let (start, by) = line(kept, since)?;
        let expected: Vec<f64> = (0..n).map(|at| start + by * since(at)).collect();
        let cause = Cause::SawTooth { by, every: period };
        Some(Fitted { parameters: 4, ..Fitted::of(cause, expected) })
    };
    best(kept, all.filter_map(of))
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

/// Level and size of a shape by least squares: the miss at each place is the level plus the
/// size times what the shape is there.
fn line(kept: &Kept, shape: impl Fn(usize) -> f64) -> Option<(f64, f64)> {
    let count = kept.readings.len() as f64;
    let mean = kept.readings.iter().map(|(_, miss)| miss).sum::<f64>() / count;
    let middle = kept.readings.iter().map(|(at, _)| shape(*at)).sum::<f64>() / count;
    let about = kept.readings.iter().map(|(at, miss)| (shape(*at) - middle, miss - mean));
    let (products, squares) =
        about.fold((0.0, 0.0), |(products, squares), (x, y)| (products + x * y, squares + x * x));
    (squares > 0.0).then(|| {
        let by = products / squares;
        (mean - by * middle, by)
    })
}

/// The one that leaves the least unexplained; the first of equals.
fn best(kept: &Kept, all: impl Iterator<Item = Fitted>) -> Option<Fitted> {
    let left = |fitted: &Fitted| -> f64 {
        kept.readings.iter().map(|(at, miss)| (miss - fitted.expected[*at]).powi(2)).sum()
    };
    all.map(|fitted| (left(&fitted), fitted))
        .reduce(|one, other| if other.0 < one.0 { other } else { one })
        .map(|(_, fitted)| fitted)
}

#[cfg(test)]
mod tests;
