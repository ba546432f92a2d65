//! Old batches still read. The folders under `tests/journal/` were written by
//! the program of their time and are never changed; a new line version gets a
//! new folder beside them.

use std::fs;
use std::path::Path;

use benchway::journal::{BatchFolder, Event, Home, OpenBatch, State, StoreError};
use benchway::measure::{Length, Verdict};
use benchway::operation::MayOverride;
use benchway::work::{BatchRow, Task, is_finished, task};
use tempfile::TempDir;

use crate::bench::begin;
use crate::walker::lengths_in_thousandths;

const NAME: &str = "quay-bench 2026-11-25";

/// A copy of a kept batch, because opening a batch writes a lock.
fn kept(version: &str) -> (TempDir, Home) {
    let place = tempfile::tempdir().expect("a folder for the test");
    let kept = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/journal").join(version);
    let batch = place.path().join(NAME);
    fs::create_dir(&batch).expect("the folder can be written");
    for item in fs::read_dir(kept).expect("the kept batch") {
        let item = item.expect("the kept batch");
        fs::copy(item.path(), batch.join(item.file_name())).expect("the batch can be copied");
    }
    let home = Home::locate(Some(place.path().to_owned())).expect("a folder was named");
    (place, home)
}

/// Always: Old batches still read.
///
/// The expected numbers were read off the files by eye.
#[test]
fn version_1_still_reads() {
    let (_place, home) = kept("v1");
    let folder = BatchFolder::open(&home, NAME).expect("it is a batch");
    let everything = folder.read_all::<Event>().expect("it can be read");
    assert_eq!(everything.damage, []);
    // 14 lines from the chop saw and 66 from the cabinet saw.
    assert_eq!(everything.entries.len(), 14 + 66);

    let state = State::fold(&everything.entries);
    assert_eq!((state.sets, state.pieces.len()), (1, 12));
    for op in [10, 20, 30, 40] {
        assert!(state.is_closed(op), "op {op}");
    }
    assert!(!state.is_closed(50));

    // Seven slats, 0.876 to 0.873 in the order cut; the setup piece's 0.877 is no slat.
    let slats: Vec<Length> = state
        .readings
        .iter()
        .filter(|reading| reading.taken.op == 40 && &*reading.taken.piece.0 != "chop-saw-1")
        .filter_map(|reading| reading.taken.size())
        .collect();
    assert_eq!(slats, lengths_in_thousandths(&[876, 875, 877, 877, 874, 876, 873]));

    // Their mean: 6.128 / 7 in = 155.6512 / 7 mm = 22.235 886 mm to the nanometre.
    assert_eq!(state.made.len(), 1);
    assert_eq!(state.made[0].made.value.nanometres(), 22_235_886);

    // The setup piece at the saw: 2.772, 0.006 over 2 3/4 + 1/64, then 2.752,
    // which was voided and stays on record, then 2.751.
    let setup_piece: Vec<(Option<Length>, bool, bool)> = state
        .readings
        .iter()
        .filter(|reading| reading.taken.op == 30 && &*reading.taken.piece.0 == "chop-saw-1")
        .map(|reading| {
            let is_in = reading.taken.verdict() == Verdict::In;
            (reading.taken.size(), is_in, reading.voided)
        })
        .collect();
    assert_eq!(
        setup_piece,
        [
            (Some(Length::thousandths(2772)), false, false),
            (Some(Length::thousandths(2752)), true, true),
            (Some(Length::thousandths(2751)), true, false),
        ]
    );
}

/// Five slats, two spares and a setup piece are at op 50, and nothing is cut
/// there yet: read off the files by eye.
#[test]
fn a_list_of_batches_says_what_is_done_and_what_is_to_go() {
    let (_place, home) = kept("v1");
    let folder = BatchFolder::open(&home, NAME).expect("it is a batch");
    let row = BatchRow::of(&folder);
    assert_eq!(row.route, "Quay bench slats");
    assert_eq!(row.progress, "op 50 crosscut slat: 0 done, 0 set aside, 8 to go");
}

/// A route may name a kind of operation that this program lacks: a list of batches
/// then says which.
#[test]
fn a_list_says_why_a_route_cannot_be_read() {
    let (_place, home) = kept("v1");
    let folder = BatchFolder::open(&home, NAME).expect("it is a batch");
    let route = folder.path().join("route.json");
    let text = fs::read_to_string(&route).expect("the route of the batch");
    fs::write(&route, text.replacen("\"do\": \"plane\"", "\"do\": \"carve\"", 1))
        .expect("the copy can be written");
    let row = BatchRow::of(&folder);
    assert_eq!(row.progress, "its route can't be read: `carve` is not a kind of operation");
}

#[test]
fn work_goes_on_in_a_batch_of_version_1() {
    let (_place, home) = kept("v1");
    let mut open = OpenBatch::resume(&home, NAME, "planer", "a test").expect("it opens");
    let before = open.snapshot().state.remarks.len();
    let at = "2026-11-26T08:00:00+00:00".parse().expect("a time with its zone");
    let note = Event::Note { op: None, piece: None, text: "good morning".to_owned() };
    open.append(None, at, vec![note]).expect("it takes a line");
    assert_eq!(open.snapshot().state.remarks.len(), before + 1);
}

