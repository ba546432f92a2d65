//! Tapers, slices, curves, mitres and half laps against numbers worked out by
//! hand. Where no source stands beside one, it is common practice, no source.

use benchway::measure::{Length, SafeSide, Unit};
use benchway::operation::drawing::{DrawnShape, Point};
use benchway::operation::{Drawing, FactAmount};
use benchway::plan::{Known, Measured, Plan, walk};
use benchway::prose::Level;
use benchway::route::Route;
use benchway::shop::Shop;
use proptest::prelude::*;

use crate::plans::{
    as_decimal, errors, fact, inches, outcome, setting, shop, size, stock, try_route_of, warnings,
};

/// The sled's own scale, fine enough to show the worked numbers.
fn fine_sled() -> Shop {
    let scale = serde_json::json!({ "step": "0.005", "shows": "decimal" });
    shop(&[("/machines/saw and sled/readouts/sled foot offset", scale)])
}

/// Of a piece of ash of that thickness, width and length.
fn route_of_ash([thickness, width, length]: [&str; 3], operations: &str) -> Result<Route, String> {
    let part = format!(r#""species": "ash", {}"#, stock(thickness, width, length));
    try_route_of("in", "", &part, operations)
}

fn planned(shop: &Shop, size: [&str; 3], operations: &str) -> Plan {
    let route = route_of_ash(size, operations).unwrap_or_else(|all| panic!("{all}"));
    walk(&route, shop, &Known::default())
}

fn degrees(plan: &Plan, op: u32, what: &str) -> f64 {
    let FactAmount::Degrees(degrees) = fact(plan, op, what) else { panic!("{what} is no angle") };
    degrees
}

/// As shops write them.
fn near(length: Length, inches: f64, within: f64) {
    let off = (length.in_unit(Unit::Inch) - inches).abs();
    assert!(off <= within, "{} instead of {inches}", length.in_unit(Unit::Inch));
}

fn taper(keys: &str) -> String {
    format!(r#"{{ "op": 80, "part": "piece", "do": "taper", "at": "saw and sled", {keys} }}"#)
}

const STAND_LEG: &str = r#""start": "4 3/4", "foot": "7/8", "faces": "two inside""#;

/// Leg 27 long, 1.500 square, foot 0.875, start 4.75: 0.625 comes off over
/// 22.25, atan(0.625 / 22.25) = 1.609 degrees; at 12 from the top
/// 1.5 - 0.625 x 7.25 / 22.25 = 1.2963; a thou of leg moves the start by
/// 22.25 / 0.625 = 35.6 thou. Height: 1/2 of sled, 1 1/2, 1/8 above.
#[test]
fn a_stand_leg() {
    let keys = format!(r#"{STAND_LEG}, "station": "12""#);
    let plan = planned(&fine_sled(), ["1.5", "1.5", "27"], &taper(&keys));
    assert_eq!(errors(&plan), "");
    assert_eq!(setting(&plan, 80, "sled foot offset").dial_text(), "0.625");
    assert_eq!(setting(&plan, 80, "sled start mark").dial_text(), "4 3/4");
    assert_eq!(setting(&plan, 80, "blade height").dial_text(), "2 1/8");
    assert!((degrees(&plan, 80, "angle of the taper") - 1.609).abs() < 0.001);
    near(size(&plan, 80, "thickness as sawn, 12 in from the top"), 1.2963, 0.0001);
    near(size(&plan, 80, "start line moves, for 0.001 of section"), 0.0356, 0.00001);
    let after = &outcome(&plan, 80).after;
    for foot in ["foot thickness", "foot width"] {
        assert_eq!(after.most(foot), Some(inches("0.875")));
    }
    assert_eq!(after.most("start length"), Some(inches("4.75")));
    // Above the start of the taper the leg keeps its size.
    assert_eq!(after.most("thickness"), Some(inches("1.5")));
}

/// The last step says how to sand a taper, where wood was left for sanding.
#[test]
fn a_taper_is_sanded_only_where_wood_was_left_for_it() {
    let last = |keys: &str| {
        let plan = planned(&fine_sled(), ["1.5", "1.5", "27"], &taper(keys));
        outcome(&plan, 80).steps.last().cloned().unwrap()
    };
    let sand = "Sand from the foot up, fading out at the start line.";
    assert_eq!(last(&format!(r#"{STAND_LEG}, "sanding": "1/64""#)), sand);
    assert_eq!(last(STAND_LEG), "Second: a quarter turn toward the fence, tapered face up.");
}

/// The same leg made 1.34375: 0.46875 comes off. Published with a run of
/// 29.25 - 5: atan(0.46875 / 24.25) = 1.107 degrees.
#[test]
fn a_leg_that_came_out_thin_gets_a_flatter_taper() {
    let keys = r#""start": "5", "foot": "7/8", "faces": "two inside""#;
    let plan = planned(&fine_sled(), ["1.34375", "1.34375", "29.25"], &taper(keys));
    assert_eq!(size(&plan, 80, "off each face at the foot"), inches("0.46875"));
    assert!((degrees(&plan, 80, "angle of the taper") - 1.107).abs() < 0.001);
}

/// A rise of 0.25 in 12 is 1.1935 degrees (published worked number of a home
/// machinists' forum, homeshopmachinist thread 14564). Computed, no source:
/// 1.75 to 1 over 24 is 1.78991 by one face, 0.89517 by each of two opposite.
#[test]
fn angles_of_tapers() {
    let angle = |leg: &str, foot: &str, long: &str, faces: &str| {
        let keys = format!(r#""start": "0", "foot": "{foot}", "faces": "{faces}""#);
        let plan = planned(&fine_sled(), [leg, leg, long], &taper(&keys));
        assert_eq!(errors(&plan), "");
        degrees(&plan, 80, "angle of the taper")
    };
    assert!((angle("1.25", "1", "12", "one") - 1.1935).abs() < 0.0001);
    assert!((angle("1.75", "1", "24", "one") - 1.78991).abs() < 0.00001);
    assert!((angle("1.75", "1", "24", "four") - 0.89517).abs() < 0.00001);
}

/// A sled set for 1.500: a leg of 1.470 starts 0.030 x 35.6 = 1.068 lower, at
/// 5.818; one of 1.530 as much higher, at 3.682, inside an apron of 4.
#[test]
fn a_fat_leg_climbs_into_the_apron() {
    let keys = format!(r#"{STAND_LEG}, "section": "1 1/2", "apron": "4""#);
    let measure = r#"{ "op": 70, "part": "piece", "do": "measure",
        "checks": [ { "check": "thickness", "limits": "±1/16", "with": "calipers", "pieces": "all" } ] }"#;
    let route =
        route_of_ash(["1.5", "1.5", "27"], &format!("{measure}, {}", taper(&keys))).unwrap();
    let mut known = Known::default();
    let measured = Measured { least: inches("1.470"), most: inches("1.530") };
    known.measured.insert((70, "thickness".into()), measured);
    let plan = walk(&route, &fine_sled(), &known);
    near(size(&plan, 80, "start line on the thinnest, 1.470 in"), 5.818, 0.001);
    near(size(&plan, 80, "start line on the thickest, 1.530 in"), 3.682, 0.001);
    let said =
        "on the thickest piece, 1.530 in, the taper starts at 3.682 in, inside an apron of 4 in";
    assert!(errors(&plan).contains(said), "{}", errors(&plan));

    // A sled set for the thickest leg, the default without a section, lets no start move up.
    let keys = format!(r#"{STAND_LEG}, "apron": "4""#);
    let route =
        route_of_ash(["1.5", "1.5", "27"], &format!("{measure}, {}", taper(&keys))).unwrap();
    assert_eq!(errors(&walk(&route, &fine_sled(), &known)), "");
}

/// Left for sanding, 1/64: sawn 0.625 - 0.015625 = 0.609375, on a scale of
/// 0.005 down to 0.605, for wood can't be saved; the foot is 0.890625.
/// Sanded evenly, the start climbs 0.015625 x 35.6 = 0.556, to 4.194: into an
/// apron of 4 1/4.
#[test]
fn what_is_sanded_is_left_on() {
    let keys = format!(r#"{STAND_LEG}, "sanding": "1/64", "apron": "4 1/4""#);
    let plan = planned(&fine_sled(), ["1.5", "1.5", "27"], &taper(&keys));
    let offset = setting(&plan, 80, "sled foot offset");
    assert_eq!(offset.setting.target.0, inches("0.609375"));
    assert_eq!(offset.dial_text(), "0.605");
    assert_eq!(outcome(&plan, 80).after.most("foot width"), Some(inches("0.890625")));
    assert!(warnings(&plan).contains("moves the start up 0.556 in"), "{}", warnings(&plan));
}

/// The face up in a drawing of a cut, the one down, the one cut and the one at
/// the fence.
fn lies(plan: &Plan) -> Vec<String> {
    let labels = |drawing: &Drawing| {
        let mut labels: Vec<(Point, String)> = Vec::new();
        for shape in &drawing.shapes {
            if let DrawnShape::Label { at, text } = shape {
                labels.push((*at, text.clone()));
            }
        }
        let up = labels.iter().max_by_key(|(at, _)| at.y).unwrap();
        let down = labels.iter().min_by_key(|(at, _)| at.y).unwrap();
        let cut = labels.iter().max_by_key(|(at, _)| at.x).unwrap();
        let fence = labels.iter().min_by_key(|(at, _)| at.x).unwrap();
        [up, down, cut, fence].map(|(_, text)| text.as_str()).join(", ")
    };
    outcome(plan, 80).passes.iter().map(|pass| labels(pass.drawing.as_ref().unwrap())).collect()
}

/// The outside faces A and B go to the fence in turn. By a quarter turn toward
/// the fence what was up goes to the fence and what was cut goes up: never
/// down, and never to the fence before the third cut.
#[test]
fn how_the_leg_lies_for_each_cut() {
    let plan = planned(&fine_sled(), ["1.5", "1.5", "27"], &taper(STAND_LEG));
    assert_eq!(lies(&plan), ["B, D mortise, C mortise, A", "C mortise, A, D mortise, B"]);
    let cut: Vec<&str> = outcome(&plan, 80).passes.iter().map(|pass| pass.faces[0]).collect();
    assert_eq!(cut, ["C", "D"]);
    // (1.5 - 0.875) / 2 off each of four, and the same as a shim.
    let four = planned(
        &fine_sled(),
        ["1.5", "1.5", "27"],
        &taper(&STAND_LEG.replace("two inside", "four")),
    );
    assert_eq!(size(&four, 80, "off each face at the foot"), inches("0.3125"));
    assert_eq!(size(&four, 80, "shim at the foot, third cut"), inches("0.3125"));
    assert_eq!(lies(&four), ["B, D, C, A", "C, A, D, B", "D, B, A, C", "A, C, B, D"]);
    assert_eq!(outcome(&four, 80).after.most("foot width"), Some(inches("0.875")));
}

#[test]
fn tapers_that_cannot_be() {
    let leg = ["1.5", "1.5", "27"];
    let said = |keys: &str| {
        let plan = planned(&fine_sled(), leg, &taper(keys));
        format!("{}; {}", errors(&plan), warnings(&plan))
    };
    let faces = r#""faces": "two inside""#;
    for (keys, expected) in [
        (r#""start": "27", "foot": "7/8""#, "a start at 27 in is outside a leg of 27 in"),
        (r#""start": "-1", "foot": "7/8""#, "is outside a leg"),
        (r#""start": "5", "foot": "1 5/8""#, "wood can't be added"),
        (r#""start": "5", "foot": "1 1/2""#, "nothing is left to saw"),
        (r#""start": "5", "foot": "0""#, "a size must be greater than zero"),
        (r#""start": "3", "foot": "7/8", "apron": "4""#, "starts at 3 in, inside an apron of 4 in"),
        (r#""start": "5", "foot": "7/8", "station": "4""#, "4 in from the top is not on the taper"),
    ] {
        let said = said(&format!("{keys}, {faces}"));
        assert!(said.contains(expected), "{keys}: {said}");
    }
    let bare = taper(STAND_LEG).replace("saw and sled", "cabinet saw");
    let plan = planned(&shop(&[]), leg, &bare.replace("\"at\"", "\"tool\": \"rip blade\", \"at\""));
    assert!(errors(&plan).contains("the cabinet saw has no sled"), "{}", errors(&plan));
}

const JOINT: &str =
    r#"{ "op": 20, "part": "piece", "do": "joint", "at": "jointer", "sides": ["face", "edge"] }"#;

fn resaw(keys: &str) -> String {
    format!(
        r#"{JOINT}, {{ "op": 30, "part": "piece", "do": "resaw", "at": "band saw", "tool": "half inch blade", {keys} }}"#
    )
}

/// Slices of 3/8 and 1/8: 0.500. From 1.71875 after facing (1.78125 less two
/// passes of 1/32), kerf 1/16, rejoint 1/32: 1.8125 / 0.59375 = 3.05, three;
/// the last slab is 1.71875 - 2 x 0.59375 = 0.53125.
#[test]
fn till_sides_from_a_thick_board() {
    let keys = r#""slice": "3/8", "rejoint": "1/32", "drift": "2.5""#;
    let plan = planned(&shop(&[]), ["1.78125", "3 1/2", "14"], &resaw(keys));
    assert_eq!(errors(&plan), "");
    assert_eq!(setting(&plan, 30, "fence").setting.dial.0, inches("1/2"));
    assert_eq!(fact(&plan, 30, "slices from a blank"), FactAmount::Number(3));
    assert_eq!(size(&plan, 30, "last slab"), inches("0.53125"));
    assert_eq!(degrees(&plan, 30, "fence at the drift of the blade"), 2.5);
    let after = &outcome(&plan, 30).after;
    assert_eq!(after.most("thickness"), Some(inches("1/2")));
    assert!(outcome(&plan, 30).wait.is_some());
}

#[test]
fn slices_that_cannot_be() {
    let said = |thick: &str, wide: &str, keys: &str| {
        let plan = planned(&shop(&[]), [thick, wide, "14"], &resaw(keys));
        format!("{}; {}", errors(&plan), warnings(&plan))
    };
    let thick = said("1/2", "3", r#""slice": "1/2""#);
    assert!(thick.contains("wood can't be added"), "{thick}");
    let one = said("3/4", "3", r#""slice": "3/8""#);
    assert!(one.contains("there is nothing to resaw"), "{one}");
    // The band saw takes nothing thinner than 1/4: 1/8 and 1/16 are 3/16.
    let thin = said("1", "3", r#""slice": "1/8""#);
    assert!(thin.contains("a slice of 3/16 in is thinner than the 1/4 in"), "{thin}");
    let high = said("1", "10 1/2", r#""slice": "3/8""#);
    assert!(high.contains("and the band saw takes 10 in or less"), "{high}");
}

fn curve(tool: &str, keys: &str) -> String {
    format!(
        r#"{{ "op": 50, "part": "piece", "do": "curve", "at": "band saw", "tool": "{tool}", {keys} }}"#
    )
}

/// Common practice, from memory: a 1/4 blade turns 5/8, a 1/2 blade 2 1/2, a
/// 3/16 blade 5/16 and a 1/8 blade 3/16.
#[test]
fn a_blade_turns_no_tighter_than_its_width_allows() {
    let said = |tool: &str, radius: &str| {
        let keys = format!(r#""radius": "{radius}""#);
        let plan = planned(&shop(&[]), ["3/4", "5", "20"], &curve(tool, &keys));
        let fixes: Vec<String> =
            plan.all_findings().filter_map(|finding| finding.help.clone()).collect();
        (errors(&plan), warnings(&plan), fixes.join("; "))
    };
    let nothing = (String::new(), String::new(), String::new());
    assert_eq!(said("half inch blade", "2 1/2"), nothing);
    assert_eq!(said("quarter inch blade", "5/8"), nothing);
    let (error, warning, fix) = said("half inch blade", "2 3/8");
    assert_eq!((error.as_str(), fix.contains("quarter inch blade")), ("", true), "{fix}");
    assert!(warning.contains("a blade of 1/2 in turns 2 1/2 in, and the curve is 2 3/8 in"));
    let (error, _, fix) = said("quarter inch blade", "1/2");
    assert!(error.contains("no blade of the band saw turns 1/2 in"), "{error}");
    assert_eq!(fix, "a blade of 3/16 in");
    let (error, _, fix) = said("quarter inch blade", "1/8");
    assert!(error.contains("no blade"), "{error}");
    assert!(fix.contains("bore"), "{fix}");
}

/// 2 in left between two hollows, 1/16 outside each line: 2 1/8 as sawn.
#[test]
fn a_curve_is_sawn_outside_its_line() {
    let keys = r#""radius": "4", "sides": 2, "leave": "1/16", "narrowest": "2""#;
    let plan = planned(&shop(&[]), ["3/4", "5", "20"], &curve("half inch blade", keys));
    assert_eq!(outcome(&plan, 50).after.most("narrowest width"), Some(inches("2 1/8")));
    let plan = planned(&shop(&[]), ["3/4", "2", "20"], &curve("half inch blade", keys));
    assert!(errors(&plan).contains("wood can't be added"), "{}", errors(&plan));
    let bad = curve("half inch blade", r#""radius": "4", "sides": 3"#);
    assert!(route_of_ash(["1", "2", "20"], &bad).unwrap_err().contains("one or two sides"));
}

fn mitre(keys: &str) -> String {
    format!(r#"{{ "op": 60, "part": "piece", "do": "mitre", "at": "saw and sled", {keys} }}"#)
}

/// A stool leg splayed by 10 degrees, 17 in high: 17 / cos 10 = 17.2623 along
/// the edge; over 2 in of width the end runs on 2 x tan 10 = 0.3527, so the
/// long points are 17.6149 apart.
#[test]
fn a_splayed_leg() {
    let keys = r#""to": "17", "angle": "10", "ends": "parallel", "measured": "square""#;
    let plan = planned(&shop(&[]), ["1", "2", "18"], &mitre(keys));
    assert_eq!(errors(&plan), "");
    near(size(&plan, 60, "along the longest edge"), 17.2623, 0.0001);
    near(size(&plan, 60, "long point to long point, along it"), 17.6149, 0.0001);
    near(size(&plan, 60, "square from end to end"), 17.0, 0.000_001);
    // On marks of 1/32 the stop goes up, to 17 9/32 = 17.28125.
    assert_eq!(setting(&plan, 60, "stop").dial_text(), "17 9/32");
    // An upright blade: 1/2 of sled, 1 in, 1/8.
    assert_eq!(setting(&plan, 60, "blade height").dial_text(), "1 5/8");
    let short = planned(&shop(&[]), ["1", "2", "17 1/2"], &mitre(keys));
    assert!(errors(&short).contains("wood can't be added"), "{}", errors(&short));
}

/// Frame rails at 45 degrees, 2 wide: each end runs on by 2, so 12 inside is
/// 16 from long point to long point.
#[test]
fn a_frame_measured_inside_or_outside() {
    let keys = r#""to": "12", "angle": "45", "ends": "mirrored", "measured": "short""#;
    let plan = planned(&shop(&[]), ["3/4", "2", "17"], &mitre(keys));
    near(size(&plan, 60, "along the longest edge"), 16.0, 0.000_001);
    let keys = r#""to": "16", "angle": "degrees(45)", "ends": "mirrored", "measured": "long""#;
    let plan = planned(&shop(&[]), ["3/4", "2", "17"], &mitre(keys));
    assert_eq!(errors(&plan), "");
    near(size(&plan, 60, "along the short edge"), 12.0, 0.000_001);
}

/// Tilted 45 degrees the blade goes through (1/2 + 3/4) x sqrt 2 = 1.7678 and
/// 1/8 more, 1.8928: on marks of 1/32 up to 1.90625.
#[test]
fn a_tilted_blade_stands_higher() {
    let keys = r#""to": "16", "angle": "45", "ends": "one", "by": "tilted""#;
    let plan = planned(&shop(&[]), ["3/4", "2", "17"], &mitre(keys));
    assert_eq!(setting(&plan, 60, "blade height").setting.dial.0, inches("1.90625"));
    // The angle runs across the thickness now.
    near(size(&plan, 60, "along the short edge"), 15.25, 0.000_001);
}

#[test]
fn mitres_that_cannot_be() {
    let said = |keys: &str| errors(&planned(&shop(&[]), ["1", "6", "20"], &mitre(keys)));
    for angle in ["0", "-5", "46", "90"] {
        let keys = format!(r#""to": "16", "angle": "{angle}", "ends": "one""#);
        assert!(said(&keys).contains("degrees off square"), "{angle}: {}", said(&keys));
    }
    let said_of_length = said(r#""to": "16", "angle": "1mm", "ends": "one""#);
    assert!(said_of_length.contains("this must be an angle"), "{said_of_length}");
    let meet = said(r#""to": "11", "angle": "45", "ends": "mirrored""#);
    assert!(meet.contains("the two ends meet"), "{meet}");
    let square = mitre(r#""to": "16", "angle": "5", "ends": "one", "measured": "square""#);
    assert!(route_of_ash(["1", "2", "20"], &square).unwrap_err().contains("only parallel ends"));
}

/// Long points 568.4 mm apart along a piece 68 wide with parallel ends at 7.5
/// degrees: the edge is 568.4 - 68 x tan 7.5 = 568.4 - 8.952 = 559.448. A tape
/// from point to point reads the diagonal, the root of 568.4 squared and 68
/// squared, 572.453.
#[test]
fn the_long_points_are_measured_along_the_piece() {
    let keys = r#"{ "op": 60, "part": "piece", "do": "mitre", "at": "saw and sled",
        "to": "568.4", "angle": "7.5", "ends": "parallel", "measured": "long" }"#;
    let part = crate::plans::stock("28", "68", "600");
    let route = crate::plans::try_route_of("mm", "", &part, keys).unwrap();
    let plan = walk(&route, &shop(&[]), &Known::default());
    let millimetres = |what: &str| size(&plan, 60, what).in_unit(Unit::Millimetre);
    for (what, expected) in [
        ("along the longest edge", 559.448),
        ("long point to long point, along it", 568.4),
        ("tape from long point to long point", 572.453),
    ] {
        let off = millimetres(what) - expected;
        assert!(off.abs() < 0.001, "{what}: {off}");
    }
    let steps = outcome(&plan, 60).steps.join("\n");
    assert!(steps.contains("A tape from point to point reads 572.45 mm"), "{steps}");
}

/// A formula is said as the angle it comes to: 180 / 24 = 7.5 degrees.
#[test]
fn a_step_says_the_angle_and_not_its_formula() {
    for by in ["turned", "tilted"] {
        let keys = format!(r#""to": "12", "angle": "180 / 24", "ends": "one", "by": "{by}""#);
        let plan = planned(&shop(&[]), ["1", "2", "18"], &mitre(&keys));
        let steps = outcome(&plan, 60).steps.join("\n");
        assert!(steps.contains(" 7.50 degrees off square"), "{steps}");
        assert!(!steps.contains("180"), "{steps}");
    }
}

fn half_lap(at: &str, keys: &str) -> String {
    format!(
        r#"{{ "op": 70, "part": "piece", "do": "half lap", "at": "{at}", {keys},
        "checks": [ {{ "of": "lap", "check": "depth", "limits": "+0 -1/32", "with": "depth rod", "pieces": "all" }},
          {{ "of": "lap", "check": "width", "limits": "+0 -1/32", "with": "calipers", "pieces": "all" }} ],
        "makes": "lap" }}"#
    )
}

/// Stock 3/4 made 0.760: half is 0.380, which a blade that cuts 0.005 more
/// than its height scale gets at 0.375. The mate is 2 1/4 wide: on marks of
/// 1/64 the shoulder stop is 2 1/4; 2.25 / 0.125 = 18 cuts.
#[test]
fn a_half_lap_at_the_end() {
    let keys = r#""width": "2 1/4""#;
    let plan = planned(&shop(&[]), ["0.760", "2 1/4", "20"], &half_lap("tenon saw", keys));
    assert_eq!(errors(&plan), "");
    let height = setting(&plan, 70, "blade height").setting;
    assert_eq!((height.dial.0, height.predicted), (inches("0.375"), inches("0.380")));
    assert_eq!(setting(&plan, 70, "stop").dial_text(), "2 1/4");
    assert_eq!(fact(&plan, 70, "cuts side by side"), FactAmount::Number(24));
    // Three quarters of the kerf: 3/32, of which 2.25 - 0.125 takes 22.7.
    assert_eq!(size(&plan, 70, "the piece moves each time, at most"), inches("3/32"));
    assert_eq!(size(&plan, 70, "left under the lap"), inches("0.380"));
    let checks = &plan.operation(70).unwrap().checks;
    assert!(checks.iter().all(|check| check.safe == SafeSide::Small));
}

/// On a sled of 1/2 the height scale shows the base as well: 1/2 + 3/8 = 7/8.
/// Shoulders 6 and 8 1/4 from the end. The near one is at the tooth toward the
/// stop, and the scale counts to it: 6. The far one is at the other tooth, 1/8
/// away: 8 1/8.
#[test]
fn a_half_lap_in_the_middle_on_a_sled() {
    let keys = r#""width": "2 1/4", "from_end": "6""#;
    let plan = planned(&shop(&[]), ["3/4", "2 1/4", "20"], &half_lap("saw and sled", keys));
    assert_eq!(errors(&plan), "");
    let height = setting(&plan, 70, "blade height");
    assert_eq!(height.dial_text(), "7/8");
    assert_eq!(height.setting.predicted, inches("3/8"));
    assert_eq!(setting(&plan, 70, "stop, near shoulder").dial_text(), "6");
    assert_eq!(setting(&plan, 70, "stop, far shoulder").dial_text(), "8 1/8");
    assert_eq!(setting(&plan, 70, "stop, far shoulder").setting.predicted, inches("2 1/4"));
}

/// What was measured moves the lap: half of a stretcher made 1.118 is 0.559.
#[test]
fn a_half_lap_follows_the_made_thickness() {
    let operations = half_lap("tenon saw", r#""width": "2""#);
    let measure = r#"{ "op": 60, "part": "piece", "do": "measure",
        "checks": [ { "check": "thickness", "limits": "±1/16", "with": "calipers", "pieces": "all" } ] }"#;
    let route = route_of_ash(["1 1/8", "2", "20"], &format!("{measure}, {operations}")).unwrap();
    let mut known = Known::default();
    let measured = Measured { least: inches("1.118"), most: inches("1.120") };
    known.measured.insert((60, "thickness".into()), measured);
    let plan = walk(&route, &shop(&[]), &known);
    assert_eq!(outcome(&plan, 70).after.most("lap depth"), Some(inches("0.559")));
}

#[test]
fn half_laps_that_cannot_be() {
    let said = |keys: &str| {
        errors(&planned(&shop(&[]), ["3/4", "2", "20"], &half_lap("saw and sled", keys)))
    };
    for (keys, expected) in [
        (r#""width": "2", "depth": "3/4""#, "goes through a piece 3/4 in thick"),
        (r#""width": "2", "from_end": "19""#, "on a piece 20 in long"),
        (r#""width": "1/16""#, "the cutter is 1/8 in wide"),
        (r#""width": "2", "from_end": "-1""#, "the shoulder is beyond the end of the piece"),
    ] {
        assert!(said(keys).contains(expected), "{keys}: {}", said(keys));
    }
}

proptest! {
    /// For any numbers nothing panics, and no feature grows without an error.
    #[test]
    fn nothing_adds_wood(
        thick in 100..4000_i64, wide in 100..9000_i64, long in 2000..60_000_i64,
        to in 0..60_000_i64, small in 0..4000_i64, angle in -10..100_i64,
    ) {
        let (to, small) = (as_decimal(to), as_decimal(small));
        let stock = [thick, wide, long].map(as_decimal);
        let stock = stock.each_ref().map(String::as_str);
        for operations in [
            taper(&format!(r#""start": "{to}", "foot": "{small}", "faces": "four", "sanding": "0.01""#)),
            resaw(&format!(r#""slice": "{small}""#)),
            curve("half inch blade", &format!(r#""radius": "{to}", "narrowest": "{small}""#)),
            mitre(&format!(r#""to": "{to}", "angle": "{angle}", "ends": "mirrored", "measured": "short""#)),
            half_lap("tenon saw", &format!(r#""width": "{small}""#)),
        ] {
            let plan = planned(&shop(&[]), stock, &operations);
            for planned in &plan.operations {
                let refused = planned.findings.iter().any(|finding| finding.level == Level::Error);
                for group in &planned.groups {
                    for (feature, before) in &group.before.sizes {
                        let after = group.outcome.after.size(feature).unwrap();
                        prop_assert!(after.most <= before.most || refused, "op {} {feature}", planned.op);
                    }
                }
            }
        }
    }

    /// A sled rounds to a thick foot and a low start.
    #[test]
    fn a_taper_leaves_wood_on(leg in 1000..3000_i64, off in 100..900_i64, start in 1000..9000_i64) {
        let keys = format!(
            r#""start": "{}", "foot": "{}", "faces": "two inside""#,
            as_decimal(start), as_decimal(leg - off)
        );
        let leg = as_decimal(leg);
        let plan = planned(&shop(&[]), [&leg, &leg, "27"], &taper(&keys));
        let offset = setting(&plan, 80, "sled foot offset").setting;
        prop_assert!(offset.dial.0 <= offset.target.0);
        let mark = setting(&plan, 80, "sled start mark").setting;
        prop_assert!(mark.dial.0 >= mark.target.0);
    }

    /// Slices, kerfs and the last slab make up the blank again, and the last
    /// slab is never thinner than a slice.
    #[test]
    fn slices_make_up_the_blank(thick in 700..4000_i64, slice in 250..600_i64, rejoint in 0..60_i64) {
        let keys = format!(
            r#""slice": "{}", "clean_up": "0.100", "rejoint": "{}""#,
            as_decimal(slice), as_decimal(rejoint)
        );
        // One pass of the jointer takes 1/32.
        let blank = as_decimal(thick);
        let plan = planned(&shop(&[]), [&blank, "3", "14"], &resaw(&keys));
        let FactAmount::Number(count) = fact(&plan, 30, "slices from a blank") else { unreachable!() };
        if count > 0 {
            let before = plan.operation(30).unwrap().groups[0].before.most("thickness").unwrap();
            let each = Length::thousandths(slice + 100);
            let last = size(&plan, 30, "last slab");
            let between = inches("1/16") + Length::thousandths(rejoint);
            prop_assert_eq!((each + between) * (count - 1) + last, before);
            prop_assert!(last >= each && last < each * 2 + between);
        }
    }
}
