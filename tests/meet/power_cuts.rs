//! A terminal loses its power between what it saved for itself and what it sends.

use std::fs;

use benchway::meet::MemberRole;

use super::convergence::until;
use super::database::Database;
use super::station::Station;

const BATCH: &str = "harbour benches";

/// The entry was confirmed while the server was away, and the terminal went dark before it
/// came back: the line is on its disk alone. It arrives once it runs again, once.
#[test]
#[ignore = "needs PostgreSQL"]
fn what_was_saved_before_a_power_cut_arrives_once() {
    let database = Database::make();
    let place = tempfile::tempdir().expect("a folder for the test");
    let login = database.add("saw", "north", Some("saw"), MemberRole::Lead);
    let address = database.address(&login, database.port());
    let mut saw = Station::new(place.path(), "saw", address, 0);
    saw.start(&["walk", "--plain", "--station", "saw", "reading-stool", "--name", BATCH]);
    until("the batch is on the server", || {
        database.ask("select count(*) from benchway.line")[0] != "0"
    });
    database.stop();
    saw.type_line("note written in the dark");
    let log = saw.home.join("said.txt");
    until("the note is confirmed", || {
        fs::read_to_string(&log).is_ok_and(|said| said.contains("Saved as a note."))
    });
    saw.kill();
    let file = saw.home.join(BATCH).join("saw.jsonl");
    let held = |path: &std::path::Path| {
        let text = fs::read_to_string(path).unwrap_or_default();
        text.matches("written in the dark").count()
    };
    assert_eq!(held(&file), 1, "it is on the disk of the terminal");

    database.start();
    let sent = |what: &str| {
        let lines = format!("select count(*) from benchway.line where line like '%{what}%'");
        database.ask(&lines)[0].clone()
    };
    assert_eq!(sent("written in the dark"), "0", "nobody else can have it yet");
    saw.start(&["walk", "--plain", "--station", "saw", BATCH]);
    until("it is on the server", || sent("written in the dark") == "1");
    saw.type_line("note written afterwards");
    until("the station goes on", || sent("written afterwards") == "1");
    saw.leave();
    let numbers = "select count(*) = max(n), count(*) = count(distinct n) from benchway.line";
    assert_eq!(database.ask(numbers), ["t|t"], "every number is there, once");
    assert_eq!(sent("written in the dark"), "1");

    let login = database.add("bench", "north", Some("bench"), MemberRole::Station);
    let bench = Station::new(place.path(), "bench", database.address(&login, database.port()), 0);
    let (_, _, complaint) = bench.run(&["batches"]);
    assert_eq!(complaint, "");
    let copied = bench.home.join(BATCH).join("saw.jsonl");
    assert_eq!(held(&copied), 1);
    assert_eq!(fs::read(copied).expect("read"), fs::read(file).expect("read"));
}
