//! What each login may do over a connection of its own, whatever it sends.

use benchway::meet::{self, MemberRole};

use super::database::Database;
use super::raw::Raw;

/// The codes of the manual of PostgreSQL, appendix A.
const FORBIDDEN: &str = "42501";
const TAKEN: &str = "23505";
const NO_SUCH_BATCH: &str = "23503";
const UNTRUE: &str = "23514";
const NO_JSON: &str = "22P02";

const OPEN: &str = "11111111-1111-4111-8111-111111111111";
const WAITS: &str = "22222222-2222-4222-8222-222222222222";
const SOUTHERN: &str = "33333333-3333-4333-8333-333333333333";
const NEW: &str = "44444444-4444-4444-8444-444444444444";

/// Two shops; in the north one batch is under way, and one of the planer waits for a lead.
struct Shops {
    database: Database,
    lead: Raw,
    planer: Raw,
    saw: Raw,
    reader: Raw,
    shaper: Raw,
}

impl Shops {
    fn make() -> Shops {
        let database = Database::make();
        let open = |who: &str, shop: &str, station: Option<&str>, role| {
            let login = database.add(who, shop, station, role);
            Raw::connect(&database, &login).expect("a member")
        };
        let lead = open("lead", "north", Some("desk"), MemberRole::Lead);
        let planer = open("planer", "north", Some("planer"), MemberRole::Station);
        let saw = open("saw", "north", Some("saw"), MemberRole::Station);
        let reader = open("reader", "north", None, MemberRole::Reader);
        let shaper = open("shaper", "south", Some("shaper"), MemberRole::Station);
        database.add("desk_south", "south", Some("desk"), MemberRole::Lead);
        lead.done(&begin("north", OPEN, "desk", false));
        lead.done(&line("north", OPEN, "desk", 1));
        planer.done(&begin("north", WAITS, "planer", true));
        planer.done(&line("north", OPEN, "planer", 1));
        planer.done(&line("north", WAITS, "planer", 1));
        shaper.done(&begin("south", SOUTHERN, "shaper", true));
        shaper.done(&line("south", SOUTHERN, "shaper", 1));
        Shops { database, lead, planer, saw, reader, shaper }
    }

    /// Everything that stands in the tables.
    fn tables(&self) -> Vec<String> {
        let tables = ["member", "batch", "batch_act", "line", "version"];
        let rows = |table: &str| format!("select '{table}' || t::text from benchway.{table} t");
        let all: Vec<String> = tables.into_iter().map(rows).collect();
        self.database.ask(&format!("{} order by 1", all.join(" union all ")))
    }

    /// The server refuses it for that reason, and nothing changes.
    fn refused(&self, (who, raw): (&str, &Raw), sql: &str, code: &str) {
        let before = self.tables();
        assert_eq!(raw.tried(sql), Err(code.to_owned()), "{who}: {sql}");
        assert_eq!(self.tables(), before, "{who}: {sql}");
    }
}

fn begin(shop: &str, id: &str, by: &str, waits: bool) -> String {
    format!(
        "insert into benchway.batch (shop, id, name, begun_by, route, shop_file, waits)
         values ('{shop}', '{id}', 'oak trays', '{by}', '{{}}', '{{}}', {waits})"
    )
}

fn line(shop: &str, batch: &str, station: &str, n: u64) -> String {
    line_saying((shop, batch, station, n), (station, n), r#"{"note":{"op":null,"text":"dry"}}"#)
}

/// A line of a station whose JSON may say something else.
fn line_saying(
    (shop, batch, station, n): (&str, &str, &str, u64),
    (said_station, said_n): (&str, u64),
    event: &str,
) -> String {
    format!(
        "insert into benchway.line (shop, batch, station, n, line) values ('{shop}', '{batch}',
         '{station}', {n}, '{{\"v\":1,\"n\":{said_n},\"after\":{said_n},\
         \"at\":\"2026-11-25T08:00:00Z\",\"station\":\"{said_station}\",\"who\":null,\
         \"event\":{event},\"crc\":\"00000000\"}}')"
    )
}

