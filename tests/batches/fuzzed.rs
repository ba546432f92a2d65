//! Whatever a file holds and whatever is typed, the program answers in words: sound files
//! with random edits, read by everything that reads them. `PROPTEST_CASES=10000 cargo test
//! --release fuzzed` runs long.

use std::fs;

use benchway::cli::{Arguments, run};
use benchway::document::Document;
use benchway::journal::{Event, State, damage_words, scan};
use benchway::measure::{Entry, Unit, parse_entry, parse_limits, parse_written};
use benchway::plan::{Known, walk};
use benchway::route::{self, BUNDLED};
use benchway::shop;
use clap::Parser;
use crossterm::event::KeyCode;
use proptest::prelude::*;

use crate::desk::Desk;
use crate::drawn::PLAIN;
use crate::laws::of_256;
use crate::walker::{SHOP, Walker, read_shop};

/// A small list of boards.
const RACK: &str = "board,species,class,thickness,width,length,moisture,flaws\n\
    B1,white oak,4/4,1 1/16,6 1/2,96,8%,knot 30 2\n\
    B2,white oak,8/4,2,7,120,,\n";

/// A small chart.
const CHART: &str = "slat,thickness\n1,0.871\n2,\"0,874\"\n3,0.869\n4,0.872\n5,0.870\n";

/// Numbers that programs stumble over.
const NUMBERS: [&str; 8] =
    ["0", "-1", "1e999", "9223372036854775808", "0.0000000001", "1/0", "NaN", "99999999"];

#[derive(Clone, Debug)]
enum Edit {
    Flip(usize, u8),
    Insert(usize, Vec<u8>),
    Delete(usize, usize),
    Copy(usize, usize, usize),
    Number(usize, usize),
}

fn edits() -> impl Strategy<Value = Vec<Edit>> {
    let edit = prop_oneof![
        (any::<usize>(), any::<u8>()).prop_map(|(at, bits)| Edit::Flip(at, bits)),
        (any::<usize>(), prop::collection::vec(any::<u8>(), 1..6))
            .prop_map(|(at, bytes)| Edit::Insert(at, bytes)),
        (any::<usize>(), 1_usize..40).prop_map(|(at, length)| Edit::Delete(at, length)),
        (any::<usize>(), 1_usize..200, any::<usize>())
            .prop_map(|(from, length, to)| Edit::Copy(from, length, to)),
        (any::<usize>(), any::<usize>()).prop_map(|(at, which)| Edit::Number(at, which)),
    ];
    prop::collection::vec(edit, 1..5)
}

/// A text with edits; what is no text any more is replaced.
fn edited(text: &str, edits: &[Edit]) -> String {
    let mut bytes = text.as_bytes().to_vec();
    for edit in edits {
        let length = bytes.len().max(1);
        match edit {
            Edit::Flip(at, bits) => {
                if let Some(byte) = bytes.get_mut(at % length) {
                    *byte ^= bits;
                }
            }
            Edit::Insert(at, more) => {
                let at = at % length;
                bytes.splice(at..at, more.iter().copied());
            }
            Edit::Delete(at, count) => {
                let at = at % length;
                let end = (at + count).min(bytes.len());
                bytes.drain(at.min(end)..end);
            }
            Edit::Copy(from, count, to) => {
                let from = from % length;
                let part = bytes[from.min(bytes.len())..(from + count).min(bytes.len())].to_vec();
                let to = to % length;
                bytes.splice(to..to, part);
            }
            Edit::Number(at, which) => {
                // The next number of the text becomes one that is hard to bear.
                let at = at % length;
                let digit = |byte: &u8| byte.is_ascii_digit();
                let Some(from) = bytes[at.min(bytes.len())..].iter().position(digit) else {
                    continue;
                };
                let from = at + from;
                let count = bytes[from..].iter().take_while(|byte| digit(byte)).count();
                let number = NUMBERS[which % NUMBERS.len()].bytes();
                bytes.splice(from..from + count, number);
            }
        }
    }
    String::from_utf8_lossy(&bytes).into_owned()
}

/// Runs a command on a file; it may find or refuse anything, in words.
fn command(words: &[&str], ending: &str, text: &str) {
    let place = tempfile::tempdir().expect("a folder for the test");
    let file = place.path().join(format!("file.{ending}"));
    fs::write(&file, text).expect("written");
    let (path, home) = (file.to_str().expect("text"), place.path().to_str().expect("text"));
    let words = words.iter().map(|word| if *word == "FILE" { path } else { word });
    let arguments = ["benchway", "--home", home].into_iter().chain(words);
    let arguments = Arguments::try_parse_from(arguments).expect("a command");
    if let Err(failure) = run(arguments, &mut Vec::new()) {
        assert!(!failure.shown().is_empty());
    }
}

