//! One line of a station's file: writing it with its checksum, and reading a whole file of them.
//! Pure: it must not know the disk, the clock, or what the events mean.

use std::collections::HashSet;
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
    /// What happened.
    pub event: E,
}

impl<E> JournalEntry<E> {
    /// Returns how another event refers to this one.
    pub fn reference(&self) -> Reference {
        Reference { station: self.station.clone(), n: self.n }
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
    TornTail { line: usize, bytes: u64 },
    /// The line is not what was written.
    BadLine { line: usize, why: String },
    /// Numbers are missing before this line.
    Gap { line: usize, expected: u64, found: u64 },
    /// The line stands after one with a higher number.
    OutOfOrder { line: usize, highest: u64, found: u64 },
    /// An earlier line has the same number.
    Repeated { line: usize, n: u64 },
    /// The line was written by another station.
    ForeignStation { line: usize, expected: String, found: String },
    /// The line is sound and its event makes no sense to this program.
    UnknownEvent { line: usize, why: String },
    /// A later version of the program wrote the line.
    NewerVersion { line: usize, version: u64 },
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
            Self::NewerVersion { line, version } => write!(
                f,
                "line {line} was written by a newer version of this program (line version {version}, \
                 this one reads {VERSION}). It is not used; bring this terminal up to date."
            ),
        }
    }
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
            Ok(entry) => entries.push(entry),
            Err(why) => damage.push(Damage::UnknownEvent { line, why: visible(&why.to_string()) }),
        }
    }
    if whole < bytes.len() {
        // Also when the text is complete but for its newline: it was not acknowledged.
        damage.push(Damage::TornTail { line: line + 1, bytes: (bytes.len() - whole) as u64 });
    }
    Scan { entries, damage, whole: whole as u64, next: numbers.next() }
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
mod tests {
    use proptest::prelude::*;

    use super::*;

    #[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
    #[serde(rename_all = "snake_case", deny_unknown_fields)]
    enum Event {
        Reading { typed: String, nanometres: i64 },
        Closed {},
    }

    fn reading(n: u64, typed: &str) -> JournalEntry<Event> {
        JournalEntry {
            n,
            after: n + 5,
            at: "2026-11-25T07:41:05+01:00".parse().expect("a time with its zone"),
            station: "cabinet-saw".to_owned(),
            who: Some("AB".to_owned()),
            event: Event::Reading { typed: typed.to_owned(), nanometres: 36_512_500 },
        }
    }

    fn file(numbers: impl IntoIterator<Item = u64>) -> Vec<u8> {
        numbers.into_iter().flat_map(|n| encode(&reading(n, "1 7/16")).into_bytes()).collect()
    }

    fn numbers(scan: &Scan<Event>) -> Vec<u64> {
        scan.entries.iter().map(|entry| entry.n).collect()
    }

    fn check(bytes: &[u8], expected: &[u64], damage: &[Damage], next: u64) {
        let found = scan::<Event>(bytes, "cabinet-saw");
        assert_eq!(numbers(&found), expected);
        assert_eq!(found.damage, damage);
        assert_eq!(found.next, next);
    }

    /// Puts a right checksum on text that `encode` would not write.
    fn sealed(body: &str) -> String {
        format!("{body},\"crc\":\"{:08x}\"}}\n", crc32fast::hash(body.as_bytes()))
    }

    #[test]
    fn a_line_is_written_as_the_format_says() {
        // The checksum was computed with zlib's crc32 over the text before it.
        let expected = concat!(
            r#"{"v":1,"n":3,"after":8,"at":"2026-11-25T07:41:05+01:00","station":"cabinet-saw","who":"AB","#,
            r#""event":{"reading":{"typed":"1 7/16+","nanometres":36512500}},"crc":"7429f7bc"}"#,
            "\n"
        );
        assert_eq!(encode(&reading(3, "1 7/16+")), expected);
    }

