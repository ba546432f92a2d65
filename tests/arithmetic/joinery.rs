//! Mortises, tenons, bored holes and dowels against numbers worked out by hand.
//! Where no source stands beside one, it is common practice, no source.

use benchway::measure::{Length, SafeSide};
use benchway::operation::drawing::{DrawnShape, Material, Point};
use benchway::operation::{CutAlong, Drawing, FactAmount, MayOverride, Trace};
use benchway::plan::{Known, Measured, Plan, walk};
use benchway::prose::Level;
use benchway::route::Route;
use benchway::shop::Shop;
use proptest::prelude::*;

use crate::plans::{
    findings, inches, number, outcome, setting, shop, size, stock, try_route, try_route_of,
};

fn read(part: &str, operation: &str) -> Result<Route, String> {
    let operation = format!(r#"{{ "op": 10, "part": "piece", {operation} }}"#);
    try_route_of("in", "", part, &operation)
}

fn plan(shop: &Shop, part: &str, operation: &str) -> Plan {
    let route = read(part, operation).unwrap_or_else(|text| panic!("{text}"));
    walk(&route, shop, &Known::default())
}

fn ash(thickness: &str, width: &str, length: &str) -> String {
    format!(r#""species": "ash", {}"#, stock(thickness, width, length))
}

fn target(plan: &Plan, name: &str) -> Length {
    setting(plan, 10, name).setting.target.0
}

fn says(plan: &Plan, level: Level, words: &str) {
    let found = findings(plan, level);
    assert!(found.iter().any(|what| what.contains(words)), "{words}: {found:?}");
}

fn quiet(plan: &Plan) {
    assert_eq!((findings(plan, Level::Error), findings(plan, Level::Warning)), (vec![], vec![]));
}

/// Within half a thousandth, the precision of the worked numbers.
fn about(length: Length, text: &str) {
    let off = (length - inches(text)).abs();
    assert!(off * 2 <= Length::thousandths(1), "{length:?} is not about {text}");
}

/// A chisel that cuts exactly its size.
fn true_chisel() -> Shop {
    shop(&[("/machines/mortiser/tools/3~18 chisel/scale_offset", "0".into())])
}

const BENCH_LEG: &str = r#""do": "mortise", "width": "3/8", "setback": "1/8", "mating": "1 1/8",
    "depth": "1 7/16", "length": "2.8125", "from_top": "3/4", "faces": ["right", "left"],
    "adjacent": true"#;

fn by_chisel(keys: &str) -> String {
    format!(r#"{keys}, "at": "mortiser", "tool": "3/8 chisel""#)
}

fn by_router(keys: &str) -> String {
    format!(r#"{keys}, "at": "router table", "tool": "3/8 straight bit""#)
}

/// By hand: 1/8 + (1 1/8 - 3/8) / 2 = 1/2; meets beyond 2.375 - 0.5 - 0.375 =
/// 1.5, so 1.4375 clears by 1/16, which a bit breaks through; (2.8125 - 0.375) / 0.28125 = 8.67, nine steps of
/// 2.4375 / 9 = 0.2708 and ten plunges.
#[test]
fn the_bench_leg_by_hollow_chisel() {
    let plan = plan(&true_chisel(), &ash("2.375", "2.375", "27"), &by_chisel(BENCH_LEG));
    says(&plan, Level::Warning, "only 1/16 in of wood between the mortises");
    assert_eq!(setting(&plan, 10, "fence").dial_text(), "1/2");
    assert_eq!(setting(&plan, 10, "depth").dial_text(), "1 7/16");
    assert_eq!(number(&plan, 10, "plunges in each"), 10);
    about(size(&plan, 10, "from plunge to plunge"), "0.271");
    assert_eq!(size(&plan, 10, "starts, from the end as it is"), inches("0.75"));
    assert_eq!(size(&plan, 10, "ends, from the end as it is"), inches("3.5625"));
    let after = &outcome(&plan, 10).after;
    assert_eq!(after.most("mortise depth"), Some(inches("1.4375")));
    assert_eq!(after.most("mortise wall thickness"), Some(inches("0.5")));
    // Both ends first: 3/4 and 3/4 + 2.4375 = 3 3/16. Then what touches nothing that is
    // cut, each 0.5417 on: 1.292, 1.833, 2.375, at the nearest mark of a rule in 32nds.
    // Last the webs: 3/4 + 0.2708 = 1.021, then 1.563 and so on.
    let places = outcome(&plan, 10).places.join("\n");
    let first = "Plunge at 3/4 and 3 3/16, then 1 9/32, 1 27/32, 2 3/8 in: near edge from \
                 the top end.\nLast 1 1/32, 1 9/16, ";
    assert!(places.starts_with(first), "{places}");
    for step in &outcome(&plan, 10).steps {
        assert!(step.len() <= 72, "{step}");
    }
}

/// The bundled 3/8 chisel cuts 0.381: (2.8125 - 0.381) / 0.28575 = 8.51, still
/// ten plunges, of 2.4315 / 9 = 0.2702. What it makes is 0.381 wide.
#[test]
fn a_chisel_makes_what_it_cuts() {
    let plan = plan(&shop(&[]), &ash("2.375", "2.375", "27"), &by_chisel(BENCH_LEG));
    assert_eq!(number(&plan, 10, "plunges in each"), 10);
    about(size(&plan, 10, "from plunge to plunge"), "0.270");
    assert_eq!(outcome(&plan, 10).after.most("mortise width"), Some(inches("0.381")));
    // 2.375 - 0.5 - 0.381 = 1.494 from the inside face.
    assert_eq!(size(&plan, 10, "fence, if run from the inside face"), inches("1.494"));
}

/// By hand: half of the 3/8 bit is 3/16, and the bundled bit takes as much:
/// 1.4375 / 0.1875 = 7.67, eight passes of 0.1797, the first at 5/32 on a scale
/// of 32nds; it travels 2.8125 - 0.375 = 2.4375. Each pass cuts both faces.
#[test]
fn the_bench_leg_by_router() {
    let plan = plan(&shop(&[]), &ash("2.375", "2.375", "27"), &by_router(BENCH_LEG));
    says(&plan, Level::Warning, "only 1/16 in of wood between the mortises");
    let passes = &outcome(&plan, 10).passes;
    let heights: Vec<_> = passes.iter().map(|pass| pass.dial_text()).collect();
    assert_eq!(heights, ["5/32", "11/32", "17/32", "23/32", "7/8", "1 1/16", "1 1/4", "1 7/16"]);
    assert!(passes.iter().all(|pass| pass.feeds == 2), "{passes:?}");
    assert!(setting(&plan, 10, "height").by_passes && !setting(&plan, 10, "stop").by_passes);
    assert_eq!(target(&plan, "stop"), inches("2.4375"));
    assert_eq!(setting(&plan, 10, "stop").dial_text(), "2 7/16");
    assert_eq!(target(&plan, "height"), inches("1.4375"));
}

/// By hand, a leg come up shy: 1.34375 - 5/16 - 3/8 = 21/32, and 13/16 deep
/// runs 5/32 into its neighbour; the wall behind is 17/32. The fence is 1/8 +
/// (3/4 - 3/8) / 2 = 5/16 either way.
#[test]
fn mortises_of_a_shy_leg_meet() {
    let keys = r#""do": "mortise", "width": "3/8", "setback": "1/8", "mating": "3/4",
        "depth": "13/16", "length": "3 1/2", "faces": 2, "adjacent": true"#;
    // As planned, 1 5/8 - 5/16 - 3/8 = 15/16 leaves 1/8 between the two.
    let planned = plan(&true_chisel(), &ash("1 5/8", "1 5/8", "29"), &by_chisel(keys));
    quiet(&planned);
    assert_eq!(size(&planned, 10, "fence, if run from the inside face"), inches("15/16"));
    let shy = plan(&true_chisel(), &ash("1.34375", "1.34375", "29"), &by_chisel(keys));
    assert_eq!(target(&shy, "fence"), inches("5/16"));
    assert_eq!(size(&shy, 10, "fence, if run from the inside face"), inches("21/32"));
    says(&shy, Level::Warning, "meet beyond 21/32 in and run 5/32 in into each other");
    let fix = shy.all_findings().next().unwrap().help.as_deref().unwrap();
    assert!(fix.contains("mitre the tenon ends") && fix.contains("21/32"), "{fix}");
    assert!(findings(&shy, Level::Error).is_empty());
    // Mitred tenons may meet.
    let mitred = format!(r#"{keys}, "mitred": true"#);
    quiet(&plan(&true_chisel(), &ash("1.34375", "1.34375", "29"), &by_chisel(&mitred)));
}

#[test]
fn a_mortise_that_cannot_be() {
    let at = |part: &str, keys: &str| plan(&true_chisel(), part, &by_chisel(keys));
    let leg = ash("2", "2", "20");
    let keys = |from: &str, depth: &str, length: &str, more: &str| {
        format!(
            r#""do": "mortise", "width": "3/8", "from_face": "{from}", "depth": "{depth}",
            "length": "{length}" {more}"#
        )
    };
    // 2 - 1 13/16 = 3/16, under 1/4.
    says(&at(&leg, &keys("1/2", "1 13/16", "2", "")), Level::Error, "a wall of 3/16 in");
    says(&at(&leg, &keys("1/2", "2", "2", "")), Level::Error, "goes through");
    // 1 3/4 + 3/8 is 1/8 over 2.
    says(&at(&leg, &keys("1 3/4", "1", "2", "")), Level::Error, "1/8 in beyond the far face");
    says(&at(&leg, &keys("-1/8", "1", "2", "")), Level::Error, "beyond the reference face");
    says(&at(&leg, &keys("1/2", "1", "1/4", "")), Level::Error, "shorter than the 3/8 in chisel");
    let near = keys("1/2", "1", "2", r#", "from_top": "1/4""#);
    says(&at(&leg, &near), Level::Warning, "only 1/4 in of wood above");
    let horn = keys("1/2", "1", "2", r#", "from_top": "1/4", "horn": "3/4""#);
    quiet(&at(&leg, &horn));
    assert_eq!(size(&at(&leg, &horn), 10, "starts, from the end as it is"), inches("1"));
    let past = keys("1/2", "1", "2", r#", "from_top": "19""#);
    says(&at(&leg, &past), Level::Error, "ends 21 in from the top of a piece that is 20 in");
    says(&at(&leg, &keys("1/2", "0", "2", "")), Level::Error, "a size must be greater than zero");
    says(&at(&leg, &keys("1/2", "-1", "2", "")), Level::Error, "a size must be greater than zero");
    // A mortise as long as its bit needs no travel; a shorter one there is not.
    let routed = |length: &str| plan(&shop(&[]), &leg, &by_router(&keys("1/2", "1", length, "")));
    says(&routed("1/4"), Level::Error, "shorter than the 3/8 in bit");
    assert!(findings(&routed("3/8"), Level::Error).is_empty());
    // The 1/4 chisel makes no 3/8 mortise.
    let other = format!(r#"{}, "at": "mortiser", "tool": "1/4 chisel""#, keys("1/2", "1", "2", ""));
    says(&plan(&true_chisel(), &leg, &other), Level::Error, "is needed");
}

#[test]
fn a_mortise_as_long_as_its_chisel_is_one_plunge() {
    let keys =
        r#""do": "mortise", "width": "3/8", "from_face": "1/2", "depth": "1", "length": "3/8""#;
    let plan = plan(&true_chisel(), &ash("2", "2", "20"), &by_chisel(keys));
    quiet(&plan);
    assert_eq!(number(&plan, 10, "plunges in each"), 1);
}

/// A stile is mortised in its edge: what is left is counted in its width.
#[test]
fn a_stile_is_mortised_through_its_width() {
    let keys = r#""do": "mortise", "width": "1/4", "from_face": "1/4", "depth": "1 1/4",
        "length": "2", "at": "mortiser", "tool": "1/4 chisel""#;
    quiet(&plan(&shop(&[]), &ash("3/4", "2 1/2", "20"), keys));
    let face = format!(r#"{keys}, "into": "face""#);
    says(&plan(&shop(&[]), &ash("3/4", "2 1/2", "20"), &face), Level::Error, "goes through");
}

#[test]
fn keys_that_say_too_little_or_too_much() {
    let refused = |keys: &str, words: &str| {
        let text = read(&ash("2", "2", "20"), keys).unwrap_err();
        assert!(text.contains(words), "{text}");
    };
    let mortise =
        r#""do": "mortise", "at": "mortiser", "width": "3/8", "depth": "1", "length": "2""#;
    refused(mortise, "no place across the piece");
    let both = format!(r#"{mortise}, "from_face": "1/2", "setback": "1/8", "mating": "1""#);
    refused(&both, "no place across the piece");
    refused(&format!(r#"{mortise}, "from_face": "1/2", "faces": 0"#), "one to four faces");
    refused(&format!(r#"{mortise}, "from_face": "1/2", "adjacent": true"#), "no neighbour");
    let bore = r#""do": "bore", "at": "drill press", "size": "3/8", "from_face": "1/2""#;
    refused(&format!(r#"{bore}, "draw": "1/16""#), "`draw` needs");
    refused(&format!(r#"{bore}, "stage": "counterbore""#), "needs a `depth`");
    refused(&format!(r#"{bore}, "count": 0"#), "1 to 200 holes");
}

const RAIL: &str = r#""do": "tenon", "mortise_width": "0.381", "mortise_from_face": "0.502",
    "setback": "1/8", "length": "1 3/8", "mortise_depth": "1 7/16""#;

fn by_saw(keys: &str) -> String {
    format!(r#"{keys}, "at": "tenon saw""#)
}

/// The bundled tenon saw with a scale of thousandths that cuts what it shows.
fn fine_saw() -> Shop {
    shop(&[
        ("/machines/tenon saw/readouts/blade height/step", "0.001".into()),
        ("/machines/tenon saw/tools/tenon blade/scale_offset", "0".into()),
    ])
}

/// By hand: 0.381 - 0.004 = 0.377; 0.502 - 0.125 + 0.002 = 0.379; 1.118 -
/// 0.377 - 0.379 = 0.362. At 0.375 both sides it would be 1.118 - 0.750 =
/// 0.368, with 0.013 of slack. Overall 44 1/2 + 2 x 1 3/8 = 47 1/4.
#[test]
fn the_bench_rail() {
    let keys = format!(r#"{RAIL}, "shoulders": "44 1/2""#);
    let plan = plan(&fine_saw(), &ash("1.118", "3", "47 1/4"), &by_saw(&keys));
    quiet(&plan);
    assert_eq!(size(&plan, 10, "tenon"), inches("0.377"));
    assert_eq!(target(&plan, "blade height, face down"), inches("0.379"));
    assert_eq!(target(&plan, "blade height, back down"), inches("0.362"));
    assert_eq!(size(&plan, 10, "tenon as the scale makes it"), inches("0.377"));
    assert_eq!(target(&plan, "stop"), inches("1 3/8"));
    assert_eq!(size(&plan, 10, "shoulder length"), inches("44 1/2"));
    assert_eq!(size(&plan, 10, "overall"), inches("47 1/4"));
    assert_eq!(outcome(&plan, 10).after.most("tenon thickness"), Some(inches("0.377")));
    assert_eq!(outcome(&plan, 10).after.most("shoulder length"), Some(inches("44 1/2")));
    assert!(plan.operation(10).unwrap().cant_be_undone);
}

/// A router table has no blade: its scale shows the height of the bit.
#[test]
fn a_tenon_lying_on_a_router_table_goes_by_the_height() {
    let keys = format!(
        r#"{RAIL}, "method": "two-heights", "at": "router table", "tool": "3/4 straight bit""#
    );
    let plan = plan(&shop(&[]), &ash("1.118", "3", "47 1/4"), &keys);
    let names: Vec<&str> =
        outcome(&plan, 10).settings.iter().map(|setting| setting.name.as_str()).collect();
    assert!(names.contains(&"height, face down"), "{names:?}");
    assert!(names.iter().all(|name| !name.contains("blade")), "{names:?}");
}

/// By hand, on the bundled scale of 0.005 that cuts 0.005 deeper than it shows:
/// 0.379 - 0.005 = 0.374, down to 0.370, which cuts 0.375. That leaves 0.743,
/// and 0.743 - 0.377 = 0.366 for the back: 0.361, down to 0.360, which cuts
/// 0.365. Left: 0.743 - 0.365 = 0.378, a thousandth too thick.
#[test]
fn a_coarse_scale_leaves_the_tenon_fat() {
    let plan = plan(&shop(&[]), &ash("1.118", "3", "47 1/4"), &by_saw(RAIL));
    assert_eq!(setting(&plan, 10, "blade height, face down").dial_text(), "0.370");
    assert_eq!(setting(&plan, 10, "blade height, back down").dial_text(), "0.360");
    assert_eq!(size(&plan, 10, "tenon as the scale makes it"), inches("0.378"));
}

/// By hand: on a sled 1/2 thick the blade stands as much higher at both
/// cheeks, 0.379 + 0.5 and 0.362 + 0.5, and the tenon is what it was.
#[test]
fn a_sled_under_the_rail_raises_the_blade() {
    let sled = shop(&[
        ("/machines/tenon saw/readouts/blade height/step", "0.001".into()),
        ("/machines/tenon saw/tools/tenon blade/scale_offset", "0".into()),
        ("/machines/tenon saw/sled_base", "1/2".into()),
    ]);
    let plan = plan(&sled, &ash("1.118", "3", "47 1/4"), &by_saw(RAIL));
    let dial = |name: &str| setting(&plan, 10, name).dial_text();
    assert_eq!(dial("blade height, face down"), "0.879");
    assert_eq!(dial("blade height, back down"), "0.862");
    assert_eq!(size(&plan, 10, "tenon as the scale makes it"), inches("0.377"));
    // The size itself is counted from the sled.
    assert_eq!(target(&plan, "blade height, face down"), inches("0.379"));
    assert_eq!(setting(&plan, 10, "blade height, back down").beyond, inches("1/2"));
}

/// Aimed 0.016 too thick: each height is half of it lower, 0.371 and 0.354.
#[test]
fn an_aim_is_shared_by_the_cheeks() {
    let keys = format!(r#"{RAIL}, "aim": "0.016""#);
    let plan = plan(&fine_saw(), &ash("1.118", "3", "47 1/4"), &by_saw(&keys));
    assert_eq!(setting(&plan, 10, "blade height, face down").setting.dial.0, inches("0.371"));
    assert_eq!(setting(&plan, 10, "blade height, back down").setting.dial.0, inches("0.354"));
    assert_eq!(size(&plan, 10, "tenon as the scale makes it"), inches("0.393"));
    assert_eq!(setting(&plan, 10, "stop").dial_text(), "1 3/8");
}

/// Test tenon 0.393 where 0.377 is wanted: 0.016 too much. Taken off the back
/// alone that is 0.016 higher; where both cheeks are cut again it is 0.008, for
/// by 0.016 it would come to 0.361. Between jig and face, a spacer that much
/// too thick leaves it all at the face.
#[test]
fn raise_half_of_what_is_too_much() {
    let route = read(&ash("1.118", "3", "47 1/4"), &by_saw(RAIL)).unwrap();
    let over = benchway::operation::Over {
        target: Length::thousandths(16),
        limit: Length::thousandths(14),
    };
    let said = benchway::plan::cut_again(&route, &fine_saw(), &Known::default(), 10, over).unwrap();
    assert!(
        said.contains("cut the back again 0.016 higher, or both again 0.008 higher each"),
        "{said}"
    );
    let keys = format!(r#"{RAIL}, "method": "one-face""#);
    let route = read(&ash("1.118", "3", "47 1/4"), &by_saw(&keys)).unwrap();
    let said = benchway::plan::cut_again(&route, &fine_saw(), &Known::default(), 10, over).unwrap();
    assert!(said.contains("a spacer thinner by 0.016; cut only the face cheek again"), "{said}");
}

/// By hand: the spacer is tenon and kerf, 0.377 and 0.125, so 0.502, whatever
/// the stock. Without it the blade is face cheek and tenon away from the jig:
/// 0.379 and 0.377 make 0.756. The face is against the jig, so only the back
/// cheek varies: 1.118 less 0.756 is 0.362, then 0.344 and 0.384.
#[test]
fn one_face_keeps_the_tenon_whatever_the_stock() {
    for (thickness, back) in [("1.118", "0.362"), ("1.100", "0.344"), ("1.140", "0.384")] {
        let keys = format!(r#"{RAIL}, "method": "one-face""#);
        let plan = plan(&fine_saw(), &stock(thickness, "3", "27"), &by_saw(&keys));
        assert_eq!(size(&plan, 10, "spacer for tenon and kerf"), inches("0.502"));
        assert_eq!(size(&plan, 10, "first cheek, from the jig to the blade"), inches("0.756"));
        assert_eq!(size(&plan, 10, "face cheek"), inches("0.379"));
        assert_eq!(size(&plan, 10, "back cheek"), inches(back));
    }
}

/// What a shape is made of, and its corners.
fn blocks(drawing: &Drawing, of: Material) -> Vec<&[Point]> {
    let shapes = drawing.shapes.iter();
    let points = shapes.filter_map(|shape| match shape {
        DrawnShape::Polygon { of: made, points } if *made == of => Some(points.as_slice()),
        _ => None,
    });
    points.collect()
}

/// How high the cutter of a drawing stands, and how wide it is.
fn cutter(drawing: &Drawing) -> (Length, Length) {
    let cutters = blocks(drawing, Material::Cutter);
    let [points] = cutters.as_slice() else { panic!("one cutter: {drawing:?}") };
    let high = points.iter().map(|point| point.y).max().unwrap();
    let left = points.iter().map(|point| point.x).min().unwrap();
    let right = points.iter().map(|point| point.x).max().unwrap();
    (high, right - left)
}

/// Two setups, each with its number and its drawing, the shoulders first. By
/// hand, for the rail of 1.118 with the tenon of 0.377, 1 3/8 long. Lying, the
/// blade is as high as the cheek is deep: 0.379 at the face, 0.362 at the back.
/// On end it is as high as the tenon is long less a hair of 1/64: 1.375 -
/// 0.015625 = 1.359375, down to 1.359. A blade as high as the tenon is long
/// would nearly cut off the rail as it lies.
#[test]
fn one_face_is_two_setups_with_the_shoulders_first() {
    let keys = format!(r#"{RAIL}, "method": "one-face""#);
    let plan = plan(&fine_saw(), &ash("1.118", "3", "27"), &by_saw(&keys));
    quiet(&plan);
    let out = outcome(&plan, 10);
    let names: Vec<&str> = out.settings.iter().map(|named| named.name.as_str()).collect();
    assert_eq!(
        names,
        [
            "stop",
            "blade height, flat, face down",
            "blade height, flat, back down",
            "blade height, on end"
        ]
    );
    let passes: Vec<(String, Vec<&str>, u32)> =
        out.passes.iter().map(|pass| (pass.dial_text(), pass.faces.clone(), pass.feeds)).collect();
    // Both ends each, and on end both cheeks of them.
    assert_eq!(
        passes,
        [
            ("0.379".to_owned(), vec!["face shoulder"], 2),
            ("0.362".to_owned(), vec!["back shoulder"], 2),
            ("1.359".to_owned(), vec!["back cheek, spacer out", "face cheek, spacer in"], 4),
        ]
    );
    let drawings: Vec<&Drawing> =
        out.passes.iter().map(|pass| pass.drawing.as_ref().unwrap()).collect();
    let seen: Vec<&str> = drawings.iter().map(|drawing| drawing.seen.as_str()).collect();
    assert_eq!(
        seen,
        [
            "from the side, flat, face down",
            "from the side, flat, back down",
            "along the jig, on end"
        ]
    );
    // The blade is drawn as high as it is set, and as wide as it is: at the
    // shoulder one kerf, and never as wide as the tenon is long.
    let kerf = inches("1/8");
    for (drawing, height) in drawings.iter().zip(["0.379", "0.362", "1.359"]) {
        let (high, wide) = cutter(drawing);
        assert_eq!(high, inches(height), "{}", drawing.seen);
        assert_eq!(wide, kerf, "{}", drawing.seen);
    }
    assert_eq!(out.drawing, *drawings[0]);
    // On end the waste is on the side away from the jig.
    let (waste, jig) = (blocks(drawings[2], Material::Waste), blocks(drawings[2], Material::Fence));
    assert!(waste[0].iter().all(|point| point.x >= inches("0.756")));
    assert!(jig[1].iter().all(|point| point.x <= Length::ZERO));
    assert_eq!(setting(&plan, 10, "stop").dial_text(), "1 3/8");
    let steps = out.steps.join("\n");
    let (flat, on_end) =
        (steps.find("Flat first").unwrap(), steps.find("on end, clamped").unwrap());
    assert!(flat < on_end, "{steps}");
}

/// By hand: on a sled 1/2 thick the shoulders take 0.879 and 0.862. The jig
/// stands on the table, so on end it is 1.359 as without a sled.
#[test]
fn a_sled_is_under_the_shoulders_and_not_under_the_jig() {
    let sled = shop(&[
        ("/machines/tenon saw/readouts/blade height/step", "0.001".into()),
        ("/machines/tenon saw/tools/tenon blade/scale_offset", "0".into()),
        ("/machines/tenon saw/sled_base", "1/2".into()),
    ]);
    let keys = format!(r#"{RAIL}, "method": "one-face""#);
    let plan = plan(&sled, &ash("1.118", "3", "27"), &by_saw(&keys));
    let dials: Vec<String> =
        outcome(&plan, 10).passes.iter().map(|pass| pass.dial_text()).collect();
    assert_eq!(dials, ["0.879", "0.862", "1.359"]);
}

/// Stock over 3 ft is not stood on end; at 36 in it is.
#[test]
fn long_stock_is_not_stood_on_end() {
    let at = |long: &str, method: &str| {
        let keys = format!(r#"{RAIL}, "method": "{method}""#);
        plan(&fine_saw(), &ash("1.118", "3", long), &by_saw(&keys))
    };
    quiet(&at("36", "one-face"));
    says(&at("38 1/2", "one-face"), Level::Warning, "38 1/2 in is too long to be stood on end");
    quiet(&at("38 1/2", "two-heights"));
}

/// By hand: a tenon of 1 3/8 with a blade of 1/8 that moves 1/8 - 1/32 = 3/32:
/// (1.375 - 0.125) / 0.09375 = 13.33, so 14 more cuts after the first: 15. At
/// both ends that is 30 feeds at each height. A tenon of 3/4: 0.625 / 0.09375 =
/// 6.67, so 8. A blade as wide as the tenon is long takes one.
#[test]
fn a_narrow_blade_nibbles() {
    let cuts = |shop: &Shop, keys: &str| {
        let plan = plan(shop, &ash("1.118", "3", "27"), &by_saw(keys));
        let feeds: Vec<u32> = outcome(&plan, 10).passes.iter().map(|pass| pass.feeds).collect();
        (number(&plan, 10, "cuts side by side on each cheek"), feeds)
    };
    assert_eq!(cuts(&fine_saw(), RAIL), (15, vec![30, 30]));
    let short = RAIL.replace("\"length\": \"1 3/8\"", "\"length\": \"3/4\"");
    assert_eq!(cuts(&fine_saw(), &format!(r#"{short}, "ends": 1"#)), (8, vec![8, 8]));
    let wide = shop(&[("/machines/tenon saw/tools/tenon blade/kerf", "3/4".into())]);
    assert_eq!(cuts(&wide, &short), (1, vec![2, 2]));
    let plan = plan(&fine_saw(), &ash("1.118", "3", "27"), &by_saw(RAIL));
    let steps = outcome(&plan, 10).steps.join("\n");
    assert!(
        steps.contains("then 14 more cuts outward to the end, 3/32 in apart at most"),
        "{steps}"
    );
    assert!(steps.contains("Clean up the ridges"), "{steps}");
}

/// In millimetres: a tenon of 35 with a blade of 3.2 that moves 2.4: 31.8 / 2.4
/// = 13.25, so 15 cuts. A blade of 2 overlaps by a quarter, 0.5: 33 / 1.5 = 22,
/// so 23.
#[test]
fn a_narrow_blade_nibbles_in_millimetres() {
    let cuts = |kerf: &str| {
        let shop = shop(&[("/machines/metric tenon saw/tools/tenon blade/kerf", kerf.into())]);
        let keys = r#"{ "op": 10, "part": "piece", "do": "tenon", "at": "metric tenon saw",
            "mortise_width": "10.1", "mortise_from_face": "12", "setback": "3", "length": "35",
            "clearance": "0.1" }"#;
        let part = r#""stock": { "thickness": "28", "width": "80", "length": "500" }"#;
        let route = try_route_of("mm", "", part, keys).unwrap_or_else(|text| panic!("{text}"));
        number(&walk(&route, &shop, &Known::default()), 10, "cuts side by side on each cheek")
    };
    assert_eq!([cuts("3.2mm"), cuts("2mm")], [15, 23]);
}

/// Without a kerf neither count nor spacer is known, and nothing is counted as
/// if the blade were of no width.
#[test]
fn without_a_kerf_no_cut_is_counted() {
    let mut file: serde_json::Value =
        serde_json::from_str(benchway::shop::BUNDLED).expect("the bundled shop");
    let blade = &mut file["machines"]["tenon saw"]["tools"]["tenon blade"];
    blade.as_object_mut().unwrap().remove("kerf");
    let document = benchway::document::Document::read("shop.json", file.to_string()).unwrap();
    let unknown = benchway::shop::read(&document).unwrap_or_else(|problems| panic!("{problems:?}"));
    let at = |method: &str| {
        let keys = format!(r#"{RAIL}, "method": "{method}""#);
        plan(&unknown, &ash("1.118", "3", "27"), &by_saw(&keys))
    };
    let unknown_facts = |plan: &Plan| -> Vec<String> {
        let facts = outcome(plan, 10).facts.iter();
        facts.filter(|f| f.is == FactAmount::Unknown).map(|f| f.what.clone()).collect()
    };
    says(&at("two-heights"), Level::Warning, "how wide the tenon blade of the tenon saw cuts");
    assert_eq!(unknown_facts(&at("two-heights")), ["cuts side by side on each cheek"]);
    says(&at("one-face"), Level::Error, "how wide the tenon blade of the tenon saw cuts");
    assert_eq!(unknown_facts(&at("one-face")), ["spacer for tenon and kerf"]);
}

/// One stop scale, two zeros. By hand, in millimetres: a tenon of 68.0 and a
/// kerf of 2.8. Its shoulder is at the tooth away from the stop. A scale that
/// counts to that tooth shows 68.0; one that counts to the tooth toward the
/// stop, as a crosscut needs it, shows 68.0 - 2.8 = 65.2. A set-off block is on
/// the other side of the blade, so there the two change places.
#[test]
fn a_stop_scale_counts_to_one_of_two_teeth() {
    let dial = |zero: Option<&str>, stop: &str, keys: &str| {
        let changes = [
            ("/machines/metric tenon saw/tools/tenon blade/kerf", "2.8mm".into()),
            ("/machines/metric tenon saw/readouts/stop/step", "0.1".into()),
            ("/machines/metric tenon saw/length_stop", stop.into()),
            ("/machines/metric tenon saw/stop_zero", zero.into()),
        ];
        let part = r#""stock": { "thickness": "28", "width": "80", "length": "500" }"#;
        let keys = format!(r#"{{ "op": 10, "part": "piece", "at": "metric tenon saw", {keys} }}"#);
        let route = try_route_of("mm", "", part, &keys).unwrap_or_else(|text| panic!("{text}"));
        let plan = walk(&route, &shop(&changes), &Known::default());
        let stop = setting(&plan, 10, "stop");
        let said = outcome(&plan, 10).steps.join("\n");
        (stop.dial_text(), stop.setting.predicted, said)
    };
    let tenon = r#""do": "tenon", "mortise_width": "10.1", "mortise_from_face": "12",
        "setback": "3", "length": "68", "clearance": "0.1""#;
    let lap = r#""do": "half lap", "width": "68""#;
    let crosscut = r#""do": "crosscut", "to": "68""#;
    let made = Length::MILLIMETRE * 68;
    for (keys, near, far) in
        [(tenon, "65.2", "68.0"), (lap, "65.2", "68.0"), (crosscut, "68.0", "70.8")]
    {
        for (zero, stop, expected) in [
            (Some("near"), "kept-side", near),
            (None, "kept-side", near),
            (Some("far"), "kept-side", far),
            // 68.0 away from the block is at the near tooth, and 2.8 more or less.
            (Some("far"), "set-off-block", near),
            (Some("near"), "set-off-block", far),
        ] {
            let (text, predicted, said) = dial(zero, stop, keys);
            assert_eq!((text.as_str(), predicted), (expected, made), "{zero:?} {stop} {keys}");
            if keys != crosscut {
                assert!(said.contains("is at the tooth away from the stop"), "{said}");
            }
        }
    }
    let (_, _, said) = dial(None, "kept-side", tenon);
    assert!(said.contains("a kerf is taken off its number"), "{said}");
}

/// Rails from 1.108 to 1.128 differ by 0.020, and at two heights so do tenons.
#[test]
fn uneven_stock_is_said_before_two_heights() {
    let text = r#"{ "route": "Rails", "unit": "in", "sets": 2,
        "parts": { "piece": { "per_set": 1, "species": "ash",
            "stock": { "thickness": "1 1/8", "width": "3", "length": "27" } } },
        "operations": [
            { "op": 5, "part": "piece", "do": "measure", "checks": [
                { "check": "thickness", "limits": "±1/32", "with": "calipers", "pieces": "all" } ] },
            { "op": 10, "part": "piece", KEYS } ] }"#;
    let walked = |method: &str, least: i64, most: i64| {
        let keys = by_saw(&format!(r#"{RAIL}, "method": "{method}""#));
        let text = text.replace("KEYS", &keys);
        let route = try_route(&text).unwrap_or_else(|problems| panic!("{problems}"));
        let mut known = Known::default();
        let measured =
            Measured { least: Length::thousandths(least), most: Length::thousandths(most) };
        known.measured.insert((5, "thickness".into()), measured);
        walk(&route, &fine_saw(), &known)
    };
    says(&walked("two-heights", 1108, 1128), Level::Warning, "differ by 0.020 in");
    quiet(&walked("two-heights", 1116, 1120));
    quiet(&walked("one-face", 1108, 1128));
}

#[test]
fn a_tenon_that_cannot_be() {
    let at = |thickness: &str, keys: &str| {
        plan(&fine_saw(), &stock(thickness, "3", "47 1/4"), &by_saw(keys))
    };
    let keys = |width: &str, from: &str, length: &str, more: &str| {
        format!(
            r#""do": "tenon", "mortise_width": "{width}", "mortise_from_face": "{from}",
            "setback": "1/8", "length": "{length}" {more}"#
        )
    };
    // 3/4 stock has no room for 0.379 + 0.377 = 0.756: 0.006 short.
    says(&at("0.75", &keys("0.381", "0.502", "1", "")), Level::Error, "need 0.006 in more");
    // 0.100 - 0.125 + 0.002 = -0.023.
    says(&at("1", &keys("0.381", "0.100", "1", "")), Level::Error, "0.023 in proud");
    says(&at("1", &keys("0.003", "0.502", "1", "")), Level::Error, "leaves no tenon");
    let loose = keys("0.381", "0.502", "1", r#", "clearance": "0.010""#);
    says(&at("1.118", &loose), Level::Warning, "0.010 in is outside");
    let bottoms = keys("0.381", "0.502", "1 3/8", r#", "mortise_depth": "1 3/8""#);
    says(&at("1.118", &bottoms), Level::Warning, "reaches the bottom");
    let close = keys("0.381", "0.502", "1 3/8", r#", "mortise_depth": "1 25/64""#);
    says(&at("1.118", &close), Level::Warning, "only 1/64 in below");
    let meets = keys("0.381", "0.502", "3/4", r#", "meets_beyond": "21/32""#);
    says(&at("1.118", &meets), Level::Error, "meet in the leg beyond 21/32 in");
    let mitred = keys("0.381", "0.502", "3/4", r#", "meets_beyond": "21/32", "mitred": true"#);
    quiet(&at("1.118", &mitred));
    // 47 1/4 long, but 47 1/4 between shoulders would take 49 1/4.
    let overall = keys("0.381", "0.502", "1", r#", "shoulders": "47 1/4""#);
    says(&at("1.118", &overall), Level::Error, "too short for");
    let long = keys("0.381", "0.502", "1", r#", "shoulders": "44""#);
    says(&at("1.118", &long), Level::Error, "longer than");
    // 45 15/64 between shoulders and two of 1 are 47 15/64: a piece may be 1/64 longer. 47
    // 7/32 is 1/32 less than the piece.
    let keys_between =
        |between: &str| keys("0.381", "0.502", "1", &format!(r#", "shoulders": "{between}""#));
    quiet(&at("1.118", &keys_between("45 15/64")));
    says(&at("1.118", &keys_between("45 7/32")), Level::Error, "longer than");
    says(&at("1.118", &keys("0.381", "0.502", "24", "")), Level::Error, "between the shoulders");
    says(&at("1.118", &keys("0.381", "0.502", "0", "")), Level::Error, "greater than zero");
    let on_end = keys("0.381", "0.502", "3 1/4", r#", "method": "one-face""#);
    let reach = at("1.118", &on_end);
    says(&reach, Level::Error, "the blade reaches 3 1/8 in");
    assert!(reach.all_findings().any(|finding| finding.place.may_override == MayOverride::Nobody));
}

/// The rip fence as a length stop is refused here as at any crosscut.
#[test]
fn a_tenon_is_not_trapped() {
    let keys = format!(r#"{RAIL}, "at": "cabinet saw", "tool": "rip blade""#);
    says(&plan(&shop(&[]), &ash("1.118", "3", "47 1/4"), &keys), Level::Error, "trapped");
}

/// By hand: 1/2 + 3/8 + 1/4 = 1 1/8 deep; the bit's edge is 1/2 - 3/16 = 5/16
/// from the fence; 1 1/2 less 1 1/8 is 3/8. Hardwood to 3/8: 1500 turns, WOOD
/// magazine `drilling and boring tools`.
#[test]
fn the_bench_peg() {
    let keys = r#""do": "bore", "at": "drill press", "tool": "3/8 bit", "size": "3/8",
        "from_face": "1/2", "along": "2", "depth": "0.500 + 0.375 + 0.250", "makes": "peg hole""#;
    let plan = plan(&shop(&[]), &ash("1 1/2", "2", "20"), keys);
    quiet(&plan);
    assert_eq!(setting(&plan, 10, "fence").dial_text(), "1/2");
    assert_eq!(setting(&plan, 10, "depth").dial_text(), "1 1/8");
    assert_eq!(size(&plan, 10, "fence to the bit's edge"), inches("5/16"));
    assert_eq!(number(&plan, 10, "turns a minute at most, twist bit"), 1500);
    assert_eq!(outcome(&plan, 10).after.most("peg hole size"), Some(inches("3/8")));
}

/// Twist bits. Hardwood to 3/16 3000, to 3/8 1500, to 1/2 750: WOOD magazine;
/// to 5/8 750, softwood to 3/8 3000 and to 5/8 1500: woodiswood.com chart.
#[test]
fn the_speed_suits_bit_and_wood() {
    let turns = |species: &str, diameter: &str| {
        let shop = shop(&[("/machines/drill press/tools/3~18 bit/size", diameter.into())]);
        let part = ash("3", "4", "20").replace("ash", species);
        let keys = format!(
            r#""do": "bore", "at": "drill press", "tool": "3/8 bit", "size": "{diameter}",
            "from_face": "2""#
        );
        let plan = plan(&shop, &part, &keys);
        let facts = outcome(&plan, 10).facts.iter();
        facts
            .filter(|fact| fact.what.starts_with("turns"))
            .map(|fact| match fact.is {
                FactAmount::Number(number) => number,
                _ => panic!("{fact:?}"),
            })
            .next()
    };
    let bits = ["3/16", "1/4", "3/8", "1/2", "5/8"];
    assert_eq!(bits.map(|d| turns("ash", d)), [3000, 1500, 1500, 750, 750].map(Some));
    assert_eq!(bits.map(|d| turns("white pine", d)), [3000, 3000, 3000, 1500, 1500].map(Some));
    assert_eq!(turns("ash", "1"), None);
}

/// The tenon's hole 1/16 nearer the shoulder than 3/4 from it: 11/16.
#[test]
fn a_drawn_peg_pulls_to_the_shoulder() {
    let keys = |draw: &str| {
        format!(
            r#""do": "bore", "at": "drill press", "tool": "3/8 bit", "size": "3/8",
            "from_face": "1 1/2", "along": "3/4", "draw": "{draw}""#
        )
    };
    let planned = |draw: &str| plan(&shop(&[]), &ash("3/8", "3", "20"), &keys(draw));
    quiet(&planned("1/16"));
    assert_eq!(size(&planned("1/16"), 10, "centre from the shoulder"), inches("11/16"));
    says(&planned("1/8"), Level::Warning, "drawn by 1/8 in");
    says(&planned("1/64"), Level::Warning, "drawn by 1/64 in");
}

#[test]
fn a_hole_that_cannot_be() {
    let at = |from: &str, more: &str| {
        let keys = format!(
            r#""do": "bore", "at": "drill press", "tool": "3/8 bit", "size": "3/8",
            "from_face": "{from}" {more}"#
        );
        plan(&shop(&[]), &ash("1", "2", "20"), &keys)
    };
    quiet(&at("1", ""));
    assert!(outcome(&at("1", ""), 10).steps.iter().any(|step| step.contains("backing board")));
    says(&at("1", r#", "depth": "1 1/8""#), Level::Error, "goes through");
    // 1 - 15/16 = 1/16, and the point of a 3/8 bit is 0.3 x 3/8 = 0.1125 long;
    // 1/8 is more than that, but not by 1/32.
    says(&at("1", r#", "depth": "15/16""#), Level::Error, "only 1/16 in below");
    says(&at("1", r#", "depth": "7/8""#), Level::Warning, "only 1/8 in below");
    quiet(&at("1", r#", "depth": "27/32""#));
    // 1/8 - 3/16 = -1/16, and 1 15/16 + 3/16 = 2 1/8.
    says(&at("1/8", ""), Level::Error, "1/16 in beyond the reference face");
    says(&at("1 15/16", ""), Level::Error, "1/8 in beyond the far face");
    says(&at("1", r#", "along": "21""#), Level::Error, "isn't on the piece");
}

/// By hand: 2 / 2 + 1/16 = 1 1/16 deep; six of them over 20, 1 from each end,
/// are 18 / 5 = 3.6 apart.
#[test]
fn dowels_of_an_edge() {
    let keys = |tool: &str, dowel: &str, count: u32, end: &str, long: &str| {
        format!(
            r#""do": "dowel", "at": "drill press", "tool": "{tool}", "dowel": "{dowel}",
            "dowel_length": "{long}", "from_face": "3/8", "joint": "20", "from_end": "{end}",
            "count": {count}"#
        )
    };
    let at = |keys: String| plan(&shop(&[]), &ash("3/4", "3", "20"), &keys);
    let planned = at(keys("3/8 bit", "3/8", 6, "1", "2"));
    quiet(&planned);
    assert_eq!(target(&planned, "depth"), inches("1 1/16"));
    assert_eq!(target(&planned, "fence"), inches("3/8"));
    assert_eq!(size(&planned, 10, "from centre to centre"), inches("3.6"));
    let steps = outcome(&planned, 10).places.join("\n");
    assert!(steps.contains("1.000, 4.600, 8.200, 11.800, 15.400, 19.000 in."), "{steps}");
    assert_eq!(outcome(&planned, 10).after.most("hole depth"), Some(inches("1 1/16")));
    // Each hole is seen from half a bit, 3/16, before its centre to as far behind it.
    let seen = outcome(&planned, 10).traces.iter().map(|trace| match trace {
        Trace::Cut { along: CutAlong::Between(from, to), .. } => (*from, *to),
        other => panic!("{other:?}"),
    });
    let centres = ["1", "4.6", "8.2", "11.8", "15.4", "19"].map(inches);
    let half = inches("3/16");
    assert_eq!(seen.collect::<Vec<_>>(), centres.map(|centre| (centre - half, centre + half)));
    // A dowel 0.002 undersize fits well; 0.006 under is loose, 0.002 over is tight.
    quiet(&at(keys("3/8 bit", "0.373", 6, "1", "2")));
    says(&at(keys("3/8 bit", "0.369", 6, "1", "2")), Level::Warning, "0.006 in looser");
    says(&at(keys("3/8 bit", "0.377", 6, "1", "2")), Level::Warning, "0.002 in tighter");
    says(&at(keys("1/4 bit", "3/8", 6, "1", "2")), Level::Error, "is needed");
    says(&at(keys("3/8 bit", "3/8", 60, "1", "2")), Level::Error, "run into each other");
    says(&at(keys("3/8 bit", "3/8", 2, "1/8", "2")), Level::Error, "comes out at the end");
    says(&at(keys("3/8 bit", "3/8", 2, "1", "6")), Level::Error, "goes through");
    // 3 - (2 7/8 + 1/16) = 1/16, shorter than the bit's point.
    says(&at(keys("3/8 bit", "3/8", 2, "1", "5 3/4")), Level::Error, "only 1/16 in below");
    quiet(&at(keys("3/8 bit", "3/8", 1, "1", "2")));
}

/// A loose tenon 2 wide in a slot 2 1/32 long: the 1/4 bit travels 1 25/32.
#[test]
fn loose_tenons_are_slots() {
    let keys = r#""do": "dowel", "at": "router table", "tool": "1/4 straight bit", "dowel": "1/4",
        "dowel_length": "2", "from_face": "3/8", "joint": "6", "from_end": "1 1/2", "count": 1,
        "tenon_width": "2", "into": "end", "makes": "slot""#;
    let plan = plan(&shop(&[]), &ash("3/4", "6", "20"), keys);
    quiet(&plan);
    assert_eq!(outcome(&plan, 10).after.most("slot length"), Some(inches("2 1/32")));
    assert_eq!(size(&plan, 10, "travel between stops"), inches("1 25/32"));
    assert_eq!(target(&plan, "height"), inches("1 1/16"));
}

/// What can still be cut away: holes bigger, tenons thinner.
#[test]
fn the_safe_side_is_where_wood_is_left() {
    let checks = |of: &str, check: &str, keys: &str| {
        let keys = format!(
            r#"{keys}, "makes": "{of}", "checks": [ {{ "of": "{of}", "check": "{check}",
            "limits": "±1/16", "with": "calipers", "pieces": "all" }} ]"#
        );
        plan(&shop(&[]), &ash("2.375", "2.375", "47"), &keys).operation(10).unwrap().checks[0].safe
    };
    for check in ["width", "depth", "length"] {
        assert_eq!(checks("front mortise", check, &by_chisel(BENCH_LEG)), SafeSide::Small);
    }
    let wall = checks("front mortise", "wall thickness", &by_chisel(BENCH_LEG));
    assert_eq!(wall, SafeSide::Neither);
    assert_eq!(checks("end", "thickness", &by_saw(RAIL)), SafeSide::Big);
}

proptest! {
    /// For any measurements and any offset of the saw, the tenon is never
    /// thinner than mortise less clearance, and too thick by less than two steps; its
    /// face cheek is never cut deeper than wanted, nor a step less.
    #[test]
    fn mortise_and_tenon_meet_with_the_clearance(
        mortise in 240_i64..520,
        from_face in 300_i64..600,
        setback in 0_i64..200,
        spare in 0_i64..400,
        clearance in 2_i64..=6,
        fat in -15_i64..15,
        step in 1_i64..12,
    ) {
        let decimal = |n: i64| format!("{}0.{:03}", if n < 0 { "-" } else { "" }, n.abs());
        let shop = shop(&[
            ("/machines/tenon saw/readouts/blade height/step", decimal(step).into()),
            (
                "/machines/tenon saw/tools/tenon blade/scale_offset",
                serde_json::json!({ "blade height": decimal(fat) }),
            ),
        ]);
        let stocked = from_face - setback + mortise + spare;
        let thickness = format!("{}.{:03}", stocked / 1000, stocked % 1000);
        let keys = format!(
            r#""do": "tenon", "mortise_width": "{}", "mortise_from_face": "{}", "setback": "{}",
            "clearance": "{}", "length": "1""#,
            decimal(mortise), decimal(from_face), decimal(setback), decimal(clearance)
        );
        let plan = plan(&shop, &stock(&thickness, "3", "40"), &by_saw(&keys));
        prop_assert!(findings(&plan, Level::Error).is_empty(), "{:?}", findings(&plan, Level::Error));
        let step = Length::thousandths(step);
        let face = setting(&plan, 10, "blade height, face down").setting.predicted;
        let back = setting(&plan, 10, "blade height, back down").setting.predicted;
        let tenon = Length::thousandths(stocked) - face - back;
        let wanted = Length::thousandths(mortise - clearance);
        prop_assert!(tenon >= wanted && tenon < wanted + step * 2, "{:?}", tenon);
        // From the leg's face to the cheek, and to the mortise's wall.
        let cheek = Length::thousandths(setback) + face;
        let air = cheek - Length::thousandths(from_face);
        let half = Length::from_nanometres(Length::thousandths(clearance).nanometres() / 2);
        prop_assert!(air <= half && air > half - step, "{:?}", air);
        prop_assert_eq!(size(&plan, 10, "tenon as the scale makes it"), tenon);
    }

    /// Chisel marks overlap by a quarter or more, and the last ends at the end.
    #[test]
    fn plunges_reach_from_end_to_end(length in 380_i64..6000) {
        let keys = format!(
            r#""do": "mortise", "width": "3/8", "from_face": "1/2", "depth": "1",
            "length": "{}.{:03}""#,
            length / 1000, length % 1000
        );
        let plan = plan(&true_chisel(), &ash("2", "2", "20"), &by_chisel(&keys));
        let count = number(&plan, 10, "plunges in each");
        let run = Length::thousandths(length) - inches("3/8");
        prop_assert!(count >= 2);
        let apart = size(&plan, 10, "from plunge to plunge");
        prop_assert!(apart <= inches("0.28125"));
        prop_assert!((apart * (count - 1) - run).abs() < Length::thousandths(1));
        // One plunge fewer would leave more than that between them.
        if count > 2 {
            prop_assert!(run > inches("0.28125") * (count - 2));
        }
    }

    /// No joint makes a piece bigger, and no number makes the program panic.
    #[test]
    fn nothing_adds_wood(
        a in -2000_i64..6000, b in -2000_i64..6000, c in -2000_i64..6000, d in -2000_i64..6000,
        kind in 0_usize..4,
    ) {
        let [a, b, c, d] = [a, b, c, d].map(|n| {
            format!("{}{}.{:03}", if n < 0 { "-" } else { "" }, n.abs() / 1000, n.abs() % 1000)
        });
        let keys = match kind {
            0 => by_chisel(&format!(
                r#""do": "mortise", "width": "{a}", "from_face": "{b}", "depth": "{c}",
                "length": "{d}", "from_top": "{a}", "faces": 2, "adjacent": true"#)),
            1 => by_saw(&format!(
                r#""do": "tenon", "mortise_width": "{a}", "mortise_from_face": "{b}",
                "setback": "{c}", "length": "{d}""#)),
            2 => format!(
                r#""do": "bore", "at": "drill press", "tool": "1/4 bit", "size": "{a}",
                "from_face": "{b}", "depth": "{c}", "along": "{d}""#),
            _ => format!(
                r#""do": "dowel", "at": "drill press", "tool": "1/4 bit", "dowel": "{a}",
                "dowel_length": "{b}", "from_face": "{c}", "joint": "{d}", "from_end": "{a}",
                "count": 3"#),
        };
        let plan = plan(&shop(&[]), &ash("2", "3", "20"), &keys);
        let group = &plan.operation(10).unwrap().groups[0];
        for (feature, before) in &group.before.sizes {
            prop_assert_eq!(group.outcome.after.size(feature), Some(*before));
        }
    }
}
