//! Sizes measured again on another day with nothing cut in between, pieces of one
//! check together.

use crate::journal::State;
use crate::route::Route;
use crate::work::{RepeatReading, repeat_reading};

/// Every size measured again on another day, in the order of the second reading,
/// whether it changed or not.
pub fn repeats(route: &Route, state: &State) -> Vec<RepeatReading> {
    let standing = state.readings.iter().filter(|reading| !reading.voided);
    let mut alike: Vec<Vec<RepeatReading>> = Vec::new();
    for found in standing.filter_map(|reading| repeat_reading(route, state, reading)) {
        let is_like = |held: &&mut Vec<RepeatReading>| {
            held.first().is_some_and(|first| first.is_like(&found))
        };
        // Those of one day stand together, so the last groups come first.
        match alike.iter_mut().rev().find(is_like) {
            Some(held) => held.push(found),
            None => alike.push(vec![found]),
        }
    }
    alike.iter().filter_map(|held| RepeatReading::together(held)).collect()
}
