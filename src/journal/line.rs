//! One line of a station's file: writing it with its checksum, and reading a whole file of them.
//! Pure: it must not know the disk, the clock, or what the events mean.

use std::collections::{HashMap, HashSet};
use std::fmt;

use chrono::{DateTime, FixedOffset};
use serde::de::DeserializeOwned;
use serde::{Deserialize, Serialize};

use crate::prose::visible;

/// The version written at the head of every line.
const VERSION: u64 = 1;

/// The highest number a line may carry: whole in every JSON reader, and far above honest use.
pub(super) const HIGHEST: u64 = (1 << 53) - 1;

/// What follows the checksummed bytes of a line, before its newline.
const TAIL: usize = r#","crc":"00000000"}"#.len();

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
        let n = self.answer.map_or(self.n, |answer| answer.first);
        Reference { station: self.station.clone(), n }
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

/// What reading a station's file found: everything good, and everything that is not.
#[derive(Clone, Debug, PartialEq)]
pub struct Scan<E> {
    /// The good lines, in file order.
    pub entries: Vec<JournalEntry<E>>,
    /// What is wrong, in file order.
    pub damage: Vec<Damage>,
    /// Bytes up to and including the last newline; a torn tail begins here.
    pub whole: u64,
    /// The number the next line takes: above every number used, also by lines that cannot be read.
    pub next: u64,
}

/// Something wrong in a station's file. Lines count from 1.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Damage {
    /// The last line has no end.
    TornTail {
        /// The line in the file, from 1.
        line: usize,
        /// How many bytes it has.
        bytes: u64,
    },
    /// The line is not what was written.
    BadLine {
        /// The line in the file, from 1.
        line: usize,
        /// What is wrong, in words.
        why: String,
    },
    /// Numbers are missing before this line.
    Gap {
        /// The line in the file, from 1.
        line: usize,
        /// The number that should come next.
        expected: u64,
        /// The number it has.
        found: u64,
    },
    /// The line follows one with a higher number.
    OutOfOrder {
        /// The line in the file, from 1.
        line: usize,
        /// The highest number before it.
        highest: u64,
        /// The number it has.
        found: u64,
    },
    /// An earlier line has the same number.
    Repeated {
        /// The line in the file, from 1.
        line: usize,
        /// The number.
        n: u64,
    },
    /// The line was written by another station.
    ForeignStation {
        /// The line in the file, from 1.
        line: usize,
        /// The station whose file it is.
        expected: String,
        /// The station that wrote the line.
        found: String,
    },
    /// The line is sound and its event makes no sense to this program.
    UnknownEvent {
        /// The line in the file, from 1.
        line: usize,
        /// What is wrong, in words.
        why: String,
    },
    /// Other lines of its answer are missing.
    PartOfAnswer {
        /// The line in the file, from 1.
        line: usize,
        /// How many lines the answer has.
        count: u64,
    },
    /// A later version of the program wrote the line.
    NewerVersion {
        /// The line in the file, from 1.
        line: usize,
        /// Its version.
        version: u64,
    },
}

impl fmt::Display for Damage {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::TornTail { line, bytes } => write!(
                f,
                "line {line} has no end ({bytes} bytes): cut short when the terminal stopped, \
                 or being written right now. It was never reported as recorded and is not used."
            ),
            Self::BadLine { line, why } => write!(
                f,
                "line {line} is not as it was written ({why}): edited by hand, or the disk failed. \
                 It is left alone and not used; enter again what it held."
            ),
            Self::Gap { line, expected, found } => write!(
                f,
                "line {line} is number {found} where {expected} was expected: lines before it are missing. \
                 Look for an older copy of this file."
            ),
            Self::OutOfOrder { line, highest, found } => write!(
                f,
                "line {line} is number {found}, after number {highest}: lines were moved by hand. \
                 It is used in the order of its number."
            ),
            Self::Repeated { line, n } => write!(
                f,
                "line {line} is number {n} again: a line was copied, or two copies of this file were joined. \
                 Only the first number {n} is used."
            ),
            Self::ForeignStation { line, expected, found } => write!(
                f,
                "line {line} was written by {found}, and this is the file of {expected}. \
                 It is not used here; it belongs in {found}'s own file."
            ),
            Self::UnknownEvent { line, why } => write!(
                f,
                "line {line} is as it was written, but this program cannot make sense of it ({why}). \
                 It is not used."
            ),
            Self::PartOfAnswer { line, count } => write!(
                f,
                "line {line} is one of {count} lines that one answer wrote, and others of them are missing. \
                 The answer was never reported as recorded and is not used."
            ),
            Self::NewerVersion { line, version } => write!(
                f,
                "line {line} was written by a newer version of this program (line version {version}, \
                 this one reads {VERSION}). It is not used; bring this terminal up to date."
            ),
        }
    }
}

/// What one answer led to as entries: from line `first` of the station on, none before
/// what came `after`.
pub(super) fn answer_lines<E>(
    station: &str,
    (first, after): (u64, u64),
    at: DateTime<FixedOffset>,
    who: Option<&str>,
    events: Vec<E>,
) -> Vec<JournalEntry<E>> {
    let answer = AnswerLines::of(first, events.len());
    let numbered = events.into_iter().zip(0..);
    let entry = |(event, place)| JournalEntry {
        n: first + place,
        after: after + place,
        at,
        station: station.to_owned(),
        who: who.map(str::to_owned),
        answer,
        event,
    };
    numbered.map(entry).collect()
}

