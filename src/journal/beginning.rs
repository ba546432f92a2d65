//! The first line of a batch: which lines belong to it, and what it held where it can't be
//! read. Pure: it must not know the disk.

use std::collections::BTreeMap;

use super::damage::{Damage, FileDamage};
use super::event::{Event, JournalLine};
use super::facts::initial_pieces;
use super::gathered::Gathered;
use super::merge::merge;
use crate::plan::{Known, walk};
use crate::route::Route;
use crate::shop::Shop;

/// When the batch of these lines began; none where its first line is missing.
pub(super) fn begun(lines: &[JournalLine]) -> Option<&JournalLine> {
    lines.iter().find(|line| matches!(line.event, Event::Started { .. }))
}

/// Leaves out the lines that say they belong to another batch, with all that follow them
/// in their file until one says otherwise.
pub(super) fn only_of_this_batch(gathered: &mut Gathered<Event>) {
    let Some(began) = begun(&gathered.entries).map(|line| line.at) else { return };
    // Most batches have no foreign line, and this is asked whenever one is read.
    if gathered.entries.iter().all(|line| line.begun.is_none_or(|begun| begun == began)) {
        return;
    }
    let mut by_number: Vec<&JournalLine> = gathered.entries.iter().collect();
    by_number.sort_by_key(|line| (&line.station, line.n));
    let mut foreign = BTreeMap::new();
    let mut said = None;
    let mut station = "";
    for line in by_number {
        if line.station != station {
            (station, said) = (&line.station, None);
        }
        said = line.begun.or(said);
        if let Some(other) = said.filter(|said| *said != began) {
            foreign.insert((line.station.clone(), line.n), other);
        }
    }
    gathered.entries.retain(|line| !foreign.contains_key(&(line.station.clone(), line.n)));
    let mut counted = BTreeMap::new();
    for ((station, _), begun) in foreign {
        *counted.entry((station, begun)).or_insert(0) += 1;
    }
    for ((station, begun), lines) in counted {
        gathered.damage.push(FileDamage { station, damage: Damage::OtherBatch { lines, begun } });
    }
}

/// The station whose first line can't be read, where the first line of the batch is
/// missing and stood there. Pieces are named after the station that began the batch.
pub(super) fn lost_beginning(gathered: &Gathered<Event>) -> Option<String> {
    if begun(&gathered.entries).is_some() {
        return None;
    }
    let is_first = |damage: &Damage| matches!(damage, Damage::BadLine { line: 1, .. });
    let mut lost = gathered.damage.iter().filter(|found| is_first(&found.damage));
    let only = lost.next()?;
    lost.next().is_none().then(|| only.station.clone())
}

/// Works out what the first line held, from the route and the shop file as they were when
/// the batch began.
pub(super) fn work_out(
    gathered: &mut Gathered<Event>,
    name: &str,
    station: &str,
    route: &Route,
    shop: &Shop,
) {
    let said = gathered.entries.iter().find_map(|line| line.begun);
    let Some(first) = gathered.entries.iter().chain(&gathered.parts).min_by_key(|line| line.at)
    else {
        return;
    };
    let at = said.unwrap_or(first.at);
    // The rest of its answer, such as boards, stands there still.
    let of_answer = |line: &&JournalLine| {
        line.station == station && line.answer.is_some_and(|answer| answer.first == 1)
    };
    let rest: Vec<JournalLine> = gathered.parts.iter().filter(of_answer).cloned().collect();
    let answer = rest.first().and_then(|line| line.answer);
    let is_whole = answer.is_none_or(|answer| answer.count == rest.len() as u64 + 1);
    let chosen = rest.iter().filter_map(|line| match &line.event {
        Event::Chosen { chosen, .. } => Some(chosen.clone()),
        _ => None,
    });
    let plan = walk(route, shop, &Known { articles: chosen.collect(), ..Known::default() });
    let started = JournalLine {
        n: 1,
        after: 1,
        at,
        station: station.to_owned(),
        who: None,
        answer: answer.filter(|_| is_whole),
        seen: BTreeMap::new(),
        begun: None,
        event: Event::Started {
            batch: name.to_owned(),
            route: route.name.clone(),
            sets: route.sets,
            pieces: initial_pieces(route, &plan, station),
            id: None,
        },
    };
    let mut own = vec![started];
    if is_whole {
        own.extend(rest);
        gathered.damage.retain(|found| {
            let last = answer.map_or(0, |answer| answer.count as usize);
            found.station != station
                || !matches!(found.damage, Damage::PartOfAnswer { line, .. } if line <= last)
        });
    }
    gathered.entries = merge(vec![own, std::mem::take(&mut gathered.entries)]);
    for found in &mut gathered.damage {
        if found.station == station && found.damage.line() == Some(1) {
            found.damage = Damage::BeginningWorkedOut;
        }
    }
}
