//! The views say of random journals what the program's own fold says.

use std::collections::BTreeMap;

use benchway::journal::{Decision, Event, JournalLine, Piece, State, VoidedLines};
use benchway::meet::MemberRole;
use chrono::{DateTime, FixedOffset};
use serde_json::{Value, json};

use super::database::Database;
use super::journals::{Journal, STATIONS, begin, send};
use super::raw::Raw;

const OPS: [u32; 4] = [10, 20, 30, 40];

/// The journals of one run; with a number in the environment, of more.
fn journals() -> u64 {
    std::env::var("BENCHWAY_RUNS").ok().and_then(|text| text.parse().ok()).unwrap_or(12)
}

fn batch(seed: u64) -> String {
    format!("00000000-0000-4000-8000-{seed:012}")
}

/// Always: what SQL reads of a batch is what the program reads of it.
#[test]
#[ignore = "needs PostgreSQL"]
fn random_journals_read_alike() {
    let database = Database::make();
    for station in STATIONS {
        database.add(station, "north", Some(station), MemberRole::Lead);
    }
    let reader = database.add("reader", "north", None, MemberRole::Reader);
    let lead = Raw::connect(&database, &database.login("saw")).expect("a member");
    let at: DateTime<FixedOffset> = "2026-11-25T08:00:00+01:00".parse().expect("a time");
    let made: Vec<Journal> = (0..journals()).map(|seed| Journal::random(seed, 150, at)).collect();
    for (seed, journal) in (0..).zip(&made) {
        let batch = batch(seed);
        begin(&lead, ("north", &batch), "trays", "saw", false);
        send(&database, ("north", &batch), &journal.lines);
    }
    let reader = Raw::connect(&database, &reader).expect("a member");
    let mut voided = 0;
    for (seed, journal) in (0..).zip(&made) {
        let state = State::fold(&journal.lines);
        voided += state.readings.iter().filter(|reading| reading.voided).count();
        let asked = Asked { reader: &reader, batch: batch(seed) };
        entries(&asked, &journal.lines);
        pieces(&asked, &state);
        readings(&asked, &state);
        settings(&asked, &state);
        findings(&asked, &state);
    }
    assert!(voided > made.len(), "a test of voiding voids: {voided}");
    let all = reader.done("select count(*) from benchway.entries");
    assert_eq!(all, [made.iter().map(|journal| journal.lines.len()).sum::<usize>().to_string()]);
}

struct Asked<'a> {
    reader: &'a Raw,
    batch: String,
}

impl Asked<'_> {
    fn rows(&self, columns: &str, view: &str, rest: &str) -> Vec<Value> {
        let batch = &self.batch;
        self.reader
            .rows(&format!("select {columns} from benchway.{view} where batch = '{batch}' {rest}"))
    }
}

fn entries(asked: &Asked<'_>, lines: &[JournalLine]) {
    let voided = VoidedLines::of(lines);
    let rows = asked.rows("place, station, n, after, who, is_voided", "entries", "order by place");
    let line = |(place, line): (u64, &JournalLine)| {
        // Without an answer of its own a line may only follow from one that was undone.
        let is_voided = voided.contains(line) || follows_undone(lines, line, &voided);
        json!({"place": place, "station": line.station, "n": line.n, "after": line.after,
            "who": line.who, "is_voided": is_voided})
    };
    assert_eq!(rows, (1..).zip(lines).map(line).collect::<Vec<_>>(), "{}", asked.batch);
}

/// As batches were read before answers were told apart.
fn follows_undone(lines: &[JournalLine], line: &JournalLine, voided: &VoidedLines<'_>) -> bool {
    let follows = match &line.event {
        Event::FirstPiece { .. } | Event::Moved { .. } | Event::Timer { .. } => true,
        Event::Done { by_reading, .. } => *by_reading,
        Event::Closed { by_answer, .. } => *by_answer,
        _ => false,
    };
    let is_before = |before: &&JournalLine| {
        before.station == line.station && before.n < line.n && before.event.can_be_voided()
    };
    let last = lines.iter().rfind(is_before);
    follows && line.answer.is_none() && last.is_some_and(|last| voided.contains(last))
}

