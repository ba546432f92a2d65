//! Lines that no program of ours writes spoil no view: whatever isn't as it should be is
//! left out, and the rest stands.

use benchway::meet::MemberRole;

use super::database::Database;
use super::journals::begin;
use super::raw::{Raw, quoted};

const BATCH: &str = "77777777-7777-4777-8777-777777777777";
const VIEWS: [&str; 8] =
    ["batches", "lines_read", "entries", "pieces", "readings", "settings", "findings", "today"];

#[test]
#[ignore = "needs PostgreSQL"]
fn no_line_spoils_a_view() {
    let database = Database::make();
    let lead = database.add("desk", "north", Some("desk"), MemberRole::Lead);
    let lead = Raw::connect(&database, &lead).expect("a member");
    begin(&lead, ("north", BATCH), "trays", "desk", false);
    let mut n = 0;
    let mut send = |head: &str, event: &str| {
        n += 1;
        let line = format!(r#"{{"v":1,"n":{n},"station":"desk",{head},"event":{event}}}"#);
        lead.done(&format!(
            "insert into benchway.line (shop, batch, station, n, line)
             values ('north', '{BATCH}', 'desk', {n}, {})",
            quoted(&line)
        ));
    };
    let head = r#""after":1,"at":"2026-11-25T08:00:00Z","who":"MB""#;
    let events = [
        r#"{"note":{"op":null,"text":"\u0000 \\u0000 \ud800 \udc00\ud83d"}}"#,
        r#"{"reading":5}"#,
        r#"{"reading":null}"#,
        r#"{"reading":["op"]}"#,
        r#"{"reading":{"op":"ten","piece":{},"says":{"size":1e99},"uncertainty":-0.5,"low":"x"}}"#,
        r#"{"reading":{"op":99999999999999999999999,"piece":"a-1\u0000","says":{"size":"1"}}}"#,
        r#"{"setting":{"stored":7,"pieces":{},"shown":true}}"#,
        r#"{"setting":[]}"#,
        r#"{"done":{"pieces":7,"op":null}}"#,
        r#"{"done":{"pieces":[7,null,{}],"op":1,"through":true}}"#,
        r#"{"started":{"born":"none"}}"#,
        r#"{"started":{"born":[1,{"id":null},{"id":{},"label":3}]}}"#,
        r#"{"split":{"from":[],"into":[[]]}}"#,
        r#"{"split":{}}"#,
        r#"{"remade":{}}"#,
        r#"{"labelled":{"piece":3,"label":"leg"}}"#,
        r#"{"decided":"no"}"#,
        r#"{"taken-back":{"what":{"station":3,"n":"x"}}}"#,
        r#"{"taken-back":9}"#,
        r#"{"owner-left":{"article":[],"spares":"yes"}}"#,
        r#"{"joined":[]}"#,
        r#"{"begun-with-errors":{"errors":{"a":1}}}"#,
        r#"{"sealed":{"stations":[1,"x"]}}"#,
        r#"{"made":{"value":"x"}}"#,
        r#"{"accepted":{"changes":3}}"#,
        r#"{"people":{"present":{"a":1}}}"#,
        r#"{"something-new":{"op":10}}"#,
        r#"{}"#,
        r#"[]"#,
        r#""station-left""#,
        "null",
    ];
    for event in events {
        send(head, event);
    }
    for head in [
        r#""after":1,"at":"soon","who":"MB""#,
        r#""after":1,"at":"2026-02-31T08:00:00Z","who":{}"#,
        r#""after":1,"at":"2026-11-25T99:99:99Z","who":"MB""#,
        r#""after":"x","at":"infinity","who":"MB""#,
        r#""after":-3,"at":null,"who":null"#,
        r#""after":1e30,"at":5,"who":null"#,
        r#""after":1,"at":"2026-11-25T08:00:00Z","who":"\u0000","answer":7"#,
        r#""after":1,"at":"2026-11-25T08:00:00Z","who":null,"answer":{"first":"x","count":[]}"#,
    ] {
        send(head, r#"{"note":{"op":null,"text":"dry"}}"#);
    }
    let good = r#"{"reading":{"op":10,"piece":"a-1","feature":"length","says":{"size":25400000},"typed":"1\u0000","gauge":"rule","uncertainty":0,"low":null,"high":null}}"#;
    send(head, good);
    for view in VIEWS {
        // The whole row, so that every column is worked out.
        lead.done(&format!("select t::text from benchway.{view} t"));
    }
    let read = "select concat(mm, ' ', inches, ' ', verdict, ' ', typed) from benchway.readings
        where feature = 'length'";
    assert_eq!(lead.done(read), ["25.400000 1.0000000 in 1\u{fffd}"]);
    let note = "select said ->> 'text' from benchway.entries where n = 1";
    assert_eq!(lead.done(note), ["\u{fffd} \\u0000 \u{fffd} \u{fffd}\u{fffd}"]);
}

/// Two views are what row security asks: they read with the rights of their owner, and show
/// whoever asks nothing but who they are.
const OF_ROW_SECURITY: [&str; 2] = ["own_hidden", "own_member"];

/// Every view and every column says what it is, and shows whoever asks what they may see.
#[test]
#[ignore = "needs PostgreSQL"]
fn every_view_is_described() {
    let database = Database::make();
    let undescribed = "select c.relname || coalesce('.' || a.attname, '')
        from pg_class c join pg_namespace s on s.oid = c.relnamespace
        left join pg_attribute a on a.attrelid = c.oid and a.attnum > 0
        where s.nspname = 'benchway' and c.relkind = 'v' and (col_description(c.oid, a.attnum) is null
            or obj_description(c.oid, 'pg_class') is null)";
    assert_eq!(database.ask(undescribed), Vec::<String>::new());
    let open = "select relname from pg_class c join pg_namespace s on s.oid = c.relnamespace
        where s.nspname = 'benchway' and relkind = 'v'
            and not coalesce(reloptions @> '{security_invoker=true}', false)
        order by relname";
    assert_eq!(database.ask(open), OF_ROW_SECURITY);
    let leaky = "select relname from pg_class c join pg_namespace s on s.oid = c.relnamespace
        where s.nspname = 'benchway' and relkind = 'v' and relname like 'own\\_%'
            and not coalesce(reloptions @> '{security_barrier=true}', false)";
    assert_eq!(database.ask(leaky), Vec::<String>::new());
    let mut views = database.ask("select viewname from pg_views where schemaname = 'benchway'");
    views.sort();
    let mut expected: Vec<&str> = VIEWS.into_iter().chain(OF_ROW_SECURITY).collect();
    expected.sort();
    assert_eq!(views, expected);
}
