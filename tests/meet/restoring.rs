//! A backup of the database goes on in another one: the README says how it is made.

use std::path::Path;
use std::process::Command;

use benchway::meet::{self, MemberRole, Password, Server};
use chrono::{DateTime, FixedOffset};

use super::database::{Database, PASSWORD};
use super::journals::{Journal, STATIONS, begin, send};
use super::raw::Raw;

const BATCH: &str = "88888888-8888-4888-8888-888888888888";

/// Runs a program of PostgreSQL as the owner.
fn owner_runs(database: &Database, program: &str, arguments: &[&str]) {
    let port = database.port().to_string();
    let ran = Command::new(program)
        .arg("-h")
        .arg(database.socket())
        .args(["-p", &port, "-U", "owner"])
        .args(arguments)
        .output()
        .expect("it comes with the server");
    let why = String::from_utf8_lossy(&ran.stderr);
    assert!(ran.status.success() && why.is_empty(), "{program}: {why}");
}

fn contents(raw: &Raw) -> Vec<String> {
    let views = ["batches", "entries", "pieces", "readings", "settings", "findings"];
    let tables = ["member", "batch", "batch_act", "line", "version"];
    let all = views.iter().chain(&tables);
    let rows = |of: &&str| raw.done(&format!("select t::text from benchway.{of} t order by 1"));
    all.flat_map(rows).collect()
}

#[test]
#[ignore = "needs PostgreSQL"]
fn a_backup_goes_on_in_an_empty_database() {
    let database = Database::make();
    for station in STATIONS {
        database.add(station, "north", Some(station), MemberRole::Lead);
    }
    let saw = database.login("saw");
    let lead = Raw::connect(&database, &saw).expect("a member");
    begin(&lead, ("north", BATCH), "trays", "saw", false);
    let at: DateTime<FixedOffset> = "2026-11-25T08:00:00+01:00".parse().expect("a time");
    let journal = Journal::random(5, 200, at);
    send(&database, ("north", BATCH), &journal.lines);
    lead.done(&format!(
        "insert into benchway.batch_act (shop, batch, act, station)
         values ('north', '{BATCH}', 'archived', 'saw')"
    ));

    let folder = tempfile::tempdir().expect("a folder");
    let file = folder.path().join("wood.dump");
    let file = file.to_str().expect("text");
    let restored = format!("{}_restored", database.name());
    owner_runs(&database, "pg_dump", &["-Fc", "-d", database.name(), "-f", file]);
    owner_runs(&database, "createdb", &[&restored]);
    owner_runs(&database, "pg_restore", &["--exit-on-error", "-d", &restored, file]);

    let again = Raw::connect_to(&database, &restored, &saw).expect("the same login");
    assert_eq!(contents(&again), contents(&lead));
    // The tables are as the program knows them, and the station goes on.
    goes_on(&database, &restored, &saw);
    let refused = again.tried("update benchway.line set line = ''");
    assert_eq!(refused, Err("42501".to_owned()));
    again.done(&format!(
        "insert into benchway.batch_act (shop, batch, act, station)
         values ('north', '{BATCH}', 'brought back', 'saw')"
    ));
    let last = journal.lines.iter().filter(|line| line.station == "saw").map(|line| line.n).max();
    let last = last.expect("it wrote");
    let next = |n: u64| {
        let line = format!(r#"{{"v":1,"n":{n},"after":999,"station":"saw","event":{{}}}}"#);
        format!(
            "insert into benchway.line (shop, batch, station, n, line)
             values ('north', '{BATCH}', 'saw', {n}, '{line}')"
        )
    };
    assert_eq!(again.tried(&next(last)), Err("23505".to_owned()));
    again.done(&next(last + 1));
    assert_eq!(meet::set_up(&owner_of(&database, &restored)).expect("nothing to do"), 0);
    drop(again);
    owner_runs(&database, "dropdb", &[&restored]);
}

fn owner_of(database: &Database, name: &str) -> Server {
    let socket: &Path = &database.socket();
    let address =
        format!("host='{}' port={} user=owner dbname={name}", socket.display(), database.port());
    Server::at(&address, None).expect("an address")
}

fn goes_on(database: &Database, name: &str, login: &str) {
    let address = format!("postgres://{login}@127.0.0.1:{}/{name}", database.port());
    let server = Server::at(&address, None).expect("an address");
    let server = server.with_password(&Password::typed(PASSWORD));
    let batches = meet::batches(&server).expect("it answers");
    let named: Vec<&str> = batches.iter().map(|(_, batch)| batch.name.as_str()).collect();
    assert_eq!(named, ["trays"]);
    assert!(batches[0].1.is_archived);
    assert_eq!(meet::own_station(&server).expect("it answers").as_deref(), Some("saw"));
}
