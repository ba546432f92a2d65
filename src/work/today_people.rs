//! Who is in the shop today and where, by what the stations of all batches wrote, and who
//! went without leaving.

use std::cmp::Reverse;

use chrono::{DateTime, FixedOffset};

use crate::journal::{FreeStations, Snapshot};

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
    /// Since when they are at the operation; where they are at none, at the station.
    pub since: DateTime<FixedOffset>,
    /// When the station wrote last.
    pub wrote: DateTime<FixedOffset>,
    /// Whether they are there.
    pub standing: PresenceStanding,
}

/// Whether somebody is where they said.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum PresenceStanding {
    /// They are there.
    Here,
    /// They went without leaving: nobody has the station open any more.
    Vanished,
    /// Their terminal is elsewhere and has no connection: they went without leaving, or the
    /// network did.
    OutOfReach,
    /// They left then.
    Left(DateTime<FixedOffset>),
}

/// Everybody who said today that they are at a station, each once: where they are, else
/// where they wrote last.
pub(super) fn presences(
    batches: &[Snapshot],
    free: &FreeStations,
    now: DateTime<FixedOffset>,
) -> Vec<Presence> {
    let mut people: Vec<Presence> =
        batches.iter().flat_map(|batch| at_stations(batch, free, now)).collect();
    let is_away = |present: &Presence| present.standing != PresenceStanding::Here;
    people.sort_by_key(|present| (is_away(present), Reverse(present.wrote)));
    let mut once: Vec<Presence> = Vec::new();
    for present in people {
        if !once.iter().any(|held| held.who.eq_ignore_ascii_case(&present.who)) {
            once.push(present);
        }
    }
    once.sort_by(|a, b| (&a.batch, &a.station, &a.who).cmp(&(&b.batch, &b.station, &b.who)));
    once
}

fn at_stations(batch: &Snapshot, free: &FreeStations, now: DateTime<FixedOffset>) -> Vec<Presence> {
    let (state, times) = (&batch.state, &batch.state.times);
    let mut people = Vec::new();
    for (station, present) in &state.people {
        let there = times.there_since(station);
        let Some(there) = there.filter(|at| at.date_naive() == now.date_naive()) else { continue };
        let op = state.working_at.get(station).copied();
        let is_open = |op: &u32| batch.route.step(*op).is_some() && !state.is_closed(*op);
        let op = op.filter(is_open);
        let since = op.and_then(|_| times.at_operation_since(station)).unwrap_or(there);
        let standing = match times.left(station) {
            Some(at) => PresenceStanding::Left(at),
            None if free.has(&batch.name, station) => PresenceStanding::Vanished,
            None if free.is_out_of_reach(&batch.name, station) => PresenceStanding::OutOfReach,
            None => PresenceStanding::Here,
        };
        people.extend(present.iter().map(|who| Presence {
            who: who.clone(),
            station: station.clone(),
            batch: batch.name.clone(),
            op,
            since,
            wrote: *times.wrote.get(station).unwrap_or(&there),
            standing,
        }));
    }
    people
}

/// Whether somebody is there.
pub(super) fn here(people: &[Presence], who: &str) -> bool {
    people.iter().any(|present| {
        present.standing == PresenceStanding::Here && present.who.eq_ignore_ascii_case(who)
    })
}

/// The machine somebody works at, or worked at when they went without leaving.
pub(super) fn machine_of<'a>(batches: &'a [Snapshot], present: &Presence) -> Option<&'a str> {
    let batch = batches.iter().find(|batch| batch.name == present.batch)?;
    batch.plan.operation(present.op?)?.at.as_deref()
}
