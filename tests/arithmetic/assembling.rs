//! Marking out, resting, fitting dry, gluing and finishing against numbers
//! worked out by hand. Where no source stands beside one, it is common
//! practice, no source.

use benchway::measure::{Length, SafeSide};
use benchway::operation::{FactAmount, rock};
use benchway::plan::{Known, Plan, walk};
use benchway::prose::Level;
use benchway::route::Route;
use proptest::prelude::*;

use crate::plans::{fact, inches, number, outcome, shop, size, try_route_of};

fn read(stock: &str, operations: &str) -> Result<Route, String> {
    try_route_of("in", "", &format!(r#""stock": {{ {stock} }}"#), operations)
}

fn plan(stock: &str, operations: &str) -> Plan {
    let route = read(stock, operations).unwrap_or_else(|problems| panic!("{problems}"));
    walk(&route, &shop(&[]), &Known::default())
}

/// One operation, numbered ten.
fn one(stock: &str, what: &str) -> Plan {
    plan(stock, &operation(10, what))
}

fn operation(op: u32, what: &str) -> String {
    format!(r#"{{ "op": {op}, "part": "piece", {what} }}"#)
}

fn refusal(what: &str) -> String {
    read("", &operation(10, what)).expect_err("this must not be read")
}

fn minutes(plan: &Plan, what: &str) -> u32 {
    match fact(plan, 10, what) {
        FactAmount::Minutes(minutes) => minutes,
        other => panic!("{what}: {other:?}"),
    }
}

/// What was found, worst first, each with what to do.
fn found(plan: &Plan, level: Level) -> Vec<String> {
    let findings = plan.all_findings().filter(|finding| finding.level == level);
    findings
        .map(|finding| format!("{}; {}", finding.what, finding.help.as_deref().unwrap_or("")))
        .collect()
}

fn clean(plan: &Plan) {
    assert_eq!(plan.all_findings().collect::<Vec<_>>(), Vec::<&benchway::plan::PlanFinding>::new());
}

const LEG: &str = r#""thickness": "1 1/2", "width": "1 1/2", "length": "20""#;

const MARKS: &str = r#""do": "layout", "marks": [
    { "name": "stretcher mortise, foot", "at": "4", "from": "other end", "face": "B" },
    { "name": "rail mortise, top", "at": "3/8", "face": "A" },
    { "name": "stretcher mortise, top", "at": "14 1/2", "face": "B" },
    { "name": "rail mortise, foot", "at": "3/8 + 1 3/4", "face": "A" }
]"#;

/// 3/8 + 1 3/4 = 2 1/8; four inches from the foot of a leg of twenty are
/// sixteen from its top: each runs from the top, none from the mark before.
#[test]
fn marks_run_from_one_end() {
    let plan = one(LEG, MARKS);
    clean(&plan);
    let marks: Vec<(&str, FactAmount)> =
        outcome(&plan, 10).facts.iter().map(|fact| (fact.what.as_str(), fact.is)).collect();
    let running = [
        ("rail mortise, top on A, from the end", "3/8"),
        ("rail mortise, foot on A, from the end", "2 1/8"),
        ("stretcher mortise, top on B, from the end", "14 1/2"),
        ("stretcher mortise, foot on B, from the end", "16"),
    ];
    assert_eq!(marks, running.map(|(what, at)| (what, FactAmount::Size(inches(at)))));
    // A check of a mark is judged around where it belongs.
    assert_eq!(outcome(&plan, 10).after.most("stretcher mortise, foot"), Some(inches("16")));
    assert_eq!(outcome(&plan, 10).after.most("length"), Some(inches("20")));
}

#[test]
fn a_check_of_a_mark_knows_where_it_belongs() {
    let check = r#", "checks": [ { "check": "rail mortise, top", "kind": "length",
        "limits": "±1/64", "with": "calipers", "pieces": "all" } ]"#;
    let plan = one(LEG, &format!("{MARKS} {check}"));
    let operation = &plan.operations[0];
    assert_eq!(operation.groups[0].limits[0].target, Some(inches("3/8")));
    assert_eq!(operation.checks[0].safe, SafeSide::Neither);
}

