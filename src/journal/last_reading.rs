//! Voiding the reading that was written last, without reading the whole journal: it is
//! what people undo most.

use super::event::{Event, JournalLine};
use super::identity::PieceId;
use super::line::Reference;
use super::state::State;

/// What the reading written last changed, as it was before.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct BeforeReading {
    /// The line of the reading, which is an answer by itself.
    reference: Reference,
    op: u32,
    gauge: String,
    working_at: Option<u32>,
    last_undone: Option<Vec<Reference>>,
    has_done: bool,
    is_begun: bool,
    bridge: Option<PieceId>,
    is_read_again: bool,
}

impl BeforeReading {
    /// What stands before a line, where it is a reading and nothing else.
    pub(super) fn of(state: &State, line: &JournalLine) -> Option<BeforeReading> {
        let Event::Reading(taken) = &line.event else { return None };
        let setup = state.setups.get(&taken.op);
        line.answer.is_none().then(|| BeforeReading {
            reference: line.reference(),
            op: taken.op,
            gauge: taken.gauge.clone(),
            working_at: state.working_at.get(&line.station).copied(),
            last_undone: state.last_undone.get(&line.station).cloned(),
            has_done: state.last_done.contains_key(&line.station),
            is_begun: setup.is_some(),
            bridge: setup.and_then(|setup| setup.bridge.clone()),
            is_read_again: state.read_again.contains(&taken.op),
        })
    }

    /// Makes the state what it is when the reading is voided. False where the reading
    /// isn't the one named.
    pub(super) fn restore(self, state: &mut State, voids: &Reference, again: bool) -> bool {
        let Some(reading) = state.readings.last_mut().filter(|_| self.reference == *voids) else {
            return false;
        };
        reading.voided = true;
        reading.to_measure_again = again;
        let feature = reading.taken.feature.clone();
        if let Some(place) = state.places.get(&reading.taken.piece)
            && let Some(of_op) = state.read.get_mut(&self.op)
            && let Some(read) = of_op.get_mut(&feature)
        {
            read.once_within.remove(*place);
        }
        let station = self.reference.station.clone();
        if let Some(zeroing) = state.zeroed.get_mut(&(station.clone(), self.gauge)) {
            zeroing.readings_since -= 1;
        }
        if let Some(done) = state.last_done.get_mut(&station) {
            done.pop_if(|last| last.reference == self.reference);
        }
        if !self.has_done {
            state.last_done.remove(&station);
        }
        match self.working_at {
            Some(op) => _ = state.working_at.insert(station.clone(), op),
            None => _ = state.working_at.remove(&station),
        }
        if let Some(undone) = self.last_undone {
            state.last_undone.insert(station.clone(), undone);
        }
        if self.is_begun {
            state.setup(self.op).bridge = self.bridge;
        } else {
            state.setups.remove(&self.op);
        }
        if !self.is_read_again {
            state.read_again.remove(&self.op);
        }
        state.undone.insert(station, true);
        true
    }
}