fn pieces(asked: &Asked<'_>, state: &State) {
    let columns = "piece, name, part, number, role, article, make, gang, came_from, is_split,
        last_op, aside_at, aside_why";
    let rows = asked.rows(columns, "pieces", "order by place, nth");
    let piece = |piece: &Piece| {
        let through = OPS.iter().rev().find(|op| state.is_through(**op, piece));
        let (aside_at, aside_why) = match &piece.aside {
            Some((at, why)) => (Some(at), Some(why)),
            None => (None, None),
        };
        let label = &piece.label;
        json!({"piece": piece.id, "name": label.to_string(), "part": label.part,
            "number": label.number, "role": label.role, "article": label.set,
            "make": label.make, "gang": piece.gang,
            "came_from": piece.from.as_ref().or(piece.instead_of.as_ref()),
            "is_split": !piece.whole, "last_op": through,
            "aside_at": aside_at, "aside_why": aside_why})
    };
    let expected: Vec<Value> = state.pieces.iter().map(piece).collect();
    for (row, expected) in rows.iter().zip(&expected) {
        assert_eq!(row, expected, "{}", asked.batch);
    }
    assert_eq!(rows.len(), expected.len(), "{}", asked.batch);
}

fn readings(asked: &Asked<'_>, state: &State) {
    let columns = "station, n, who, op, piece, piece_name, feature, nanometres, typed, gauge,
        verdict, is_voided";
    let rows = asked.rows(columns, "readings", "order by place");
    let expected = state.readings.iter().map(|reading| {
        let taken = &reading.taken;
        json!({"station": reading.reference.station, "n": reading.reference.n,
            "who": reading.who, "op": taken.op, "piece": taken.piece,
            "piece_name": state.name(&taken.piece), "feature": taken.feature,
            "nanometres": taken.size(), "typed": taken.typed, "gauge": taken.gauge,
            "verdict": taken.verdict().plain(), "is_voided": reading.voided})
    });
    assert_eq!(rows, expected.collect::<Vec<_>>(), "{}", asked.batch);
}

fn settings(asked: &Asked<'_>, state: &State) {
    let columns = "place, op, setting, must_show_nanometres as dial, shown_nanometres as shown,
        is_right";
    let rows = asked.rows(columns, "settings", "and not is_voided order by op, place");
    let of_op = state.setups.iter().flat_map(|(op, setup)| {
        setup.shown.iter().map(move |shown| {
            json!({"place": shown.order + 1, "op": op, "setting": shown.stored.setting,
                "dial": shown.stored.dial, "shown": shown.shown, "is_right": shown.right})
        })
    });
    assert_eq!(rows, of_op.collect::<Vec<_>>(), "{}", asked.batch);
}

fn findings(asked: &Asked<'_>, state: &State) {
    let rows = asked.rows("place, finding, what", "findings", "and not is_voided");
    let mut decided: BTreeMap<u64, String> = BTreeMap::new();
    for row in rows.iter().filter(|row| row["finding"] == "decided") {
        let what = row["what"].as_str().expect("a decision");
        decided.insert(row["place"].as_u64().expect("a place"), what.to_owned());
    }
    let of_pieces = state.pieces.iter().flat_map(|piece| &piece.decisions);
    for record in of_pieces {
        let word = match record.decision {
            Decision::Accept => "accept",
            Decision::Rework => "rework",
            Decision::UseElsewhere => "use elsewhere",
            Decision::Remake => "remake",
            Decision::SetAside => "set aside",
        };
        let found = decided.get(&(record.order as u64 + 1));
        assert_eq!(found.map(String::as_str), Some(word), "{}", asked.batch);
    }
    for setup in state.setups.values() {
        let Some(opened) = &setup.opened_early else { continue };
        let place = opened.order as u64 + 1;
        let is_told = |row: &Value| row["finding"] == "opened early" && row["place"] == place;
        assert!(rows.iter().any(is_told), "{}: {opened:?}", asked.batch);
    }
    let voided = asked.rows("n", "findings", "and finding = 'reading voided'");
    let expected = state.readings.iter().filter(|reading| reading.voided).count();
    assert_eq!(voided.len(), expected, "{}", asked.batch);
}
