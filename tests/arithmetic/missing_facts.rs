//! What a shop file or a route leaves out is asked for, and never taken as
//! zero. Numbers are worked out by hand; common practice, no source.

use benchway::measure::Length;
use benchway::operation::{FactAmount, MayOverride};
use benchway::plan::{Known, Plan, walk};
use benchway::prose::Level;
use benchway::shop::Shop;
use serde_json::json;

use crate::plans::{fact, findings, findings_of, inches, outcome, route_of, shop, size, stock};

/// The blades and bits of the bundled shop, without what they cut.
fn no_kerf() -> Shop {
    shop(&[
        ("/machines/tenon saw/tools/tenon blade", json!({})),
        ("/machines/cabinet saw/tools", json!({ "rip blade": { "gullet": "1/4" } })),
        ("/machines/stop saw/tools/crosscut blade", json!({})),
        ("/machines/stop saw/length_stop", json!("set-off-block")),
        ("/machines/chop saw/tools/crosscut blade", json!({})),
        ("/machines/band saw/tools", json!({ "half inch blade": {} })),
        ("/machines/saw and sled/tools/combination blade", json!({ "gullet": "1/4" })),
    ])
}

fn planned(shop: &Shop, operations: &str) -> Plan {
    let part = format!(r#""species": "ash", {}"#, stock("7/8", "6", "30"));
    let joint = r#"{ "op": 5, "part": "piece", "do": "joint", "at": "jointer", "sides": ["face", "edge"] }"#;
    walk(&route_of("", &part, &format!("{joint}, {operations}")), shop, &Known::default())
}

fn asks(plan: &Plan, op: u32, level: Level, what: &str, fix: &str) {
    let found = &plan.operation(op).unwrap().findings;
    let says = found.iter().any(|finding| {
        finding.level == level && finding.what == what && finding.help.as_deref() == Some(fix)
    });
    assert!(says, "{what} ({fix}): {found:#?}");
}

/// Each setting and count that needs the kerf, at a machine whose file leaves
/// it out: unknown, and the key is named. With a kerf of nothing the spacer
/// below would be the tenon itself, 3/8 - 0.004 = 0.371, and the tenon 1/8 thin.
#[test]
fn what_needs_an_unknown_kerf_is_unknown_and_the_key_is_named() {
    let cases = [
        (
            r#""do": "tenon", "at": "tenon saw", "mortise_width": "3/8", "clearance": "0.004", "mortise_from_face": "1/4", "setback": "0", "length": "1", "method": "one-face""#,
            "spacer for tenon and kerf",
            Level::Error,
            ("tenon blade", "tenon saw"),
        ),
        (
            r#""do": "rip", "at": "cabinet saw", "to": "1 3/4", "board": "6""#,
            "strips from a board",
            Level::Warning,
            ("rip blade", "cabinet saw"),
        ),
        (
            r#""do": "crosscut", "at": "stop saw", "to": "20""#,
            "stop",
            Level::Error,
            ("crosscut blade", "stop saw"),
        ),
        (
            r#""do": "crosscut", "at": "chop saw", "to": "9", "rough": true, "gang": 3"#,
            "stop",
            Level::Error,
            ("crosscut blade", "chop saw"),
        ),
        (
            r#""do": "crosscut", "at": "chop saw", "to": "9", "rough": true, "board": "96""#,
            "lengths from a board",
            Level::Warning,
            ("crosscut blade", "chop saw"),
        ),
        (
            r#""do": "resaw", "at": "band saw", "slice": "1/4""#,
            "last slab",
            Level::Error,
            ("half inch blade", "band saw"),
        ),
        (
            r#""do": "half lap", "at": "saw and sled", "width": "2", "from_end": "6""#,
            "stop, near shoulder",
            Level::Error,
            ("combination blade", "saw and sled"),
        ),
        (
            r#""do": "half lap", "at": "saw and sled", "width": "2""#,
            "stop",
            Level::Error,
            ("combination blade", "saw and sled"),
        ),
        (
            r#""do": "groove", "at": "cabinet saw", "panel": "1/4", "depth": "3/8", "from_edge": "3/8""#,
            "cuts",
            Level::Error,
            ("rip blade", "cabinet saw"),
        ),
        (
            r#""do": "rows", "at": "stop saw", "columns": "4", "rows": "4", "panel_width": "6""#,
            "rows the length allows",
            Level::Error,
            ("crosscut blade", "stop saw"),
        ),
    ];
    for (keys, what, level, (tool, at)) in cases {
        let plan = planned(&no_kerf(), &format!(r#"{{ "op": 10, "part": "piece", {keys} }}"#));
        assert_eq!(fact(&plan, 10, what), FactAmount::Unknown, "{keys}");
        assert!(outcome(&plan, 10).settings.iter().all(|setting| setting.name != what), "{keys}");
        asks(
            &plan,
            10,
            level,
            &format!("the shop file doesn't say how wide the {tool} of the {at} cuts"),
            &format!("add `kerf` to the tool `{tool}` of the machine `{at}`"),
        );
    }
}

/// By hand: 3/8 less 0.004 is a tenon of 0.371; with a kerf of 1/8 the spacer
/// is 0.496. A stop on the kept side needs no kerf.
#[test]
fn with_the_kerf_the_setting_is_there_and_nothing_is_asked() {
    let bundled = shop(&[]);
    let plan = planned(
        &bundled,
        r#"{ "op": 10, "part": "piece", "do": "tenon", "at": "tenon saw", "mortise_width": "3/8", "clearance": "0.004", "mortise_from_face": "1/4", "setback": "0", "length": "1", "method": "one-face" }"#,
    );
    assert_eq!(size(&plan, 10, "spacer for tenon and kerf"), inches("0.496"));
    let kept = shop(&[("/machines/stop saw/tools/crosscut blade", json!({}))]);
    let plan = planned(
        &kept,
        r#"{ "op": 10, "part": "piece", "do": "crosscut", "at": "stop saw", "to": "20" }"#,
    );
    assert!(findings(&plan, Level::Error).is_empty(), "{plan:#?}");
    assert_eq!(outcome(&plan, 10).settings[0].setting.target.0, Length::INCH * 20);
}

/// One finding for each machine and key of a plan, however many operations
/// need it; each operation still says it where somebody stands at the machine.
#[test]
fn a_plan_asks_for_each_key_once() {
    let rip = |op, to| {
        format!(
            r#"{{ "op": {op}, "part": "piece", "do": "rip", "at": "cabinet saw", "to": "{to}", "board": "6" }}"#
        )
    };
    let plan = planned(&no_kerf(), &[rip(10, "5"), rip(20, "4"), rip(30, "3")].join(", "));
    let asked = findings(&plan, Level::Warning);
    let kerfs = asked.iter().filter(|what| what.contains("how wide")).count();
    assert_eq!(kerfs, 1, "{asked:?}");
    for op in [10, 20, 30] {
        assert_eq!(findings_of(&plan, op, Level::Warning).len(), 1);
    }
}

/// A machine without limits of its own: the trade's hold (planer 1/4 in thick,
/// drum 1/8, 12 in long; common practice, no source), the keys are named, and a
/// lead who knows the machine may go on.
#[test]
fn without_limits_of_its_own_a_machine_gets_those_of_the_trade() {
    let bare = shop(&[
        (
            "/machines/jointer",
            json!({ "kind": "jointer", "readouts": { "depth": { "step": "1/32", "shows": "fraction" } } }),
        ),
        (
            "/machines/planer",
            json!({ "kind": "planer", "readouts": { "table": { "step": "0.005", "shows": "decimal" } } }),
        ),
        (
            "/machines/drum sander",
            json!({ "kind": "thickness-sander", "readouts": { "table": { "step": "0.001", "shows": "decimal" } },
                "tools": { "80 roll": { "grit": 80, "need": "0.008" } } }),
        ),
    ]);
    let operations = r#"
        { "op": 10, "part": "piece", "do": "joint", "at": "jointer", "sides": ["face"] },
        { "op": 20, "part": "piece", "do": "plane", "at": "planer", "to": "3/16" },
        { "op": 30, "part": "piece", "do": "sand", "at": "drum sander", "to": "1/16" }"#;
    let route = |thick, long| route_of("", &stock(thick, "3", long), operations);
    let plan = walk(&route("1/4", "5"), &bare, &Known::default());
    let short = |at| format!("piece too short for the {at}: 5 in, but at least 12 in is needed");
    for (op, at) in [(10, "jointer"), (20, "planer"), (30, "drum sander")] {
        let errors = findings_of(&plan, op, Level::Error);
        assert!(errors.contains(&short(at).as_str()), "{errors:?}");
        asks(
            &plan,
            op,
            Level::Warning,
            &format!(
                "the shop file doesn't say how short a piece the {at} takes: 12 in holds here"
            ),
            &format!("add `shortest` to the machine `{at}`, from its manual"),
        );
        asks(
            &plan,
            op,
            Level::Warning,
            &format!(
                "the shop file doesn't say how much one pass at the {at} may take: light passes hold here"
            ),
            &format!("add `most_cut` to the machine `{at}`, from its manual"),
        );
        let limits = plan.operation(op).unwrap().findings.iter();
        let short = limits.filter(|finding| finding.what.contains("too short"));
        assert!(short.into_iter().all(|f| f.place.may_override == MayOverride::Lead));
    }
    // 1/4 less the 1/16 that a rough face takes at the jointer is 3/16: under the 1/4.
    let thin = "piece too thin for the planer: 3/16 in, but at least 1/4 in is needed";
    assert!(findings_of(&plan, 20, Level::Error).contains(&thin), "{plan:#?}");
    for (op, at, least) in [(20, "planer", "1/4 in"), (30, "drum sander", "1/8 in")] {
        asks(
            &plan,
            op,
            Level::Warning,
            &format!(
                "the shop file doesn't say how thin a piece the {at} takes: {least} holds here"
            ),
            &format!("add `thinnest` to the machine `{at}`, from its manual"),
        );
    }
    // The bundled shop says all of it.
    let plan = walk(&route("7/8", "30"), &shop(&[]), &Known::default());
    let asked = findings(&plan, Level::Warning).join("; ");
    assert!(!asked.contains("the shop file"), "{asked}");
}

/// Without a gullet and a fixed height the blade stands 1/4 in or 6 mm above
/// the wood, and the finding names tool and machine.
#[test]
fn a_blade_without_gullets_names_the_tool() {
    let bare = shop(&[("/machines/cabinet saw/tools", json!({ "rip blade": { "kerf": "1/8" } }))]);
    let plan = planned(
        &bare,
        r#"{ "op": 10, "part": "piece", "do": "rip", "at": "cabinet saw", "to": "2" }"#,
    );
    asks(
        &plan,
        10,
        Level::Warning,
        "the shop file gives the cabinet saw no gullet depth for the rip blade and no fixed height",
        "add `gullet` to the tool `rip blade` or `blade_rule` to the machine `cabinet saw`",
    );
}