/// Writes an entry as one line, newline included.
///
/// The checksum comes last and covers the raw bytes before it, so checking never depends on how
/// the line would be printed again, and every line stays plain JSON for other programs.
pub fn encode<E: Serialize>(entry: &JournalEntry<E>) -> String {
    let body = serde_json::to_string(entry).expect("an event is plain data whose keys are text");
    let inner = body
        .strip_prefix('{')
        .and_then(|b| b.strip_suffix('}'))
        .expect("a struct is written as an object");
    let mut line = format!(r#"{{"v":{VERSION},{inner}"#);
    let checksum = crc32fast::hash(line.as_bytes());
    line += &format!(",\"crc\":\"{checksum:08x}\"}}\n");
    line
}

/// Reads a station's file. It never fails: what is good is used and what is not is reported.
pub fn scan<E: DeserializeOwned>(bytes: &[u8], station: &str) -> Scan<E> {
    let whole = bytes.iter().rposition(|byte| *byte == b'\n').map_or(0, |at| at + 1);
    let mut numbers = LineNumbers::default();
    let mut entries = Vec::new();
    let mut damage = Vec::new();
    let mut line = 0;
    for text in bytes[..whole].split_inclusive(|byte| *byte == b'\n') {
        line += 1;
        let head = match sound(&text[..text.len() - 1]) {
            Ok(head) => head,
            Err(why) => {
                numbers.unreadable += 1;
                damage.push(Damage::BadLine { line, why });
                continue;
            }
        };
        if let Some(found) = head.station.as_ref().filter(|found| *found != station) {
            // A foreign line says nothing about the numbers used here.
            let found = visible(found);
            damage.push(Damage::ForeignStation { line, expected: station.to_owned(), found });
            continue;
        }
        if let Some(wrong) = numbers.take(line, head.n) {
            let repeated = matches!(wrong, Damage::Repeated { .. });
            damage.push(wrong);
            if repeated {
                continue;
            }
        }
        if head.v > VERSION {
            damage.push(Damage::NewerVersion { line, version: head.v });
            continue;
        }
        match serde_json::from_slice::<JournalEntry<E>>(text) {
            Ok(entry) if entry.after > HIGHEST => {
                damage.push(Damage::BadLine {
                    line,
                    why: "its place in the order is too large".to_owned(),
                });
            }
            Ok(entry) => entries.push((line, entry)),
            Err(why) => damage.push(Damage::UnknownEvent { line, why: visible(&why.to_string()) }),
        }
    }
    if whole < bytes.len() {
        // Also when the text is complete but for its newline: it was not acknowledged.
        damage.push(Damage::TornTail { line: line + 1, bytes: (bytes.len() - whole) as u64 });
    }
    let entries = whole_answers(entries, &mut damage);
    Scan { entries, damage, whole: whole as u64, next: numbers.next() }
}

/// Leaves out the lines of answers that are not there whole, each with its place.
fn whole_answers<E>(
    entries: Vec<(usize, JournalEntry<E>)>,
    damage: &mut Vec<Damage>,
) -> Vec<JournalEntry<E>> {
    let mut found: HashMap<u64, u64> = HashMap::new();
    for answer in entries.iter().filter_map(|(_, entry)| entry.answer) {
        *found.entry(answer.first).or_default() += 1;
    }
    let mut used = Vec::with_capacity(entries.len());
    for (line, entry) in entries {
        match entry.answer {
            Some(AnswerLines { first, count }) if found.get(&first) != Some(&count) => {
                damage.push(Damage::PartOfAnswer { line, count });
            }
            _ => used.push(entry),
        }
    }
    used
}

/// The part of a line every version writes alike.
#[derive(Deserialize)]
struct Head {
    v: u64,
    n: u64,
    station: Option<String>,
}

/// Compares a line with its checksum and reads its head.
fn sound(line: &[u8]) -> Result<Head, String> {
    let line = std::str::from_utf8(line).map_err(|_| "it is not text")?;
    if line.is_empty() {
        return Err("it is empty".to_owned());
    }
    let (body, tail) = line
        .len()
        .checked_sub(TAIL)
        .and_then(|at| line.split_at_checked(at))
        .ok_or("it is too short")?;
    let checksum = tail.strip_prefix(r#","crc":""#).and_then(|rest| rest.strip_suffix(r#""}"#));
    let checksum = checksum.ok_or("its checksum is missing")?;
    // Compared as text: a parsed number would also accept a plus sign and capitals.
    if checksum != format!("{:08x}", crc32fast::hash(body.as_bytes())) {
        return Err("its checksum differs".to_owned());
    }
    let head: Head = serde_json::from_str(line).map_err(|why| visible(&why.to_string()))?;
    if head.v == 0 {
        return Err("its version is 0".to_owned());
    }
    if head.n == 0 || head.n > HIGHEST {
        return Err(format!("{} is no line number", head.n));
    }
    Ok(head)
}

/// The line numbers met so far in one file.
#[derive(Default)]
struct LineNumbers {
    highest: u64,
    /// Lines since the highest number that cannot be read, each of which once had a number.
    unreadable: u64,
    seen: HashSet<u64>,
}

impl LineNumbers {
    fn take(&mut self, line: usize, n: u64) -> Option<Damage> {
        if !self.seen.insert(n) {
            return Some(Damage::Repeated { line, n });
        }
        if n < self.highest {
            return Some(Damage::OutOfOrder { line, highest: self.highest, found: n });
        }
        // Unreadable lines account for that many numbers; a stray newline makes two of one line.
        let expected = self.next();
        self.highest = n;
        self.unreadable = 0;
        (n > expected).then_some(Damage::Gap { line, expected, found: n })
    }

    fn next(&self) -> u64 {
        self.highest + self.unreadable + 1
    }
}

#[cfg(test)]
mod tests;