    #[test]
    fn what_was_written_is_read_back() {
        let typed = "1 7/16\"\n\u{0}\u{1b}[2J \u{2028} ¼ \\ {},\"crc\":\"00000000\"}";
        let mut written = vec![reading(1, typed), reading(2, "")];
        written[1].who = None;
        written[1].event = Event::Closed {};
        let text: String = written.iter().map(encode).collect();
        assert_eq!(text.lines().count(), 2);
        let found = scan::<Event>(text.as_bytes(), "cabinet-saw");
        assert_eq!(
            found,
            Scan { entries: written, damage: vec![], whole: text.len() as u64, next: 3 }
        );
    }

    #[test]
    fn an_empty_file_is_sound() {
        check(b"", &[], &[], 1);
    }

    #[test]
    fn every_truncation_leaves_a_prefix() {
        let bytes = file(1..=4);
        for length in 0..bytes.len() {
            let cut = &bytes[..length];
            let lines = cut.iter().filter(|byte| **byte == b'\n').count() as u64;
            let found = scan::<Event>(cut, "cabinet-saw");
            assert_eq!(numbers(&found), (1..=lines).collect::<Vec<_>>());
            assert_eq!(found.next, lines + 1, "a torn line's number was never acknowledged");
            let torn = length as u64 - found.whole;
            let line = lines as usize + 1;
            let expected =
                if torn == 0 { vec![] } else { vec![Damage::TornTail { line, bytes: torn }] };
            assert_eq!(found.damage, expected);
        }
    }

    /// Always: Every changed byte of a journal is noticed, and every other line still reads.
    #[test]
    fn every_changed_byte_is_noticed_and_spares_the_other_lines() {
        let bytes = file(1..=4);
        let length = bytes.len() / 4;
        for at in 0..bytes.len() {
            for other in
                [0, b'\n', b' ', b'0', b'+', b'A', b'"', 0xff, bytes[at] ^ 1, bytes[at] ^ 0x20]
            {
                if other == bytes[at] {
                    continue;
                }
                let mut changed = bytes.clone();
                changed[at] = other;
                let found = scan::<Event>(&changed, "cabinet-saw");
                assert!(!found.damage.is_empty(), "byte {at} as {other} went unnoticed");
                // A lost newline joins two lines; every other change touches one.
                let hurt = (at / length) as u64 + 1;
                let joined = if (at + 1) % length == 0 { hurt + 1 } else { hurt };
                let spared: Vec<u64> = (1..=4).filter(|n| *n != hurt && *n != joined).collect();
                assert_eq!(numbers(&found), spared, "byte {at} as {other}");
            }
        }
    }

    #[test]
    fn a_number_is_not_used_again_after_a_bad_last_line() {
        let mut bytes = file(1..=3);
        let at = bytes.len() - 40;
        bytes[at] ^= 1;
        check(
            &bytes,
            &[1, 2],
            &[Damage::BadLine { line: 3, why: "its checksum differs".to_owned() }],
            4,
        );
    }

    #[test]
    fn missing_lines_are_reported() {
        check(
            &file([1, 2, 5, 6]),
            &[1, 2, 5, 6],
            &[Damage::Gap { line: 3, expected: 3, found: 5 }],
            7,
        );
        check(&file([2]), &[2], &[Damage::Gap { line: 1, expected: 1, found: 2 }], 3);
    }

    #[test]
    fn moved_and_copied_lines_are_reported() {
        let moved = [
            Damage::Gap { line: 2, expected: 2, found: 3 },
            Damage::OutOfOrder { line: 3, highest: 3, found: 2 },
        ];
        check(&file([1, 3, 2, 4]), &[1, 3, 2, 4], &moved, 5);
        check(&file([1, 2, 1, 3]), &[1, 2, 3], &[Damage::Repeated { line: 3, n: 1 }], 4);
    }