fn act(act: &str, batch: &str, station: &str) -> String {
    format!(
        "insert into benchway.batch_act (shop, batch, act, station)
         values ('north', '{batch}', '{act}', '{station}')"
    )
}

/// Always: no login changes or deletes what is on the server.
#[test]
#[ignore = "needs PostgreSQL"]
fn nobody_changes_or_deletes_anything() {
    let shops = Shops::make();
    let all = [
        ("lead", &shops.lead),
        ("station", &shops.planer),
        ("reader", &shops.reader),
        ("other shop", &shops.shaper),
    ];
    let changes = [
        "update benchway.line set line = ''",
        "update benchway.line set arrived = now()",
        "update benchway.batch set name = 'mine', waits = false",
        "update benchway.batch_act set act = 'archived'",
        "update benchway.member set role = 'lead', station = 'desk'",
        "update benchway.version set oldest = 99",
        "delete from benchway.line",
        "delete from benchway.batch",
        "delete from benchway.batch_act",
        "delete from benchway.member",
        "truncate benchway.line",
        "truncate benchway.batch cascade",
        "truncate benchway.batch_act",
        "truncate benchway.member",
        "merge into benchway.line l using benchway.batch b on b.id = l.batch when matched then delete",
        "insert into benchway.member (login, shop, station, role)
         values (session_user, 'south', 'extra', 'lead')",
        "insert into benchway.version (n, oldest) values (99, 99)",
        "insert into benchway.line (shop, batch, station, n, line, arrived)
         values ('north', '11111111-1111-4111-8111-111111111111', 'planer', 2, '{}', now())",
        "insert into benchway.batch (shop, id, name, begun_by, route, shop_file, waits, arrived)
         values ('north', gen_random_uuid(), 'x', 'planer', '{}', '{}', true, now())",
        "insert into benchway.line (shop, batch, station, n, line)
         values ('north', '11111111-1111-4111-8111-111111111111', 'planer', 1, '{}')
         on conflict (shop, batch, station, n) do update set line = excluded.line",
        "select * from benchway.line for update",
        "do $$ begin lock table benchway.line in exclusive mode; end $$",
        "set role owner",
        "set session authorization owner",
        "set local session authorization 'owner'",
        "select benchway.lines_added()",
        "select benchway.batches_changed()",
        "create table benchway.mine ()",
        "create view benchway.mine as select 1",
        "create function benchway.own_shop(text) returns text language sql as 'select $1'",
        "create or replace function benchway.is_lead() returns boolean language sql as 'select true'",
        "create trigger mine after insert on benchway.line execute function benchway.lines_added()",
        "alter table benchway.line disable row level security",
        "alter table benchway.line disable trigger all",
        "drop policy read on benchway.line",
        "drop table benchway.line",
        "grant benchway_lead to current_user",
        "set row_security = off; select * from benchway.line",
        "set session_replication_role = replica",
        "copy benchway.line to '/lines.txt'",
        "copy benchway.line to program 'cat'",
    ];
    for (who, raw) in all {
        for change in changes {
            // Membership in the role of leads can't be given on by a member.
            shops.refused((who, raw), change, FORBIDDEN);
            raw.done("reset role");
            raw.done("reset row_security");
        }
    }
}

