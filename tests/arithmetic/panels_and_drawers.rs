//! Panels, rows, grooves, profiles and drawers against numbers worked out by
//! hand. Where no source stands beside one, it is common practice, no source.

use benchway::measure::Length;
use benchway::operation::{FactAmount, MayOverride};
use benchway::plan::{Known, MadeOver, MadeValue, Plan, walk};
use benchway::prose::Level;
use benchway::shop::Shop;
use proptest::prelude::*;

use crate::plans::{
    self, as_decimal, fact, findings_of, in_thousandths, inches, number, outcome, route_of,
    setting, shop, try_route_of,
};

/// A scale of a thousandth, so that the dial equals the size wanted.
fn fine(pointer: &str) -> (&str, serde_json::Value) {
    (pointer, serde_json::json!({ "step": "0.001", "shows": "decimal" }))
}

/// Every problem of a route that must be refused.
fn refused(part: &str, operations: &str) -> String {
    try_route_of("in", "", part, operations).err().unwrap_or_default()
}

fn op(keys: &str) -> String {
    format!(r#"{{ "op": 10, "part": "piece", {keys} }}"#)
}

fn part(species: &str, [thickness, width, length]: [&str; 3], finished: &str) -> String {
    let sizes = [("thickness", thickness), ("width", width), ("length", length)];
    let stock: Vec<String> = sizes
        .iter()
        .filter(|(_, size)| !size.is_empty())
        .map(|(name, size)| format!(r#""{name}": "{size}""#))
        .collect();
    let comma = if finished.is_empty() { "" } else { "," };
    format!(r#""species": "{species}", "stock": {{ {} }}{comma} {finished}"#, stock.join(", "))
}

fn planned(part: &str, keys: &str) -> Plan {
    walk(&route_of("", part, &op(keys)), &shop(&[]), &Known::default())
}

fn errors(plan: &Plan) -> String {
    findings_of(plan, 10, Level::Error).join("; ")
}

fn warnings(plan: &Plan) -> String {
    findings_of(plan, 10, Level::Warning).join("; ")
}

/// A fact that is a length, in thousandths of an inch.
fn size(plan: &Plan, what: &str) -> i64 {
    in_thousandths(plans::size(plan, 10, what))
}

const LID: [&str; 3] = ["0.8", "", "27 1/2"];
const LID_BOARDS: &str = r#""do": "panel", "at": "glue bench", "pattern": "plain", "boards": ["3.9", "4.1", "3.75", "3.6"], "loss": "1/32""#;

/// 3.9 + 4.1 + 3.75 + 3.6 = 15.35, less 8 edges of 1/32 = 15.10, against
/// 14 1/2 and 1/4 on each side = 15.00. 27.5 / 8 = 3.4: four, and one more.
/// 0.8 x 27.5 = 22 square inches, at 175 to 250 psi (a magazine's quote of a
/// glue maker, for hardwood) 3850 to 5500 lb, 770 from each of five.
/// Movement: Wood Handbook, FPL-GTR-190 (2010), Table 13-5, hard maple
/// 0.00353: 14.5 x 0.00353 x 4 = 0.205.
#[test]
fn a_chest_lid_of_four_boards() {
    let keys = format!(r#"{LID_BOARDS}, "points": "4""#);
    let plan = planned(&part("hard maple", LID, r#""width": "14 1/2""#), &keys);
    assert_eq!(size(&plan, "width out of the clamps"), 15_100);
    assert_eq!(outcome(&plan, 10).after.most("width"), Some(inches("15.1")));
    assert_eq!(size(&plan, "in hand"), 100);
    assert_eq!(number(&plan, 10, "clamps"), 5);
    assert_eq!(number(&plan, 10, "pounds of clamp force in all, at least"), 3850);
    assert_eq!(number(&plan, 10, "pounds of clamp force in all, at most"), 5500);
    assert_eq!(number(&plan, 10, "pounds from each clamp, at least"), 770);
    assert_eq!(size(&plan, "moves across the grain"), 205);
    // 0.8 less twice 0.030.
    assert_eq!(size(&plan, "thickness once it is flat"), 740);
    let wait = outcome(&plan, 10).wait.as_ref().unwrap();
    assert_eq!((wait.minutes, wait.what.as_str()), (24 * 60, "glue"));
    assert_eq!(errors(&plan), "");
    assert!(plan.operation(10).unwrap().cant_be_undone);
}

/// The bundled jointer is 8 wide: a panel of 15.1 can't lie on it, and one
/// edge of it can still stand there.
#[test]
fn a_panel_wider_than_the_jointer_is_planed_and_ripped() {
    let after = |later: &str| {
        let later = format!(r#"{{ "op": 20, "part": "piece", {later} }}"#);
        let operations = format!("{}, {later}", op(LID_BOARDS));
        let route = route_of("", &part("hard maple", LID, ""), &operations);
        let plan = walk(&route, &shop(&[]), &Known::default());
        plan.operation(20).unwrap().findings.iter().map(|found| found.what.clone()).collect()
    };
    let none: Vec<String> = Vec::new();
    assert_eq!(after(r#""do": "plane", "at": "planer", "to": "3/4""#), none);
    let rip = r#""do": "rip", "at": "cabinet saw", "tool": "rip blade", "to": "14 1/2""#;
    assert_eq!(after(rip), none);
    assert_eq!(after(r#""do": "joint", "at": "jointer", "sides": ["edge"]"#), none);
    let flat: Vec<String> = after(r#""do": "joint", "at": "jointer", "sides": ["face"]"#);
    assert!(flat[0].contains("at most 8 in is allowed"), "{flat:?}");
}

/// Together or one by one, 15.35 is 15.35.
#[test]
fn boards_may_be_given_together() {
    let keys = r#""do": "panel", "at": "glue bench", "pattern": "plain", "boards": "15.35", "count": "4", "loss": "1/32""#;
    let plan = planned(&part("hard maple", LID, ""), keys);
    assert_eq!(size(&plan, "width out of the clamps"), 15_100);
}

/// 14 3/4 and 1/4 on each side is 15 1/4; 15.1 is 0.15 short.
#[test]
fn a_lid_too_narrow_is_found_before_the_glue() {
    let plan = planned(&part("hard maple", LID, r#""width": "14 3/4""#), LID_BOARDS);
    assert!(errors(&plan).contains("15.100 in glued up and 15 1/4 in is needed: 0.150 in short"));
    let plan = planned(&part("bubinga", LID, ""), &format!(r#"{LID_BOARDS}, "points": "4""#));
    assert!(warnings(&plan).contains("`bubinga`"));
}

/// Pine, at 100 to 150 psi (a glue maker's guide): 22 x 100 and 22 x 150.
/// In newtons, 1 lbf = 4.448222 N: 2200 lb = 9786 N, 3300 lb = 14679 N.
#[test]
fn softwood_is_pressed_less() {
    let plan = planned(&part("white pine", LID, ""), LID_BOARDS);
    assert_eq!(number(&plan, 10, "pounds of clamp force in all, at least"), 2200);
    assert_eq!(number(&plan, 10, "pounds of clamp force in all, at most"), 3300);
    let route = try_route_of(
        "mm",
        "",
        &part("white pine", ["20.32", "", "698.5"], ""),
        &op(r#""do": "panel", "at": "glue bench", "pattern": "plain", "boards": ["100", "100"]"#),
    )
    .unwrap();
    let plan = walk(&route, &shop(&[]), &Known::default());
    assert_eq!(number(&plan, 10, "newtons of clamp force in all, at least"), 9786);
    assert_eq!(number(&plan, 10, "newtons of clamp force in all, at most"), 14_679);
}

/// Half walnut (0.00274) and half hard maple (0.00353): 7.5 x 0.003135 x 4 =
/// 0.094. Wood Handbook, FPL-GTR-190 (2010), Table 13-5.
#[test]
fn two_woods_in_equal_shares_move_by_their_mean() {
    let keys = r#""do": "panel", "at": "glue bench", "pattern": "striped", "columns": "6",
        "square": "1 1/4", "woods": ["walnut", "hard maple"], "points": "4""#;
    let plan = planned(&part("walnut", ["13/16", "", "14"], ""), keys);
    assert_eq!(size(&plan, "moves across the grain"), 94);
}

fn striped(columns: &str, more: &str) -> String {
    format!(
        r#""do": "panel", "at": "glue bench", "pattern": "striped", "columns": "{columns}",
        "square": "1 3/8", "extra": "0.030", "board": "6 1/2", "kerf": "1/8" {more}"#
    )
}

/// 1.375 + 0.030 = 1.405; 6 5/8 over 1.53 is 4.3: four; four of each wood;
/// 8 x 1.375 = 11. 13/16 less three times 0.030 is 0.7225.
#[test]
fn strips_for_a_till_lid() {
    let plan = planned(&part("walnut", ["13/16", "", "12"], ""), &striped("8", ""));
    assert_eq!(size(&plan, "strips are ripped at"), 1405);
    assert_eq!(number(&plan, 10, "strips from a board"), 4);
    assert_eq!(number(&plan, 10, "strips of each wood"), 4);
    assert_eq!(size(&plan, "width out of the clamps"), 11_000);
    assert_eq!(fact(&plan, 10, "thickness once it is flat"), FactAmount::Size(inches("0.7225")));
    assert_eq!(errors(&plan), "");
}

/// Turned, 7 squares begin as they end; two panels use 4 + 3 of each wood.
#[test]
fn an_odd_number_of_columns_has_two_ways_out() {
    let odd = part("walnut", ["13/16", "", "12"], "");
    let plan = planned(&odd, &striped("7", ""));
    assert!(errors(&plan).contains("a row of 7 looks like its neighbour"));
    let fix = plan.operation(10).unwrap().findings[0].help.clone().unwrap();
    assert!(fix.contains("two striped panels") && fix.contains("8 columns"), "{fix}");
    let plan = planned(&odd, &striped("7", r#", "turned": false"#));
    assert_eq!(errors(&plan), "");
    assert_eq!(number(&plan, 10, "strips of each wood"), 7);
}

/// 5 rows of 1.369 are 6.845 long; 12 x 1.369 wide is as good as the joint:
/// 10.952 / 8 = 1.4, two clamps and one more.
#[test]
fn turned_rows_are_glued_to_the_checkered_panel() {
    let keys = r#""do": "panel", "at": "glue bench", "pattern": "checkered", "rows": "5", "square": "1.369""#;
    let plan = planned(&part("walnut", ["0.78", "10.952", "6.845"], ""), keys);
    assert_eq!(size(&plan, "length out of the clamps"), 6845);
    assert_eq!(number(&plan, 10, "clamps"), 3);
    assert_eq!(outcome(&plan, 10).after.most("width"), Some(inches("10.952")));
    assert!(outcome(&plan, 10).steps.iter().any(|step| step.contains("Size the end grain")));
}

#[test]
fn a_panel_says_what_is_missing_and_what_is_not_used() {
    let lid = part("walnut", LID, "");
    let panel =
        |keys: &str| refused(&lid, &op(&format!(r#""do": "panel", "at": "glue bench", {keys}"#)));
    assert!(panel(r#""pattern": "plain""#).contains("`boards` is missing"));
    assert!(panel(r#""pattern": "plain", "boards": []"#).contains("1 to 500 boards"));
    assert!(panel(r#""pattern": "plain", "boards": "15""#).contains("number of boards"));
    assert!(panel(r#""pattern": "striped", "columns": "8""#).contains("`square` is missing"));
    assert!(
        panel(r#""pattern": "checkered", "rows": "5", "square": "1", "columns": "8""#)
            .contains("is not used")
    );
    assert!(panel(r#""pattern": "plain", "boards": ["4"], "hours": 0"#).contains("720"));
}

#[test]
fn counts_and_sizes_of_nothing_are_refused() {
    let lid = part("walnut", LID, "");
    let bad = |keys: &str| errors(&planned(&lid, keys));
    assert!(bad(&striped("7.5", "")).contains("whole number"));
    assert!(bad(&striped("0", "")).contains("whole number"));
    assert!(bad(&striped("100000", "")).contains("whole number"));
    let boards = |widths: &str, more: &str| {
        bad(&format!(
            r#""do": "panel", "at": "glue bench", "pattern": "plain", "boards": {widths} {more}"#
        ))
    };
    assert!(boards(r#"["4", "0"]"#, "").contains("greater than zero"));
    assert!(boards(r#"["4", "4"]"#, r#", "loss": "2""#).contains("leaves no wood"));
    assert!(boards(r#"["4"]"#, r#", "points": "0 - 4""#).contains("zero or more"));
}

/// Rows at the stop saw, its kerf 1/8, its stop read to 0.001.
fn rows(more: &str) -> String {
    format!(
        r#""do": "rows", "at": "stop saw", "columns": "8", "rows": "5", "panel_width": "panel_width" {more}"#
    )
}

fn rows_of(length: &str, more: &str) -> Plan {
    let part = part("walnut", ["13/16", "11", length], "");
    let route = route_of(r#""panel_width": "10.952""#, &part, &op(&rows(more)));
    walk(&route, &shop(&[]), &Known::default())
}

/// 10.952 / 8 = 1.369; 1/2 + 5 x (1.369 + 0.125) + 4 = 11.97; with 12 long,
/// 12 - 0.5 - 6.845 - 0.625 = 4.03 is left to hold.
#[test]
fn rows_at_the_square_the_panel_has() {
    let plan = rows_of("12", r#", "square": "1 3/8""#);
    let stop = setting(&plan, 10, "stop");
    assert_eq!(stop.setting.target.0, inches("1.369"));
    assert_eq!(stop.sizes.as_deref(), Some("row width"));
    assert_eq!(size(&plan, "square as made"), 1369);
    assert_eq!(size(&plan, "difference from the drawn square"), -6);
    assert_eq!(size(&plan, "length needed"), 11_970);
    assert_eq!(size(&plan, "rows together"), 6845);
    assert_eq!(size(&plan, "kerfs together"), 625);
    assert_eq!(size(&plan, "tail left"), 4030);
    assert_eq!(number(&plan, 10, "rows the length allows"), 5);
    assert!(warnings(&plan).contains("spare row"));
    assert_eq!(outcome(&plan, 10).after.most("length"), Some(inches("6.845")));
    assert_eq!(errors(&plan), "");
}

/// One row more is 1.494: 13.464. Without the kerfs it would be 1/2 + 5 x 1 3/8
/// + 4 = 11 3/8, which after trim and tail holds 4.6 rows.
#[test]
fn a_row_to_spare_and_one_too_few() {
    let plan = rows_of("13.47", "");
    assert_eq!(number(&plan, 10, "rows the length allows"), 6);
    assert_eq!(warnings(&plan), "");
    let plan = rows_of("11 3/8", "");
    assert!(errors(&plan).contains("gives 4 rows and 5 are wanted: that takes 11.970 in"));
}

/// E x 64 / 28 = 2.286 E: 1/64 becomes 0.036. Turned, 13/16 at 1/4 degree
/// opens 2 x 0.8125 x 0.004363 = 0.0071.
#[test]
fn creep_and_a_blade_out_of_square_show_at_the_seams() {
    let plan = rows_of("13.47", r#", "creep": "1/64", "out_of_square": "1/4""#);
    assert_eq!(size(&plan, "worst seam out by"), 36);
    assert_eq!(size(&plan, "gap at each seam"), 7);
    let warned = warnings(&plan);
    assert!(warned.contains("creep") && warned.contains("double"), "{warned}");
}

#[test]
fn rows_need_even_columns_unless_two_panels_alternate() {
    let odd = rows("").replace(r#""columns": "8""#, r#""columns": "7""#);
    let part = part("walnut", ["13/16", "11", "14"], "");
    let plan = |keys: &str| {
        walk(
            &route_of(r#""panel_width": "9.583""#, &part, &op(keys)),
            &shop(&[]),
            &Known::default(),
        )
    };
    assert!(errors(&plan(&odd)).contains("a row of 7"));
    assert_eq!(errors(&plan(&format!(r#"{odd}, "turned": false"#))), "");
}

/// The end-grain panel is as thick as its rows are wide: 1.5. Its squares are
/// 1.369 by the panel's thickness, so the two must be equal.
#[test]
fn end_grain_wants_a_panel_as_thick_as_its_squares() {
    let plan = |thick: &str| {
        let part = part("walnut", [thick, "11", "16"], "");
        let keys = rows(r#", "end_grain": "1 1/2""#);
        walk(
            &route_of(r#""panel_width": "10.952""#, &part, &op(&keys)),
            &shop(&[]),
            &Known::default(),
        )
    };
    let good = plan("1.369");
    assert_eq!(setting(&good, 10, "stop").setting.target.0, inches("1 1/2"));
    assert_eq!(outcome(&good, 10).after.most("thickness"), Some(inches("1 1/2")));
    assert_eq!(outcome(&good, 10).after.most("length"), Some(inches("6.845")));
    assert_eq!(errors(&good), "");
    let bad = plan("1 1/4");
    assert!(errors(&bad).contains("1.369 in one way and 1 1/4 in the other"));
}

/// The panel came out of flattening at 10.960: the stop goes to 1.370.
#[test]
fn rows_follow_the_panel_that_was_made() {
    let flatten = r#"{ "op": 5, "part": "piece", "do": "measure", "at": "bench",
        "checks": [ { "check": "width", "limits": "±1/8", "with": "calipers", "pieces": "all",
          "becomes": { "dim": "panel_width", "take": "smallest", "of": "batch" } } ] }"#;
    let part = part("walnut", ["13/16", "11", "14"], "");
    let operations = format!("{flatten}, {}", op(&rows("")));
    let route = route_of(r#""panel_width": "11""#, &part, &operations);
    let stop =
        |known: &Known| setting(&walk(&route, &shop(&[]), known), 10, "stop").setting.target.0;
    assert_eq!(stop(&Known::default()), inches("1 3/8"));
    let made = MadeValue {
        dim: "panel_width".to_owned(),
        over: MadeOver::Batch,
        value: inches("10.960"),
        op: Some(5),
        words: "measured".to_owned(),
    };
    assert_eq!(stop(&Known { made: vec![made], ..Known::default() }), inches("1.370"));
}

#[test]
fn rows_against_the_rip_fence_are_refused() {
    let part = part("walnut", ["13/16", "11", "14"], "");
    let keys = rows("")
        .replace("stop saw", "cabinet saw")
        .replace(r#""columns""#, r#""tool": "rip blade", "columns""#);
    let plan =
        walk(&route_of(r#""panel_width": "11""#, &part, &op(&keys)), &shop(&[]), &Known::default());
    let trapped =
        plan.operation(10).unwrap().findings.iter().find(|f| f.what.contains("trapped")).unwrap();
    assert!(trapped.place.may_override == MayOverride::Nobody);
}

/// The dials of the passes, in order.
fn dials(plan: &Plan) -> Vec<String> {
    outcome(plan, 10).passes.iter().map(|pass| pass.dial_text()).collect()
}

fn grooved(more: &str, shop: &Shop) -> Plan {
    let keys = format!(r#""do": "groove", "makes": "bottom groove", "panel": "0.203" {more}"#);
    walk(
        &route_of("", &part("hard maple", ["1/2", "4", "14"], ""), &op(&keys)),
        shop,
        &Known::default(),
    )
}

/// A groove 0.211 wide in a piece 4 wide: from 4 - 0.211 = 3.789 it just stays
/// on the piece, and from 3.790 it runs off.
#[test]
fn a_groove_may_reach_the_far_edge() {
    let from = |edge: &str| {
        let keys = r#", "at": "cabinet saw", "tool": "rip blade", "depth": "1/4", "from_edge": "#;
        errors(&grooved(&format!("{keys}\"{edge}\""), &shop(&[]))).contains("goes beyond")
    };
    assert_eq!((from("3.789"), from("3.790")), (false, true));
}

/// Panel 0.203 and 0.008 clear: 0.211, with a blade of 1/8 two cuts 0.086
/// apart. It makes 0.012 more than its scale of 0.001 shows: near side at 0.375 - 0.012 =
/// 0.363, then 0.449; the width is what lies between and the blade.
#[test]
fn a_groove_for_a_plywood_bottom() {
    let shop = shop(&[
        fine("/machines/cabinet saw/readouts/fence"),
        fine("/machines/cabinet saw/readouts/blade height"),
    ]);
    let plan = grooved(
        r#", "at": "cabinet saw", "tool": "rip blade", "depth": "1/4", "from_edge": "3/8""#,
        &shop,
    );
    assert_eq!(number(&plan, 10, "cuts"), 2);
    assert_eq!(size(&plan, "fence moves each time"), 86);
    assert_eq!(dials(&plan), ["0.363", "0.449"]);
    let second = setting(&plan, 10, "fence");
    assert_eq!(second.dial_text(), "0.449");
    assert_eq!(second.setting.predicted, inches("0.211"));
    assert_eq!(second.sizes.as_deref(), Some("bottom groove width"));
    assert_eq!(setting(&plan, 10, "blade height").dial_text(), "0.250");
    assert_eq!(outcome(&plan, 10).after.most("bottom groove width"), Some(inches("0.211")));
    assert_eq!(outcome(&plan, 10).after.most("bottom groove depth"), Some(inches("1/4")));
    assert_eq!(errors(&plan), "");
}

/// On a scale of 0.005 the first cut stands at 0.365 and the second at 0.450,
/// not 0.455: too narrow by 0.001 can still be cut.
#[test]
fn a_groove_rounds_to_the_narrow_side() {
    let plan = grooved(
        r#", "at": "cabinet saw", "tool": "rip blade", "depth": "0.26 - 0.01", "from_edge": "3/8""#,
        &shop(&[]),
    );
    assert_eq!(dials(&plan), ["0.365", "0.450"]);
    assert_eq!(setting(&plan, 10, "fence").setting.predicted, inches("0.210"));
    for setting in &outcome(&plan, 10).settings {
        assert!(setting.setting.predicted <= setting.setting.target.0, "{setting:?}");
    }
}

/// Half of 1/2 is 1/4; the blade of 1/4 is wider than 0.211; 1/8 beside it is
/// little; and a groove 4 in from the edge of a piece 4 in wide runs off.
#[test]
fn a_groove_keeps_wood_around_itself() {
    let at = |depth: &str, from: &str| {
        grooved(
            &format!(
                r#", "at": "cabinet saw", "tool": "rip blade", "depth": "{depth}", "from_edge": "{from}""#
            ),
            &shop(&[]),
        )
    };
    assert!(errors(&at("9/32", "3/8")).contains("more than half"));
    assert!(errors(&at("1/4", "4")).contains("goes beyond"));
    assert!(errors(&at("1/4", "0 - 1/4")).contains("off the piece"));
    assert!(warnings(&at("1/4", "1/8")).contains("only 1/8 in"));
    let wide = grooved(
        r#", "at": "router table", "tool": "1/4 straight bit", "depth": "1/4", "from_edge": "3/8""#,
        &shop(&[]),
    );
    assert!(errors(&wide).contains("the cutter takes 1/4 in"), "{}", errors(&wide));
}

/// A bit that may take 1/8 cuts 1/4 in two heights, at each fence twice:
/// 3/8 + 0.008 is wider than 1/4.
#[test]
fn a_groove_at_the_router_deepens_pass_by_pass() {
    let keys = r#""do": "groove", "at": "router table", "tool": "1/4 straight bit",
        "panel": "3/8", "depth": "1/4", "from_edge": "3/8""#;
    let plan = planned(&part("hard maple", ["1/2", "4", "14"], ""), keys);
    assert_eq!(dials(&plan), ["1/8", "1/4"]);
    assert_eq!(outcome(&plan, 10).feeds(), 4);
    // Up to 1 in, as below.
    assert_eq!(number(&plan, 10, "turns a minute at most, unless the bit says less"), 24_000);
    assert_eq!(size(&plan, "fence moves each time"), 133);
}

#[test]
fn a_rabbet_is_routed_from_the_edge() {
    let rabbet = |at: &str| {
        grooved(
            &format!(r#", "cut": "rabbet", "depth": "3/8", {at}"#),
            &shop(&[fine("/machines/router table/readouts/fence")]),
        )
    };
    let plan = rabbet(r#""at": "router table", "tool": "3/8 straight bit""#);
    assert_eq!(setting(&plan, 10, "fence").dial_text(), "0.211");
    assert_eq!(errors(&plan), "");
    // 0.203 and 0.008 are wider than an eighth.
    let bit = serde_json::json!({ "1/8 straight bit": { "size": "1/8" } });
    let narrow = grooved(
        r#", "cut": "rabbet", "depth": "3/8", "at": "router table""#,
        &shop(&[("/machines/router table/tools", bit)]),
    );
    assert!(errors(&narrow).contains("the bit takes 1/8 in and the rabbet is 0.211 in"));
    assert!(
        errors(&rabbet(r#""at": "cabinet saw", "tool": "rip blade""#))
            .contains("not cut at the saw")
    );
    let part = part("ash", ["1/2", "4", "14"], "");
    let lost = refused(
        &part,
        &op(r#""do": "groove", "at": "cabinet saw", "panel": "1/4", "depth": "1/4""#),
    );
    assert!(lost.contains("`from_edge` is missing"), "{lost}");
}

/// 3/8 deep at most 5/32 a pass, 1/16 last: 5/32, 5/16, 3/8.
#[test]
fn a_round_over_comes_up_in_three_passes() {
    let keys =
        r#""do": "rout", "at": "router table", "tool": "3/8 round-over bit", "depth": "3/8""#;
    let plan = planned(&part("white oak", ["1 1/4", "4", "22"], ""), keys);
    let passes: Vec<(Length, String)> =
        outcome(&plan, 10).passes.iter().map(|pass| (pass.target.0, pass.dial_text())).collect();
    let expected = ["5/32", "5/16", "3/8"].map(|text| (inches(text), text.to_owned()));
    assert_eq!(passes, expected);
    assert_eq!(outcome(&plan, 10).after.most("profile depth"), Some(inches("3/8")));
    assert!(outcome(&plan, 10).steps[0].starts_with("End grain first"));
    let through = planned(&part("white oak", ["3/8", "4", "22"], ""), keys);
    assert!(errors(&through).contains("leaves nothing"));
}

/// The bundled router table goes by 1/32. A light last pass of 1/64 is less than one step,
/// which is said. One of 1/32 is a step, and none at all is not too light.
#[test]
fn a_light_last_pass_under_one_step_is_told_where_there_is_one() {
    let said = |depth: &str, last: &str| {
        let keys = format!(
            r#""do": "rout", "at": "router table", "tool": "3/8 round-over bit", "depth": "{depth}", "last": "{last}""#
        );
        warnings(&planned(&part("white oak", ["1 1/4", "4", "22"], ""), &keys))
    };
    let light = "more than the light last pass of 1/64 in";
    assert!(said("3/8", "1/64").contains(light), "{}", said("3/8", "1/64"));
    assert_eq!(said("3/8", "1/32"), "");
    assert_eq!(said("3/8", "0"), "");
}

/// woodworking.about.com, `Choosing Proper Router Bit Speeds`: up to 1 in
/// 24000, up to 2 in 18000, up to 2 1/2 in 16000, up to 3 1/2 in 12000.
#[test]
fn a_big_bit_turns_slowly() {
    let keys = r#""do": "rout", "at": "router table", "depth": "1/8""#;
    let part = part("white oak", ["1 1/4", "4", "22"], "");
    let turns = "turns a minute at most, unless the bit says less";
    for (diameter, most) in
        [("1", 24_000), ("1 1/4", 18_000), ("2", 18_000), ("2 1/2", 16_000), ("3 1/2", 12_000)]
    {
        let bit = serde_json::json!({ "cove bit": { "diameter": diameter, "most": "1/8" } });
        let shop = shop(&[("/machines/router table/tools", bit)]);
        let plan = walk(&route_of("", &part, &op(keys)), &shop, &Known::default());
        assert_eq!(number(&plan, 10, turns), most, "{diameter}");
    }
}

const OPENING: &str = r#""opening": "20.022", "low": "4.010""#;

fn drawer(dims: &str, keys: &str, at: &str) -> Plan {
    let shop = shop(&[
        fine("/machines/cabinet saw/readouts/fence"),
        ("/machines/stop saw/tools/crosscut blade/scale_offset", "0".into()),
        ("/machines/cabinet saw/tools/rip blade/scale_offset", "0".into()),
    ]);
    let joint = r#"{ "op": 5, "part": "piece", "do": "joint", "at": "jointer", "sides": ["face", "edge"] }"#;
    let operations = format!("{joint}, {}", op(&format!(r#""do": "drawer", {keys}, {at}"#)));
    let route = route_of(dims, &part("hard maple", ["0.6", "24", "24"], ""), &operations);
    walk(&route, &shop, &Known::default())
}

const STOP: &str = r#""at": "stop saw""#;
const FENCE: &str = r#""at": "cabinet saw", "tool": "rip blade""#;

/// Opening 20.022 where it is narrowest, 1/32 on each side: 19.9595, on a
/// scale of 0.001 with the wood left on 19.960. Height: Wood Handbook,
/// FPL-GTR-190 (2010), Table 13-5, hard maple 0.00353: 4.010 x 0.00353 x 5 =
/// 0.0708, and 1/64: 4.010 - 0.0864 = 3.9236, so 3.924.
#[test]
fn a_drawer_front_follows_its_opening() {
    let keys =
        r#""piece": "front", "opening_width": "opening", "opening_height": "low", "points": "5""#;
    let plan = drawer(OPENING, keys, STOP);
    let stop = setting(&plan, 10, "stop");
    assert_eq!(stop.setting.target.0, inches("19.9595"));
    assert_eq!(stop.dial_text(), "19.960");
    assert_eq!(size(&plan, "swells in height by"), 71);
    assert_eq!(size(&plan, "its width"), 3924);
    assert_eq!(errors(&plan), "");
    assert!(plan.operation(10).unwrap().cant_be_undone);
    let plan = drawer(OPENING, keys, FENCE);
    assert_eq!(setting(&plan, 10, "fence").dial_text(), "3.924");
    assert_eq!(outcome(&plan, 10).after.most("width").map(in_thousandths), Some(3924));
    assert_eq!(outcome(&plan, 10).after.most("length"), Some(inches("24")));
}

/// Front 19.960 as made, sides 0.492, 1/4 into each: 19.960 - 0.984 + 0.5 =
/// 19.476; the bottom 1/16 less: 19.4135.
#[test]
fn back_and_bottom_follow_the_front_and_the_sides() {
    let keys = |piece: &str, into: &str| {
        format!(
            r#""piece": "{piece}", "front": "19.960", "side_thickness": "0.492", "{into}": "1/4""#
        )
    };
    let back = drawer("", &keys("back", "dado"), STOP);
    assert_eq!(setting(&back, 10, "stop").dial_text(), "19.476");
    let bottom = drawer("", &keys("bottom", "groove_depth"), FENCE);
    assert_eq!(setting(&bottom, 10, "fence").setting.target.0, inches("19.4135"));
}

/// Plywood doesn't move: nothing is said of its grain, and no other part of a
/// drawer is cut from a sheet.
#[test]
fn a_bottom_of_plywood_is_not_told_to_move() {
    let told = |more: &str| {
        let keys = r#""piece": "bottom", "front": "19.960", "side_thickness": "0.492", "groove_depth": "1/4""#;
        outcome(&drawer("", &format!("{keys}{more}"), FENCE), 10).steps.join(" ")
    };
    assert!(told("").contains("A solid bottom"));
    let sheet = told(r#", "sheet": true"#);
    assert!(!sheet.contains("solid") && sheet.contains("factory edge"), "{sheet}");
    let back = r#""do": "drawer", "at": "stop saw", "piece": "back", "front": "19.960", "side_thickness": "0.492", "dado": "1/4", "sheet": true"#;
    assert!(
        refused(&part("ash", ["1/2", "4", "20"], ""), &op(back)).contains("`sheet` is not used")
    );
}

/// 16 deep, 3/4 of front before it, 1/16 behind: 15 3/16.
#[test]
fn a_side_leaves_room_for_the_front_and_behind() {
    let keys = r#""piece": "side", "opening_depth": "16", "front_thickness": "3/4""#;
    let plan = drawer("", keys, STOP);
    assert_eq!(setting(&plan, 10, "stop").setting.target.0, inches("15 3/16"));
}

/// Quartersawn maple, 0.00165: 4.010 x 0.00165 x 5 = 0.0331.
#[test]
fn a_quartersawn_front_swells_less() {
    let keys = r#""piece": "front", "opening_width": "opening", "opening_height": "low", "points": "5", "grain": "quarter""#;
    assert_eq!(size(&drawer(OPENING, keys, STOP), "swells in height by"), 33);
}

#[test]
fn a_drawer_that_can_not_be_is_refused() {
    let none = drawer("", r#""piece": "front", "opening_width": "1/16""#, STOP);
    assert!(errors(&none).contains("the whole opening"));
    let long = drawer("", r#""piece": "front", "opening_width": "25""#, STOP);
    assert!(errors(&long).contains("wood can't be added"));
    let part = part("ash", ["1/2", "4", "14"], "");
    let drawer =
        |keys: &str| refused(&part, &op(&format!(r#""do": "drawer", "at": "stop saw", {keys}"#)));
    assert!(drawer(r#""piece": "front""#).contains("`opening_width` is missing"));
    assert!(
        drawer(r#""piece": "front", "opening_width": "9", "opening_height": "3""#)
            .contains("`points` is missing")
    );
    assert!(
        drawer(r#""piece": "front", "opening_width": "9", "dado": "1/4""#).contains("is not used")
    );
}

/// The seams of a row as measured from one end, and from the other.
fn worst_miss(strips: &[f64]) -> f64 {
    let seams = |strips: &mut dyn Iterator<Item = &f64>| {
        strips
            .scan(0.0, |sum, strip| {
                *sum += strip;
                Some(*sum)
            })
            .collect::<Vec<f64>>()
    };
    let (one, other) = (seams(&mut strips.iter()), seams(&mut strips.iter().rev()));
    one.iter().zip(&other).map(|(a, b)| (a - b).abs()).fold(0.0, f64::max)
}

proptest! {
    #![proptest_config(crate::laws::of_256(64))]

    /// For any length of panel, trim, rows, kerfs and tail add up to it.
    #[test]
    fn rows_kerfs_trim_and_tail_are_the_strip(
        long in 6000..60_000_i64, width in 4000..30_000_i64, columns in 1..12_i64, rows in 1..12_i64,
    ) {
        let part = part("walnut", ["13/16", "31", &as_decimal(long)], "");
        let keys = format!(
            r#""do": "rows", "at": "stop saw", "columns": "{}", "rows": "{rows}", "panel_width": "{}""#,
            columns * 2, as_decimal(width)
        );
        let plan = planned(&part, &keys);
        let of = |what| match fact(&plan, 10, what) { FactAmount::Size(size) => size, other => panic!("{other:?}") };
        let sum = of("trim") + of("rows together") + of("kerfs together") + of("tail left");
        prop_assert_eq!(sum, inches(&as_decimal(long)));
        // Either it is refused, or every limit holds and no feature grew.
        let fits = number(&plan, 10, "rows the length allows") >= rows;
        prop_assert_eq!(errors(&plan).contains("rows and"), !fits);
        prop_assert!(!fits || of("tail left") >= inches("4"));
        let after = outcome(&plan, 10).after.most("length").unwrap();
        prop_assert!(after <= inches(&as_decimal(long)));
        // As tall as the columns are wide, to a nanometre each.
        let off = inches(&as_decimal(width)) - of("square as made") * (columns * 2);
        prop_assert!(off.nanometres().abs() < columns * 2);
    }

    /// The rule for a steady creep against seams added up strip by strip.
    #[test]
    fn creep_puts_the_seams_out_as_adding_up_does(half in 1..20_i64, creep in 1..64_i64) {
        let columns = half * 2;
        let strips: Vec<f64> = (0..columns)
            .map(|n| 1000.0 + creep as f64 * n as f64 / (columns - 1) as f64)
            .collect();
        let part = part("walnut", ["13/16", "60", "30"], "");
        let keys = format!(
            r#""do": "rows", "at": "stop saw", "columns": "{columns}", "rows": "2", "panel_width": "{columns}", "creep": "{}""#,
            as_decimal(creep)
        );
        let FactAmount::Size(miss) = fact(&planned(&part, &keys), 10, "worst seam out by") else { panic!() };
        let miss = miss.ratio(Length::thousandths(1));
        prop_assert!((miss - worst_miss(&strips)).abs() < 0.001, "{miss} {strips:?}");
    }

    /// Gluing adds no wood; more boards or less loss never make the panel narrower.
    #[test]
    fn a_panel_is_no_wider_than_its_boards(
        widths in prop::collection::vec(1000..9000_i64, 1..12), loss in 0..60_i64,
    ) {
        let list: Vec<String> = widths.iter().map(|w| format!("\"{}\"", as_decimal(*w))).collect();
        let keys = format!(
            r#""do": "panel", "at": "glue bench", "pattern": "plain", "boards": [{}], "loss": "{}""#,
            list.join(", "), as_decimal(loss)
        );
        let plan = planned(&part("ash", LID, ""), &keys);
        let made = outcome(&plan, 10).after.most("width").map(in_thousandths).unwrap();
        prop_assert_eq!(made, widths.iter().sum::<i64>() - 2 * loss * widths.len() as i64);
    }

    /// For any input no cut lies outside the groove, and the groove is never
    /// wider than asked.
    #[test]
    fn a_groove_is_never_too_wide(panel in 130..700_i64, from in 250..2000_i64) {
        let keys = format!(
            r#""do": "groove", "at": "cabinet saw", "tool": "rip blade", "panel": "{}", "depth": "1/4", "from_edge": "{}""#,
            as_decimal(panel), as_decimal(from)
        );
        let plan = planned(&part("ash", ["3/4", "4", "14"], ""), &keys);
        prop_assert_eq!(errors(&plan), "");
        let cuts = &outcome(&plan, 10).passes;
        prop_assert_eq!(cuts.len() as i64, number(&plan, 10, "cuts"));
        for pair in cuts.windows(2) {
            let step = pair[1].dial.0 - pair[0].dial.0;
            // A blade's width or less, or a rib would be left standing.
            prop_assert!(Length::ZERO <= step && step <= inches("1/8"), "{:?}", step);
        }
        let last = setting(&plan, 10, "fence").setting;
        prop_assert_eq!(last.dial, cuts.last().unwrap().dial);
        prop_assert!(last.predicted <= inches(&as_decimal(panel + 8)) + Length::from_nanometres(10));
        prop_assert!(last.predicted > inches(&as_decimal(panel + 8 - 5)));
    }

    /// A profile goes down to its depth, never past it and never by more than the bit may take.
    #[test]
    fn a_profile_deepens_to_its_depth(depth in 20..900_i64) {
        let keys = format!(
            r#""do": "rout", "at": "router table", "tool": "3/8 round-over bit", "depth": "{}""#,
            as_decimal(depth)
        );
        let plan = planned(&part("ash", ["1", "4", "14"], ""), &keys);
        let mut above = Length::ZERO;
        for pass in &outcome(&plan, 10).passes {
            prop_assert!(pass.target.0 > above && pass.target.0 - above <= inches("5/32"));
            prop_assert!(pass.dial.0 <= pass.target.0);
            above = pass.target.0;
        }
        prop_assert_eq!(above, inches(&as_decimal(depth)));
    }

    /// A bigger opening never makes a smaller front, and the front always clears it.
    #[test]
    fn a_front_clears_its_opening(width in 4000..20_000_i64, more in 0..500_i64) {
        let front = |width: i64| {
            let keys = format!(r#""piece": "front", "opening_width": "{}""#, as_decimal(width));
            setting(&drawer("", &keys, STOP), 10, "stop").setting.predicted
        };
        prop_assert!(front(width) < inches(&as_decimal(width)));
        prop_assert!(front(width) <= front(width + more));
    }
}

/// A panel comes out of the clamps as thick as its boards, where all are finished to
/// one thickness; otherwise whoever works from it has to be told.
#[test]
fn a_panel_is_as_thick_as_its_boards() {
    let said = |thicknesses: [&str; 2]| {
        let board = |name: &str, thick: &str| {
            format!(
                r#""{name}": {{ "per_set": 1, "species": "ash", "thickness": "{thick}",
                "stock": {{ "thickness": "1", "width": "4", "length": "30" }} }}"#
            )
        };
        let text = format!(
            r#"{{ "route": "Worked by hand", "unit": "in", "sets": 1, "parts": {{ {}, {},
              "top": {{ "per_set": 1, "assembled_from": ["heart", "sap"],
                "stock": {{ "width": "8", "length": "30" }} }} }},
            "operations": [
              {{ "op": 10, "part": "heart", "do": "hand", "say": ["Sort."] }},
              {{ "op": 20, "part": "sap", "do": "hand", "say": ["Sort."] }},
              {{ "op": 30, "part": "top", "do": "panel", "at": "glue bench", "pattern": "plain", "boards": ["4", "4"] }},
              {{ "op": 40, "part": "top", "do": "plane", "at": "planer", "to": "5/8" }} ] }}"#,
            board("heart", thicknesses[0]),
            board("sap", thicknesses[1])
        );
        let route = plans::try_route(&text).unwrap_or_else(|problems| panic!("{problems}"));
        let plan = walk(&route, &shop(&[]), &Known::default());
        plan.all_findings().map(|found| found.what.clone()).collect::<Vec<String>>().join("; ")
    };
    let unknown =
        "how thick it comes out of the clamps is unknown, and op 40 (plane) works from it";
    assert!(!said(["3/4", "3/4"]).contains(unknown), "{}", said(["3/4", "3/4"]));
    assert!(said(["3/4", "7/8"]).contains(unknown), "{}", said(["3/4", "7/8"]));
}