/// Puts a right checksum under each line.
fn sealed(text: &str) -> String {
    let sealed = text.lines().map(|line| {
        let body = line.rsplit_once(",\"crc\"").map_or(line, |(body, _)| body);
        format!("{body},\"crc\":\"{:08x}\"}}\n", crc32fast::hash(body.as_bytes()))
    });
    sealed.collect()
}

proptest! {
    #![proptest_config(of_256(48))]

    /// Always: An edited route is read and planned, or refused in words.
    #[test]
    fn an_edited_route_is_planned_or_refused(which in 0..BUNDLED.len(), edits in edits()) {
        let text = edited(BUNDLED[which].text, &edits);
        let Ok(document) = Document::read("route.json", &text) else { return Ok(()) };
        match route::read(&document) {
            Ok((route, _)) => drop(walk(&route, &read_shop(SHOP), &Known::default())),
            Err(problems) => {
                prop_assert!(!problems.is_empty());
                problems.iter().for_each(|problem| drop(document.render(problem)));
            }
        }
    }

    /// Always: An edited shop file is read, or refused in words.
    #[test]
    fn an_edited_shop_file_is_read_or_refused(edits in edits()) {
        let text = edited(SHOP, &edits);
        let Ok(document) = Document::read("shop.json", &text) else { return Ok(()) };
        match shop::read(&document) {
            Ok(shop) => drop(shop::impossible(&document, &shop)),
            Err(problems) => prop_assert!(!problems.is_empty()),
        }
    }

    /// Always: An edited journal is read as far as it is sound, also under right checksums.
    #[test]
    fn an_edited_journal_is_read(edits in edits(), is_sealed in any::<bool>()) {
        let text = include_str!("../journal/v1/cabinet-saw.jsonl");
        let text = edited(text, &edits);
        let text = if is_sealed { sealed(&text) } else { text };
        let found = scan::<Event>(text.as_bytes(), "cabinet-saw");
        let state = State::fold(&found.entries);
        drop(state.known());
        let station = "cabinet-saw".to_owned();
        let damage = found.damage.into_iter().map(|damage| benchway::journal::FileDamage {
            station: station.clone(),
            damage,
        });
        let words = damage_words(&damage.collect::<Vec<_>>());
        prop_assert!(words.iter().all(|said| !said.chars().any(char::is_control)));
    }

    #[test]
    fn edited_lists_and_charts_are_read_or_refused(edits in edits()) {
        command(&["boards", "reading-stool", "FILE", "--articles", "1"], "csv", &edited(RACK, &edits));
        command(&["chart", "FILE"], "csv", &edited(CHART, &edits));
    }

    #[test]
    fn any_typed_length_is_read_or_refused(text in ".{0,24}", number in "[0-9 /.,'\"+mincft-]{0,16}") {
        for text in [&text, &number] {
            drop(parse_entry(text, &Entry { bare: Unit::Inch, mark: None }));
            drop(parse_written(text, Unit::Millimetre));
            drop(parse_limits(text, Unit::Inch));
        }
    }

    /// Always: Any keys are taken or refused in words, and every screen can be drawn.
    #[test]
    fn any_keys_are_taken(keys in prop::collection::vec(any_key(), 1..60)) {
        let mut desk = Desk::on(Walker::stool(1), PLAIN);
        for code in keys {
            desk.key(code);
        }
        for (columns, rows) in [(80, 24), (40, 12), (1, 1)] {
            desk.drawn(columns, rows);
        }
    }
}

fn any_key() -> impl Strategy<Value = KeyCode> {
    prop_oneof![
        4 => prop::sample::select(vec!['0', '1', '2', '.', '/', ' ', 'm', 'b', '-']).prop_map(KeyCode::Char),
        2 => any::<char>().prop_map(KeyCode::Char),
        4 => Just(KeyCode::Enter),
        1 => (1_u8..=12).prop_map(KeyCode::F),
        2 => prop::sample::select(vec![
            KeyCode::Esc, KeyCode::Backspace, KeyCode::Up, KeyCode::Down, KeyCode::Left,
            KeyCode::Right, KeyCode::PageUp, KeyCode::PageDown, KeyCode::Home, KeyCode::Tab,
        ]),
    ]
}
