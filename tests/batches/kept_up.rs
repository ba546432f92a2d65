//! What is kept up line by line is what everything read at once gives.

use benchway::journal::{Event, Home, OpenBatch, State};
use benchway::plan::walk;
use benchway::simulate::{Settings, invent};
use benchway::work::{handle_input, next_op, task};
use chrono::{DateTime, FixedOffset};

use crate::bench;
use crate::walker::{SHOP, STOOL, crew, read_route, read_shop};

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

/// Always: A reading that is voided while it is the last line leaves the state that the
/// whole journal gives.
///
/// Operators who misread one piece in three strike most of these readings at once.
#[test]
fn a_reading_voided_at_once_is_taken_in_like_any_line() {
    let route = read_route(STOOL);
    let shop = read_shop(SHOP);
    let mut voided = 0;
    for seed in 1..=4 {
        let settings = Settings { seed, misses: 0.3, until: Some(60), ..Settings::default() };
        let lines = invent(&route, &shop, &settings).expect("it can be walked");
        let mut state = State::default();
        for (n, line) in lines.iter().enumerate() {
            let is_voided = matches!(line.event, Event::Voided { .. });
            let taken_in = state.take_in(line, n);
            assert!(taken_in, "seed {seed}: {line:?}");
            if is_voided {
                voided += 1;
                assert_eq!(state, State::fold(&lines[..=n]), "seed {seed}, line {n}");
            }
        }
        assert_eq!(state, State::fold(&lines), "seed {seed}");
    }
    assert!(voided > 40, "{voided}");
}
