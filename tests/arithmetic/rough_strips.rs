//! Strips from a wide rough blank: jointed wide, ripped a little wide, jointed
//! again. Worked out by hand; common practice, no source.

use benchway::operation::{FactAmount, Surface};
use benchway::plan::{Known, Plan, walk};
use benchway::prose::Level;
use serde_json::json;

use crate::plans::{
    fact, findings, findings_of, inches, number, outcome, route_of, setting, shop, size,
};
const WIDE: &str =
    r#""stock": { "thickness": "1 5/8", "width": "7 3/4", "length": "96", "across": 5 }"#;

fn strips(beside: &str, rip: &str) -> String {
    format!(
        r#"{{ "op": 10, "part": "piece", "do": "crosscut", "at": "chop saw", "to": "20", "rough": true{beside} }},
        {{ "op": 20, "part": "piece", "do": "joint", "at": "jointer", "sides": ["face", "edge"] }},
        {{ "op": 30, "part": "piece", "do": "rip", "at": "cabinet saw", "tool": "rip blade", "to": "1 3/8 + 1/32"{rip} }},
        {{ "op": 40, "part": "piece", "do": "joint", "at": "jointer", "sides": ["edge"] }},
        {{ "op": 50, "part": "piece", "do": "plane", "at": "planer", "to": "1 3/8" }}"#
    )
}

fn planned(part: &str, beside: &str, rip: &str) -> Plan {
    walk(&route_of("", part, &strips(beside, rip)), &shop(&[]), &Known::default())
}

/// A board 7 3/4 wide: the jointer takes 1/32 off its edge, 7 23/32. At a fence
/// of 1 13/32 and a kerf of 1/8, (7 23/32 + 1/8) / (1 13/32 + 1/8) = 5.12: five,
/// not four. They take 5 x 1 13/32 + 4 x 1/8 = 7 17/32, and 3/16 is left.
/// Jointed again, each is 1 3/8.
#[test]
fn a_board_of_seven_and_three_quarters_gives_five_strips() {
    let plan = planned(WIDE, r#", "beside": 5"#, r#", "strips": 5"#);
    assert_eq!(findings(&plan, Level::Error), Vec::<&str>::new());
    assert_eq!(outcome(&plan, 10).after.holds(), 5);
    assert_eq!(outcome(&plan, 20).after.holds(), 5);
    assert_eq!(outcome(&plan, 30).after.holds(), 1);
    assert_eq!(setting(&plan, 30, "fence").setting.target.0, inches("1 13/32"));
    assert_eq!(number(&plan, 30, "strips from a blank"), 5);
    assert_eq!(size(&plan, 30, "left beside the last strip"), inches("3/16"));
    let steps = outcome(&plan, 30).steps.join(" ");
    assert!(steps.contains("5 strips from each blank"), "{steps}");
    let cautions = plan.operation(30).unwrap().cautions.join(" ");
    assert!(cautions.contains("Push stick"), "{cautions}");
    // Only the first strip has a jointed edge, so each is jointed again.
    assert!(!outcome(&plan, 30).after.trued.contains(&Surface::Edge));
    assert_eq!(outcome(&plan, 40).after.most("width"), Some(inches("1 3/8")));
    assert!(outcome(&plan, 40).after.trued.contains(&Surface::Edge));
}

/// With 0.035 jointed off before each strip, (7 23/32 + 0.160) / (1 13/32 + 0.160) = 5.03:
/// still five. With 1/16 it is (7 23/32 + 3/16) / (1 13/32 + 3/16) = 4.96, and five would take
/// 5 x 1 13/32 + 4 x 3/16 = 7 25/32.
#[test]
fn what_is_jointed_off_between_strips_counts() {
    let plan = planned(WIDE, r#", "beside": 5"#, r#", "strips": 5, "rejoint": "0.035""#);
    assert_eq!(number(&plan, 30, "strips from a blank"), 5);
    let plan = planned(WIDE, r#", "beside": 5"#, r#", "strips": 5, "rejoint": "1/16""#);
    assert_eq!(
        findings_of(&plan, 30, Level::Error),
        ["a blank 7 23/32 in wide gives 4 strips, and 5 take 7 25/32 in"]
    );
}

/// Six take 6 x 1 13/32 + 5 x 1/8 = 9 1/16.
#[test]
fn what_does_not_come_out_of_the_blank_is_said() {
    let six = WIDE.replace("\"across\": 5", "\"across\": 6");
    let plan = planned(&six, r#", "beside": 6"#, r#", "strips": 6"#);
    assert_eq!(
        findings_of(&plan, 30, Level::Error),
        ["a blank 7 23/32 in wide gives 5 strips, and 6 take 9 1/16 in"]
    );
    let plan = planned(WIDE, r#", "beside": 4"#, r#", "strips": 5"#);
    assert_eq!(
        findings_of(&plan, 10, Level::Error),
        ["4 lie side by side here, but 5 in the part's stock"]
    );
    assert_eq!(
        findings_of(&plan, 30, Level::Error),
        ["5 strips are ripped, but the rough crosscut leaves 4 side by side"]
    );
}

/// Nothing rough goes to the fence, and strips come apart before the finished
/// length is cut.
#[test]
fn strips_are_ripped_from_a_jointed_blank_and_before_the_length() {
    let operations = r#"
        { "op": 10, "part": "piece", "do": "crosscut", "at": "chop saw", "to": "20", "rough": true, "beside": 5 },
        { "op": 20, "part": "piece", "do": "rip", "at": "cabinet saw", "tool": "rip blade", "to": "1 13/32", "strips": 5 }"#;
    let plan = walk(&route_of("", WIDE, operations), &shop(&[]), &Known::default());
    assert_eq!(findings_of(&plan, 20, Level::Error), ["no true edge to run against the fence"]);
    let operations = r#"
        { "op": 10, "part": "piece", "do": "crosscut", "at": "chop saw", "to": "20", "rough": true, "beside": 5 },
        { "op": 20, "part": "piece", "do": "crosscut", "at": "stop saw", "to": "19" }"#;
    let plan = walk(&route_of("", WIDE, operations), &shop(&[]), &Known::default());
    assert_eq!(
        findings_of(&plan, 20, Level::Error),
        ["5 pieces still lie side by side in each blank"]
    );
}

#[test]
fn without_a_kerf_the_count_is_unknown() {
    let bare =
        shop(&[("/machines/cabinet saw/tools", json!({ "rip blade": { "gullet": "1/4" } }))]);
    let operations = strips(r#", "beside": 5"#, r#", "strips": 5"#);
    let plan = walk(&route_of("", WIDE, &operations), &bare, &Known::default());
    assert_eq!(fact(&plan, 30, "strips from a blank"), FactAmount::Unknown);
}
