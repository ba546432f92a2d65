//! An invented batch as the views have it and as `export` and `review` print it.

use std::path::Path;

use benchway::journal::JournalLine;
use benchway::meet::MemberRole;
use serde_json::Value;

use super::bench::{benchway_at_home, json, near};
use super::database::Database;
use super::journals::{begin, send};
use super::raw::Raw;

const ID: &str = "55555555-5555-4555-8555-555555555555";

/// Four stools with two faults, so that pieces are out and readings voided.
fn invented(home: &Path) -> (String, Vec<JournalLine>) {
    let faults = ["--fault", "op 60 creep 1/64", "--fault", "op 50 gauge zero 0.012"];
    let simulate = ["simulate", "reading-stool", "--articles", "4", "--seed", "7"];
    let said = benchway_at_home(home, &[&simulate[..], &faults].concat());
    assert_eq!(said.code, 0, "{}", said.err);
    let name = "invented-reading-stool-7";
    let text = std::fs::read_to_string(home.join(name).join("invented.jsonl")).expect("written");
    let lines = text.lines().map(|line| serde_json::from_str(line).expect("a line"));
    (name.to_owned(), lines.collect())
}

#[test]
#[ignore = "needs PostgreSQL"]
fn readings_are_those_that_export_prints() {
    let database = Database::make();
    let home = tempfile::tempdir().expect("a folder");
    let (name, lines) = invented(home.path());
    let lead = database.add("invented", "north", Some("invented"), MemberRole::Lead);
    let lead = Raw::connect(&database, &lead).expect("a member");
    begin(&lead, ("north", ID), &name, "invented", false);
    send(&database, ("north", ID), &lines);
    let reader = database.add("reader", "north", None, MemberRole::Reader);
    let reader = Raw::connect(&database, &reader).expect("a member");
    let rows = reader.rows("select * from benchway.readings order by batch_name, place");

    let export = ["export", &name, "--format", "json"];
    let (_, exported) = json(&benchway_at_home(home.path(), &export));
    let exported = exported.as_array().expect("rows");
    assert_eq!(rows.len(), exported.len());
    for (row, said) in rows.iter().zip(exported) {
        let pairs = [
            ("station", "station"),
            ("n", "n"),
            ("op", "op"),
            ("part", "part"),
            ("piece_name", "piece"),
            ("piece", "id"),
            ("feature", "feature"),
            ("typed", "typed"),
            ("gauge", "gauge"),
            ("verdict", "verdict"),
            ("is_voided", "struck_out"),
        ];
        for (column, key) in pairs {
            assert_eq!(row[column], said[key], "{column} of {said}");
        }
        assert_eq!(row["batch_name"], *name);
        same_size(&row["inches"], &said["reading"], 1.0, said);
        // An inch is 25.4 mm (NIST SP 811, B.8); the route is in inches.
        assert_eq!(said["unit"], "in");
        same_size(&row["mm"], &said["reading"], 25.4, said);
        same_size(&row["low_mm"], &said["low"], 25.4, said);
        same_size(&row["high_mm"], &said["high"], 25.4, said);
        same_size(&row["target_mm"], &said["target"], 25.4, said);
        same_size(&row["uncertainty_mm"], &said["uncertainty"], 25.4, said);
    }
    let struck_out = exported.iter().filter(|said| said["struck_out"] == true).count();
    assert!(struck_out > 0, "something was voided");

    let (_, review) = json(&benchway_at_home(home.path(), &["review", &name, "--format", "json"]));
    let voided = "select count(*) from benchway.findings where finding = 'reading voided'";
    assert_eq!(reader.done(voided), [struck_out.to_string()]);
    // The review tells of those that were out of limits.
    let out = "select count(*) from benchway.readings
        where is_voided and verdict in ('too big', 'too small')";
    let reviewed = review["voided"].as_array().expect("rows").len();
    assert_eq!(reader.done(out), [reviewed.to_string()], "{}", review["voided"]);

    same_notes_of_csv(&reader, home.path(), &name);
}

/// A size in the unit of the export, and the same in another; neither where there is none.
fn same_size(found: &Value, said: &Value, one: f64, row: &Value) {
    match said.as_f64() {
        // The export has seven decimals of an inch.
        Some(said) => near(found, said * one, 3e-6),
        None => assert!(found.is_null(), "{found} of {row}"),
    }
}

/// A spreadsheet gets the same numbers of lines either way.
fn same_notes_of_csv(reader: &Raw, home: &Path, name: &str) {
    let said = benchway_at_home(home, &["export", name, "--format", "csv"]);
    let kept = said.out.lines().skip(1).filter(|line| line.contains(",false,")).count();
    let found = reader.done("select count(*) from benchway.readings where not is_voided");
    assert_eq!(found, [kept.to_string()]);
}