#[test]
#[ignore = "needs PostgreSQL"]
fn a_station_adds_lines_of_its_own_and_nothing_else() {
    let shops = Shops::make();
    let planer = ("planer", &shops.planer);
    shops.refused(planer, &line("north", OPEN, "planer", 1), TAKEN);
    shops.refused(planer, &line("north", OPEN, "planer", 0), UNTRUE);
    shops.refused(planer, &line("north", OPEN, "saw", 1), FORBIDDEN);
    shops.refused(planer, &line("south", SOUTHERN, "planer", 1), FORBIDDEN);
    shops.refused(planer, &line("south", SOUTHERN, "shaper", 2), FORBIDDEN);
    shops.refused(planer, &line("north", NEW, "planer", 1), NO_SUCH_BATCH);
    shops.refused(planer, &line("north", SOUTHERN, "planer", 1), NO_SUCH_BATCH);
    let note = r#"{"note":{"op":null,"text":"dry"}}"#;
    let second = ("north", OPEN, "planer", 2);
    shops.refused(planer, &line_saying(second, ("saw", 2), note), UNTRUE);
    shops.refused(planer, &line_saying(second, ("planer", 3), note), UNTRUE);
    for sealed in [
        r#"{"sealed":{"by":"MB","stations":[]}}"#,
        r#"{ "sealed" : {"by":"MB","stations":[]}}"#,
        // The same name for whoever reads JSON.
        r#"{"seale\u0064":{"by":"MB","stations":[]}}"#,
        r#"{"sealed":null}"#,
    ] {
        shops.refused(planer, &line_saying(second, ("planer", 2), sealed), FORBIDDEN);
    }
    for word in ["taken in", "archived", "brought back"] {
        shops.refused(planer, &act(word, WAITS, "planer"), FORBIDDEN);
        shops.refused(planer, &act(word, OPEN, "desk"), FORBIDDEN);
    }
    shops.refused(planer, &begin("north", NEW, "planer", false), FORBIDDEN);
    shops.refused(planer, &begin("north", NEW, "saw", true), FORBIDDEN);
    shops.refused(planer, &begin("south", NEW, "planer", true), FORBIDDEN);
    shops.refused(planer, "set role benchway_lead", FORBIDDEN);
    // A role that it has changes nothing: the login counts.
    shops.planer.done("set role benchway_station");
    shops.refused(planer, &line("north", OPEN, "saw", 1), FORBIDDEN);
    shops.refused(planer, &act("archived", OPEN, "planer"), FORBIDDEN);
    shops.planer.done("reset role");
    // And what it may do.
    shops.planer.done(&line("north", OPEN, "planer", 2));
    shops.planer.done(&line("north", WAITS, "planer", 2));
    shops.planer.done(&begin("north", NEW, "planer", true));
    let words = r#"{"note":{"op":null,"text":"\"sealed\" \u0000 \ud83d"}}"#;
    shops.planer.done(&line_saying(("north", OPEN, "planer", 3), ("planer", 3), words));
    assert_eq!(shops.planer.done("select count(*) from benchway.line"), ["6"]);
}

