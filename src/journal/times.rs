//! When stations wrote, and how long pieces took: what a list of today's work knows by
//! the clock.

use std::collections::BTreeMap;

use chrono::{DateTime, FixedOffset, TimeDelta};

use super::event::{Event, JournalLine};

/// A longer gap between two pieces is a break (trade judgement, no source).
const LONGEST_GAP: TimeDelta = TimeDelta::minutes(30);

/// What the clock says of a batch.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Times {
    /// When the people at each station said that they are there.
    pub there_since: BTreeMap<String, DateTime<FixedOffset>>,
    /// When each station wrote last.
    pub wrote: BTreeMap<String, DateTime<FixedOffset>>,
    /// The operation at which each station last had a piece through, and when.
    last_done: BTreeMap<String, (u32, DateTime<FixedOffset>)>,
    /// How many seconds pieces took at each operation, in journal order.
    seconds: BTreeMap<u32, Vec<u32>>,
}

impl Times {
    /// How many seconds each timed piece of an operation took, from the piece before it.
    pub fn seconds(&self, op: u32) -> &[u32] {
        self.seconds.get(&op).map_or(&[], Vec::as_slice)
    }

    /// Takes in a line. One that was voided was written all the same.
    pub(super) fn count(&mut self, line: &JournalLine, voided: bool) {
        // Every line comes by here, so the name is copied once.
        match self.wrote.get_mut(&line.station) {
            Some(at) => *at = line.at,
            None => _ = self.wrote.insert(line.station.clone(), line.at),
        }
        match &line.event {
            _ if voided => {}
            Event::People { .. } => {
                self.there_since.insert(line.station.clone(), line.at);
            }
            // With passes only the last one would be timed.
            Event::Done { op, pieces, pass: None, through: true, .. } => {
                self.done(line, *op, pieces.len());
            }
            _ => {}
        }
    }

    fn done(&mut self, line: &JournalLine, op: u32, pieces: usize) {
        let before = self.last_done.insert(line.station.clone(), (op, line.at));
        let Some((_, before)) = before.filter(|(held, _)| *held == op) else { return };
        let gap = line.at - before;
        if pieces == 0 || gap <= TimeDelta::zero() || gap > LONGEST_GAP {
            return;
        }
        let each = gap.num_seconds() / pieces as i64;
        let each = vec![u32::try_from(each).unwrap_or(u32::MAX); pieces];
        self.seconds.entry(op).or_default().extend(each);
    }
}
