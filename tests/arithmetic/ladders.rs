//! Heights, depths and walls by what the marks of a scale make. The shops and
//! sizes are invented and the numbers worked out by hand; the rules behind
//! them are common practice, no source.

use benchway::measure::Length;
use benchway::operation::drawing::{DrawnShape, Material};
use benchway::operation::{MayOverride, Outcome, Over};
use benchway::plan::{Known, Plan, cut_again, walk};
use benchway::prose::Level;
use benchway::shop::Shop;
use serde_json::json;

use crate::plans::{
    findings_of, inches, outcome, route_of, setting, shop, size, stock, try_route_of,
};

fn planned(shop: &Shop, sizes: [&str; 3], keys: &str) -> Plan {
    let [thickness, width, length] = sizes;
    let part = format!(r#""species": "ash", {}"#, stock(thickness, width, length));
    let route = route_of("", &part, &format!(r#"{{ "op": 10, "part": "piece", {keys} }}"#));
    walk(&route, shop, &Known::default())
}

fn dials(out: &Outcome) -> Vec<String> {
    out.passes.iter().map(benchway::operation::Pass::dial_text).collect()
}

fn says(plan: &Plan, op: u32, level: Level, text: &str) -> bool {
    findings_of(plan, op, level).iter().any(|what| what.contains(text))
}

fn planer(step: &str, most: &str, last: &str) -> Shop {
    shop(&[
        ("/machines/planer/readouts/table", json!({ "step": step, "shows": "fraction" })),
        ("/machines/planer/tools/knives/scale_offset", "0".into()),
        ("/machines/planer/most_cut", json!({ "hard": most, "soft": most, "last": last })),
    ])
}

const TO_FIVE_QUARTERS: &str = r#""do": "plane", "at": "planer", "to": "1 1/4""#;

/// Two steps of 1/32 are 1/16, over the limit of 3/64: one step a pass. 1.470
/// stands 0.00125 over 1 15/32, and the seven steps below make eight passes, an
/// even number. The light pass of 1/64 is less than a step, and the plan says so.
#[test]
fn a_printed_scale_takes_no_bite_over_the_planers_limit() {
    let plan = planned(&planer("1/32", "3/64", "1/64"), ["1.470", "4", "30"], TO_FIVE_QUARTERS);
    let expected =
        ["1 15/32", "1 7/16", "1 13/32", "1 3/8", "1 11/32", "1 5/16", "1 9/32", "1 1/4"];
    assert_eq!(dials(outcome(&plan, 10)), expected);
    let said = "one step of the table scale of the planer is 1/32 in, more than the light last pass of 1/64 in: the last pass takes one step";
    assert!(says(&plan, 10, Level::Warning, said), "{:?}", plan.operation(10).unwrap().findings);
}

/// A piece 1/16 too thick takes two more steps of 1/32, not four of 1/64 that the
/// scale can't show.
#[test]
fn a_piece_too_thick_goes_down_by_steps_of_the_scale() {
    let operation = format!(r#"{{ "op": 10, "part": "piece", {TO_FIVE_QUARTERS} }}"#);
    let route = route_of("", &stock("1.470", "4", "30"), &operation);
    let shop = planer("1/32", "3/64", "1/64");
    let over = Over { target: inches("1/16"), limit: inches("1/16") };
    assert_eq!(
        cut_again(&route, &shop, &Known::default(), 10, over).as_deref(),
        Some("Another pass for all of them: 2 heights of 1/32 in or less.")
    );
}

/// A step of 1/16 is over a limit of 0.050: nobody can set such a bite.
#[test]
fn a_scale_coarser_than_the_limit_is_refused() {
    let plan = planned(&planer("1/16", "0.050", "1/64"), ["1.470", "4", "30"], TO_FIVE_QUARTERS);
    assert!(outcome(&plan, 10).passes.is_empty());
    let found = &plan.operation(10).unwrap().findings;
    let refused = found.iter().find(|finding| finding.level == Level::Error).unwrap();
    assert_eq!(
        refused.what,
        "one step of the table scale of the planer is 1/16 in, and one pass may take 0.050 in"
    );
    assert!(refused.help.as_deref().unwrap().contains("a scale with a finer `step`"));
    assert_eq!(refused.place.may_override, MayOverride::Nobody);
}

/// What is planed to 1.260 on a scale of 1/16 comes to the sander at 1 5/16, and
/// the 80 roll takes 0.006 at most of that, not of the 1.260.
#[test]
fn the_next_machine_starts_from_what_the_last_mark_made() {
    let route = route_of(
        "",
        &stock("1.400", "4", "30"),
        r#"{ "op": 10, "part": "piece", "do": "plane", "at": "planer", "to": "1.260" },
           { "op": 20, "part": "piece", "do": "sand", "at": "drum sander", "to": "1.250" }"#,
    );
    let plan = walk(&route, &planer("1/16", "1/16", "1/16"), &Known::default());
    assert_eq!(setting(&plan, 10, "table").dial_text(), "1 5/16");
    assert_eq!(outcome(&plan, 10).after.most("thickness"), Some(inches("1.260")));
    let first = &outcome(&plan, 20).passes[0];
    assert!(inches("1 5/16") - first.dial.0 <= Length::thousandths(6), "{}", first.dial_text());
}

fn rout(most: &str, keys: &str) -> Plan {
    let shop = shop(&[
        ("/machines/router table/readouts/height", json!({ "step": "1/16", "shows": "fraction" })),
        ("/machines/router table/tools/3~18 round-over bit/most", most.into()),
    ]);
    let keys =
        format!(r#""do": "rout", "at": "router table", "tool": "3/8 round-over bit", {keys}"#);
    planned(&shop, ["1", "4", "30"], &keys)
}

/// A bit that takes 0.150 takes two steps of 1/16 and not three. A half inch is
/// eight steps: a light one at the end, and seven in bites of two are four.
#[test]
fn a_router_takes_no_bite_over_the_bits_limit() {
    let plan = rout("0.150", r#""depth": "1/2""#);
    assert_eq!(dials(outcome(&plan, 10)), ["1/16", "3/16", "5/16", "7/16", "1/2"]);
    let plan = rout("0.050", r#""depth": "1/2""#);
    let what = "one step of the height scale of the router table is 1/16 in, and one pass may take 0.050 in";
    assert!(says(&plan, 10, Level::Error, what));
    assert!(outcome(&plan, 10).passes.is_empty());
}

/// A kerf of 0.112 is three steps of 1/32 and some: cuts 3/32 apart overlap by
/// 0.018. From 0.112 to 0.500 are 0.388, twelve whole steps: four moves.
#[test]
fn cuts_of_a_groove_overlap_on_the_fences_own_marks() {
    let groove = |step: &str, kerf: &str| {
        let shop = shop(&[
            ("/machines/cabinet saw/readouts/fence", json!({ "step": step, "shows": "fraction" })),
            ("/machines/cabinet saw/tools/rip blade/kerf", kerf.into()),
            ("/machines/cabinet saw/tools/rip blade/plate", "0.071".into()),
            ("/machines/cabinet saw/tools/rip blade/scale_offset", json!({ "fence": "0" })),
        ]);
        let keys = r#""do": "groove", "at": "cabinet saw", "tool": "rip blade", "panel": "0.500",
            "clearance": "0", "depth": "1/4", "from_edge": "1 9/32""#;
        planned(&shop, ["1", "4", "30"], keys)
    };
    let plan = groove("1/32", "0.112");
    assert_eq!(dials(outcome(&plan, 10)), ["1 9/32", "1 3/8", "1 15/32", "1 9/16", "1 21/32"]);
    assert_eq!(setting(&plan, 10, "fence").setting.predicted, inches("0.487"));
    // A cut beside the last one and not over it would leave a feather: 1/8 is
    // four steps, so three.
    let plan = groove("1/32", "1/8");
    assert_eq!(dials(outcome(&plan, 10)), ["1 9/32", "1 3/8", "1 15/32", "1 9/16", "1 21/32"]);
    let plan = groove("1/8", "0.112");
    assert!(says(&plan, 10, Level::Error, "a ridge would stand between two cuts"));
}

fn bored(step: &str, thick: &str, depth: &str) -> Plan {
    let shop = shop(&[(
        "/machines/metric drill press/readouts/depth",
        json!({ "step": step, "shows": "decimal", "unit": "mm" }),
    )]);
    let part =
        r#""species": "ash", "stock": { "thickness": "THICK", "width": "80", "length": "600" }"#;
    let keys = format!(
        r#"{{ "op": 10, "part": "piece", "do": "bore", "at": "metric drill press", "tool": "10 mm bit",
              "size": "10", "from_face": "40", "depth": "{depth}" }}"#
    );
    let route = try_route_of("mm", "", &part.replace("THICK", thick), &keys).unwrap();
    walk(&route, &shop, &Known::default())
}

/// 18.2 goes to 18 on a scale in millimetres, not to 19. In a piece of 18.8 that
/// leaves 0.8, and the point of a 10 mm bit is 3 mm long: it comes out. 15.1 goes
/// to 15 and leaves 3.8, enough; of 3.2 no skin of 1/32 in (0.79) is left.
#[test]
fn a_blind_hole_rounds_shallow_and_keeps_a_wall_below_its_point() {
    let plan = bored("1", "18.8", "18.2");
    assert_eq!(setting(&plan, 10, "depth").dial_text(), "18");
    let what =
        "only 0.80 mm below the hole, and the point of the bit goes 3.00 mm deeper: it comes out";
    assert!(says(&plan, 10, Level::Error, what), "{:?}", plan.operation(10).unwrap().findings);
    let plan = bored("1", "18.8", "15.1");
    assert_eq!(setting(&plan, 10, "depth").dial_text(), "15");
    assert_eq!(findings_of(&plan, 10, Level::Error).len(), 0);
    assert!(!says(&plan, 10, Level::Warning, "below the hole"));
    let plan = bored("1", "18.2", "15.1");
    assert!(says(&plan, 10, Level::Warning, "only 3.20 mm below the hole"));
    let steps = &outcome(&plan, 10).steps;
    let zero = "Depth counts from the bit's lips: its point goes 3.00 mm deeper.";
    assert!(steps.iter().any(|step| step == zero), "{steps:?}");
}

/// Half of 1.950 and 1/16 are 1.0375; a dowel must not bottom, so on marks of
/// 1/32 the hole is 1 1/16. In 1 1/8 that leaves 1/16, and the point of a 3/8 bit
/// is 0.1125 long.
#[test]
fn a_dowel_hole_rounds_deep_and_its_wall_is_judged_so() {
    let keys = r#""do": "dowel", "at": "drill press", "tool": "3/8 bit", "makes": "dowel hole",
        "dowel": "3/8", "dowel_length": "1.950", "from_face": "2", "joint": "3", "from_end": "3/4",
        "count": 2, "into": "face""#;
    let plan = planned(&shop(&[]), ["1 1/8", "4", "30"], keys);
    assert_eq!(setting(&plan, 10, "depth").dial_text(), "1 1/16");
    assert!(says(&plan, 10, Level::Error, "only 1/16 in below the hole"));
}

/// In a leg of 1 1/2 with mortises 1/4 wide and 3/8 in, what lies behind one of
/// them begins 1.5 - 0.375 - 0.25 = 7/8 from the other face. 25/32 deep leaves
/// 3/32, less than 1/8; 3/4 leaves 1/8. The depth scale shows 1/32: 0.760 goes
/// to 25/32.
#[test]
fn neighbouring_mortises_keep_an_eighth_or_meet() {
    let mortise = |depth: &str, more: &str| {
        let shop = shop(&[("/machines/mortiser/tools/1~14 chisel/scale_offset", json!({}))]);
        let keys = format!(
            r#""do": "mortise", "at": "mortiser", "tool": "1/4 chisel", "width": "1/4", "from_face": "3/8",
               "depth": "{depth}", "length": "2", "faces": 2, "adjacent": true{more}"#
        );
        planned(&shop, ["1 1/2", "1 1/2", "20"], &keys)
    };
    let thin = "only 3/32 in of wood between the mortises of neighbouring faces";
    assert!(!says(&mortise("3/4", ""), 10, Level::Warning, "neighbouring faces"));
    assert!(says(&mortise("25/32", ""), 10, Level::Warning, thin));
    assert!(says(&mortise("0.760", ""), 10, Level::Warning, thin));
    let meets = mortise("0.760", r#", "mitred": true"#);
    assert!(!says(&meets, 10, Level::Warning, "neighbouring faces"));
}

/// In a leg of 60 mm with mortises 10 wide and 15 in, a neighbour begins
/// 60 - 15 - 10 = 35 below the face: 31 deep leaves 4 between them, 33 leaves 2.
/// The second runs from 40 to 100 from the top, so one in the same face from 102
/// leaves 2 along the leg, and one from 104 leaves 4.
#[test]
fn mortises_of_one_leg_keep_a_wall_between_them() {
    let shop = shop(&[("/machines/metric mortiser/tools/10 mm chisel/scale_offset", json!({}))]);
    let plan = |depth: &str, below: &str, mitred: &str| {
        let mortise = |op: u32, name: &str, face: &str, top: &str| {
            format!(
                r#"{{ "op": {op}, "part": "piece", "do": "mortise", "at": "metric mortiser", "tool": "10 mm chisel",
                     "makes": "{name}", "width": "10", "from_face": "15", "depth": "{depth}", "length": "60",
                     "from_top": "{top}", "faces": ["{face}"]{mitred} }}"#
            )
        };
        let operations = [
            mortise(10, "long mortise", "D", "20"),
            mortise(20, "side mortise", "C", "40"),
            mortise(30, "low mortise", "C", below),
        ];
        let part =
            r#""species": "ash", "stock": { "thickness": "60", "width": "60", "length": "600" }"#;
        let route = try_route_of("mm", "", part, &operations.join(", ")).unwrap();
        walk(&route, &shop, &Known::default())
    };
    // The least is 3: 32 deep leaves just that, and so does a start at 103.
    for (depth, below) in [("31", "104"), ("32", "104"), ("31", "103")] {
        let sound = plan(depth, below, "");
        for op in [10, 20, 30] {
            assert!(!says(&sound, op, Level::Warning, "mortise"), "{:?}", sound.operation(op));
        }
    }
    let thin = plan("33", "104", "");
    assert!(says(
        &thin,
        20,
        Level::Warning,
        "only 2.00 mm of wood between it and the long mortise"
    ));
    // The low one begins 24 below the end of the long one.
    assert!(!says(&thin, 30, Level::Warning, "long mortise"));
    let met = plan("33", "104", r#", "mitred": true"#);
    assert!(!says(&met, 20, Level::Warning, "long mortise"));
    let near = plan("31", "102", "");
    assert!(says(
        &near,
        30,
        Level::Warning,
        "only 2.00 mm of wood between it and the side mortise"
    ));
    let over = plan("31", "90", "");
    assert!(says(&over, 30, Level::Warning, "it runs into the side mortise"));
}

/// Two mortises beside each other in one face, 10 wide: the first from 15 to 25, so one from 27
/// leaves 2 between them and one from 28 the least there may be, 3. The same the other way
/// round, and one that begins at 20 runs into it.
#[test]
fn mortises_beside_each_other_keep_a_wall_between_them() {
    let shop = shop(&[("/machines/metric mortiser/tools/10 mm chisel/scale_offset", json!({}))]);
    let found = |first: &str, second: &str, told: &str| {
        let mortise = |op: u32, name: &str, near: &str| {
            format!(
                r#"{{ "op": {op}, "part": "piece", "do": "mortise", "at": "metric mortiser", "tool": "10 mm chisel",
                     "makes": "{name}", "width": "10", "from_face": "{near}", "depth": "20", "length": "60",
                     "from_top": "40", "faces": ["A"] }}"#
            )
        };
        let operations = [mortise(10, "one mortise", first), mortise(20, "other mortise", second)];
        let part =
            r#""species": "ash", "stock": { "thickness": "60", "width": "60", "length": "600" }"#;
        let route = try_route_of("mm", "", part, &operations.join(", ")).unwrap();
        says(&walk(&route, &shop, &Known::default()), 20, Level::Warning, told)
    };
    let thin = "only 2.00 mm of wood between it and the one mortise";
    assert!(found("15", "27", thin) && found("27", "15", thin));
    assert!(!found("15", "28", "one mortise") && !found("28", "15", "one mortise"));
    assert!(found("15", "20", "it runs into the one mortise"));
}

fn two_belts(jog: &str) -> Shop {
    shop(&[
        ("/machines/wide-belt sander/jog", jog.into()),
        (
            "/machines/wide-belt sander/tools",
            json!({
                "100 belt": { "grit": 100, "most": "0.010", "need": "0.006" },
                "150 belt": { "grit": 150, "most": "0.010", "need": "0.003" },
            }),
        ),
    ])
}

/// Scratches of 0.006 on presses of 0.004 need two presses a face: the 150 belt
/// takes 0.008 from C and from A, and the 100 belt ends at 0.980 + 0.016 = 0.996.
/// From 1.020 it has 0.024, six presses: three from each face, two and one.
#[test]
fn each_face_gets_what_the_belt_before_needs() {
    let keys = r#""do": "sand", "at": "wide-belt sander", "to": "0.980""#;
    let plan = planned(&two_belts("0.004"), ["1.020", "4", "30"], keys);
    let out = outcome(&plan, 10);
    assert_eq!(dials(out), ["1.012", "1.004", "1.000", "0.996", "0.988", "0.980"]);
    let faces: Vec<&[&str]> = out.passes.iter().map(|pass| pass.faces.as_slice()).collect();
    assert_eq!(faces, [["A"], ["C"], ["A"], ["C"], ["A"], ["C"]]);
    // From 1.000 the 100 belt would have one press, for one face alone.
    let plan = planned(&two_belts("0.004"), ["1.000", "4", "30"], keys);
    assert!(says(&plan, 10, Level::Warning, "1 in leaves the 100 belt nothing to do"));
    assert!(outcome(&plan, 10).passes.iter().all(|pass| pass.tool.as_deref() == Some("150 belt")));
    // A press of 0.0025 stops between two numbers of the scale.
    let plan = planned(&two_belts("0.0025"), ["1.020", "4", "30"], keys);
    assert!(says(&plan, 10, Level::Warning, "one press of the jog button moves"));
}

fn resawn(thick: &str) -> Plan {
    let route = route_of(
        "",
        &format!(r#""species": "ash", {}"#, stock(thick, "3 1/2", "30")),
        r#"{ "op": 10, "part": "piece", "do": "joint", "at": "jointer", "sides": ["face", "edge"] },
           { "op": 20, "part": "piece", "do": "resaw", "at": "band saw", "tool": "half inch blade", "slice": "3/8", "rejoint": "1/32" },
           { "op": 30, "part": "piece", "do": "plane", "at": "planer", "to": "0.405" }"#,
    );
    walk(&route, &shop(&[]), &Known::default())
}

/// Slices of 3/8 and 1/8 are 1/2. A blank of 1 15/16, 1 7/8 once its rough face is clean, gives
/// three of them with 19/32 between, and a last slab of 1.875 - 1.1875 = 0.6875:
/// 3/16 over, a kerf and 1/8 of offcut, so it is sawn too and the planer starts
/// from 1/2. Of 1 13/16 the last slab is 0.5625: 1/16 over is the kerf alone, so
/// the planer starts from it, and no height takes more than 1/16 of it.
#[test]
fn the_last_slab_is_sawn_or_planed_from_its_own_thickness() {
    let plan = resawn("1 15/16");
    assert_eq!(size(&plan, 20, "last slab"), inches("11/16"));
    let steps = &outcome(&plan, 20).steps;
    let too = "Saw the last slab too, at the same number: 3/16 in is over.";
    assert!(steps.iter().any(|step| step == too), "{steps:?}");
    assert_eq!(outcome(&plan, 20).after.biggest("thickness"), Some(inches("1/2")));

    let plan = resawn("1 13/16");
    assert_eq!(size(&plan, 20, "last slab"), inches("9/16"));
    let after = &outcome(&plan, 20).after;
    assert_eq!(after.biggest("thickness"), Some(inches("9/16")));
    assert_eq!(after.most("thickness"), Some(inches("1/2")));
    // The table makes 0.005 less than it shows.
    let first = outcome(&plan, 30).passes[0].dial.0 - Length::thousandths(5);
    assert!(inches("9/16") - first <= inches("1/16"), "{first:?}");
}

/// The wood that stays ends where the dimension line does; what comes off is
/// above it, up to the piece as it comes to that height.
#[test]
fn a_height_is_drawn_with_the_wood_it_takes() {
    let plan = planned(&planer("1/32", "3/64", "1/64"), ["1.470", "4", "30"], TO_FIVE_QUARTERS);
    let passes = &outcome(&plan, 10).passes;
    let top = |pass: usize, material: Material| {
        let shapes = &passes[pass].drawing.as_ref().unwrap().shapes;
        let of = shapes.iter().find_map(|shape| match shape {
            DrawnShape::Polygon { of, points } if *of == material => Some(points),
            _ => None,
        });
        of.unwrap().iter().map(|point| point.y).max().unwrap()
    };
    assert_eq!(top(0, Material::Wood), inches("1 15/32"));
    assert_eq!(top(0, Material::Waste), inches("1.470"));
    assert_eq!(top(7, Material::Wood), inches("1 1/4"));
    assert_eq!(top(7, Material::Waste), inches("1 9/32"));
}
