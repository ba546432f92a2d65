//! What all batches of a shop teach together, and what those of several shops teach of one
//! kind of machine. The saws of the shop file make 0.004 more than their scale shows, and
//! 1/64 more where a fault says so: 0.0196.

use std::fs;
use std::path::Path;

use serde_json::Value;

use crate::bench::{Said, benchway_in, json};
use crate::slats::{SLATS, batch_of_slats};
use crate::walker::SHOP;

const OFF: &[&str] = &["op 60 offset 1/64"];

fn run(home: &Path, words: &[&str]) -> Said {
    benchway_in(home, home, words)
}

/// A machine of a shop in the answer.
fn machine<'a>(shop: &'a Value, name: &str) -> &'a Value {
    let all = shop["machines"].as_array().expect("a list");
    all.iter().find(|used| used["machine"] == name).unwrap_or_else(|| panic!("no {name}: {shop:#}"))
}

/// The one lesson of a topic about something.
fn lesson<'a>(lessons: &'a Value, topic: &str, about: &str) -> &'a Value {
    let all = lessons.as_array().expect("a list");
    let found = all.iter().find(|row| row["topic"] == topic && row["about"] == about);
    found.unwrap_or_else(|| panic!("nothing of {about} in {lessons:#}"))
}

/// Two batches, one of them archived, are 24 slats at one saw.
#[test]
fn all_batches_of_a_shop_teach_together() {
    let home = tempfile::tempdir().expect("a folder for the test");
    batch_of_slats(&home.path().join("later"), SLATS, 1, OFF);
    batch_of_slats(&home.path().join("archive/earlier"), SLATS, 2, OFF);
    let practised = run(home.path(), &["simulate", "reading-stool", "--until", "60"]);
    assert_eq!(practised.code, 0, "{}", practised.err);
    let (code, answer) = json(&run(home.path(), &["learn", "--format", "json"]));
    assert_eq!(code, 1, "a change is proposed");
    assert_eq!(answer["batches"].as_array().map(Vec::len), Some(2), "{answer:#}");
    assert_eq!(answer["invented"], false);
    let saw = lesson(&answer["lessons"], "Scales", "stop saw, crosscut blade, stop");
    assert_eq!((&saw["count"], &saw["from_batches"]), (&24.into(), &2.into()), "{saw:#}");
    let (found, doubt) = (saw["middle"].as_f64(), saw["doubt"].as_f64());
    let (found, doubt) = found.zip(doubt).expect("two numbers");
    assert!((found - 0.019_625).abs() <= doubt, "{saw:#}");
    // The archived batch alone says as much of its own slats.
    let one = json(&run(home.path(), &["learn", "later", "--format", "json"])).1;
    let saw = lesson(&one["lessons"], "Scales", "stop saw, crosscut blade, stop");
    assert_eq!((&saw["count"], &saw["from_batches"]), (&12.into(), &1.into()), "{saw:#}");
    let said = run(home.path(), &["learn"]).out;
    assert!(said.starts_with("Lessons from 2 batches of "), "{said}");
    assert!(said.contains("\n1 invented batch left out.\n"), "{said}");
    assert!(said.contains("24 readings in 2 batches at 2 settings"), "{said}");
}

/// Each route has its own losses, and its own file to change.
#[test]
fn every_route_of_the_batches_is_learned_from() {
    let home = tempfile::tempdir().expect("a folder for the test");
    let other = SLATS.replace("Trial slats", "Rails");
    batch_of_slats(&home.path().join("slats"), SLATS, 1, &[]);
    batch_of_slats(&home.path().join("rails"), &other, 2, &[]);
    let said = run(home.path(), &["learn"]).out;
    for route in ["Trial slats", "Rails"] {
        assert!(said.contains(&format!("  {route}, slat: ")), "{route}: {said}");
    }
    // Where one file is named the lessons are for that one.
    fs::write(home.path().join("rails.json"), &other).expect("written");
    let said = run(home.path(), &["learn", "--route", "rails.json"]).out;
    assert_eq!(said.matches("  slat: ").count(), 1, "{said}");
}

#[test]
fn a_batch_that_cannot_be_read_keeps_nobody_from_the_others() {
    let home = tempfile::tempdir().expect("a folder for the test");
    batch_of_slats(&home.path().join("whole"), SLATS, 1, &[]);
    batch_of_slats(&home.path().join("spoiled"), SLATS, 2, &[]);
    fs::write(home.path().join("spoiled/route.json"), "{").expect("written");
    let said = run(home.path(), &["learn"]);
    assert_eq!(said.code, 1, "{}", said.err);
    assert!(said.out.starts_with("Lessons from 1 batch of "), "{}", said.out);
    assert!(
        said.err.contains("a batch is left out") && said.err.contains("spoiled"),
        "{}",
        said.err
    );
}

#[test]
fn where_there_is_no_batch_there_is_nothing_to_learn() {
    let home = tempfile::tempdir().expect("a folder for the test");
    let said = run(home.path(), &["learn"]);
    assert_eq!(said.code, 2);
    assert!(said.err.contains("no batch to learn from"), "{}", said.err);
    let practised = run(home.path(), &["simulate", "reading-stool", "--until", "60"]);
    assert_eq!(practised.code, 0, "{}", practised.err);
    let said = run(home.path(), &["learn"]);
    assert_eq!(said.code, 2);
    assert!(said.err.contains("all batches here are invented"), "{}", said.err);
}

