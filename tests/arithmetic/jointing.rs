//! How far a jointer may go: the passes to expect, and after how many the wood
//! runs short for what comes next. Worked out by hand from the bundled shop, in
//! which one pass takes 1/32 in hard wood and flattening takes 1/16 off each
//! face; common practice, no source.

use benchway::plan::{Known, Plan, walk};
use benchway::prose::Level;

use crate::plans::{
    errors, findings_of, inches, outcome, route_of, setting, shop, size, stock, warnings,
};

fn planned(part: &str, operations: &str) -> Plan {
    walk(&route_of("", part, operations), &shop(&[]), &Known::default())
}

fn joint(op: u32, more: &str) -> String {
    format!(
        r#"{{ "op": {op}, "part": "piece", "do": "joint", "at": "jointer", "sides": ["face", "edge"]{more} }}"#
    )
}

fn plane(op: u32, keys: &str) -> String {
    format!(r#"{{ "op": {op}, "part": "piece", "do": "plane", "at": "planer", {keys} }}"#)
}

fn says(plan: &Plan, op: u32, wanted: &str) {
    let steps = &outcome(plan, op).steps;
    assert!(steps.iter().any(|step| step.contains(wanted)), "{wanted}: {steps:?}");
}

/// A leg 1 1/2 thick and planed square to 1.290. A rough face takes 1/16, two
/// passes. The planer cleans the other face, 1/16 more: 1.3525 must be left, and
/// (1.5 - 1.3525) / (1/32) = 4.72, so four passes. The edge is clean after one;
/// across it the planer wants its light pass of 0.025, 1.315, and
/// (1 7/16 - 1.315) / (1/32) = 3.92 are three.
#[test]
fn the_jointer_stops_where_the_planer_needs_the_wood() {
    let leg =
        format!(r#"{}, "thickness": "1.290", "width": "1.290""#, stock("1 1/2", "1 7/16", "21"));
    let operations = [joint(10, ""), plane(20, r#""square": true, "to": "1.290""#)].join(", ");
    let plan = planned(&leg, &operations);
    assert_eq!((errors(&plan).as_str(), warnings(&plan).as_str()), ("", ""));
    says(
        &plan,
        10,
        "the face. Stop when the pencil is gone: expect 2 passes. Still there after 4:",
    );
    says(&plan, 10, "the edge. Stop when the pencil is gone: expect 1 pass. Still there after 3:");
    assert_eq!(size(&plan, 10, "thickness to leave for op 20"), inches("1.3525"));
    assert_eq!(size(&plan, 10, "width to leave for op 20"), inches("1.315"));
    assert_eq!(outcome(&plan, 10).after.most("thickness"), Some(inches("1 7/16")));
    assert_eq!(outcome(&plan, 10).after.most("width"), Some(inches("1 13/32")));
}

/// Milled rough, rested and jointed again: one pass cleans what moved, and the
/// planer takes its light pass of 0.025. Of 7/8, 0.810 + 0.025 = 0.835 must be
/// left: 0.040 / (1/32) = 1.28, one pass.
#[test]
fn a_face_that_was_flat_takes_one_pass() {
    let board = format!(r#"{}, "thickness": "0.810""#, stock("1", "6", "30"));
    let face =
        r#"{ "op": 30, "part": "piece", "do": "joint", "at": "jointer", "sides": ["face"] }"#;
    let operations = [
        joint(10, ""),
        plane(20, r#""to": "7/8""#),
        face.to_owned(),
        plane(40, r#""to": "0.810""#),
    ];
    let plan = planned(&board, &operations.join(", "));
    says(
        &plan,
        10,
        "the face. Stop when the pencil is gone: expect 2 passes. Still there after 2:",
    );
    says(&plan, 30, "expect 1 pass. Still there after 1:");
    assert_eq!(size(&plan, 30, "thickness to leave for op 40"), inches("0.835"));
}

/// A blank 7 3/4 wide for five strips at 1 13/32: 5 x 1 13/32 and four kerfs of
/// 1/8 are 7 17/32, and 7/32 are seven passes. Thick, 1 5/8 less 1 3/8 and
/// 1/16 is 3/16: six passes.
#[test]
fn every_strip_of_a_blank_must_still_come_out_of_it() {
    let part = r#""stock": { "thickness": "1 5/8", "width": "7 3/4", "length": "96", "across": 5 },
        "width": "1 3/8", "thickness": "1 3/8""#;
    let operations = [
        r#"{ "op": 10, "part": "piece", "do": "crosscut", "at": "chop saw", "to": "20", "rough": true, "beside": 5 }"#.to_owned(),
        joint(20, ""),
        r#"{ "op": 30, "part": "piece", "do": "rip", "at": "cabinet saw", "tool": "rip blade", "to": "1 13/32", "strips": 5 }"#.to_owned(),
        r#"{ "op": 40, "part": "piece", "do": "joint", "at": "jointer", "sides": ["edge"] }"#.to_owned(),
        plane(50, r#""to": "1 3/8""#),
    ];
    let plan = planned(part, &operations.join(", "));
    assert_eq!((errors(&plan).as_str(), warnings(&plan).as_str()), ("", ""));
    assert_eq!(size(&plan, 20, "width to leave for op 30"), inches("7 17/32"));
    says(&plan, 20, "the edge. Stop when the pencil is gone: expect 1 pass. Still there after 7:");
    says(
        &plan,
        20,
        "the face. Stop when the pencil is gone: expect 2 passes. Still there after 6:",
    );
    // One pass is what the strip was ripped wider.
    says(&plan, 40, "expect 1 pass. Still there after 1:");
}

/// Three slices of 3/8 and 1/8 to clean up, two kerfs of 1/16 and 1/32 to joint
/// between: 3 x 1/2 + 2 x 3/32 = 1 11/16. From 1 15/16 that is eight passes. To
/// the finished 3/8 alone it would be fifty.
#[test]
fn every_slice_of_a_blank_must_still_come_out_of_it() {
    let part = r#""stock": { "thickness": "1 15/16", "width": "3 1/2", "length": "20", "through": 3 },
        "thickness": "3/8""#;
    let resaw = r#"{ "op": 20, "part": "piece", "do": "resaw", "at": "band saw", "tool": "half inch blade", "slice": "3/8", "rejoint": "1/32" }"#;
    let operations = [joint(10, ""), resaw.to_owned(), plane(30, r#""to": "3/8""#)].join(", ");
    let plan = planned(part, &operations);
    assert_eq!(size(&plan, 10, "thickness to leave for op 20"), inches("1 11/16"));
    says(&plan, 10, "expect 2 passes. Still there after 8:");
}

/// However much wood there is: (6 - 1) x 32 = 160 passes are no number to count to.
#[test]
fn nobody_counts_to_a_hundred_and_sixty() {
    let part = format!(r#"{}, "width": "1""#, stock("1", "6", "20"));
    let plan = planned(&part, &joint(10, ""));
    says(&plan, 10, "the edge. Stop when the pencil is gone: expect 1 pass. Still there after 8:");
}

/// 1 in stock loses 1/16 to the jointer and 1/16 to the planer: 7/8 is left, and
/// 0.900 is too much to ask. Less than the finished size is an error.
#[test]
fn too_little_wood_for_the_next_operation_is_said() {
    let of = |to: &str| {
        let part = format!(r#"{}, "thickness": "0.800""#, stock("1", "6", "20"));
        let keys = format!(r#""to": "{to}""#);
        planned(&part, &[joint(10, ""), plane(20, &keys), plane(30, r#""to": "0.800""#)].join(", "))
    };
    assert_eq!(findings_of(&of("7/8"), 10, Level::Warning), Vec::<&str>::new());
    assert_eq!(
        findings_of(&of("0.900"), 10, Level::Warning),
        [
            "jointing the face takes 1/16 in and leaves 15/16 in, less than the 0.963 in that op 20 needs"
        ]
    );
    says(&of("0.900"), 10, "Not enough wood on the face for 2 passes: see the lead first.");
    let part = format!(r#"{}, "thickness": "31/32""#, stock("1", "6", "20"));
    assert_eq!(
        findings_of(&planned(&part, &joint(10, "")), 10, Level::Error),
        ["jointing the face takes 1/16 in and leaves 15/16 in, less than the finished 31/32 in"]
    );
}

/// What the route says of the defect counts for both sides: 3/32 are three passes.
#[test]
fn a_defect_that_was_measured_counts() {
    let plan = planned(&stock("1", "6", "20"), &joint(10, r#", "defect": "3/32""#));
    assert_eq!(outcome(&plan, 10).passes[0].feeds, 3);
    assert_eq!(outcome(&plan, 10).passes[1].feeds, 3);
    assert_eq!(setting(&plan, 10, "depth").dial_text(), "1/32");
}

const AGAIN: &str = "The marks come off here: mark the face side and the face edge again.";

/// The planer and the sander take the pencil off. The last of them asks for the
/// marks again, and only where something looks for them.
#[test]
fn the_marks_are_made_again_where_later_work_looks_for_them() {
    let sand =
        r#"{ "op": 30, "part": "piece", "do": "sand", "at": "wide-belt sander", "to": "7/8" }"#;
    let layout = r#"{ "op": 40, "part": "piece", "do": "layout", "at": "bench",
        "marks": [ { "name": "shelf", "at": "2", "from": "face edge", "face": "A" } ] }"#;
    let asks = |first: &str, later: &str| {
        let milled = [first, &plane(20, r#""to": "0.915""#), sand].join(", ");
        let plan = planned(&stock("1 1/8", "3", "20"), &format!("{milled}{later}"));
        let asks = |op| outcome(&plan, op).steps.iter().any(|step| step == AGAIN);
        (asks(20), asks(30))
    };
    let later = format!(", {layout}");
    assert_eq!(asks(&joint(10, ""), &later), (false, true));
    assert_eq!(asks(&joint(10, ""), ""), (false, false));
    // Nothing was marked.
    let crosscut = r#"{ "op": 10, "part": "piece", "do": "crosscut", "at": "chop saw", "to": "20", "rough": true }"#;
    assert_eq!(asks(crosscut, &later), (false, false));
}

/// Measuring takes nothing off: the rough face loses 1/16 at the jointer whether it was
/// measured before or not.
#[test]
fn measuring_cleans_no_face() {
    let cleaned = |before: &str| {
        let part = format!(r#""species": "ash", {}"#, crate::plans::stock("1", "4", "30"));
        let joint = r#"{ "op": 20, "part": "piece", "do": "joint", "at": "jointer", "sides": ["face", "edge"] }"#;
        let route = crate::plans::route_of("", &part, &format!("{before}{joint}"));
        let plan = walk(&route, &shop(&[]), &Known::default());
        outcome(&plan, 20).after.most("thickness").unwrap()
    };
    let measure = r#"{ "op": 10, "part": "piece", "do": "measure", "checks": [
        { "check": "thickness", "limits": "±1/8", "with": "calipers", "pieces": "all" } ] }, "#;
    assert_eq!(cleaned(""), inches("15/16"));
    assert_eq!(cleaned(measure), inches("15/16"));
    let rest = r#"{ "op": 10, "part": "piece", "do": "rest", "hours": 14 }, "#;
    assert_eq!(cleaned(rest), inches("15/16"));
}
