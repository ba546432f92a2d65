//! Sizes measured again on another day with nothing cut in between, pieces of one
//! check together.

use rustc_hash::FxHashMap;

use crate::journal::State;
use crate::route::Route;
use crate::work::{AlikeRepeats, RepeatOccasion, RepeatReading, repeat_reading};

/// Every size measured again on another day, in the order of the second reading,
/// whether it changed or not.
pub fn repeats(route: &Route, state: &State) -> Vec<RepeatReading> {
    let standing = state.readings.iter().filter(|reading| !reading.voided);
    let mut alike: Vec<AlikeRepeats> = Vec::new();
    let mut places: FxHashMap<RepeatOccasion, usize> = FxHashMap::default();
    for found in standing.filter_map(|reading| repeat_reading(route, state, reading)) {
        let place = *places.entry(found.occasion()).or_insert(alike.len());
        match alike.get_mut(place) {
            Some(held) => held.add(found),
            None => alike.push(AlikeRepeats::new(found)),
        }
    }
    alike.into_iter().map(AlikeRepeats::together).collect()
}
