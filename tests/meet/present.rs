//! Who is at which station today, by the view and by the program's own fold.

use benchway::journal::{Home, JournalLine, State};
use benchway::meet::{Exchange, ExchangeSettings, MemberRole, Password, Server};
use chrono::{DateTime, Duration, FixedOffset};
use serde_json::{Value, json};

use super::convergence::until;
use super::database::{Database, PASSWORD};
use super::journals::{begin, send};
use super::raw::Raw;
use super::station::Station;

const BATCH: &str = "66666666-6666-4666-8666-666666666666";

fn line(n: u64, at: DateTime<FixedOffset>, station: &str, event: Value) -> JournalLine {
    let line = json!({"n": n, "after": n, "at": at.to_rfc3339(), "station": station, "who": "MB",
        "event": event});
    serde_json::from_value(line).expect("a line")
}

fn instant(value: &Value) -> Option<DateTime<FixedOffset>> {
    value.as_str().map(|text| text.parse().expect("a time"))
}

#[test]
#[ignore = "needs PostgreSQL"]
fn people_are_where_the_program_says() {
    let database = Database::make();
    for station in ["planer", "saw", "sander", "desk"] {
        let role = if station == "desk" { MemberRole::Lead } else { MemberRole::Station };
        database.add(station, "north", Some(station), role);
    }
    let desk = Raw::connect(&database, &database.login("desk")).expect("a member");
    begin(&desk, ("north", BATCH), "trays", "desk", false);
    // The middle of the day of a reader whose zone makes it noon now, so that no test runs
    // over midnight.
    let hour: i64 = desk.done("select extract(hour from now() at time zone 'UTC')::int")[0]
        .parse()
        .expect("an hour");
    let zone = 12 - hour;
    desk.done(&format!("set time zone {zone}"));
    let now: DateTime<FixedOffset> =
        desk.done("select to_json(now()) #>> '{}'")[0].parse().expect("a time");
    let ago = |minutes: i64| now - Duration::minutes(minutes);
    let people = |present: &[&str]| json!({"people": {"present": present}});
    let closed = |op: u32| json!({"closed": {"op": op, "done": 1, "aside": 0}});
    let lines = vec![
        // The planer: two people, one of whom hands the keys on; then another operation.
        line(1, ago(26 * 60), "planer", people(&["TK"])),
        line(2, ago(90), "planer", people(&["MB", "TK"])),
        line(3, ago(80), "planer", closed(10)),
        line(4, ago(70), "planer", people(&["TK", "MB"])),
        line(5, ago(60), "planer", closed(20)),
        line(6, ago(50), "planer", closed(20)),
        // The saw: its people left.
        line(7, ago(45), "saw", people(&["JO"])),
        line(8, ago(40), "saw", closed(30)),
        line(9, ago(30), "saw", json!({"station-left": {}})),
        // The sander wrote yesterday.
        line(10, ago(24 * 60), "sander", people(&["AN"])),
    ];
    send(&database, ("north", BATCH), &lines);
    let planer = Raw::connect(&database, &database.login("planer")).expect("a member");
    let state = State::fold(&lines);
    let rows = desk.rows("select * from benchway.today order by station");
    let stations: Vec<&str> = rows.iter().filter_map(|row| row["station"].as_str()).collect();
    assert_eq!(stations, ["desk", "planer", "saw"], "{rows:?}");
    assert_eq!((&rows[0]["batch"], &rows[0]["is_connected"]), (&Value::Null, &json!(true)));
    assert_eq!(rows[1]["who"], "TK MB");
    assert_eq!(rows[2]["who"], "JO");
    for row in &rows[1..] {
        let station = row["station"].as_str().expect("a name");
        let near = |found: &Value, expected: Option<DateTime<FixedOffset>>| {
            let (found, expected) = (instant(found), expected);
            assert_eq!(found.is_some(), expected.is_some(), "{row}");
            if let (Some(found), Some(expected)) = (found, expected) {
                assert!((found - expected).abs() < Duration::milliseconds(1), "{row}");
            }
        };
        near(&row["since"], state.times.there_since(station));
        near(&row["op_since"], state.times.at_operation_since(station));
        near(&row["wrote_at"], state.times.wrote.get(station).copied());
        near(&row["left_at"], state.times.left(station));
        assert_eq!(row["op"], json!(state.working_at[station]));
        assert_eq!(row["batch_name"], "trays");
        assert_eq!(row["is_connected"], json!(station == "planer"), "{row}");
    }
    // Worked out by hand from the lines above.
    assert_eq!(instant(&rows[1]["since"]).map(|at| (now - at).num_minutes()), Some(90));
    assert_eq!(instant(&rows[1]["op_since"]).map(|at| (now - at).num_minutes()), Some(60));
    drop(planer);
}

