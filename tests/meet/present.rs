//! Who is at which station today, by the view and by the program's own fold.

use benchway::journal::{JournalLine, State};
use benchway::meet::MemberRole;
use chrono::{DateTime, Duration, FixedOffset};
use serde_json::{Value, json};

use super::database::Database;
use super::journals::{begin, send};
use super::raw::Raw;

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
