//! A review says who did what: what leads answered for, and what was voided.

use benchway::journal::{
    Decision, Event, GaugeSays, Home, OpenBatch, Reference, Snapshot, TakenReading,
};
use benchway::measure::{Length, SafeSide};
use benchway::operation::FeatureName;
use chrono::{DateTime, FixedOffset};

use crate::bench::{begin, benchway, benchway_at_home, json, near};
use crate::walker::{SHOP, STOOL};

fn at(minute: u32) -> DateTime<FixedOffset> {
    let text = format!("2026-11-25T10:{minute}:00+01:00");
    text.parse().expect("a time with its zone")
}

/// A width read with calipers; 1.321 to 1.384 is within limits.
fn read(of: &Snapshot, thousandths: i64) -> Event {
    Event::Reading(TakenReading {
        op: 30,
        piece: of.state.pieces[0].id.clone(),
        feature: FeatureName::new("width"),
        says: GaugeSays::Size(Length::thousandths(thousandths)),
        typed: format!("{:.3}", thousandths as f64 / 1000.0),
        gauge: "calipers".to_owned(),
        uncertainty: Length::thousandths(2),
        target: None,
        low: Some(Length::thousandths(1321)),
        high: Some(Length::thousandths(1384)),
        safe: SafeSide::Big,
        on_paper: None,
    })
}

/// A batch where ST, at the planer, strikes a reading out of limits, and has a piece
/// accepted and an operation opened with the initials of MB.
fn stools(folder: &std::path::Path) {
    let home = Home::locate(Some(folder.to_owned())).expect("a folder was named");
    let begun = begin(&home, "stools", (STOOL, SHOP), "cart", at(40), None);
    drop(begun.expect("a batch begins"));
    let mut open = OpenBatch::resume(&home, "stools", "planer", "a test").expect("it opens");
    let mut record = |events: Vec<Event>, minute: u32| {
        open.append(Some("ST"), at(minute), events).expect("it takes lines");
        open.snapshot()
    };
    let first = read(&record(Vec::new(), 41), 41000);
    let snapshot = record(vec![first], 41);
    let what = snapshot.state.readings[0].reference.clone();
    assert_eq!(what, Reference { station: "planer".to_owned(), n: 1 });
    let piece = snapshot.state.pieces[0].id.clone();
    record(vec![Event::Voided { what, to_measure_again: false }], 42);
    record(vec![read(&snapshot, 1350)], 43);
    // One that counts, one that was no number out of limits, and one that was restored.
    let close = record(vec![read(&snapshot, 1384)], 44).state.readings[2].reference.clone();
    record(vec![Event::Voided { what: close, to_measure_again: false }], 44);
    let why = "MB: ST says it is fine".to_owned();
    record(vec![Event::Decided { op: 30, piece, decision: Decision::Accept, why }], 45);
    let (by, why) = ("MB".to_owned(), "the glue is dry".to_owned());
    record(vec![Event::GateOpened { op: 330, by, why }], 46);
    record(vec![Event::Accepted { op: 50, by: Some("MB".to_owned()), changes: Vec::new() }], 47);
}

#[test]
fn a_review_says_who_accepted_what_and_where() {
    let folder = tempfile::tempdir().expect("a folder for the test");
    stools(folder.path());
    let said = benchway_at_home(folder.path(), &["review", "stools"]).out;
    let words: Vec<&str> = said.split_whitespace().collect();
    let said = words.join(" ");
    for line in [
        "All readings that count are within limits,",
        "On the lead's word \
         op 30 leg setup 1 accepted, MB: ST says it is fine (ST at planer, 25 Nov 10:45) \
         op 330 opened early, MB: the glue is dry (ST at planer, 25 Nov 10:46) \
         op 50 settings by the sizes made accepted, MB (ST at planer, 25 Nov 10:47)",
        "Out of limits, and voided \
         op 30 leg setup 1: width 41.000, limits 1.321 to 1.384 in (ST at planer, 25 Nov 10:41; \
         voided by ST at planer, 25 Nov 10:42)",
    ] {
        assert!(said.contains(line), "{said}");
    }
    assert_eq!(said.matches("voided by").count(), 1, "{said}");
}

#[test]
fn a_review_in_json_says_who_accepted_what_and_where() {
    let folder = tempfile::tempdir().expect("a folder for the test");
    stools(folder.path());
    let words = ["review", "stools", "--format", "json"];
    let (_, answer) = json(&benchway_at_home(folder.path(), &words));
    let lead = answer["lead"].as_array().expect("a list");
    assert_eq!(lead.len(), 3, "{answer}");
    let accepted = serde_json::json!({
        "op": 30, "what": "leg setup 1 accepted", "word": "MB: ST says it is fine",
        "who": "ST", "station": "planer", "at": "2026-11-25T10:45:00+01:00", "voided": false,
    });
    assert_eq!(lead[0], accepted);
    let [voided] = answer["voided"].as_array().expect("a list").as_slice() else {
        panic!("{answer}")
    };
    near(&voided["value"], 41.0, 1e-9);
    near(&voided["high"], 1.384, 1e-9);
    assert_eq!((&voided["verdict"], &voided["op"]), (&"too big".into(), &30.into()));
    assert_eq!((&voided["who"], &voided["station"]), (&"ST".into(), &"planer".into()));
    assert_eq!(voided["voided_by"]["at"], "2026-11-25T10:42:00+01:00");
}

