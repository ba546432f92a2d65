//! Drawings whose every corner is worked out by hand, of cuts that no bundled
//! route makes.

use benchway::measure::Unit;
use benchway::operation::Drawing;
use benchway::plan::{Known, Plan, walk};

use crate::drawings::shapes_of;
use crate::plans::{outcome, route_of, shop, stock};

/// One operation on a piece of ash of that thickness, width and length.
fn planned([thickness, width, length]: [&str; 3], keys: &str) -> Plan {
    let part = format!(r#""species": "ash", {}"#, stock(thickness, width, length));
    let operation = format!(r#"{{ "op": 10, "part": "piece", {keys} }}"#);
    walk(&route_of("", &part, &operation), &shop(&[]), &Known::default())
}

fn shows(drawing: &Drawing, seen: &str, shapes: &[&str]) {
    assert_eq!(drawing.seen, seen);
    assert_eq!(shapes_of(drawing, Unit::Inch), shapes);
}

/// Half of 0.8 is 0.4 deep. The lap is 2.4 wide, and as much is shown beyond it,
/// 4.8 in all; a tenth of that is the stop. A quarter of the thickness, 0.2, is
/// the table. A blade of 1/8 would be too thin to see: a twelfth of 2.4 is 0.2.
#[test]
fn a_lap_at_the_end() {
    let keys = r#""do": "half lap", "at": "tenon saw", "width": "2.4", "makes": "lap",
        "checks": [ { "check": "depth", "of": "lap", "limits": "±1/32", "with": "depth rod", "pieces": "all" } ]"#;
    let plan = planned(["0.8", "2 1/4", "20"], keys);
    let expected = [
        "Fence -0.480,-0.200  4.800,-0.200  4.800,0.000  -0.480,0.000",
        "Fence -0.480,0.000  0.000,0.000  0.000,1.000  -0.480,1.000",
        "Wood 0.000,0.800  4.800,0.800  4.800,0.000  2.400,0.000  2.400,0.400  0.000,0.400",
        "Waste 0.000,0.000  2.200,0.000  2.200,0.400  0.000,0.400",
        "Cutter 2.200,-0.200  2.400,-0.200  2.400,0.400  2.200,0.400",
        "text -0.240,1.200: stop",
        "line 0.000,1.200 to 2.400,1.200: 2.400 in",
        "line 5.280,0.000 to 5.280,0.400: 0.400 in",
        "gauge 1.200,0.400",
    ];
    shows(&outcome(&plan, 10).drawing, "from the side", &expected);
}

/// Shoulders at 6 and 7.2; as much as the lap is wide is shown beyond it, 8.4 in
/// all. The blade is 1/8: 7.2 - 0.125 = 7.075. It is measured midway, at 6.6.
#[test]
fn a_lap_in_the_middle() {
    let keys = r#""do": "half lap", "at": "tenon saw", "width": "1.2", "from_end": "6", "makes": "lap",
        "checks": [ { "check": "depth", "of": "lap", "limits": "±1/32", "with": "depth rod", "pieces": "all" } ]"#;
    let plan = planned(["0.8", "2 1/4", "20"], keys);
    let expected = [
        "Fence -0.840,-0.200  8.400,-0.200  8.400,0.000  -0.840,0.000",
        "Fence -0.840,0.000  0.000,0.000  0.000,1.000  -0.840,1.000",
        "Wood 0.000,0.800  8.400,0.800  8.400,0.000  7.200,0.000  7.200,0.400  6.000,0.400  \
         6.000,0.000  0.000,0.000",
        "Waste 6.000,0.000  7.075,0.000  7.075,0.400  6.000,0.400",
        "Cutter 7.075,-0.200  7.200,-0.200  7.200,0.400  7.075,0.400",
        "text -0.420,1.200: stop",
        "line 6.000,1.200 to 7.200,1.200: 1.200 in",
        "line 9.240,0.000 to 9.240,0.400: 0.400 in",
        "gauge 6.600,0.400",
    ];
    shows(&outcome(&plan, 10).drawing, "from the side", &expected);
}

/// Of a piece 4 wide no more than 16 is shown. The hollow goes round (8, 4) with
/// a radius of 1, in sixteen steps of 11.25 degrees: the fifth corner is at 45
/// degrees, 0.7071 to the left and below, the ninth straight below, and so on.
#[test]
fn a_curve() {
    let plan = planned(
        ["3/4", "4", "20"],
        r#""do": "curve", "at": "band saw", "tool": "quarter inch blade", "radius": "1""#,
    );
    let drawing = &outcome(&plan, 10).drawing;
    let all = shapes_of(drawing, Unit::Inch);
    let [wood, waste, line, text] = all.as_slice() else { panic!("{all:?}") };
    let hollow: Vec<&str> = waste.split_whitespace().skip(1).collect();
    assert_eq!(hollow.len(), 17);
    for (corner, expected) in [
        (0, "7.000,4.000"),
        (4, "7.293,3.293"),
        (8, "8.000,3.000"),
        (12, "8.707,3.293"),
        (16, "9.000,4.000"),
    ] {
        assert_eq!(hollow[corner], expected);
    }
    // The wood goes round its four corners and back along the hollow.
    let corners: Vec<&str> = wood.split_whitespace().skip(1).collect();
    assert_eq!(corners[..4], ["0.000,4.000", "0.000,0.000", "16.000,0.000", "16.000,4.000"]);
    let back: Vec<&str> = hollow.into_iter().rev().collect();
    assert_eq!(corners[4..], back);
    assert_eq!(line, "line 8.000,5.000 to 9.000,5.000: radius 1 in");
    assert_eq!(text, "text 8.000,1.500: saw outside the line");
}

/// A radius of 9 is more than a piece 4 wide and 9 long holds: a third of the
/// length, 3, to each side of 4.5, and half of the width, 2, deep.
#[test]
fn a_curve_wider_than_its_piece() {
    let plan = planned(
        ["3/4", "4", "9"],
        r#""do": "curve", "at": "band saw", "tool": "half inch blade", "radius": "9""#,
    );
    let all = shapes_of(&outcome(&plan, 10).drawing, Unit::Inch);
    let hollow: Vec<&str> = all[1].split_whitespace().skip(1).collect();
    assert_eq!([hollow[0], hollow[8], hollow[16]], ["1.500,4.000", "4.500,2.000", "7.500,4.000"]);
    assert_eq!(all[2], "line 4.500,5.000 to 7.500,5.000: radius 9 in");
}

/// A mitre of 45 degrees across 3, 12 along its longest edge: the end runs back 3.
/// A blade of 1/8 would be too thin to see: 12 / 60 = 0.2. A third of 3 is the
/// fence. It is measured along the longest edge, a quarter of it in.
#[test]
fn mitres_seen_from_above() {
    let drawn = |ends: &str| {
        let keys = format!(
            r#""do": "mitre", "at": "saw and sled", "to": "12", "angle": "45", "ends": "{ends}", "measured": "long",
            "checks": [ {{ "check": "length", "limits": "±1/32", "with": "length bar", "pieces": "all" }} ]"#
        );
        outcome(&planned(["1", "3", "20"], &keys), 10).drawing.clone()
    };
    let held = "Fence -0.400,0.000  0.000,0.000  0.000,3.000  -0.400,3.000";
    let rest = [
        "text 6.000,0.500: longest edge",
        "text -0.200,4.000: stop",
        "line 0.000,-2.000 to 12.000,-2.000: 12 in",
        "gauge 3.000,0.500",
    ];
    // One end is square at the stop.
    let one = [
        "Fence -0.400,-1.000  12.400,-1.000  12.400,0.000  -0.400,0.000",
        held,
        "Wood 0.000,0.000  12.000,0.000  9.000,3.000  0.000,3.000",
        "Cutter 12.000,0.000  12.200,0.000  9.200,3.000  9.000,3.000",
    ];
    shows(&drawn("one"), "from above", &[&one[..], &rest].concat());
    // Both ends run back from the longest edge.
    let mirrored =
        [one[0], held, "Wood 0.000,0.000  12.000,0.000  9.000,3.000  3.000,3.000", one[3]];
    shows(&drawn("mirrored"), "from above", &[&mirrored[..], &rest].concat());
}

/// Long points 12 apart along a piece 3 wide with parallel ends at 45 degrees:
/// the edge is 12 - 3 = 9, and the far edge goes from 3 to 12. A blade of 1/8
/// would be too thin to see: 9 / 60 = 0.15.
#[test]
fn a_mitre_with_parallel_ends() {
    let keys = r#""do": "mitre", "at": "saw and sled", "to": "12", "angle": "45", "ends": "parallel", "measured": "long""#;
    let plan = planned(["1", "3", "20"], keys);
    let expected = [
        "Fence -0.300,-1.000  12.300,-1.000  12.300,0.000  -0.300,0.000",
        "Fence -0.300,0.000  0.000,0.000  0.000,3.000  -0.300,3.000",
        "Wood 0.000,0.000  9.000,0.000  12.000,3.000  3.000,3.000",
        "Cutter 9.000,0.000  9.150,0.000  12.150,3.000  12.000,3.000",
        "text 4.500,0.500: longest edge",
        "text -0.150,4.000: stop",
        "line 0.000,-2.000 to 9.000,-2.000: 9 in",
    ];
    shows(&outcome(&plan, 10).drawing, "from above", &expected);
}

/// Under a tilted blade parallel ends meet the stop with the upper point: 1 1/2
/// thick, they run back 1 1/2 from the sled. Long points 12 apart, each face
/// 10 1/2; 10.5 / 60 = 0.175 for the blade.
#[test]
fn a_tilted_mitre_meets_the_stop_above() {
    let keys = r#""do": "mitre", "at": "saw and sled", "to": "12", "angle": "45", "ends": "parallel", "measured": "long", "by": "tilted""#;
    let plan = planned(["1 1/2", "3", "20"], keys);
    let expected = [
        "Fence -0.350,-0.500  12.350,-0.500  12.350,0.000  -0.350,0.000",
        "Fence -0.350,0.000  0.000,0.000  0.000,1.500  -0.350,1.500",
        "Wood 1.500,0.000  12.000,0.000  10.500,1.500  0.000,1.500",
        "Cutter 12.000,0.000  12.175,0.000  10.675,1.500  10.500,1.500",
        "text 5.250,0.250: longest face down",
        "text -0.175,2.000: stop",
        "line 1.500,-1.000 to 12.000,-1.000: 10 1/2 in",
    ];
    shows(&outcome(&plan, 10).drawing, "from the front", &expected);
}

/// Three strips of 2 are 6 across, along a joint of 24: 24 / 8 + 1 = 4 clamps, each
/// in the middle of its quarter and a 60th of the joint to each side; the jaws are
/// an eighth of the width. Strips of the second wood are the ground between.
#[test]
fn a_striped_panel() {
    let keys = r#""do": "panel", "at": "glue bench", "pattern": "striped", "columns": "3", "square": "2", "woods": ["ash", "walnut"]"#;
    let plan = planned(["1", "6", "24"], keys);
    let mut expected: Vec<String> = Vec::new();
    for (left, right) in [(2.6, 3.4), (8.6, 9.4), (14.6, 15.4), (20.6, 21.4)] {
        for (low, high) in [(-0.75, 0.0), (6.0, 6.75)] {
            expected.push(format!(
                "Fence {left:.3},{low:.3}  {right:.3},{low:.3}  {right:.3},{high:.3}  {left:.3},{high:.3}"
            ));
        }
    }
    expected.extend(
        [
            "Wood 0.000,0.000  24.000,0.000  24.000,2.000  0.000,2.000",
            "Wood 0.000,4.000  24.000,4.000  24.000,6.000  0.000,6.000",
            "line 25.200,0.000 to 25.200,6.000: 6 in",
            "text 12.000,7.500: clamps",
        ]
        .map(str::to_owned),
    );
    let expected: Vec<&str> = expected.iter().map(String::as_str).collect();
    shows(&outcome(&plan, 10).drawing, "from above", &expected);
}

/// Rows of a striped panel of eight strips, every second one turned: columns of
/// 24 / 8 = 3, the first wood in the first, third, fifth and seventh of one row and
/// in the others of the next.
#[test]
fn rows_that_were_turned() {
    let keys = r#""do": "panel", "at": "glue bench", "pattern": "checkered", "rows": "2", "square": "2", "woods": ["ash", "walnut"]"#;
    let plan = planned(["1", "24", "4"], keys);
    let all = shapes_of(&outcome(&plan, 10).drawing, Unit::Inch);
    let wood: Vec<&str> = all.iter().filter_map(|line| line.strip_prefix("Wood ")).collect();
    let square = |left: f64, low: f64| {
        let (right, high) = (left + 3.0, low + 2.0);
        format!(
            "{left:.3},{low:.3}  {right:.3},{low:.3}  {right:.3},{high:.3}  {left:.3},{high:.3}"
        )
    };
    let first = [0.0, 6.0, 12.0, 18.0].map(|left| square(left, 0.0));
    let second = [3.0, 9.0, 15.0, 21.0].map(|left| square(left, 2.0));
    assert_eq!(wood, [first, second].concat());
}

/// A panel of 0.492 with 0.008 of room: 0.5 wide, 0.3 deep in 0.9. Twice the
/// thickness is shown beyond it: 2.3. The bit takes 3/8 of it at once, and a third
/// of the thickness is the table.
#[test]
fn a_rabbet() {
    let keys = r#""do": "groove", "at": "router table", "tool": "3/8 straight bit", "cut": "rabbet", "panel": "0.492", "depth": "0.3", "makes": "rabbet",
        "checks": [ { "check": "depth", "of": "rabbet", "limits": "±1/32", "with": "depth rod", "pieces": "all" } ]"#;
    let plan = planned(["0.9", "6", "20"], keys);
    let expected = [
        "Fence -0.300,0.000  0.000,0.000  0.000,1.200  -0.300,1.200",
        "Fence -0.300,-0.300  0.000,-0.300  0.000,0.000  -0.300,0.000",
        "Fence 0.500,-0.300  2.600,-0.300  2.600,0.000  0.500,0.000",
        "Cutter 0.000,-0.300  0.375,-0.300  0.375,0.300  0.000,0.300",
        "Wood 0.000,0.300  0.000,0.900  2.300,0.900  2.300,0.000  0.500,0.000  0.500,0.300",
        "text -0.300,1.500: fence",
        "line 0.000,1.200 to 0.500,1.200: 1/2 in",
        "line 2.900,0.000 to 2.900,0.300: 0.300 in",
        "gauge 0.250,0.300",
    ];
    shows(&outcome(&plan, 10).drawing, "end view, inside face down", &expected);
}

/// The same across the grain, 4 from the end at the stop.
#[test]
fn a_dado() {
    let keys = r#""do": "groove", "at": "router table", "tool": "3/8 straight bit", "cut": "dado", "panel": "0.492", "depth": "0.3", "from_edge": "4", "makes": "dado""#;
    let plan = planned(["0.9", "6", "20"], keys);
    let expected = [
        "Fence -0.300,0.000  0.000,0.000  0.000,1.200  -0.300,1.200",
        "Fence -0.300,-0.300  4.000,-0.300  4.000,0.000  -0.300,0.000",
        "Fence 4.500,-0.300  6.600,-0.300  6.600,0.000  4.500,0.000",
        "Cutter 4.000,-0.300  4.375,-0.300  4.375,0.300  4.000,0.300",
        "Wood 0.000,0.300  0.000,0.900  6.300,0.900  6.300,0.000  4.500,0.000  4.500,0.300  \
         4.000,0.300  4.000,0.000  0.000,0.000",
        "line 0.000,-0.600 to 4.000,-0.600: 4 in",
        "text -0.300,1.500: stop",
        "line 4.000,1.200 to 4.500,1.200: 1/2 in",
        "line 6.900,0.000 to 6.900,0.300: 0.300 in",
    ];
    shows(&outcome(&plan, 10).drawing, "end view, inside face down", &expected);
}

/// A hole of 1/2 in the end, its centre 1/2 from the face of a piece 1 thick: from
/// 0.25 to 0.75. Of a piece 20 long no more is drawn than twice the depth: 2.4.
#[test]
fn a_hole_in_the_end() {
    let keys = r#""do": "bore", "at": "drill press", "tool": "1/2 bit", "size": "1/2", "from_face": "1/2", "depth": "1.2", "into": "end", "makes": "hole""#;
    let plan = planned(["1", "3", "20"], keys);
    let expected = [
        "Fence -0.200,0.000  0.000,0.000  0.000,2.400  -0.200,2.400",
        "Fence -0.200,-0.240  1.000,-0.240  1.000,0.000  -0.200,0.000",
        "Wood 0.000,0.000  1.000,0.000  1.000,2.400  0.000,2.400",
        "Waste 0.250,1.200  0.750,1.200  0.750,2.400  0.250,2.400",
        "Cutter 0.250,2.400  0.750,2.400  0.750,3.200  0.250,3.200",
        "text 0.950,2.800: bit",
        "text -0.100,2.800: fence",
        "text 0.500,0.600: ",
        "line 0.000,-0.800 to 0.250,-0.800: 1/4 in",
        "line 1.400,1.200 to 1.400,2.400: 1.200 in",
    ];
    shows(&outcome(&plan, 10).drawing, "end view", &expected);
}

/// One dowel of 1/2 in the middle of a joint of 3, its centre 0.45 from the face:
/// from 0.2 to 0.7 of 0.9.
#[test]
fn a_single_dowel() {
    let keys = r#""do": "dowel", "at": "drill press", "tool": "1/2 bit", "dowel": "1/2", "dowel_length": "2", "from_face": "0.45", "joint": "3", "from_end": "1 1/2", "count": 1, "makes": "dowel hole""#;
    let plan = planned(["0.9", "3", "20"], keys);
    let expected = [
        "Fence 0.000,-0.300  3.000,-0.300  3.000,0.000  0.000,0.000",
        "Wood 0.000,0.000  3.000,0.000  3.000,0.900  0.000,0.900",
        "text 1.500,-0.150: fence, reference face",
        "Waste 1.250,0.200  1.750,0.200  1.750,0.700  1.250,0.700",
        "line 0.000,1.200 to 1.500,1.200: 1 1/2 in",
    ];
    shows(&outcome(&plan, 10).drawing, "onto the joint", &expected);
}

/// Gauge lines both ways and nothing along the piece: seen from the end, the width
/// level and the thickness upright. The lines to them stand a quarter of the height
/// below and an eighth of the length beside.
#[test]
fn gauge_lines_both_ways() {
    let keys = r#""do": "layout", "at": "bench", "marks": [
        { "name": "tenon", "at": "0.2", "from": "face side", "face": "all" },
        { "name": "haunch", "at": "0.4", "from": "face edge", "face": "A" },
        { "name": "groove", "at": "2", "from": "face edge", "face": "A" } ]"#;
    let plan = planned(["1", "4", "20"], keys);
    let expected = [
        "Wood 0.000,0.000  4.000,0.000  4.000,1.000  0.000,1.000",
        "mark 0.400,0.000 to 0.400,1.000",
        "mark 2.000,0.000 to 2.000,1.000",
        "mark 0.000,0.200 to 4.000,0.200",
        "line 0.000,-0.250 to 0.400,-0.250: 0.400 in on A",
        "line 0.000,-0.500 to 2.000,-0.500: 2 in on A",
        "line 4.500,0.000 to 4.500,0.200: 0.200 in",
    ];
    shows(&outcome(&plan, 10).drawing, "end view, A down, B at the left", &expected);
}

/// Lines from the end and from the face side: the edge up, the thickness upright.
#[test]
fn a_layout_on_the_edge() {
    let keys = r#""do": "layout", "at": "bench", "marks": [
        { "name": "top", "at": "5", "face": "B" },
        { "name": "cheek", "at": "0.2", "from": "face side", "face": "B" },
        { "name": "far cheek", "at": "0.6", "from": "face side", "face": "B" } ]"#;
    let plan = planned(["1", "4", "20"], keys);
    let expected = [
        "Wood 0.000,0.000  20.000,0.000  20.000,1.000  0.000,1.000",
        "mark 5.000,0.000 to 5.000,1.000",
        "mark 0.000,0.200 to 20.000,0.200",
        "mark 0.000,0.600 to 20.000,0.600",
        "line 0.000,-0.250 to 5.000,-0.250: 5 in on B",
        "line 22.500,0.000 to 22.500,0.200: 0.200 in",
        "line 25.000,0.000 to 25.000,0.600: 0.600 in",
    ];
    shows(&outcome(&plan, 10).drawing, "B up, A down, end at the left", &expected);
}

