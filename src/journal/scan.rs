//! Reading a station's file: everything good in it, and everything that is not. Pure: it
//! must not know the disk, the clock, or what the events mean.

use std::collections::{HashMap, HashSet};

use serde::Deserialize;
use serde::de::DeserializeOwned;

use super::damage::Damage;
use super::line::{AnswerLines, FARTHEST, HIGHEST, JournalEntry, VERSION};
use crate::prose::visible;

/// What follows the checksummed bytes of a line, before its newline.
const TAIL: usize = r#","crc":"00000000"}"#.len();

/// No file loses so many lines in one place: a higher number was made up, and using it
/// would leave the station few numbers.
const LEAP: u64 = 1_000_000;

/// What reading a station's file found: everything good, and everything that is not.
#[derive(Clone, Debug, PartialEq)]
pub struct Scan<E> {
    /// The good lines, in file order.
    pub entries: Vec<JournalEntry<E>>,
    /// Sound lines that other stations wrote, as in a copy under another name.
    pub foreign: Vec<JournalEntry<E>>,
    /// Sound lines of answers that aren't there whole.
    pub parts: Vec<JournalEntry<E>>,
    /// What is wrong, in file order.
    pub damage: Vec<Damage>,
    /// Bytes up to and including the last newline; a torn tail begins here.
    pub whole: u64,
    /// The number the next line takes: above every number used, also by lines that cannot be read.
    pub next: u64,
}

impl<E> Scan<E> {
    /// The station whose file this is a copy of: where another station wrote all of it.
    pub(super) fn copy_of(&self) -> Option<&str> {
        let of = &self.foreign.first()?.station;
        let is_copy =
            self.entries.is_empty() && self.foreign.iter().all(|entry| entry.station == *of);
        is_copy.then_some(of)
    }
}

/// Reads a station's file. It never fails: what is good is used and what is not is reported.
pub fn scan<E: DeserializeOwned>(bytes: &[u8], station: &str) -> Scan<E> {
    scan_from(bytes, station, 1)
}

/// Reads the rest of a station's file, whose next line has this number.
pub(super) fn scan_from<E: DeserializeOwned>(bytes: &[u8], station: &str, next: u64) -> Scan<E> {
    let whole = bytes.iter().rposition(|byte| *byte == b'\n').map_or(0, |at| at + 1);
    let mut numbers = LineNumbers { highest: next - 1, ..LineNumbers::default() };
    let (mut entries, mut foreign) = (Vec::new(), Vec::new());
    let mut damage = Vec::new();
    let mut line = 0;
    let mut changed_ends = 0;
    for text in bytes[..whole].split_inclusive(|byte| *byte == b'\n') {
        line += 1;
        let text = &text[..text.len() - 1];
        // Programs that change the ends of lines leave their content alone.
        let text = text.strip_suffix(b"\r").inspect(|_| changed_ends += 1).unwrap_or(text);
        let head = match sound(text) {
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
            foreign.extend(serde_json::from_slice(text).ok());
            continue;
        }
        if head.n > numbers.next() + LEAP {
            numbers.unreadable += 1;
            let why = format!("number {} comes long after the last", head.n);
            damage.push(Damage::BadLine { line, why });
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
            Ok(entry) if entry.after > FARTHEST => {
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
    if changed_ends > 0 {
        damage.push(Damage::ChangedEnds { lines: changed_ends });
    }
    let (entries, parts) = whole_answers(entries, &mut damage);
    Scan { entries, foreign, parts, damage, whole: whole as u64, next: numbers.next() }
}

/// The lines that count, and those of answers that are not there whole, each of these
/// with its damage.
fn whole_answers<E>(
    entries: Vec<(usize, JournalEntry<E>)>,
    damage: &mut Vec<Damage>,
) -> (Vec<JournalEntry<E>>, Vec<JournalEntry<E>>) {
    let mut found: HashMap<u64, u64> = HashMap::new();
    for answer in entries.iter().filter_map(|(_, entry)| entry.answer) {
        *found.entry(answer.first).or_default() += 1;
    }
    let (mut used, mut parts) = (Vec::with_capacity(entries.len()), Vec::new());
    for (line, entry) in entries {
        match entry.answer {
            Some(AnswerLines { first, count }) if found.get(&first) != Some(&count) => {
                damage.push(Damage::PartOfAnswer { line, count });
                parts.push(entry);
            }
            _ => used.push(entry),
        }
    }
    (used, parts)
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

/// The number of a line and the station that wrote it, where its checksum is right.
pub(super) fn line_head(line: &[u8]) -> Option<(u64, String)> {
    let head = sound(line).ok()?;
    Some((head.n, head.station?))
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