/// Where nobody is a lead anybody is; `check` says so, and how to name one.
#[test]
fn a_shop_without_a_lead_is_warned_of() {
    let folder = tempfile::tempdir().expect("a folder for the test");
    let file = folder.path().join("our-shop.json");
    let check = |people: &str| {
        let bundled = benchway::shop::BUNDLED;
        let text = bundled.replacen("\"people\": {}", &format!("\"people\": {people}"), 1);
        assert_eq!(text == bundled, people == "{}");
        std::fs::write(&file, text).expect("written");
        benchway(&["check", file.to_str().expect("text")])
    };
    for people in ["{}", r#"{ "ST": {} }"#] {
        let said = check(people);
        assert_eq!((said.code, said.err.as_str()), (0, ""));
        let what = "warning: nobody is named as a lead, so any initials count as the lead's\n";
        assert!(said.out.contains(what), "{}", said.out);
        let help = "help: name one: \"people\": { \"MB\": { \"lead\": true } }\n";
        assert!(said.out.contains(help), "{}", said.out);
        assert!(said.out.contains("in people\n"), "{}", said.out);
    }
    let said = check(r#"{ "ST": {}, "MB": { "lead": true } }"#);
    assert!(said.out.ends_with(": no errors, no warnings\n"), "{}", said.out);
}

/// Two stations read the same leg half a minute apart: both readings stay, and both
/// are named.
#[test]
fn a_piece_that_two_stations_read_at_once_is_named() {
    let place = tempfile::tempdir().expect("a temporary folder");
    let home = Home::locate(Some(place.path().to_owned())).expect("a folder was named");
    let mut cart = begin(&home, "stools", (STOOL, SHOP), "cart", at(40), None).expect("begun");
    let mut saw = OpenBatch::resume(&home, "stools", "saw", "a test").expect("it opens");
    let snapshot = cart.snapshot();
    cart.append(Some("ST"), at(41), vec![read(&snapshot, 1350)]).expect("recorded");
    saw.append(Some("AB"), at(41), vec![read(&snapshot, 1362)]).expect("recorded");
    // Ten minutes later somebody checks it again: nothing to be said of that.
    saw.append(Some("AB"), at(51), vec![read(&snapshot, 1351)]).expect("recorded");
    drop((cart, saw));
    let said = benchway_at_home(place.path(), &["review", "stools"]);
    assert!(
        said.out.contains("Read at two stations within a minute")
            && said.out.contains("width 1.350 at cart, 1.362 at saw"),
        "{}",
        said.out
    );
    let (_, found) =
        json(&benchway_at_home(place.path(), &["review", "stools", "--format", "json"]));
    let twice = found["read_twice"].as_array().expect("a list");
    assert_eq!(twice.len(), 1);
    assert_eq!(twice[0]["readings"][1]["station"], "saw");
}

/// A seal holds while lines are added, and names the file of which a sealed line was
/// changed. Whose initials aren't a lead's seals nothing.
#[test]
fn a_seal_notices_a_line_that_was_changed_later() {
    let place = tempfile::tempdir().expect("a temporary folder");
    let home = Home::locate(Some(place.path().to_owned())).expect("a folder was named");
    let shop = SHOP.replace(r#""people": {}"#, r#""people": { "MB": { "lead": true } }"#);
    let mut cart = begin(&home, "stools", (STOOL, &shop), "cart", at(40), None).expect("begun");
    let snapshot = cart.snapshot();
    cart.append(Some("ST"), at(41), vec![read(&snapshot, 1350)]).expect("recorded");
    drop(cart);
    let run = |arguments: &[&str]| benchway_at_home(place.path(), arguments);
    let refused = run(&["seal", "stools", "--by", "ST"]);
    assert_eq!(refused.code, 2, "{}", refused.out);
    let sealed = run(&["seal", "stools", "--by", "mb"]);
    assert_eq!(sealed.code, 0, "{}", sealed.err);
    let short = sealed.out.trim().rsplit("  ").next().expect("a short form").to_owned();
    // On one line, wherever the page breaks it.
    let review = || {
        let out = run(&["review", "stools"]).out;
        out.split_whitespace().collect::<Vec<_>>().join(" ")
    };
    let holds = format!("{short}: nothing that was sealed has changed");
    assert!(review().contains(&holds), "{}", review());
    let mut cart = OpenBatch::resume(&home, "stools", "cart", "a test").expect("it opens");
    cart.append(Some("ST"), at(51), vec![read(&snapshot, 1351)]).expect("recorded");
    drop(cart);
    assert!(review().contains(&holds), "{}", review());
    // Somebody makes a better reading of it, checksum and all.
    let file = place.path().join("stools/cart.jsonl");
    let text = std::fs::read_to_string(&file).expect("readable");
    let lines = text.lines().map(|line| match line.contains("1.350") {
        false => format!("{line}\n"),
        true => {
            let body = line
                .replace("1.350", "1.352")
                .rsplit_once(",\"crc\"")
                .expect("a line")
                .0
                .to_owned();
            format!("{body},\"crc\":\"{:08x}\"}}\n", crc32fast::hash(body.as_bytes()))
        }
    });
    std::fs::write(&file, lines.collect::<String>()).expect("written");
    assert!(review().contains(&format!("{short}: CHANGED SINCE: cart.jsonl")), "{}", review());
    assert_eq!(run(&["review", "stools"]).code, 1);
}