fn mark(at: &str, from: &str) -> String {
    format!(
        r#""do": "layout", "marks": [ {{ "name": "line", "at": "{at}", "from": "{from}", "face": "all" }} ]"#
    )
}

#[test]
fn a_mark_has_to_lie_on_the_piece() {
    for (at, from, inside) in [
        ("20", "end", true),
        ("20 1/64", "end", false),
        ("0", "end", true),
        ("1/4 - 1/2", "end", false),
        ("20 1/64", "other end", false),
        ("20", "other end", true),
        ("1 1/2", "face side", true),
        ("1 33/64", "face side", false),
        ("1 33/64", "face edge", false),
    ] {
        let errors = found(&one(LEG, &mark(at, from)), Level::Error);
        assert_eq!(errors.is_empty(), inside, "{at} from the {from}: {errors:?}");
    }
    // The size is unknown, so nothing is reported about it.
    clean(&one("", &mark("90", "end")));
}

#[test]
fn marks_from_a_face_want_it_true() {
    let plan = one(LEG, &mark("1/2", "face edge"));
    assert_eq!(
        found(&plan, Level::Warning),
        ["no true face edge to mark from; joint it first and mark it as the reference"]
    );
    let joint = r#""do": "joint", "at": "jointer", "sides": ["face", "edge"]"#;
    let both = [operation(10, joint), operation(20, &mark("1/2", "face edge"))].join(", ");
    assert_eq!(found(&plan_of(&both), Level::Warning), Vec::<String>::new());
}

fn plan_of(operations: &str) -> Plan {
    plan(LEG, operations)
}

