//! Values that can't be, each refused at its place with a reason and a remedy.
//! The sizes are worked out by hand; common practice, no source.

use benchway::document::{Document, Place};
use benchway::operation::MayOverride;
use benchway::plan::{Known, problems, walk};
use benchway::prose::Level;
use benchway::route;
use benchway::shop::{self, Shop};
use serde_json::json;

use crate::plans::{inches, outcome, route_of, shop, size, stock};

/// A route whose fourth line is an operation on an ash piece 1 x 4 x 30 in,
/// jointed before. `«»` stand round the value that is refused.
fn text_of(operation: &str) -> (String, Option<usize>) {
    let line = format!(r#"{{ "op": 10, "part": "piece", {operation} }}"#);
    let at = line.find('«').map(|at| line[..at].chars().count() + 1);
    let line = line.replace(['«', '»'], "");
    let text = format!(
        "{{ \"route\": \"Can't be\", \"unit\": \"in\", \"sets\": 1,\n\
         \"parts\": {{ \"piece\": {{ \"per_set\": 1, \"species\": \"ash\", {} }} }}, \"operations\": [\n\
         {{ \"op\": 5, \"part\": \"piece\", \"do\": \"joint\", \"at\": \"jointer\", \"sides\": [\"face\", \"edge\"] }},\n\
         {line}] }}",
        stock("1", "4", "30")
    );
    (text, at)
}

/// The errors of such a route: place, reason and remedy.
fn errors(shop: &Shop, text: &str) -> Vec<(Option<Place>, String, Option<String>)> {
    let document = Document::read("route.json", text).unwrap();
    let (route, _) = route::read(&document)
        .unwrap_or_else(|found| panic!("{text}\n{}", document.render(&found[0])));
    let plan = walk(&route, shop, &Known::default());
    let found = problems(&plan, &route, &document).into_iter();
    let errors = found.filter(|problem| problem.level == Level::Error);
    errors.map(|error| (error.place.at, error.what, error.help)).collect()
}

/// Refused: the keys of an operation, the reason, the remedy.
type Refused = (&'static str, &'static str, &'static str);

const NEGATIVE: [Refused; 15] = [
    (
        r#""do": "groove", "at": "router table", "tool": "1/4 straight bit", "panel": "3/8", "depth": "1/4", "from_edge": "1/2", "clearance": "«-0.05»""#,
        "`clearance` comes to -0.050 in, and there is no less than nothing",
        "zero or more; leave `clearance` out where the usual is meant",
    ),
    (
        r#""do": "taper", "at": "saw and sled", "start": "6", "foot": "7/8", "faces": "two inside", "sanding": "«-1/64»""#,
        "`sanding` comes to -1/64 in, and",
        "zero or more; leave `sanding` out",
    ),
    (
        r#""do": "curve", "at": "band saw", "tool": "quarter inch blade", "radius": "9", "sides": 2, "leave": "«-1/32»""#,
        "`leave` comes to -1/32 in, and",
        "zero or more; leave `leave` out",
    ),
    (
        r#""do": "resaw", "at": "band saw", "tool": "half inch blade", "slice": "1/4", "rejoint": "«-1/32»""#,
        "`rejoint` comes to -1/32 in, and",
        "zero or more",
    ),
    (
        r#""do": "rip", "at": "cabinet saw", "tool": "rip blade", "to": "3", "board": "8", "rejoint": "«-1/32»""#,
        "`rejoint` comes to -1/32 in, and",
        "zero or more",
    ),
    (
        r#""do": "crosscut", "at": "chop saw", "to": "12", "rough": true, "board": "96", "trim": "«-1»""#,
        "`trim` comes to -1 in, and",
        "zero or more",
    ),
    (
        r#""do": "rows", "at": "stop saw", "columns": "4", "rows": "4", "panel_width": "4", "trim": "«-1/2»""#,
        "`trim` comes to -1/2 in, and",
        "zero or more",
    ),
    (
        r#""do": "rows", "at": "stop saw", "columns": "4", "rows": "4", "panel_width": "4", "tail": "«-4»""#,
        "`tail` comes to -4 in, and",
        "zero or more",
    ),
    (
        r#""do": "panel", "at": "glue bench", "pattern": "striped", "columns": "4", "square": "1", "extra": "«-1/32»""#,
        "`extra` comes to -1/32 in, and",
        "zero or more",
    ),
    (
        r#""do": "panel", "at": "glue bench", "pattern": "striped", "columns": "4", "square": "1", "board": "6", "kerf": "«-1/8»""#,
        "`kerf` comes to -1/8 in, and",
        "zero or more",
    ),
    (
        r#""do": "panel", "at": "glue bench", "pattern": "plain", "boards": "16", "count": "4", "loss": "«-1/64»""#,
        "`loss` comes to -1/64 in, and",
        "zero or more",
    ),
    (
        r#""do": "panel", "at": "glue bench", "pattern": "plain", "boards": "16", "count": "4", "flatten": "«-0.030»""#,
        "`flatten` comes to -0.030 in, and",
        "zero or more",
    ),
    (
        r#""do": "panel", "at": "glue bench", "pattern": "plain", "boards": "16", "count": "4", "allowance": "«-1/4»""#,
        "`allowance` comes to -1/4 in, and",
        "zero or more",
    ),
    (
        r#""do": "joint", "at": "jointer", "sides": ["face"], "defect": "«-1/16»""#,
        "`defect` comes to -1/16 in, and",
        "zero or more",
    ),
    (
        r#""do": "resaw", "at": "band saw", "tool": "half inch blade", "slice": "1/4", "clean_up": "«1/16 - 1/8»""#,
        "`clean_up` comes to -1/16 in, and",
        "zero or more",
    ),
];

const OTHERS: [Refused; 12] = [
    (
        r#""do": "rip", "at": "cabinet saw", "tool": "rip blade", "to": "3", "aim": "«-1/8»""#,
        "an aim of -1/8 in is to the side that can't be cut again",
        "how much is left on: zero or more",
    ),
    (
        r#""do": "rip", "at": "cabinet saw", "tool": "rip blade", "to": "1.8", "aim": "«5»""#,
        "an aim of 5 in is more than 1/4 in",
        "an aim is a hair to the safe side",
    ),
    (
        r#""do": "plane", "at": "planer", "to": "3/4", "thickest": "«20»""#,
        "a piece 20 in thick doesn't go through the planer, which takes 8 in",
        "measure the thickest piece again",
    ),
    (
        r#""do": "plane", "at": "planer", "to": "3/4", "thickest": "«1/2»""#,
        "the thickest piece is 1/2 in, and it is to come down to 3/4 in",
        "measure the thickest piece again, or make it thinner",
    ),
    // The jointer took 1/32 off the inch.
    (
        r#""do": "sand", "at": "wide-belt sander", "to": "0.9", "belts": «["120 belt", "80 belt"]»"#,
        "the 80 belt comes after the 120 belt: its scratches stay in the finished face",
        "name the belts from coarse to fine",
    ),
    (
        r#""do": "mortise", "at": "mortiser", "tool": "3/8 chisel", "from_face": «"0"», "width": "3/8", "depth": "3/4", "length": "2""#,
        "no wood is left between it and the reference face",
        "leave 1/8 in or more",
    ),
    (
        r#""do": "mortise", "at": "mortiser", "tool": "3/8 chisel", "from_face": «"1/32"», "width": "3/8", "depth": "3/4", "length": "2""#,
        "of wood is left between it and the reference face",
        "leave 1/8 in or more",
    ),
    // The centre at 7/32, half of 3/8 nearer: 1/32 is left.
    (
        r#""do": "bore", "at": "drill press", "tool": "3/8 bit", "size": "3/8", "from_face": «"7/32"», "along": "4", "depth": "1/2""#,
        "only 1/32 in of wood is left between it and the reference face",
        "leave 1/8 in or more",
    ),
    // 20 into sides of 11.8: the back would be 14 - 23.6 + 40 = 30.4 long.
    (
        r#""do": "drawer", "at": "stop saw", "piece": "back", "front": "14", "side_thickness": "11.8", "dado": «"20"»"#,
        "20 in deep goes through a side 11.800 in thick",
        "half the thickness of the side at most",
    ),
    (
        r#""do": "drawer", "at": "cabinet saw", "tool": "rip blade", "piece": "bottom", "front": "3", "side_thickness": "1/2", "groove_depth": «"1/2"»"#,
        "1/2 in deep goes through a side 1/2 in thick",
        "half the thickness of the side at most",
    ),
    // 1 1/4 into a mortise 1 deep.
    (
        r#""do": "tenon", "at": "tenon saw", "mortise_width": "3/8", "mortise_from_face": "1/4", "setback": "0", "length": «"1 1/4"», "mortise_depth": "1""#,
        "a tenon of 1 1/4 in reaches the bottom of a mortise 1 in deep",
        "1/16 in shorter than the mortise",
    ),
    // 0.02 less the 0.0355 that the thin blade makes more is below the scale's zero.
    (
        r#""do": "rip", "at": «"cabinet saw"», "tool": "thin rip blade", "to": "0.02""#,
        "the fence of the cabinet saw would stand at",
        "another size, or a tool whose `scale_offset` is right",
    ),
];

#[test]
fn what_can_not_be_is_refused_with_place_reason_and_remedy() {
    let shop = shop(&[]);
    for (operation, reason, remedy) in NEGATIVE.into_iter().chain(OTHERS) {
        let (text, column) = text_of(operation);
        let found = errors(&shop, &text);
        let found_it = found.iter().find(|(_, what, _)| what.contains(reason));
        let (place, _, help) =
            found_it.unwrap_or_else(|| panic!("{operation}\n{reason}: {found:#?}"));
        let help = help.as_deref().unwrap_or_default();
        assert!(help.contains(remedy), "{remedy}: {help}");
        let place = place.as_ref().unwrap_or_else(|| panic!("no place for {operation}"));
        let column = column.expect("a marked value");
        // A text's place is after its quote; the whole value's is on it.
        assert_eq!(place.line, 4, "{operation}");
        assert!([column, column - 1].contains(&place.column), "{operation}: {place:?} {column}");
    }
}

/// A refused value is a finding a lead can look past, not a limit of a machine:
/// a batch that began on such a file still opens, with its numbers. By hand:
/// a fence for 3 in aimed 1/8 in under it stands at 3 - 0.125 - 0.012 = 2.863,
/// on a step of 0.005 that leaves wood on 2.865.
#[test]
fn the_numbers_are_still_there_beside_the_finding() {
    let operation = r#"{ "op": 5, "part": "piece", "do": "joint", "at": "jointer", "sides": ["face", "edge"] },
        { "op": 10, "part": "piece", "do": "rip", "at": "cabinet saw", "tool": "rip blade", "to": "3", "aim": "-1/8" }"#;
    let route = route_of("", &stock("1", "4", "30"), operation);
    let plan = walk(&route, &shop(&[]), &Known::default());
    assert_eq!(outcome(&plan, 10).settings[0].setting.dial.0, inches("2.865"));
    let found = &plan.operation(10).unwrap().findings;
    let refused = found.iter().find(|finding| finding.what.contains("an aim of")).unwrap();
    assert_eq!(refused.place.may_override, MayOverride::Lead);
}

/// A scale with an end: 4 1/2 is beyond a fence that reaches 4 in.
#[test]
fn no_setting_is_beyond_the_end_of_its_scale() {
    let short = shop(&[("/machines/cabinet saw/readouts/fence/most", json!("4"))]);
    let part = stock("1", "6", "30");
    let rip = |to: &str| {
        let operations = format!(
            r#"{{ "op": 5, "part": "piece", "do": "joint", "at": "jointer", "sides": ["face", "edge"] }},
            {{ "op": 10, "part": "piece", "do": "rip", "at": "cabinet saw", "tool": "rip blade", "to": "{to}" }}"#
        );
        let plan = walk(&route_of("", &part, &operations), &short, &Known::default());
        crate::plans::errors(&plan)
    };
    assert_eq!(rip("3 1/2"), "");
    let said = "the fence of the cabinet saw would stand at 4.490, and its scale ends at 4 in";
    assert_eq!(rip("4 1/2"), said);
}

/// Teeth stand out from the plate on both sides, so no kerf is narrower; and
/// no blade cuts 40 in. The file is refused for new work; a batch that began
/// with it reads it, and each plan says it once.
#[test]
fn a_kerf_that_can_not_be_is_refused_in_the_shop_file() {
    for (kerf, reason) in [
        ("0.080", "its `kerf` is less than its `plate`"),
        ("40", "no tool of a saw or router cuts as wide as this `kerf`"),
    ] {
        let text = shop::BUNDLED.replacen(r#""kerf": "0.125""#, &format!(r#""kerf": "{kerf}""#), 1);
        let document = Document::read("shop.json", text.as_str()).unwrap();
        let held = shop::read(&document).expect("an old batch still opens");
        let found = shop::impossible(&document, &held);
        assert_eq!(found.len(), 1, "{found:#?}");
        assert!(found[0].what.contains(reason), "{}", found[0].what);
        assert!(found[0].help.as_deref().unwrap().contains("measure a cut in scrap"));
        let line = text.lines().position(|line| line.contains(&format!(r#""{kerf}", "plate""#)));
        assert_eq!(found[0].place.at.as_ref().unwrap().line, line.unwrap() + 1);

        let rip = |op, to| {
            format!(
                r#"{{ "op": {op}, "part": "piece", "do": "rip", "at": "cabinet saw", "tool": "rip blade", "to": "{to}" }}"#
            )
        };
        let operations = format!(
            r#"{{ "op": 5, "part": "piece", "do": "joint", "at": "jointer", "sides": ["face", "edge"] }}, {}, {}"#,
            rip(10, "3"),
            rip(20, "2")
        );
        let route = route_of("", &stock("1", "4", "30"), &operations);
        let plan = walk(&route, &held, &Known::default());
        assert_eq!(crate::plans::errors(&plan).matches(reason).count(), 1);
    }
}

const TOP: &str = r#"{ "op": 20, "part": "top", "do": "panel", "at": "glue bench", "pattern": "plain", "boards": "18", "count": "4", "loss": "1/32" },
    { "op": 30, "part": "top", "do": "plane", "at": "planer", "to": "3/4" }"#;

/// A panel of four boards of one finished thickness is as thick as they are:
/// 7/8 planed to 3/4 is 1/8 in all. The boards' thickness can't be told where
/// they don't say it: then the stock of the panel is asked for.
#[test]
fn a_panel_keeps_the_thickness_of_its_boards_or_asks_for_it() {
    let route = |board: &str, top: &str| {
        let text = format!(
            r#"{{ "route": "Top", "unit": "in", "sets": 1, "parts": {{
            "board": {{ "per_set": 4, "species": "ash", {board}, {} }},
            "top": {{ "per_set": 1, "species": "ash", "assembled_from": ["board"], {top} "width": "17" }} }},
            "operations": [
            {{ "op": 10, "part": "board", "do": "joint", "at": "jointer", "sides": ["face", "edge"] }}, {TOP} ] }}"#,
            stock("1", "4 3/4", "30")
        );
        crate::plans::try_route(&text).unwrap_or_else(|found| panic!("{found}"))
    };
    let planned = |board, top| walk(&route(board, top), &shop(&[]), &Known::default());
    let known = planned(r#""thickness": "7/8""#, "");
    assert_eq!(
        known.operation(30).unwrap().groups[0].before.most("thickness"),
        Some(inches("7/8"))
    );
    assert!(!outcome(&known, 30).passes.is_empty());
    let asked = "how thick it comes out of the clamps is unknown, and op 30 (plane) works from it";
    assert!(!crate::plans::errors(&known).contains(asked));

    let unknown = planned(r#""width": "4 1/2""#, "");
    let found = unknown.findings.iter().find(|finding| finding.what.contains(asked)).unwrap();
    assert_eq!(
        found.help.as_deref(),
        Some("give the part a `stock` with its `thickness` once glued")
    );
    assert_eq!(found.place.part.as_deref(), Some("top"));

    let given =
        planned(r#""width": "4 1/2""#, r#""stock": { "thickness": "15/16", "length": "30" },"#);
    assert!(!crate::plans::errors(&given).contains(asked));
    assert_eq!(
        given.operation(30).unwrap().groups[0].before.most("thickness"),
        Some(inches("15/16"))
    );
    // Three of the four joints' edges: 18 - 4 x 2 x 1/32 = 17 3/4.
    assert_eq!(size(&given, 20, "width out of the clamps"), inches("17 3/4"));
}

/// Stock 4 wide that nothing rips ends at 4, not at the 3 of the finished piece. Where an
/// operation can't be worked out, where the piece ends means nothing, and is not said.
#[test]
fn where_a_piece_ends_is_told_once_every_operation_is_understood() {
    let ends = |clearance: &str| {
        let (text, _) = text_of(&format!(
            r#""do": "groove", "at": "router table", "tool": "1/4 straight bit", "panel": "3/8", "depth": "1/4", "from_edge": "1/2", "clearance": "{clearance}""#
        ));
        let text = text.replace(r#""per_set": 1,"#, r#""per_set": 1, "width": "3","#);
        let found = errors(&shop(&[]), &text);
        found.iter().filter(|(_, what, _)| what.contains("the finished size is 3 in")).count()
    };
    assert_eq!(ends("0.01"), 1);
    assert_eq!(ends("-0.05"), 0);
}