/// Another station's line is new. Once the own file is gone, nothing that is recorded from
/// here on would be found again, so reading says so, though the others are still there.
#[test]
fn a_station_whose_file_is_gone_says_so() {
    let (_place, home) = kept("v1");
    let mut mine = OpenBatch::resume(&home, NAME, "planer", "a test").expect("it opens");
    let mut other = OpenBatch::resume(&home, NAME, "bench-b", "a test").expect("it opens");
    let at = "2026-11-26T08:00:00+00:00".parse().expect("a time with its zone");
    let note = || Event::Note { op: None, piece: None, text: "good morning".to_owned() };
    mine.append(None, at, vec![note()]).expect("it takes a line");
    other.append(None, at, vec![note()]).expect("it takes a line");
    assert!(mine.refresh().expect("all files are there"));
    assert!(!mine.refresh().expect("nothing is new"));
    let folder = BatchFolder::open(&home, NAME).expect("it is a batch");
    fs::remove_file(folder.path().join("planer.jsonl")).expect("the file was there");
    let refused = mine.refresh().expect_err("the own file is gone");
    assert!(matches!(refused, StoreError::NotRecorded { .. }), "{refused}");
}

/// The batch in `v1-decisions` was written when the text of a line alone held some
/// decisions: a note's text, how a note begins, and the initials before a colon.
#[test]
fn decisions_that_version_1_held_in_text_still_count() {
    let (_place, home) = kept("v1-decisions");
    let open = OpenBatch::resume(&home, NAME, "bench-a", "a test").expect("it opens");
    let batch = open.snapshot();
    assert_eq!(batch.damage, Vec::<String>::new());
    let state = &batch.state;

    // Op 10 has the wood rest until 19:31 that day. Line 6 opened op 20 all the
    // same, so at half past eight op 20 is finished and op 30 may begin.
    let at = "2026-11-26T08:30:00+01:00".parse().expect("a time with its zone");
    assert!(is_finished(&batch.route, state, 20));
    let opening = state.setups[&20].opened_early.as_ref().expect("a lead opened it");
    assert_eq!(opening.by, "MB");
    assert_eq!(opening.why, "it rested at the yard: a week");
    let there = batch.context(30, Some("MB"), at);
    assert!(!matches!(task(&there), Task::Blocked { .. }), "{:?}", task(&there));

    // Line 22 skipped measuring rail 1 again, and line 28 left the difference from
    // 24.001 to 24.019 at that: a minute later only closing op 30 is left.
    let at = "2026-11-27T06:39:00+01:00".parse().expect("a time with its zone");
    let there = batch.context(30, Some("TK"), at);
    assert_eq!(state.setups[&30].bridge, None);
    assert_eq!(task(&there), Task::Close { done: 6, aside: 0 });

    // The two numbers nobody asked for, the two decisions, what was said at leaving
    // and an ordinary note can all be read.
    let texts: Vec<&str> = state.remarks.iter().map(|remark| remark.text.as_str()).collect();
    assert_eq!(texts.len(), 6);
    assert!(texts[0].contains("24.0035") && texts[5].contains("3 1/2"), "{texts:?}");
    let unasked = state.remarks.iter().filter(|remark| remark.is_unasked);
    assert_eq!(unasked.count(), 2);
    assert_eq!(texts[3], "the stop was a little loose");
}

/// A batch that began when a kerf under its plate was still let through opens
/// and goes on: the plan says what can't be, once, and nothing is blocked that
/// a lead can't open. No new batch begins with such a file.
#[test]
fn a_batch_begun_on_a_shop_that_can_not_be_still_opens() {
    let (place, home) = kept("v1");
    let folder = BatchFolder::open(&home, NAME).expect("it is a batch");
    let shop = folder.path().join("shop.json");
    let text = fs::read_to_string(&shop).expect("the shop of the batch");
    let mut held: serde_json::Value = serde_json::from_str(&text).expect("JSON");
    let machines = held["machines"].as_object_mut().expect("machines");
    let tools = machines.values_mut().filter_map(|machine| machine.get_mut("tools"));
    for tool in tools.filter_map(|tools| tools.as_object_mut()).flat_map(|tools| tools.values_mut())
    {
        if tool.get("kerf").is_some() {
            tool["kerf"] = "40".into();
        }
    }
    let bad = held.to_string();
    fs::write(&shop, &bad).expect("the copy can be written");
    let open = OpenBatch::resume(&home, NAME, "planer", "a test").expect("it opens");
    let batch = open.snapshot();
    let reason = "no tool of a saw or router cuts as wide as this `kerf`";
    let said = batch.plan.all_findings().filter(|finding| finding.what.contains(reason));
    let said: Vec<MayOverride> = said.map(|finding| finding.place.may_override).collect();
    assert!(!said.is_empty() && said.iter().all(|may| *may == MayOverride::Lead), "{said:?}");

    let at = "2026-11-26T08:00:00+00:00".parse().expect("a time with its zone");
    let route = folder.route_json().expect("the route of the batch");
    let anew = Home::locate(Some(place.path().join("anew"))).expect("a folder was named");
    let refused = begin(&anew, "anew", (&route, &bad), "planer", at, None);
    let refused = refused.err().expect("it is refused").to_string();
    assert!(refused.contains(reason) && refused.contains("measure a cut in scrap"), "{refused}");
}
