//! What there is to do today, as a page and for programs.

use std::collections::BTreeSet;
use std::fs;
use std::path::Path;

use benchway::journal::Home;
use serde_json::Value;

use crate::bench::{begin, benchway, benchway_at_home, json, snapshot};

/// Ends cut to 18, and rails to 30.
const PEG_RACK: &str = r#"{
  "route": "Peg rack", "unit": "in", "sets": 2, "article": "rack",
  "dims": { "long": "18" },
  "parts": {
    "end": { "per_set": 2, "species": "white oak",
      "stock": { "class": "4/4", "thickness": "3/4", "width": "2 1/4", "length": "19" },
      "length": "long" },
    "rail": { "per_set": 1, "species": "white oak",
      "stock": { "class": "4/4", "thickness": "3/4", "width": "3", "length": "31" },
      "length": "30" }
  },
  "operations": [
    { "op": 10, "part": "end", "do": "crosscut", "at": "stop saw", "to": "long",
      "checks": [ { "check": "length", "limits": "±1/32", "with": "calipers", "pieces": "all" } ] },
    { "op": 20, "part": "rail", "do": "crosscut", "at": "stop saw", "to": "30",
      "checks": [ { "check": "length", "limits": "±1/32", "with": "length bar", "pieces": "all" } ] },
    { "op": 30, "part": "end", "do": "hand", "at": "bench", "say": ["Break every sharp edge."] }
  ]
}"#;

const SHOP: &str = include_str!("../../routes/shop.json");

/// Two batches of racks.
fn two_batches(folder: &Path) {
    let home = Home::locate(Some(folder.to_owned())).expect("a folder was named");
    let at = "2026-11-25T08:00:00+01:00".parse().expect("a time with its zone");
    for name in ["north racks", "south racks"] {
        begin(&home, name, (PEG_RACK, SHOP), "bench", at, None).expect("it begins");
    }
}

/// Four ends a batch and one stop: 18.000 less the 0.004 that the blade makes over its
/// scale. The rails of both likewise: 29.996. Nothing was timed: 4 x 2 minutes for the ends,
/// 2 x 2 for the rails.
#[test]
fn two_batches_share_a_stop() {
    let folder = tempfile::tempdir().expect("a temporary folder");
    two_batches(folder.path());
    let said = benchway_at_home(folder.path(), &["today"]);
    assert_eq!((said.code, said.err.as_str()), (0, ""));
    let (title, page) = said.out.split_once('\n').expect("a title");
    assert!(title.starts_with("Today "), "{title}");
    snapshot("today-two-batches", page);
    let words: Vec<&str> = page.split_whitespace().collect();
    let words = words.join(" ");
    let stop = "stop 17.996 for north racks op 10 crosscut end (4 pieces); south racks op 10 \
                crosscut end (4 pieces)";
    let rails = "stop 29.996 for north racks op 20 crosscut rail (2 pieces)";
    let start = "START north racks, op 20 crosscut rail: 2 to go, 4 min, a guess";
    for expected in [stop, rails, start] {
        assert!(words.contains(expected), "{words}");
    }
}

#[test]
fn the_same_for_programs() {
    let folder = tempfile::tempdir().expect("a temporary folder");
    two_batches(folder.path());
    let (code, today) = json(&benchway_at_home(folder.path(), &["today", "--format", "json"]));
    assert_eq!((code, &today["bell"], &today["unread"]), (0, &Value::Null, &serde_json::json!([])));
    let saw = &today["machines"][0];
    assert_eq!((&saw["at"], saw["work"].as_array().map(Vec::len)), (&"stop saw".into(), Some(4)));
    let stop = serde_json::json!([{ "scale": "stop", "dial": "17.996" }]);
    assert_eq!(saw["settings"][0]["shows"], stop);
    assert_eq!(
        (&saw["work"][0]["minutes"], &saw["work"][0]["minutes_by"]),
        (&8.into(), &"guess".into())
    );
    let mut shown = today.clone();
    shown["now"] = "2026-11-25T10:42:00+01:00".into();
    snapshot("today-two-batches-json", &serde_json::to_string_pretty(&shown).expect("JSON"));
    let stands = serde_json::json!([["waiting", "waiting"], ["waiting"]]);
    assert_eq!(today["batches"][1]["articles"][1]["stands"], stands);
}

fn keys(value: &Value, found: &mut BTreeSet<String>) {
    match value {
        Value::Object(fields) => fields.iter().for_each(|(key, value)| {
            found.insert(key.clone());
            keys(value, found);
        }),
        Value::Array(items) => items.iter().for_each(|item| keys(item, found)),
        _ => {}
    }
}

#[test]
fn the_help_names_every_key() {
    let folder = tempfile::tempdir().expect("a temporary folder");
    two_batches(folder.path());
    let (_, today) = json(&benchway_at_home(folder.path(), &["today", "--format", "json"]));
    let mut found = BTreeSet::new();
    keys(&today, &mut found);
    assert!(found.len() > 30, "{found:?}");
    let help = benchway(&["today", "--help"]).out;
    let words: Vec<&str> =
        help.split(|letter: char| !letter.is_alphanumeric() && letter != '_').collect();
    for key in found {
        assert!(words.contains(&key.as_str()), "{key}");
    }
}

/// What can't be read is said, and the rest all the same; an invented batch is nobody's
/// work.
#[test]
fn what_is_damaged_or_invented_is_no_work() {
    let folder = tempfile::tempdir().expect("a temporary folder");
    two_batches(folder.path());
    fs::write(folder.path().join("south racks/route.json"), "{").expect("written");
    let invented = ["simulate", "reading-stool", "--sets", "1", "--until", "10", "--name", "mine"];
    assert_eq!(benchway_at_home(folder.path(), &invented).code, 0);
    let said = benchway_at_home(folder.path(), &["today"]);
    assert_eq!(said.code, 1, "{}", said.err);
    assert!(said.out.contains("south racks can't be read: "), "{}", said.out);
    assert!(said.out.contains("north racks, op 10"), "{}", said.out);
    assert!(!said.out.contains("mine") && !said.out.contains("one setting"), "{}", said.out);
}

/// Line by line everything is a sentence of its own.
#[test]
fn today_is_read_aloud_too() {
    let folder = tempfile::tempdir().expect("a temporary folder");
    two_batches(folder.path());
    let said = benchway_at_home(folder.path(), &["today", "--watch", "--plain"]);
    assert_eq!((said.code, said.err.as_str()), (0, ""));
    let lines: Vec<&str> = said.out.lines().collect();
    assert!(lines[0].starts_with("Today "), "{}", said.out);
    for expected in [
        "Stop saw:",
        "START north racks, op 10 crosscut end: 4 to go, 8 min, a guess.",
        "South racks, rack 1 to 2: end at op 10, rail at op 20.",
        "Enter goes back to the list, or q to leave:",
    ] {
        assert!(lines.contains(&expected), "{expected}: {}", said.out);
    }
}

#[test]
fn a_home_without_batches_says_so() {
    let folder = tempfile::tempdir().expect("a temporary folder");
    let said = benchway_at_home(folder.path(), &["today"]);
    assert_eq!(said.code, 0);
    assert!(said.out.contains("No batch is under way"), "{}", said.out);
}