#[test]
fn marks_are_read_strictly() {
    let named = |name: &str| {
        format!(
            r#""do": "layout", "marks": [ {{ "name": "a", "at": "1", "face": "A" }},
            {{ "name": "{name}", "at": "1", "face": "A" }} ]"#
        )
    };
    assert!(refusal(&named("a")).contains("two marks have this name"));
    assert!(refusal(&named(" ")).contains("a mark needs a name"));
    assert!(refusal(&named("length")).contains("this is a size of the piece"));
    assert!(refusal(r#""do": "layout", "marks": []"#).contains("1 to 100 marks"));
    let crooked = r#""do": "layout", "marks": [ { "name": "a", "at": "1 +", "face": "A" } ]"#;
    assert!(refusal(crooked).contains("marks"));
    let unknown = r#""do": "layout", "marks": [ { "name": "a", "at": "1", "faces": "A" } ]"#;
    assert!(refusal(unknown).contains("faces"));
    assert!(refusal(&mark("no_such_dimension", "end")).contains("no dimension is called"));
}

#[test]
fn thickness_work_after_marking_is_warned_of() {
    let layout = operation(10, MARKS);
    let plane = operation(20, r#""do": "plane", "at": "planer", "to": "1 3/8""#);
    let wrong = plan_of(&format!("{layout}, {plane}"));
    let warnings = found(&wrong, Level::Warning);
    assert!(warnings.iter().any(|said| said.contains("after layout")), "{warnings:?}");
    let layout = operation(30, MARKS);
    let right = plan_of(&format!("{plane}, {layout}"));
    let warnings = found(&right, Level::Warning);
    assert!(!warnings.iter().any(|said| said.contains("after layout")), "{warnings:?}");
}

/// 20 x 15 has a diagonal of 25; 1/16 x 25 / (2 x 20) = 0.0390625.
#[test]
fn diagonals_of_a_frame_and_the_rack_they_mean() {
    let plan = one("", r#""do": "dry fit", "wide": "20", "deep": "15", "diagonals": "1/16""#);
    clean(&plan);
    assert_eq!(size(&plan, 10, "diagonal"), inches("25"));
    assert_eq!(size(&plan, 10, "most the diagonals may differ"), inches("1/16"));
    let rack = size(&plan, 10, "rack at that difference");
    // 0.0390625 x 25.4 mm = 0.9921875 mm.
    assert_eq!(rack, Length::from_nanometres(992_188));
    // Left out, 1/32.
    let plan = one("", r#""do": "dry fit", "wide": "20", "deep": "15""#);
    assert_eq!(size(&plan, 10, "most the diagonals may differ"), inches("1/32"));
}

/// Common practice, no source: a slip of paper, 0.004, where the route says
/// nothing; where its check allows more, the step allows no less.
#[test]
fn a_dry_fit_asks_for_the_gap_the_route_allows() {
    let asked = |more: &str| {
        let plan = one("", &format!(r#""do": "dry fit", "wide": "20", "deep": "15"{more}"#));
        clean(&plan);
        outcome(&plan, 10).steps[1].clone()
    };
    assert_eq!(asked(""), "A feeler of 0.004 in enters no visible joint.");
    assert_eq!(asked(r#", "gap": "0.008""#), "A feeler of 0.008 in enters no visible joint.");
}

fn legs(lengths: &str) -> Plan {
    one("", &format!(r#""do": "dry fit", "wide": "20", "deep": "15", "legs": [{lengths}]"#))
}

/// 29.250 + 29.262 = 58.512 against 29.238 + 29.246 = 58.484: 0.028. With
/// the longest and the shortest opposite, 58.500 against 58.496: 0.004.
#[test]
fn four_legs_rock_least_with_the_longest_opposite_the_shortest() {
    let plan = legs(r#""29.250", "29.238", "29.262", "29.246""#);
    assert_eq!(size(&plan, 10, "rock, legs as named"), inches("0.028"));
    assert_eq!(size(&plan, 10, "rock, longest and shortest on one diagonal"), inches("0.004"));
    assert_eq!(
        found(&plan, Level::Warning),
        ["these legs rock 0.028 in; longest and shortest on one diagonal: they rock 0.004 in then"]
    );
    let plan = legs(r#""29.262", "29.250", "29.238", "29.246""#);
    assert_eq!(size(&plan, 10, "rock, legs as named"), inches("0.004"));
    clean(&plan);
}

#[test]
fn a_dry_fit_is_read_strictly() {
    let three = r#""do": "dry fit", "wide": "20", "deep": "15", "legs": ["1", "1", "1"]"#;
    assert!(refusal(three).contains("3 legs"));
    let flat = one("", r#""do": "dry fit", "wide": "20", "deep": "0""#);
    assert_eq!(found(&flat, Level::Error).len(), 1);
    let loose = one("", r#""do": "dry fit", "wide": "20", "deep": "15", "diagonals": "16""#);
    assert_eq!(found(&loose, Level::Error).len(), 1);
}

fn glue(joints: u32, open: &str, more: &str) -> Plan {
    one(
        "",
        &format!(
            r#""do": "glue", "at": "glue bench", "open_minutes": {open}, "closing_minutes": 2,
            "seconds_per_joint": 45, "joints": {joints} {more}"#
        ),
    )
}

/// (5 - 2) x 60 / 45 = 4.
#[test]
fn joints_within_the_open_time() {
    let plan = glue(4, "5", r#", "clamps": 6"#);
    clean(&plan);
    assert_eq!(number(&plan, 10, "joints in one go"), 4);
    assert_eq!(number(&plan, 10, "clamps"), 6);
    assert!(plan.operations[0].cant_be_undone);
    // 2 + 44/60 minutes are a second short of one joint, 2.75 just enough.
    assert_eq!(number(&glue(1, "2.75", ""), 10, "joints in one go"), 1);
    assert_eq!(number(&glue(1, "2.74", ""), 10, "joints in one go"), 0);
}

#[test]
fn more_joints_than_that_are_split_ends_first() {
    let errors = found(&glue(8, "5", ""), Level::Error);
    assert_eq!(
        errors,
        ["8 joints, and the open time is enough for 4 in one go; glue in 2 goes (4 + 4): \
            the ends as frames first, then what joins them; or a slower glue"]
    );
    assert!(found(&glue(9, "5", ""), Level::Error)[0].contains("3 goes (3 + 3 + 3)"));
    assert!(found(&glue(10, "5", ""), Level::Error)[0].contains("3 goes (4 + 3 + 3)"));
    assert!(found(&glue(1, "2", ""), Level::Error)[0].contains("skins over"));
}

/// 30 to 60 minutes in the clamps where nothing strains the joint; not
/// strained for 24 hours: glue maker's guide (blog.eroko.com, seen).
#[test]
fn glued_pieces_wait_until_the_joints_may_be_strained() {
    let plan = glue(4, "5", "");
    assert_eq!(minutes(&plan, "time in the clamps"), 60);
    assert_eq!(minutes(&plan, "time until the joints may be strained"), 24 * 60);
    assert_eq!(outcome(&plan, 10).wait.as_ref().unwrap().minutes, 24 * 60);
    // The label wins.
    let plan = glue(4, "5", r#", "clamp_minutes": 90, "cure_hours": 1, "coldest": "50 F""#);
    assert_eq!(outcome(&plan, 10).wait.as_ref().unwrap().minutes, 90);
    assert!(outcome(&plan, 10).steps.iter().any(|step| step.contains("warmer than 50 F")));
}

#[test]
fn glue_is_read_strictly() {
    let glue = |open: &str, joints: &str| {
        refusal(&format!(
            r#""do": "glue", "at": "glue bench", "open_minutes": {open}, "closing_minutes": 2,
            "seconds_per_joint": 45, "joints": {joints}"#
        ))
    };
    assert!(glue("-5", "4").contains("greater than zero"));
    assert!(glue("1e300", "4").contains("no more than"));
    assert!(glue("5", "0").contains("at least one joint"));
}

fn finish(more: &str) -> Plan {
    one("", &format!(r#""do": "finish", "at": "finish room", "recoat_hours": 4 {more}"#))
}

/// 3 x 0.0012 = 0.0036 a face, two faces 0.0072: 0.0625 - 0.0072 = 0.0553.
#[test]
fn finish_uses_up_clearance() {
    let plan = finish(r#", "coats": 3, "gap": "1/16", "faces": 2, "makes": "drawer""#);
    clean(&plan);
    assert_eq!(size(&plan, 10, "film on a face"), inches("0.0036"));
    assert_eq!(size(&plan, 10, "clearance left"), inches("0.0553"));
    assert_eq!(outcome(&plan, 10).after.most("drawer gap"), Some(inches("0.0553")));
    assert_eq!(minutes(&plan, "time between coats"), 240);
}

/// The oil finish of a label: four to six hours (paleamber.net, seen); the
/// route copies it, for the can's own label always wins.
#[test]
fn coats_wait_for_each_other_and_for_the_last() {
    let plan = finish(r#", "coats": 3"#);
    assert_eq!(outcome(&plan, 10).wait.as_ref().unwrap().minutes, 240);
    let apart = |plan: &Plan, words: &str| outcome(plan, 10).steps.iter().any(|step| step == words);
    assert!(apart(&plan, "3 coats, 4 hours apart."), "{:?}", outcome(&plan, 10).steps);
    assert!(!outcome(&finish(r#", "coats": 1"#), 10).steps.join(" ").contains("apart"));
    let plan = finish(r#", "coats": 3, "cure_hours": 72"#);
    assert_eq!(outcome(&plan, 10).wait.as_ref().unwrap().minutes, 72 * 60);
    let rags = |caution: &String| caution.contains("rags") && caution.contains("alight");
    assert!(plan.operations[0].cautions.iter().any(rags));
}

#[test]
fn a_gap_that_closes_is_an_error() {
    // 1/64 = 0.015625 is just left of 1/64 + 2 x 3 x 0.0012 = 0.022825.
    clean(&finish(r#", "coats": 3, "gap": "0.022825", "faces": 2"#));
    let errors = found(&finish(r#", "coats": 3, "gap": "0.0228", "faces": 2"#), Level::Error);
    assert!(errors[0].contains("a sliding fit needs at least"), "{errors:?}");
    let bare = found(&finish(r#", "coats": 3, "gap": "1/16""#), Level::Warning);
    assert!(bare[0].contains("\"faces\": 2"), "{bare:?}");
}

#[test]
fn finish_is_read_strictly() {
    let finish = |more: &str| refusal(&format!(r#""do": "finish", "at": "finish room", {more}"#));
    assert!(finish(r#""coats": 0, "recoat_hours": 4"#).contains("1 to 50 coats"));
    assert!(finish(r#""coats": 2"#).contains("recoat_hours"));
    assert!(finish(r#""coats": 2, "recoat_hours": 0"#).contains("time to wait"));
    assert!(finish(r#""coats": 2, "recoat_hours": 4, "faces": 9"#).contains("8 faces"));
}

#[test]
fn wood_rests_overnight_and_its_witness_pieces_are_measured_again() {
    let plan = one(LEG, r#""do": "rest", "hours": 16"#);
    clean(&plan);
    assert_eq!(outcome(&plan, 10).wait.as_ref().unwrap().minutes, 16 * 60);
    assert_eq!(number(&plan, 10, "witness pieces"), 2);
    assert_eq!(outcome(&plan, 10).after, plan.operations[0].groups[0].before);
    let plan = one(LEG, r#""do": "rest", "minutes": 90, "witnesses": 0"#);
    assert_eq!(outcome(&plan, 10).wait.as_ref().unwrap().minutes, 90);
    assert!(!outcome(&plan, 10).steps.iter().any(|step| step.contains("witness")));
    for bad in [r#""do": "rest""#, r#""do": "rest", "hours": 1, "minutes": 60"#] {
        assert!(refusal(bad).contains("either `hours` or `minutes`"));
    }
    assert!(refusal(r#""do": "rest", "hours": -1"#).contains("time to wait"));
    assert!(refusal(r#""do": "rest", "hours": 1e300"#).contains("time to wait"));
}

#[test]
fn steps_are_short_enough_to_read_at_the_bench() {
    let plans = [
        one(LEG, MARKS),
        one(LEG, r#""do": "rest", "hours": 16"#),
        legs(r#""29.250", "29.238", "29.262", "29.246""#),
        glue(4, "5", r#", "clamps": 6"#),
        finish(r#", "coats": 3, "gap": "1/16", "faces": 2"#),
    ];
    for step in plans.iter().flat_map(|plan| &outcome(plan, 10).steps) {
        assert!(step.chars().count() <= 70, "{step}");
    }
}

proptest! {
    /// The first leg named and the direction round the base don't matter.
    #[test]
    fn rock_is_the_same_from_every_corner(lengths in proptest::array::uniform4(28_000i64..30_000)) {
        let [a, b, c, d] = lengths.map(Length::thousandths);
        prop_assert_eq!(rock([a, b, c, d]), rock([b, c, d, a]));
        prop_assert_eq!(rock([a, b, c, d]), rock([d, c, b, a]));
    }

    /// The goes hold all joints, and one go fewer would not.
    #[test]
    fn goes_hold_all_joints(joints in 1u32..60, open in 3u32..30) {
        let plan = glue(joints, &open.to_string(), "");
        let in_one = number(&plan, 10, "joints in one go");
        // By hand in whole seconds.
        prop_assert_eq!(in_one, i64::from((open * 60 - 120) / 45));
        let errors = found(&plan, Level::Error);
        prop_assert_eq!(errors.is_empty(), i64::from(joints) <= in_one);
    }

    /// None of these operations changes the size of a piece.
    #[test]
    fn the_wood_stays_as_it_is(length in 1i64..100, at in 0i64..100) {
        let stock = format!(r#""thickness": "1", "width": "2", "length": "{length}""#);
        for what in [mark(&at.to_string(), "end"), r#""do": "rest", "hours": 9"#.to_owned()] {
            let plan = one(&stock, &what);
            let before = &plan.operations[0].groups[0].before;
            for (feature, extent) in &before.sizes {
                prop_assert_eq!(outcome(&plan, 10).after.size(feature), Some(*extent));
            }
        }
    }
}

/// Hand work and rest have no verb of their own; a machine cuts.
#[test]
fn what_is_only_measured_afterwards_is_not_said_to_be_cut() {
    let verb = |what: &str| {
        let operation = format!(r#"{{ "op": 10, "part": "piece", {what} }}"#);
        let route = try_route_of("in", "", LEG, &operation).unwrap();
        route.steps[0].what.does()
    };
    assert_eq!(verb(r#""do": "rest", "hours": 16"#), None);
    assert_eq!(verb(r#""do": "hand", "at": "bench", "say": ["Look at it."]"#), None);
    assert_eq!(verb(r#""do": "crosscut", "at": "stop saw", "to": "12""#), Some("Cut"));
}
