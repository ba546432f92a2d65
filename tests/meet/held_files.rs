//! Somebody has a station's file for a moment while lines of it arrive.

use std::fs::{self, File};
use std::thread::sleep;
use std::time::Duration;

use benchway::meet::MemberRole;

use super::convergence::until;
use super::database::Database;
use super::station::Station;

const BATCH: &str = "harbour benches";

/// Lines that can't be written at once are fetched again, and none that follows takes their
/// place. A program that looked who works at a station once made a hole in its file.
#[test]
#[ignore = "needs PostgreSQL"]
fn a_file_that_is_held_for_a_moment_has_no_hole() {
    let database = Database::make();
    let place = tempfile::tempdir().expect("a folder for the test");
    let station = |name: &str, role| {
        let login = database.add(name, "north", Some(name), role);
        Station::new(place.path(), name, database.address(&login, database.port()), 0)
    };
    let mut saw = station("saw", MemberRole::Lead);
    let mut bench = station("bench", MemberRole::Station);
    saw.start(&["walk", "--plain", "--station", "saw", "reading-stool", "--name", BATCH]);
    until("the batch is on the server", || {
        database.ask("select count(*) from benchway.line")[0] != "0"
    });
    bench.start(&["walk", "--plain", "--station", "bench", BATCH]);
    let folder = bench.home.join(BATCH);
    let here = |what: &str| {
        fs::read_to_string(folder.join("saw.jsonl")).is_ok_and(|text| text.contains(what))
    };
    saw.type_line("note zeroth");
    until("the first line is there", || here("zeroth"));
    let mut lock = File::options();
    let held = lock.write(true).create(true).truncate(false).open(folder.join("saw.lock"));
    let held = held.expect("it can be opened");
    held.lock().expect("nobody else looks for long");
    saw.type_line("note first");
    until("it is on the server", || {
        database.ask("select count(*) from benchway.line where line like '%first%'")[0] == "1"
    });
    sleep(Duration::from_millis(700));
    assert!(!here("first"), "the file is held");
    held.unlock().expect("given back");
    saw.type_line("note second");
    until("the last line is there", || here("second"));
    assert!(here("first"), "a hole");
    saw.leave();
    bench.leave();
    let (_, _, complaint) = bench.run(&["review", BATCH]);
    assert_eq!(complaint, "");
}