/// Fourteen joints of half a minute are 7 minutes, drawn as twelve bars of 35
/// seconds, an inch to the minute; then 2 minutes to close them, of 15. A fifth of
/// 15 is the height.
#[test]
fn more_joints_than_can_be_counted() {
    let keys = r#""do": "glue", "at": "glue bench", "open_minutes": 15, "closing_minutes": 2, "seconds_per_joint": 30, "joints": 14"#;
    let plan = planned(["1", "4", "20"], keys);
    let all = shapes_of(&outcome(&plan, 10).drawing, Unit::Inch);
    assert_eq!(all.len(), 12 + 4, "{all:?}");
    // 35 / 60 = 0.583, 70 / 60 = 1.167, 385 / 60 = 6.417.
    assert_eq!(all[0], "Wood 0.000,0.000  0.583,0.000  0.583,3.000  0.000,3.000");
    assert_eq!(all[1], "Wood 0.583,0.000  1.167,0.000  1.167,3.000  0.583,3.000");
    assert_eq!(all[11], "Wood 6.417,0.000  7.000,0.000  7.000,3.000  6.417,3.000");
    assert_eq!(
        all[12..],
        [
            "Wood 7.000,0.000  9.000,0.000  9.000,3.000  7.000,3.000",
            "text 8.000,1.500: close",
            "line 0.000,-1.000 to 7.000,-1.000: 14 joints, 7:00",
            "line 0.000,4.000 to 15.000,4.000: open 15:00",
        ]
    );
}

