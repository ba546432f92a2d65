//! One line of a station's file, and writing it with its checksum. Pure: it must not
//! know the disk, the clock, or what the events mean.

use std::collections::BTreeMap;

use chrono::{DateTime, FixedOffset};
use serde::{Deserialize, Serialize};

/// The highest version of a line that this program reads.
pub(super) const VERSION: u64 = 2;

/// What is written in a line says which version it needs: a program that doesn't know
/// that version records nothing more in the batch.
pub trait LineVersion {
    /// The version written at the head of its line. The first, unless a program that
    /// passes the line over would have people cut wrongly.
    fn version(&self) -> u64 {
        1
    }
}

/// The highest number a line may carry: whole in every JSON reader, and far above honest use.
pub(super) const HIGHEST: u64 = (1 << 53) - 1;

/// The farthest place in the order that is believed. Writers stay there from then on, so
/// that a line with a made-up place stops no station.
pub(super) const FARTHEST: u64 = 1 << 40;

/// A line may hold mere text.
impl LineVersion for String {}
impl LineVersion for &str {}

/// One thing that happened, as one line of a station's file.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct JournalEntry<E> {
    /// The line's own number at its station, from 1.
    pub n: u64,
    /// One more than the highest `after` this station had seen anywhere.
    pub after: u64,
    /// When, for people to read; order never comes from it.
    pub at: DateTime<FixedOffset>,
    /// The station, spelled as its file is.
    pub station: String,
    /// Whoever was at the machine, when known.
    pub who: Option<String>,
    /// The lines of its answer, where one answer wrote several.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub answer: Option<AnswerLines>,
    /// The number of the last line its writer had seen of every other station.
    #[serde(default, skip_serializing_if = "BTreeMap::is_empty")]
    pub seen: BTreeMap<String, u64>,
    /// When the batch began that it belongs to. The first line that a station writes
    /// after it was opened says so; others needn't.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub begun: Option<DateTime<FixedOffset>>,
    /// What happened.
    pub event: E,
}

impl<E> JournalEntry<E> {
    /// Returns how another event refers to this one.
    pub fn reference(&self) -> Reference {
        Reference { station: self.station.clone(), n: self.n }
    }

    /// How another event refers to the answer it belongs to: by its first line.
    pub fn answer(&self) -> Reference {
        Reference { station: self.station.clone(), n: self.first_of_answer() }
    }

    /// The number of the first line of the answer it belongs to.
    pub(super) fn first_of_answer(&self) -> u64 {
        self.answer.map_or(self.n, |answer| answer.first)
    }
}

/// The lines one answer wrote. They count together or not at all: where one of them
/// is missing, nobody heard that the answer was recorded.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct AnswerLines {
    /// The number of its first line.
    pub first: u64,
    /// How many lines it has.
    pub count: u64,
}

impl AnswerLines {
    /// For so many events from line `first` on; none where one line holds it all.
    pub fn of(first: u64, events: usize) -> Option<AnswerLines> {
        (events > 1).then_some(AnswerLines { first, count: events as u64 })
    }
}

/// How one event refers to another, for good.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
pub struct Reference {
    /// The station that wrote the line.
    pub station: String,
    /// The line's number there.
    pub n: u64,
}

/// What one answer led to as entries: from line `first` of the station on, none before
/// what came `after`. `seen` is the number of the last line of every other station.
pub(super) fn answer_lines<E>(
    station: &str,
    (first, after): (u64, u64),
    seen: &BTreeMap<String, u64>,
    at: DateTime<FixedOffset>,
    who: Option<&str>,
    events: Vec<E>,
) -> Vec<JournalEntry<E>> {
    let answer = AnswerLines::of(first, events.len());
    let numbered = events.into_iter().zip(0_u64..);
    let entry = |(event, place): (E, u64)| JournalEntry {
        n: first + place,
        after: (after + place).min(FARTHEST),
        at,
        station: station.to_owned(),
        who: who.map(str::to_owned),
        answer,
        seen: seen.clone(),
        begun: None,
        event,
    };
    numbered.map(entry).collect()
}

/// Writes an entry as one line, newline included.
///
/// The checksum comes last and covers the raw bytes before it, so checking never depends on how
/// the line would be printed again, and every line stays plain JSON for other programs.
pub fn encode<E: Serialize + LineVersion>(entry: &JournalEntry<E>) -> String {
    let body = serde_json::to_string(entry).expect("an event is plain data whose keys are text");
    let inner = body
        .strip_prefix('{')
        .and_then(|b| b.strip_suffix('}'))
        .expect("a struct is written as an object");
    let mut line = format!(r#"{{"v":{},{inner}"#, entry.event.version());
    let checksum = crc32fast::hash(line.as_bytes());
    line += &format!(",\"crc\":\"{checksum:08x}\"}}\n");
    line
}