/// Always: The server holds a line to what its JSON says, in whatever form it is written.
#[test]
#[ignore = "needs PostgreSQL"]
fn a_line_is_what_its_json_says() {
    let shops = Shops::make();
    let planer = ("planer", &shops.planer);
    let add = |line: &str| {
        format!(
            "insert into benchway.line (shop, batch, station, n, line)
             values ('north', '{OPEN}', 'planer', 2, '{line}')"
        )
    };
    let head = r#"{"v":1,"n":2,"after":1,"at":"x","station":"planer","who":null"#;
    // The last one of two equal names counts.
    for rest in [
        r#","event":{},"n":3}"#,
        r#","event":{},"\u006e":3}"#,
        r#","event":{},"n" : 3}"#,
        r#","event":{},"station":"saw"}"#,
        r#","event":{},"statio\u006e":"saw"}"#,
        r#","event":{},"station" :"saw"}"#,
    ] {
        shops.refused(planer, &add(&format!("{head}{rest}")), UNTRUE);
    }
    for line in [
        r#"{"v":1,"n":2,"after":{"at":"x","station":"planer","who":null},"event":{}}"#,
        r#"{"v":1,"n":2,"after":1,"at":",\"station\":\"planer\",","who":null,"event":{}}"#,
        r#"{"v":1,"n":2,"after":1,"at":"x","event":{"at":"x","station":"planer","who":null}}"#,
        r#"{"v":1,"n":2,"after":1,"at":"x","who":"station","event":{"as":",planer,"}}"#,
        r#"{"v":{"n":2},"after":1,"at":"x","station":"planer","who":null,"event":{}}"#,
        r#"{"v":1,"n":2.0,"after":1,"at":"x","station":"planer","who":null,"event":{}}"#,
        r#"{"v":1,"n":22,"after":1,"at":"x","station":"planer","who":null,"event":{}}"#,
        r#"{"v":1,"n":2,"after":1,"at":"x","station":"planer2","who":null,"event":{}}"#,
        r#"[{"v":1,"n":2,"after":1,"at":"x","station":"planer","who":null,"event":{}}]"#,
    ] {
        shops.refused(planer, &add(line), UNTRUE);
    }
    for rest in ["", "}}", r#","event":{]}"#, r#","event":{"a"}}"#] {
        shops.refused(planer, &add(&format!("{head}{rest}")), NO_JSON);
    }
    let sealed = format!(r#"{head},"event":{{"note":{{}},"sealed" : {{}}}}}}"#);
    shops.refused(planer, &add(&sealed), FORBIDDEN);
    // Another form of the truth.
    shops.planer.done(&add(r#"{ "station" : "planer", "event":{"what":{"n":7}}, "n" : 2 }"#));
}

#[test]
#[ignore = "needs PostgreSQL"]
fn nobody_reads_another_shop_or_what_waits() {
    let shops = Shops::make();
    let counts = |raw: &Raw| {
        let count = |table: &str| raw.done(&format!("select count(*) from benchway.{table}"));
        ["line", "batch", "batches", "member"].map(|table| count(table)[0].clone())
    };
    // In the north are three lines, two batches and four members; in the south one, one, two.
    assert_eq!(counts(&shops.lead), ["3", "2", "2", "4"]);
    assert_eq!(counts(&shops.planer), ["3", "2", "2", "4"]);
    assert_eq!(counts(&shops.saw), ["2", "1", "1", "4"]);
    assert_eq!(counts(&shops.reader), ["2", "1", "1", "4"]);
    assert_eq!(counts(&shops.shaper), ["1", "1", "1", "2"]);
    shops.refused(("saw", &shops.saw), &line("north", WAITS, "saw", 1), NO_SUCH_BATCH);
    let views = ["entries", "pieces", "readings", "settings", "findings", "today", "lines_read"];
    for view in views {
        let of = |raw: &Raw, shop: &str| {
            raw.done(&format!("select count(*) from benchway.{view} where shop = '{shop}'"))
        };
        assert_eq!(of(&shops.shaper, "north"), ["0"], "{view}");
        assert_eq!(of(&shops.lead, "south"), ["0"], "{view}");
        let waiting = format!("select count(*) from benchway.{view} where batch = '{WAITS}'");
        assert_eq!(shops.saw.done(&waiting), ["0"], "{view}");
    }
    // Once a lead took it in, everybody of the shop sees it.
    shops.lead.done(&act("taken in", WAITS, "desk"));
    assert_eq!(counts(&shops.saw), ["3", "2", "2", "4"]);
    shops.saw.done(&line("north", WAITS, "saw", 1));
}

/// A login may be the lead of one shop and read another.
#[test]
#[ignore = "needs PostgreSQL"]
fn a_lead_is_none_in_a_shop_that_it_only_reads() {
    let shops = Shops::make();
    shops.database.add("lead", "south", None, MemberRole::Reader);
    shops.database.add("lead", "north", Some("desk"), MemberRole::Lead);
    let login = shops.database.login("lead");
    let lead = Raw::connect(&shops.database, &login).expect("a member");
    let seen = lead.done("select shop || ' ' || count(*) from benchway.batch group by shop");
    assert_eq!(seen, ["north 2"], "the batch in the south waits for its own lead");
    shops.refused(("lead", &lead), &line("south", SOUTHERN, "desk", 1), FORBIDDEN);
}

#[test]
#[ignore = "needs PostgreSQL"]
fn a_lead_seals_archives_and_takes_in() {
    let shops = Shops::make();
    let sealed = r#"{"sealed":{"by":"MB","stations":[]}}"#;
    shops.lead.done(&line_saying(("north", OPEN, "desk", 2), ("desk", 2), sealed));
    shops.lead.done(&begin("north", NEW, "saw", false));
    for word in ["taken in", "archived", "brought back", "archived"] {
        shops.lead.done(&act(word, WAITS, "desk"));
    }
    let standing =
        format!("select waits::text || is_archived from benchway.batches where id = '{WAITS}'");
    assert_eq!(shops.reader.done(&standing), ["falsetrue"]);
    let lead = ("lead", &shops.lead);
    shops.refused(lead, &act("archived", OPEN, "planer"), FORBIDDEN);
    shops.refused(lead, &act("burnt", OPEN, "desk"), UNTRUE);
    shops.refused(lead, &act("archived", SOUTHERN, "desk"), NO_SUCH_BATCH);
    shops.refused(lead, &line("north", OPEN, "planer", 2), FORBIDDEN);
    shops.refused(lead, &begin("south", OPEN, "desk", false), FORBIDDEN);
    shops.refused(lead, &begin("north", OPEN, "desk", false), TAKEN);
}

#[test]
#[ignore = "needs PostgreSQL"]
fn a_reader_only_reads() {
    let shops = Shops::make();
    let reader = ("reader", &shops.reader);
    for sql in [
        line("north", OPEN, "planer", 2),
        line("north", OPEN, "reader", 1),
        begin("north", NEW, "planer", true),
        act("archived", OPEN, "desk"),
        "set role benchway_station".to_owned(),
        "set role benchway_lead".to_owned(),
    ] {
        shops.refused(reader, &sql, FORBIDDEN);
    }
}

#[test]
#[ignore = "needs PostgreSQL"]
fn strangers_and_revoked_logins_get_nothing() {
    let shops = Shops::make();
    let database = &shops.database;
    // A login with the roles of a station that is no member of any shop.
    let login = database.add("stranger", "north", Some("extra"), MemberRole::Station);
    database.ask(&format!("delete from benchway.member where login = '{login}'"));
    let stranger = Raw::connect(database, &login).expect("it may connect");
    for table in ["line", "batch", "batch_act", "member", "batches", "readings", "today"] {
        let count = stranger.done(&format!("select count(*) from benchway.{table}"));
        assert_eq!(count, ["0"], "{table}");
    }
    shops.refused(("stranger", &stranger), &line("north", OPEN, "extra", 1), FORBIDDEN);
    shops.refused(("stranger", &stranger), &begin("north", NEW, "extra", true), FORBIDDEN);
    // A login of the server that has nothing to do with any of this.
    let login = database.login("nobody");
    database.ask(&format!("create role {login} login password '{}'", super::database::PASSWORD));
    let nobody = Raw::connect(database, &login).expect("it may connect");
    for sql in ["select * from benchway.line", "select benchway.own_shops()"] {
        shops.refused(("nobody", &nobody), sql, FORBIDDEN);
    }
    // Revoked: the open connection ends, and no new one is let in.
    let login = database.login("planer");
    meet::revoke(&database.owner(), &login, None).expect("revoked");
    let gone = shops.planer.tried(&line("north", OPEN, "planer", 2)).expect_err("it ended");
    assert!(gone.starts_with("gone") || gone == "57P01", "{gone}");
    assert_eq!(Raw::connect(database, &login).map(drop), Err("28000".to_owned()));
    assert_eq!(shops.lead.done("select count(*) from benchway.line"), ["3"], "its lines stay");
}

/// What row security asks shows each login itself and what it must not see, and nobody else.
#[test]
#[ignore = "needs PostgreSQL"]
fn row_security_tells_each_login_of_itself() {
    let shops = Shops::make();
    let own = "select concat_ws(' ', shop, station, role) from benchway.own_member";
    assert_eq!(shops.lead.done(own), ["north desk lead"]);
    assert_eq!(shops.planer.done(own), ["north planer station"]);
    assert_eq!(shops.reader.done(own), ["north reader"]);
    let hidden = "select id from benchway.own_hidden";
    assert_eq!(shops.lead.done(hidden), Vec::<String>::new());
    assert_eq!(shops.planer.done(hidden), Vec::<String>::new());
    assert_eq!(shops.saw.done(hidden), [WAITS]);
    assert_eq!(shops.reader.done(hidden), [WAITS]);
    let open = "select concat_ws(' ', shop, station, id) from benchway.own_open";
    assert_eq!(shops.planer.done(open), [format!("north planer {OPEN}")]);
    assert_eq!(shops.saw.done(open), [format!("north saw {OPEN}")]);
    assert_eq!(shops.reader.done(open), Vec::<String>::new());
    assert_eq!(shops.shaper.done(open), Vec::<String>::new(), "its only batch waits");
}