/// North's stop saw is off by a fault and has two batches, south's has one and is as its file
/// says, west has none.
fn three_shops() -> tempfile::TempDir {
    let home = tempfile::tempdir().expect("a folder for the test");
    let at = |path: &str| home.path().join("shops").join(path);
    batch_of_slats(&at("north/slats 1"), SLATS, 1, OFF);
    batch_of_slats(&at("north/archive/slats 2"), SLATS, 2, OFF);
    batch_of_slats(&at("south/slats 1"), SLATS, 3, &[]);
    fs::create_dir(at("west")).expect("a folder");
    home
}

/// None of 12 set aside leaves the share between 1 - 0.975^(1/13) = 0.19 % and
/// 1 - 0.025^(1/13) = 24.70 % (the beta distribution with 1 and 13 has 1 - (1 - x)^13).
#[test]
fn machines_of_several_shops_stand_side_by_side() {
    let home = three_shops();
    let words = ["learn", "--machine", "stop saw", "--format", "json"];
    let (code, answer) = json(&run(home.path(), &words));
    assert_eq!((code, &answer["kind"]), (0, &"stop-saw".into()));
    let shops = answer["shops"].as_array().expect("a list");
    let names: Vec<&str> = shops.iter().filter_map(|shop| shop["shop"].as_str()).collect();
    assert_eq!(names, ["north", "south", "west"]);
    for (at, batches, off) in [(0, 2, 0.019_625), (1, 1, 0.004)] {
        let saw = machine(&shops[at], "stop saw");
        // Twelve slats a batch, each read once at the saw.
        let slats = 12 * batches;
        assert_eq!((&saw["batches"], &saw["readings"]), (&batches.into(), &slats.into()));
        assert_eq!(saw["pieces"], slats, "{saw:#}");
        let scale = lesson(&saw["lessons"], "Scales", "stop saw, crosscut blade, stop");
        assert_eq!((&scale["count"], &scale["from_batches"]), (&slats.into(), &batches.into()));
        let (found, doubt) = (scale["middle"].as_f64(), scale["doubt"].as_f64());
        let (found, doubt) = found.zip(doubt).expect("two numbers");
        assert!((found - off).abs() <= doubt, "{scale:#}");
        for row in saw["lessons"].as_array().expect("a list") {
            assert_eq!(row["change"], Value::Null, "{row:#}");
        }
    }
    assert_eq!(shops[2]["machines"], Value::Array(Vec::new()));
    let south = lesson(&machine(&shops[1], "stop saw")["lessons"], "Losses and spares", "stop saw");
    let says = "0 of 12 pieces set aside at it: 0.0 %, with 95 % confidence 0.2 % to 24.7 %.";
    assert_eq!(south["says"], says);

    let said = run(home.path(), &words[..3]).out;
    assert!(said.starts_with("Machines of the kind stop-saw in 3 shops\n"), "{said}");
    assert!(said.contains("  north, stop saw: 2 batches, 24 pieces, 24 readings\n"), "{said}");
    assert!(said.contains("  west: none, in 0 batches\n"), "{said}");
    let scales = said.split("\nScales ").nth(1).expect("the topic").split("\n\n").next();
    let scales = scales.unwrap_or_default();
    let places =
        ["north, stop saw, crosscut", "south, stop saw, crosscut"].map(|of| scales.find(of));
    assert!(places[0].is_some() && places[0] < places[1], "{said}");
    assert!(said.lines().all(|line| line.chars().count() <= 78), "{said}");
}

/// Nobody's file is changed from a comparison, and a mistyped kind is met with the nearest.
#[test]
fn a_comparison_changes_nothing_and_knows_its_kinds() {
    let home = three_shops();
    let refused = |words: &[&str]| {
        let said = run(home.path(), words);
        assert_eq!((said.code, said.out.as_str()), (2, ""), "{words:?}");
        said.err
    };
    let why = refused(&["learn", "--machine", "planer", "--apply"]);
    assert!(why.contains("nothing was written") && why.contains("at the shop itself"), "{why}");
    let why = refused(&["learn", "--machine", "plainer"]);
    assert!(why.contains("did you mean `planer`?"), "{why}");
    assert!(why.contains("table-saw, crosscut-saw") && why.contains("finish-room"), "{why}");
    refused(&["learn", "--machine", "planer", "--shop", "shop.json"]);
    let why = refused(&["learn"]);
    assert!(why.contains("of several shops") && why.contains("--machine"), "{why}");
    let kept = home.path().join("shops/north/slats 1/shop.json");
    assert_eq!(fs::read_to_string(kept).expect("it is there"), SHOP);
    // A kind that no batch used, and one that no shop has.
    let said = run(home.path(), &["learn", "--machine", "mortiser"]);
    assert_eq!(said.code, 0, "{}", said.err);
    assert!(said.out.contains(": no batch used it\n"), "{}", said.out);
}

/// Whoever has one shop compares its machines the same way; it is called as its file says.
#[test]
fn one_shop_of_its_own_is_a_shop_too() {
    let home = tempfile::tempdir().expect("a folder for the test");
    batch_of_slats(&home.path().join("slats"), SLATS, 3, &[]);
    let words = ["learn", "--machine", "planer", "--format", "json"];
    let (code, answer) = json(&run(home.path(), &words));
    let shops = answer["shops"].as_array().map(Vec::len);
    assert_eq!((code, shops), (0, Some(1)), "{answer:#}");
    let name = answer["shops"][0]["shop"].as_str().expect("a name");
    assert!(SHOP.contains(&format!("\"shop\": \"{name}\"")), "{name}");
    assert_eq!(machine(&answer["shops"][0], "planer")["batches"], 1);
    // The other one of its kind is there too, though nobody used it.
    assert_eq!(machine(&answer["shops"][0], "metric planer")["batches"], 0);
}
