//! Copies of a station's file that programs for shared folders leave: what each holds that
//! the file itself lacks, and taking that in. Nothing is ever deleted or written over.

use std::collections::{BTreeMap, BTreeSet};
use std::fs;

use serde_json::Value;

use super::event::{Event, JournalLine};
use super::folder::{BatchFolder, STATION_ENDING};
use super::identity::PieceId;
use super::line::{AnswerLines, JournalEntry, encode};
use super::scan::{Scan, scan};
use super::station::Station;
use super::store_error::{StoreError, refused};

/// A copy of a station's file under another name.
#[derive(Clone, Debug, PartialEq)]
pub struct FoundCopy {
    /// Its name, without the ending.
    pub name: String,
    /// The station whose lines it holds.
    pub of: String,
    /// What taking it in does.
    pub brings: CopyBrings,
}

/// What a copy brings.
#[derive(Clone, Debug, PartialEq)]
pub enum CopyBrings {
    /// Nothing: the station's file has every line of it.
    Nothing,
    /// The station's file is its beginning, so it takes the place of that file.
    TheRest {
        /// How many lines it has more.
        lines: usize,
    },
    /// Lines that went another way. They become the file of a station of their own.
    AnotherWay {
        /// The name of that station.
        station: String,
        /// The lines.
        lines: Vec<JournalLine>,
    },
    /// It can't be taken in, and why.
    Cannot {
        /// The reason, in words.
        why: String,
    },
}

impl BatchFolder {
    /// Every copy in the folder, by its name.
    pub fn copies(&self) -> Result<Vec<FoundCopy>, StoreError> {
        let stations = self.stations()?;
        let mut scans: BTreeMap<&str, Scan<Event>> = BTreeMap::new();
        for station in &stations {
            // A file that can't be read is told elsewhere.
            if let Ok(bytes) = self.disk.read(&self.station_file(station)) {
                scans.insert(station, scan(&bytes, station));
            }
        }
        let mut copies = Vec::new();
        for (name, found) in &scans {
            if let Some(of) = found.copy_of() {
                let brings = brings(&found.foreign, scans.get(of), of, &scans);
                copies.push(FoundCopy { name: (*name).to_owned(), of: of.to_owned(), brings });
            }
        }
        Ok(copies)
    }

    /// Takes in what a copy brings, and moves it out of the way: its name then ends in
    /// `.taken-in`. `holder` says in words who does it.
    pub fn take_in(&self, copy: &FoundCopy, holder: &str) -> Result<(), StoreError> {
        let from = self.station_file(&copy.name);
        match &copy.brings {
            CopyBrings::Cannot { .. } => return Ok(()),
            CopyBrings::Nothing => {}
            CopyBrings::TheRest { .. } => {
                // Nobody may write to the file that is replaced.
                let (station, _) = Station::open(self, &copy.of, holder)?;
                let own = self.station_file(&copy.of);
                let aside = self.free_name(&format!("{}{STATION_ENDING}.before", copy.of));
                fs::rename(&own, &aside).map_err(refused("set aside", &own))?;
                let bytes = self.disk.read(&from).map_err(refused("read", &from))?;
                self.disk.write_new(&own, &bytes).map_err(refused("write", &own))?;
                drop(station);
            }
            CopyBrings::AnotherWay { station, lines } => {
                let own = self.station_file(station);
                let text = renamed(lines, station);
                self.disk.write_new(&own, text.as_bytes()).map_err(refused("write", &own))?;
            }
        }
        let away = self.free_name(&format!("{}{STATION_ENDING}.taken-in", copy.name));
        fs::rename(&from, &away).map_err(refused("move away", &from))?;
        self.disk.sync_folder(self.path()).map_err(refused("move away", &from))
    }

    /// A name in the folder that nothing has yet.
    fn free_name(&self, name: &str) -> std::path::PathBuf {
        let plain = self.path().join(name);
        let numbered = (2..).map(|n| self.path().join(format!("{name}-{n}")));
        std::iter::once(plain.clone()).chain(numbered).find(|path| !path.exists()).unwrap_or(plain)
    }
}

