//! Notes leave the journal again: in a review and in an export.

use benchway::journal::{Event, Home};

use crate::bench::{begin, benchway_at_home, json};
use crate::walker::{SHOP, STOOL};

#[test]
fn notes_are_exported_and_reviewed() {
    let folder = tempfile::tempdir().expect("a folder for the test");
    let home = Home::locate(Some(folder.path().to_owned())).expect("a folder was named");
    let now = "2026-11-25T10:41:00+01:00".parse().expect("a time with its zone");
    let texts = (STOOL, SHOP);
    let mut open = begin(&home, "stools", texts, "cart", now, None).expect("a batch begins");
    let text = "=stop had dust, wiped".to_owned();
    let leg = open.snapshot().state.pieces[0].id.clone();
    let name = open.snapshot().state.name(&leg);
    let on_leg = Event::Note { op: None, piece: Some(leg), text: "a pin knot".to_owned() };
    let note = vec![Event::Note { op: Some(60), piece: None, text }, on_leg];
    open.append(Some("MB"), now, note).expect("it takes both lines");
    drop(open);
    let ask = |arguments: &[&str]| benchway_at_home(folder.path(), arguments);
    // A spreadsheet must not run it as a formula.
    assert_eq!(
        ask(&["export", "stools", "--notes"]).out,
        format!(
            "at,who,op,text,unasked,piece\n\
             2026-11-25T10:41:00+01:00,MB,60,\"'=stop had dust, wiped\",false,\n\
             2026-11-25T10:41:00+01:00,MB,,a pin knot,false,{name}\n"
        )
    );
    let (_, rows) = json(&ask(&["export", "stools", "--notes", "--format", "json"]));
    assert_eq!(rows[0]["text"], "=stop had dust, wiped");
    let said = ask(&["review", "stools"]).out;
    assert!(said.contains("Notes\n  25 Nov 10:41 MB op 60 =stop had dust, wiped"), "{said}");
    assert!(said.contains(&format!("25 Nov 10:41 MB {name}: a pin knot")), "{said}");
    let (_, answer) = json(&ask(&["review", "stools", "--format", "json"]));
    assert_eq!(answer["notes"][0]["op"], 60);
    assert!(answer["notes"][0]["piece"].is_null());
    assert_eq!(answer["notes"][1]["piece"], name);
}
