//! Who is in the shop today and where, by what the stations of all batches wrote.

use chrono::{DateTime, FixedOffset};

use crate::journal::Snapshot;

/// Somebody at a station.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Presence {
    /// The initials.
    pub who: String,
    /// The station.
    pub station: String,
    /// The batch the station works in.
    pub batch: String,
    /// The operation the station is at, while that is open.
    pub op: Option<u32>,
    /// Since when.
    pub since: DateTime<FixedOffset>,
    /// When the station wrote last.
    pub wrote: DateTime<FixedOffset>,
}

/// Everybody who said today that they are at a station, each once: where they wrote
/// last.
pub(super) fn presences(batches: &[Snapshot], now: DateTime<FixedOffset>) -> Vec<Presence> {
    let mut people: Vec<Presence> =
        batches.iter().flat_map(|batch| at_stations(batch, now)).collect();
    people.sort_by_key(|present| std::cmp::Reverse(present.wrote));
    let mut once: Vec<Presence> = Vec::new();
    for present in people {
        if !here(&once, &present.who) {
            once.push(present);
        }
    }
    once.sort_by(|a, b| (&a.batch, &a.station, &a.who).cmp(&(&b.batch, &b.station, &b.who)));
    once
}

fn at_stations(batch: &Snapshot, now: DateTime<FixedOffset>) -> Vec<Presence> {
    let state = &batch.state;
    let mut people = Vec::new();
    for (station, present) in &state.people {
        let since = state.times.there_since.get(station);
        let Some(since) = since.filter(|at| at.date_naive() == now.date_naive()) else { continue };
        let op = state.working_at.get(station).copied();
        let is_open = |op: &u32| batch.route.step(*op).is_some() && !state.is_closed(*op);
        people.extend(present.iter().map(|who| Presence {
            who: who.clone(),
            station: station.clone(),
            batch: batch.name.clone(),
            op: op.filter(is_open),
            since: *since,
            wrote: *state.times.wrote.get(station).unwrap_or(since),
        }));
    }
    people
}

/// Whether somebody is there.
pub(super) fn here(people: &[Presence], who: &str) -> bool {
    people.iter().any(|present| present.who.eq_ignore_ascii_case(who))
}

/// The machine somebody works at.
pub(super) fn machine_of<'a>(batches: &'a [Snapshot], present: &Presence) -> Option<&'a str> {
    let batch = batches.iter().find(|batch| batch.name == present.batch)?;
    batch.plan.operation(present.op?)?.at.as_deref()
}