fn brings(
    copy: &[JournalLine],
    original: Option<&Scan<Event>>,
    of: &str,
    scans: &BTreeMap<&str, Scan<Event>>,
) -> CopyBrings {
    let own: &[JournalLine] = original.map_or(&[], |found| &found.entries);
    let held: BTreeMap<u64, &JournalLine> = own.iter().map(|line| (line.n, line)).collect();
    let copied: BTreeMap<u64, &JournalLine> = copy.iter().map(|line| (line.n, line)).collect();
    let differing: Vec<JournalLine> = copy
        .iter()
        .filter(|line| held.get(&line.n).is_none_or(|held| held != line))
        .cloned()
        .collect();
    if differing.is_empty() {
        return CopyBrings::Nothing;
    }
    if own.iter().all(|line| copied.get(&line.n).is_some_and(|copied| *copied == line)) {
        return CopyBrings::TheRest { lines: differing.len() };
    }
    // The same name would mean two pieces.
    let others = scans.values().flat_map(|found| &found.entries);
    let made: BTreeSet<&PieceId> = others.flat_map(|line| pieces_made(&line.event)).collect();
    if differing.iter().flat_map(|line| pieces_made(&line.event)).any(|id| made.contains(id)) {
        let why = "it cut or made pieces whose names other lines gave to other pieces".to_owned();
        return CopyBrings::Cannot { why };
    }
    let station = (2..)
        .map(|n| format!("{of}-{n}"))
        .find(|name| !scans.contains_key(name.as_str()))
        .unwrap_or_default();
    CopyBrings::AnotherWay { station, lines: differing }
}

/// The pieces that came to be with an event.
fn pieces_made(event: &Event) -> Vec<&PieceId> {
    match event {
        Event::Started { pieces, .. } => pieces.iter().map(|piece| &piece.id).collect(),
        Event::Split { into, .. } => into.iter().map(|piece| &piece.id).collect(),
        Event::Remade { piece, .. } => vec![&piece.id],
        _ => Vec::new(),
    }
}

/// The lines as another station would have written them, with what they say of one another.
fn renamed(lines: &[JournalLine], station: &str) -> String {
    let numbers: BTreeMap<u64, u64> = lines.iter().map(|line| line.n).zip(1..).collect();
    let old = lines.first().map_or("", |line| line.station.as_str());
    let renamed = lines.iter().map(|line| {
        let mut event = serde_json::to_value(&line.event).unwrap_or(Value::Null);
        name_anew(&mut event, old, station, &numbers);
        let event: Event = serde_json::from_value(event).unwrap_or_else(|_| line.event.clone());
        // An answer of which only some lines went another way is told line by line.
        let answer = line.answer.and_then(|answer| {
            let all = (answer.first..answer.first + answer.count).all(|n| numbers.contains_key(&n));
            let first = *numbers.get(&answer.first)?;
            all.then_some(AnswerLines { first, ..answer })
        });
        encode(&JournalEntry {
            n: numbers[&line.n],
            after: line.after,
            at: line.at,
            station: station.to_owned(),
            who: line.who.clone(),
            answer,
            seen: line.seen.clone(),
            begun: line.begun,
            event,
        })
    });
    renamed.collect()
}

/// Has every reference to a line of these, wherever it stands, name it as it is called now.
fn name_anew(value: &mut Value, old: &str, new: &str, numbers: &BTreeMap<u64, u64>) {
    match value {
        Value::Object(keys) => {
            let at = keys.get("station").and_then(Value::as_str) == Some(old);
            let n = keys.get("n").and_then(Value::as_u64).and_then(|n| numbers.get(&n));
            if let (true, Some(n)) = (at, n.copied()) {
                keys.insert("station".to_owned(), Value::from(new));
                keys.insert("n".to_owned(), Value::from(n));
            }
            keys.values_mut().for_each(|value| name_anew(value, old, new, numbers));
        }
        Value::Array(values) => {
            values.iter_mut().for_each(|value| name_anew(value, old, new, numbers));
        }
        _ => {}
    }
}
