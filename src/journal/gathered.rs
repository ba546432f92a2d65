//! The files of all stations of a batch as one journal: every line in the one order, and
//! everything that is wrong or missing. Pure: it must not know the disk.

use std::collections::{BTreeMap, BTreeSet};

use serde::de::DeserializeOwned;

use super::damage::{Damage, FileDamage};
use super::line::JournalEntry;
use super::merge::merge;
use super::scan::{Scan, scan, scan_from};

/// What all files of a batch hold together.
pub(super) struct Gathered<E> {
    /// Every line that counts, in the one order.
    pub(super) entries: Vec<JournalEntry<E>>,
    /// Sound lines of answers that aren't there whole.
    pub(super) parts: Vec<JournalEntry<E>>,
    /// What is wrong, file by file.
    pub(super) damage: Vec<FileDamage>,
    /// How far each file was read.
    pub(super) reached: BTreeMap<String, ReadSoFar>,
}

/// How far a station's file was read.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct ReadSoFar {
    /// Bytes up to the end of the last whole line.
    pub(super) whole: u64,
    /// The number of the next line.
    pub(super) next: u64,
}

/// What was added to the files since they were read.
pub(super) struct AddedLines<E> {
    /// The lines, file by file.
    pub(super) entries: Vec<JournalEntry<E>>,
    /// How far each file was read now.
    pub(super) reached: BTreeMap<String, ReadSoFar>,
}

/// Puts together what the files hold, each under the name of its station; the reason
/// where one can't be read.
pub(super) fn gather<E: DeserializeOwned + PartialEq>(
    files: Vec<(String, Result<Vec<u8>, String>)>,
) -> Gathered<E> {
    let mut scans: BTreeMap<String, Scan<E>> = BTreeMap::new();
    let mut unreadable = Vec::new();
    for (station, text) in files {
        match text {
            Ok(bytes) => {
                let found = scan::<E>(&bytes, &station);
                scans.insert(station, found);
            }
            Err(why) => unreadable.push(FileDamage { station, damage: Damage::Unreadable { why } }),
        }
    }
    mark_copies(&mut scans);
    let mut damage = unreadable;
    let unread: BTreeSet<&str> = damage.iter().map(|found| &*found.station).collect();
    let mut missing = missing(&scans, &unread);
    if unread.is_empty() {
        missing.extend(missing_somewhere(&scans, &missing));
    }
    let mut stations = Vec::with_capacity(scans.len());
    let mut parts = Vec::new();
    let mut reached = BTreeMap::new();
    for (station, found) in scans {
        reached.insert(station.clone(), ReadSoFar { whole: found.whole, next: found.next });
        let at = |damage| FileDamage { station: station.clone(), damage };
        damage.extend(found.damage.into_iter().map(at));
        parts.extend(found.parts);
        stations.push(found.entries);
    }
    damage.extend(missing);
    Gathered { entries: merge(stations), parts, damage, reached }
}

/// What was added to the files behind how far they were read; none where anything is wrong or missing.
pub(super) fn gather_more<E: DeserializeOwned>(
    files: BTreeMap<String, Vec<u8>>,
    reached: &BTreeMap<String, ReadSoFar>,
) -> Option<AddedLines<E>> {
    let mut reached = reached.clone();
    let mut entries = Vec::new();
    for (station, bytes) in files {
        let before = reached.get(&station).copied().unwrap_or(ReadSoFar { whole: 0, next: 1 });
        let found = scan_from::<E>(&bytes, &station, before.next);
        if !found.damage.is_empty() {
            return None;
        }
        entries.extend(found.entries);
        let now = ReadSoFar { whole: before.whole + found.whole, next: found.next };
        reached.insert(station, now);
    }
    let is_here = |(station, last): (&String, &u64)| {
        reached.get(station).is_some_and(|reached| *last < reached.next)
    };
    let is_whole = entries.iter().all(|entry| entry.seen.iter().all(is_here));
    is_whole.then_some(AddedLines { entries, reached })
}

/// Programs that share folders leave copies under other names.
fn mark_copies<E: PartialEq>(scans: &mut BTreeMap<String, Scan<E>>) {
    let mut copies: Vec<(String, Damage)> = Vec::new();
    for (station, found) in &*scans {
        if let Some(of) = found.copy_of() {
            let differing = differing(&found.foreign, scans.get(of));
            copies.push((station.clone(), Damage::Copied { of: of.to_owned(), differing }));
        }
    }
    for (station, copied) in copies {
        let Some(found) = scans.get_mut(&station) else { continue };
        found.damage.retain(|wrong| {
            !matches!(wrong, Damage::ForeignStation { .. } | Damage::ChangedEnds { .. })
        });
        found.damage.push(copied);
    }
}

/// How many lines of a copy the original lacks or has otherwise.
fn differing<E: PartialEq>(copy: &[JournalEntry<E>], original: Option<&Scan<E>>) -> usize {
    let Some(original) = original else { return copy.len() };
    let held: BTreeMap<u64, &JournalEntry<E>> =
        original.entries.iter().chain(&original.parts).map(|entry| (entry.n, entry)).collect();
    copy.iter().filter(|entry| held.get(&entry.n).is_none_or(|held| held != entry)).count()
}

/// The lines that somebody had seen and that aren't here.
fn missing<E>(scans: &BTreeMap<String, Scan<E>>, unread: &BTreeSet<&str>) -> Vec<FileDamage> {
    let mut seen: BTreeMap<&str, u64> = BTreeMap::new();
    for entry in scans.values().flat_map(|found| &found.entries) {
        for (station, last) in &entry.seen {
            let highest = seen.entry(station).or_default();
            *highest = (*highest).max(*last);
        }
    }
    seen.retain(|station, _| !unread.contains(station));
    let missing = seen.into_iter().filter_map(|(station, last)| {
        let next = scans.get(station).map_or(1, |found| found.next);
        let damage = Damage::Missing { numbers: next..=last };
        (last >= next).then(|| FileDamage { station: station.to_owned(), damage })
    });
    missing.collect()
}

/// Lines that are missing without anybody having said so. Each place in the order was
/// taken by some line, because a line stands one behind the last its writer had seen.
fn missing_somewhere<E>(
    scans: &BTreeMap<String, Scan<E>>,
    missing: &[FileDamage],
) -> Option<FileDamage> {
    let places: BTreeSet<u64> =
        scans.values().flat_map(|found| &found.entries).map(|entry| entry.after).collect();
    let last = places.last().copied().unwrap_or(0);
    let empty = last - places.len() as u64;
    let damage = scans.values().flat_map(|found| &found.damage);
    let told: u64 = damage.chain(missing.iter().map(|found| &found.damage)).map(lines_lost).sum();
    let lines = empty.saturating_sub(told);
    (lines > 0)
        .then(|| FileDamage { station: String::new(), damage: Damage::MissingSomewhere { lines } })
}

/// How many places in the order a damage leaves empty at most.
fn lines_lost(damage: &Damage) -> u64 {
    match damage {
        Damage::BadLine { .. }
        | Damage::UnknownEvent { .. }
        | Damage::NewerVersion { .. }
        | Damage::PartOfAnswer { .. }
        | Damage::Repeated { .. }
        | Damage::ForeignStation { .. } => 1,
        Damage::Gap { expected, found, .. } => found - expected,
        Damage::Missing { numbers } => numbers.end() - numbers.start() + 1,
        Damage::Copied { differing, .. } => *differing as u64,
        _ => 0,
    }
}
