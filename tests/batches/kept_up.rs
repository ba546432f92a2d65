//! What is kept up line by line is what everything read at once gives.

use benchway::journal::{Home, OpenBatch, State};
use benchway::plan::walk;
use benchway::work::{handle_input, next_op, task};
use chrono::{DateTime, FixedOffset};

use crate::bench;
use crate::walker::{SHOP, STOOL, crew};

/// Always: After each answer, state and plan are what the whole journal gives.
///
/// A plan is walked anew only after events that may change it. A stool is walked as
/// far as its legs and rails are to size, and each time compared with a plan of all
/// that is known.
#[test]
fn state_and_plan_are_what_the_whole_journal_gives() {
    let place = tempfile::tempdir().expect("a folder for the test");
    let home = Home::locate(Some(place.path().to_owned())).expect("a folder was named");
    let at: DateTime<FixedOffset> = "2026-11-25T08:00:00+01:00".parse().expect("a time");
    let one = STOOL.replacen("\"sets\": 12", "\"sets\": 1", 1);
    let mut open = bench::begin(&home, "stool", (&one, SHOP), "cart", at, None).expect("begun");
    let mut answers = 0;
    while let Some(op) = next_op(&open.snapshot().route, &open.snapshot().state, "cart") {
        if op > 60 {
            break;
        }
        let snapshot = open.snapshot();
        let context = snapshot.context(op, Some(crew::LEAD), at);
        let asked = task(&context);
        let typed = crew::well(&context, &asked).expect("nothing goes wrong");
        let events = handle_input(&context, &asked, &typed).expect("a good answer");
        open.append(Some(crew::LEAD), at, events).expect("recorded");
        let snapshot = open.snapshot();
        let known = snapshot.state.known();
        assert_eq!(*snapshot.plan, walk(&snapshot.route, &snapshot.shop, &known), "{asked:?}");
        answers += 1;
    }
    assert!(answers > 40, "{answers}");
    let folder = benchway::journal::BatchFolder::open(&home, "stool").expect("there");
    let lines = folder.journal().expect("readable").entries;
    assert_eq!(*open.snapshot().state, State::fold(&lines));
    assert_eq!(
        OpenBatch::resume(&home, "stool", "saw", "a test").map(|open| open.snapshot().plan).ok(),
        Some(open.snapshot().plan)
    );
}
