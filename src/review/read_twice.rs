//! Readings of one size of a piece that two stations took within a minute: one of them may
//! belong to another piece.

use crate::journal::{ReadingRecord, State};

/// Two readings of the same size of a piece, in the order of the journal.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ReadTwice<'a> {
    /// The one taken first.
    pub one: &'a ReadingRecord,
    /// The one at the other station.
    pub other: &'a ReadingRecord,
}

/// Every piece that was read at two stations within a minute, where both readings count.
pub fn read_twice(state: &State) -> Vec<ReadTwice<'_>> {
    let mut stations = state.readings.iter().map(|reading| &reading.reference.station);
    let first = stations.next();
    if stations.all(|station| Some(station) == first) {
        return Vec::new();
    }
    let pair = |one| {
        let other = state.read_elsewhere(one)?;
        (one.order < other.order).then_some(ReadTwice { one, other })
    };
    state.readings.iter().filter_map(pair).collect()
}

impl ReadTwice<'_> {
    /// `leg 3: length 20.052 at cart, 20.001 at bench`.
    pub fn words(&self, state: &State) -> String {
        let ReadTwice { one, other } = self;
        format!(
            "{}: {} {} at {}, {} at {}",
            state.name(&one.taken.piece),
            one.taken.feature,
            one.taken.typed,
            one.reference.station,
            other.taken.typed,
            other.reference.station,
        )
    }
}