/// MB's terminal is cut off, TK works on, JO leaves: a terminal elsewhere tells one from the
/// other, though none of them shares a folder with it.
#[test]
#[ignore = "needs PostgreSQL"]
fn who_vanished_elsewhere_is_told_from_who_is_silent() {
    let database = Database::make();
    let place = tempfile::tempdir().expect("a folder for the test");
    let mut stations = ["desk", "planer", "saw", "bench"].map(|name| {
        let role = if name == "desk" { MemberRole::Lead } else { MemberRole::Station };
        let login = database.add(name, "north", Some(name), role);
        Station::new(place.path(), name, database.address(&login, database.port()), 0)
    });
    let [desk, others @ ..] = &mut stations;
    desk.start(&["walk", "--plain", "--station", "desk", "reading-stool", "--name", "stools"]);
    until("the batch is on the server", || {
        database.ask("select count(*) from benchway.line")[0] != "0"
    });
    desk.leave();
    for (station, who) in others.iter_mut().zip(["MB", "TK", "JO"]) {
        let name = station.name.clone();
        station.start(&["walk", "--plain", "--station", &name, "stools"]);
        station.type_line(who);
    }
    let standings = || -> Vec<String> {
        let (_, out, complaint) = desk.run(&["today", "--format", "json"]);
        assert_eq!(complaint, "");
        let today: Value = serde_json::from_str(&out).expect("JSON");
        let machines = today["machines"].as_array().expect("a list").iter();
        let lists = machines.map(|at| &at["people"]).chain([&today["elsewhere"], &today["left"]]);
        let people = lists.flat_map(|list| list.as_array().expect("a list"));
        let word = |of: &Value| of.as_str().expect("a word").to_owned();
        let mut said: Vec<String> =
            people.map(|at| format!("{} {}", word(&at["who"]), word(&at["standing"]))).collect();
        said.sort();
        said
    };
    until("all three are there", || standings() == ["JO here", "MB here", "TK here"]);
    let [planer, _, bench] = others;
    bench.leave();
    planer.kill();
    let told = ["JO left", "MB out-of-reach", "TK here"];
    until("they are told apart", || standings() == told);
    let (_, page, _) = desk.run(&["today"]);
    let page = page.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(page.contains("MB at planer: "), "{page}");
    assert!(page.contains("went without leaving, or has no network"), "{page}");

    // The traveler hears the same where somebody looks, and knows nothing without a server.
    let server = Server::at(&database.address(&database.login("desk"), database.port()), None);
    let server = server.expect("an address").with_password(&Password::typed(PASSWORD));
    let home = Home::locate(Some(desk.home.clone())).expect("a folder was named");
    let settings = ExchangeSettings { home, server, station: Some("desk".to_owned()) };
    let exchange = Exchange::begin(settings, Box::new(|| {}));
    let hears = |expected: &[&str]| {
        until("the traveler knows who is connected", || {
            exchange.look_around();
            exchange.standing().unconnected.iter().eq(expected)
        });
    };
    hears(&["bench", "planer"]);
    planer.start(&["walk", "--plain", "--station", "planer", "stools"]);
    hears(&["bench"]);
    assert!(exchange.standing().is_connected);
    database.stop();
    hears(&[]);
    database.start();
}