    #[test]
    fn another_stations_line_is_left_out() {
        let mut bytes = file([1, 2]);
        let foreign = JournalEntry { station: "planer".to_owned(), ..reading(90, "1") };
        bytes.extend(encode(&foreign).into_bytes());
        let damage = Damage::ForeignStation {
            line: 3,
            expected: "cabinet-saw".to_owned(),
            found: "planer".to_owned(),
        };
        check(&bytes, &[1, 2], &[damage], 3);
    }

    #[test]
    fn an_unknown_event_keeps_its_number() {
        let mut text = String::from_utf8(file([1])).expect("text");
        text += &sealed(
            r#"{"v":1,"n":2,"after":2,"at":"2026-11-25T07:41:05Z","station":"cabinet-saw","who":null,"event":{"\u001b[2J":{}}"#,
        );
        text += &encode(&reading(3, "2"));
        let found = scan::<Event>(text.as_bytes(), "cabinet-saw");
        assert_eq!(numbers(&found), [1, 3]);
        assert!(matches!(found.damage[..], [Damage::UnknownEvent { line: 2, .. }]));
        assert!(
            !found.damage[0].to_string().contains('\u{1b}'),
            "a file must not steer the terminal"
        );
    }

    #[test]
    fn a_newer_line_is_left_out_and_keeps_its_number() {
        let newer = sealed(r#"{"v":2,"n":1,"station":"cabinet-saw","anything":[]"#);
        check(newer.as_bytes(), &[], &[Damage::NewerVersion { line: 1, version: 2 }], 2);
    }

    #[test]
    fn impossible_numbers_are_bad_lines() {
        for n in
            ["0", "-1", "1.5", "9007199254740992", "18446744073709551615", "18446744073709551616"]
        {
            let line = sealed(&format!(
                r#"{{"v":1,"n":{n},"after":1,"at":"2026-11-25T07:41:05Z","station":"cabinet-saw","who":null,"event":{{"closed":{{}}}}"#
            ));
            let found = scan::<Event>(line.as_bytes(), "cabinet-saw");
            assert!(
                matches!(found.damage[..], [Damage::BadLine { line: 1, .. }]),
                "{n}: {:?}",
                found.damage
            );
            assert_eq!(found.next, 2);
        }
    }

    #[test]
    fn a_tail_of_zeros_is_torn() {
        let mut bytes = file([1, 2]);
        bytes.extend([0; 300]);
        check(&bytes, &[1, 2], &[Damage::TornTail { line: 3, bytes: 300 }], 3);
    }

    proptest! {
        #[test]
        fn random_bytes_never_panic(bytes in prop::collection::vec(any::<u8>(), 0..400)) {
            let found = scan::<Event>(&bytes, "cabinet-saw");
            prop_assert!(found.entries.is_empty());
            prop_assert!(bytes.is_empty() || !found.damage.is_empty());
        }

        #[test]
        fn sealed_nonsense_never_panics(body in "[\\[\\]{}\":,vnatstionwhoe0-9 .e\\-]{0,60}") {
            let found = scan::<Event>(sealed(&format!("{{\"v\":1,\"n\":{body}")).as_bytes(), "cabinet-saw");
            prop_assert!(found.entries.is_empty());
        }

        #[test]
        fn any_text_and_time_survives(typed in any::<String>(), who in any::<Option<String>>(),
            seconds in -60_000_000_000_i64..250_000_000_000, nanoseconds in 0_u32..1_000_000_000, quarters in -48_i32..=56) {
            let zone = FixedOffset::east_opt(quarters * 900).expect("within a day");
            let at = DateTime::from_timestamp(seconds, nanoseconds).expect("in range").with_timezone(&zone);
            let written = JournalEntry { at, who, ..reading(1, &typed) };
            let found = scan::<Event>(encode(&written).as_bytes(), "cabinet-saw");
            prop_assert_eq!(found.entries, vec![written]);
        }
    }
}
