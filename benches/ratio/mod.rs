//! Two things measured in turn in one run, because computers differ.

use std::time::{Duration, Instant};

/// How long something takes.
#[allow(dead_code, reason = "a bench measures what it needs")]
pub fn timed(what: impl FnOnce()) -> Duration {
    let begun = Instant::now();
    what();
    begun.elapsed()
}

/// The ratio of the medians of two things measured in turn.
pub fn ratio(
    tries: usize,
    mut one: impl FnMut() -> Duration,
    mut other: impl FnMut() -> Duration,
) -> f64 {
    let (mut ones, mut others) = (Vec::new(), Vec::new());
    for _ in 0..tries {
        ones.push(one());
        others.push(other());
    }
    let median = |times: &mut Vec<Duration>| {
        times.sort_unstable();
        times[times.len() / 2].as_secs_f64()
    };
    median(&mut ones) / median(&mut others)
}
