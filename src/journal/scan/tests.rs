//! What a line is, what a damaged file gives back, and that random bytes are
//! never taken for a line.

use std::collections::BTreeMap;

use chrono::{DateTime, FixedOffset};
use proptest::prelude::*;
use serde::{Deserialize, Serialize};

use super::*;
use crate::journal::encode;
use crate::journal::line::LineVersion;

#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case", deny_unknown_fields)]
enum Event {
    Reading { typed: String, nanometres: i64 },
    Closed {},
}

impl LineVersion for Event {}

fn reading(n: u64, typed: &str) -> JournalEntry<Event> {
    JournalEntry {
        n,
        after: n + 5,
        at: "2026-11-25T07:41:05+01:00".parse().expect("a time with its zone"),
        station: "cabinet-saw".to_owned(),
        who: Some("AB".to_owned()),
        answer: None,
        seen: BTreeMap::new(),
        begun: None,
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
    let whole = text.len() as u64;
    let (foreign, parts) = (vec![], vec![]);
    assert_eq!(found, Scan { entries: written, foreign, parts, damage: vec![], whole, next: 3 });
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
        for other in [0, b'\n', b' ', b'0', b'+', b'A', b'"', 0xff, bytes[at] ^ 1, bytes[at] ^ 0x20]
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
    check(&file([1, 2, 5, 6]), &[1, 2, 5, 6], &[Damage::Gap { line: 3, expected: 3, found: 5 }], 7);
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
    let Damage::UnknownEvent { why, .. } = &found.damage[0] else { unreachable!() };
    assert!(!why.contains('\u{1b}'), "a file must not steer the terminal");
}

#[test]
fn a_newer_line_is_left_out_and_keeps_its_number() {
    let newer = sealed(r#"{"v":3,"n":1,"station":"cabinet-saw","anything":[]"#);
    check(newer.as_bytes(), &[], &[Damage::NewerVersion { line: 1, version: 3 }], 2);
}

#[test]
fn impossible_numbers_are_bad_lines() {
    for n in ["0", "-1", "1.5", "9007199254740992", "18446744073709551615", "18446744073709551616"]
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

/// An answer of three lines: 2, 3 and 4. By hand: cut after its second line, lines
/// 2 and 3 are left and count for nothing; number 4 is free again, and a line that
/// takes it later doesn't complete the answer.
#[test]
fn an_answer_counts_whole_or_not_at_all() {
    let answered = |n: u64| JournalEntry { answer: AnswerLines::of(2, 3), ..reading(n, "1 7/16") };
    let line = |entry: &JournalEntry<Event>| encode(entry).into_bytes();
    let whole =
        [line(&reading(1, "1")), line(&answered(2)), line(&answered(3)), line(&answered(4))];
    check(&whole.concat(), &[1, 2, 3, 4], &[], 5);
    let missing = |line| Damage::PartOfAnswer { line, count: 3 };
    check(&whole[..3].concat(), &[1], &[missing(2), missing(3)], 4);
    let later = [&whole[..3].concat()[..], &line(&reading(4, "1"))].concat();
    check(&later, &[1, 4], &[missing(2), missing(3)], 5);
    assert_eq!(AnswerLines::of(2, 1), None);
}
