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
    there: BTreeMap<String, ThereSince>,
    /// When each station wrote last.
    pub wrote: BTreeMap<String, DateTime<FixedOffset>>,
    /// When the people at each station left it, until it writes again.
    left: BTreeMap<String, DateTime<FixedOffset>>,
    /// The operation each station works at, and since when.
    at_operation: BTreeMap<String, (u32, DateTime<FixedOffset>)>,
    /// The operation at which each station last had a piece through, and when.
    last_done: BTreeMap<String, (u32, DateTime<FixedOffset>)>,
    /// How many seconds pieces took at each operation, in journal order.
    seconds: BTreeMap<u32, Vec<u32>>,
}

/// Who is at a station, and since when.
#[derive(Clone, Debug, PartialEq)]
struct ThereSince {
    /// Their initials, sorted: whoever hands the keys on came no later.
    who: Vec<String>,
    since: DateTime<FixedOffset>,
}

impl Times {
    /// Since when the people at a station are there; none where nobody said so.
    pub fn there_since(&self, station: &str) -> Option<DateTime<FixedOffset>> {
        self.there.get(station).map(|there| there.since)
    }

    /// Since when they work at the operation they are at, which they may have taken over.
    pub fn at_operation_since(&self, station: &str) -> Option<DateTime<FixedOffset>> {
        let there = self.there_since(station)?;
        self.at_operation.get(station).map(|(_, since)| (*since).max(there))
    }

    /// When the people at a station left it; none where they are there or went without
    /// leaving.
    pub fn left(&self, station: &str) -> Option<DateTime<FixedOffset>> {
        self.left.get(station).copied()
    }

    /// The stations at which somebody is, or went without leaving.
    pub(super) fn stations_in_use(&self) -> impl Iterator<Item = &str> {
        let in_use = self.there.keys().filter(|station| !self.left.contains_key(*station));
        in_use.map(String::as_str)
    }

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
        let has_left = self.left.remove(&line.station).is_some();
        if let Some(op) = line.event.op().filter(|_| !voided) {
            self.is_at(line, op);
        }
        match &line.event {
            _ if voided => {}
            Event::People { present } => self.come(line, present, has_left),
            Event::StationLeft {} => _ = self.left.insert(line.station.clone(), line.at),
            // With passes only the last one would be timed.
            Event::Done { op, pieces, pass: None, through: true, .. } => {
                self.done(line, *op, pieces.len());
            }
            _ => {}
        }
    }

    /// People say who they are. The same people on the same day are there since before.
    fn come(&mut self, line: &JournalLine, present: &[String], has_left: bool) {
        let mut who = present.to_vec();
        who.sort();
        let before = self.there.get(&line.station).filter(|before| {
            !has_left && before.who == who && before.since.date_naive() == line.at.date_naive()
        });
        let since = before.map_or(line.at, |before| before.since);
        self.there.insert(line.station.clone(), ThereSince { who, since });
    }

    fn is_at(&mut self, line: &JournalLine, op: u32) {
        match self.at_operation.get_mut(&line.station) {
            Some((held, _)) if *held == op => {}
            Some(held) => *held = (op, line.at),
            None => _ = self.at_operation.insert(line.station.clone(), (op, line.at)),
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