/// The kerf takes the last eighth of 12 1/8, so an offcut of a sixth is drawn, 2,
/// that there is something to see. A third of 3 is the fence.
#[test]
fn a_cut_that_leaves_no_offcut() {
    let keys = r#""do": "crosscut", "at": "stop saw", "to": "12""#;
    let plan = planned(["1", "3", "12 1/8"], keys);
    let expected = [
        "Fence -0.500,3.000  14.125,3.000  14.125,4.000  -0.500,4.000",
        "Fence -0.500,0.600  0.000,0.600  0.000,3.000  -0.500,3.000",
        "Wood 0.000,0.000  12.000,0.000  12.000,3.000  0.000,3.000",
        "Waste 12.125,0.000  14.125,0.000  14.125,3.000  12.125,3.000",
        "Cutter 12.000,-1.000  12.125,-1.000  12.125,3.000  12.000,3.000",
        "text -0.500,5.000: stop",
        "text 12.062,5.000: blade",
        "text 6.000,5.000: fence",
        "text 6.000,1.500: face up",
        "line 0.000,-2.000 to 12.000,-2.000: 12 in",
    ];
    shows(&outcome(&plan, 10).drawing, "from above", &expected);
}

/// Four faces tapered from 1.6 to 1: 0.3 off each, so 1.3 is left by each cut. The
/// third cut takes the face opposite the first, and a shim lies where it was. Each
/// turn brings the next letter to the fence.
#[test]
fn the_third_cut_of_four_tapers() {
    let keys = r#""do": "taper", "at": "saw and sled", "start": "4", "foot": "1", "faces": "four""#;
    let plan = planned(["1.6", "1.6", "24"], keys);
    let passes = &outcome(&plan, 10).passes;
    assert_eq!(passes.len(), 4);
    let expected = [
        "Fence -0.400,0.000  0.000,0.000  0.000,1.600  -0.400,1.600",
        "Fence -0.400,-0.400  1.300,-0.400  1.300,0.000  -0.400,0.000",
        "Wood 0.000,0.000  1.300,0.000  1.300,1.600  0.000,1.600",
        "Waste 1.300,0.000  1.600,0.000  1.600,1.600  1.300,1.600",
        "Cutter 1.300,-0.400  1.425,-0.400  1.425,2.000  1.300,2.000",
        "text 0.200,0.800: C",
        "text 0.650,1.400: D",
        "text 0.650,0.200: B",
        "text 2.000,0.800: A",
        "line 1.300,2.400 to 1.600,2.400: 0.300 in",
    ];
    let third = passes[2].drawing.as_ref().unwrap();
    shows(third, "from the foot: A cut, with the shim", &expected);
    let second = passes[1].drawing.as_ref().unwrap();
    assert_eq!(second.seen, "from the foot: D cut");
}
