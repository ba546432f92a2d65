//! Voiding the reading that was written last, without reading the whole journal: it is
//! what people undo most.

use super::event::{Event, JournalLine};
use super::line::Reference;
use super::record::BeforeReading;
use super::state::State;

impl State {
    /// What stands before a line, where it is a reading and nothing else.
    pub(super) fn before_reading(&self, line: &JournalLine) -> Option<Box<BeforeReading>> {
        let Event::Reading(taken) = &line.event else { return None };
        let setup = self.setups.get(&taken.op);
        let before = || BeforeReading {
            reference: line.reference(),
            op: taken.op,
            gauge: taken.gauge.clone(),
            working_at: self.working_at.get(&line.station).copied(),
            last_undone: self.last_undone.get(&line.station).cloned(),
            has_done: self.last_done.contains_key(&line.station),
            is_begun: setup.is_some(),
            bridge: setup.and_then(|setup| setup.bridge.clone()),
            is_read_again: self.read_again.contains(&taken.op),
        };
        line.answer.is_none().then(|| Box::new(before()))
    }

    /// Voids the reading that was written last. False where the last line is none, or
    /// another line is named.
    pub(super) fn void_last_reading(&mut self, named: &Reference, again: bool) -> bool {
        let before = self.before_reading.take().filter(|before| before.reference == *named);
        let Some((before, reading)) = before.zip(self.readings.last_mut()) else {
            return false;
        };
        reading.voided = true;
        reading.to_measure_again = again;
        let feature = reading.taken.feature.clone();
        if let Some(place) = self.places.get(&reading.taken.piece)
            && let Some(of_op) = self.read.get_mut(&before.op)
            && let Some(read) = of_op.get_mut(&feature)
        {
            read.once_within.remove(*place);
        }
        let station = before.reference.station.clone();
        if let Some(zeroing) = self.zeroed.get_mut(&(station.clone(), before.gauge)) {
            zeroing.readings_since -= 1;
        }
        if let Some(done) = self.last_done.get_mut(&station) {
            done.pop_if(|last| last.reference == before.reference);
        }
        if !before.has_done {
            self.last_done.remove(&station);
        }
        match before.working_at {
            Some(op) => _ = self.working_at.insert(station.clone(), op),
            None => _ = self.working_at.remove(&station),
        }
        if let Some(undone) = before.last_undone {
            self.last_undone.insert(station.clone(), undone);
        }
        if before.is_begun {
            self.setup(before.op).bridge = before.bridge;
        } else {
            self.setups.remove(&before.op);
        }
        if !before.is_read_again {
            self.read_again.remove(&before.op);
        }
        self.undone.insert(station, true);
        true
    }
}
