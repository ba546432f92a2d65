//! What lies exactly at a limit is allowed, and a little beyond it isn't. The
//! limits themselves are common practice, no source, where the bundled shop
//! doesn't give them.

use benchway::plan::{Known, Measured, Plan, walk};
use benchway::prose::Level;

use crate::plans::{inches, outcome, route_of, shop, stock, try_route_of};

/// One operation on a piece of ash of that thickness, width and length.
fn planned([thickness, width, length]: [&str; 3], keys: &str) -> Plan {
    let part = format!(r#""species": "ash", {}"#, stock(thickness, width, length));
    let operation = format!(r#"{{ "op": 10, "part": "piece", {keys} }}"#);
    walk(&route_of("", &part, &operation), &shop(&[]), &Known::default())
}

/// Everything that is found, with what mends it.
fn said(plan: &Plan) -> String {
    let all = plan.all_findings();
    let words = all.map(|found| format!("{}\n{}", found.what, found.help.as_deref().unwrap_or("")));
    words.collect::<Vec<String>>().join("\n")
}

/// A text without its numbers: what is said of one value is looked for in what is said
/// of another.
fn without_numbers(text: &str) -> String {
    let signs = text.chars().map(|sign| if sign.is_ascii_digit() { '#' } else { sign });
    signs.collect::<String>().replace(['.', '/', ' '], "").replace('#', "")
}

/// A value that is still right, one that is not, and what is said of that.
#[track_caller]
fn holds(size: [&str; 3], keys: &str, [right, wrong]: [&str; 2], what: &str) {
    let [right, wrong] =
        [right, wrong].map(|value| said(&planned(size, &keys.replace('?', value))));
    is_said_of_the_second(keys, &right, &wrong, what);
}

/// The same of a size of the piece.
#[track_caller]
fn holds_of_a_piece(size: [&str; 3], keys: &str, [right, wrong]: [&str; 2], what: &str) {
    let [right, wrong] = [right, wrong]
        .map(|value| said(&planned(size.map(|held| if held == "?" { value } else { held }), keys)));
    is_said_of_the_second(keys, &right, &wrong, what);
}

#[track_caller]
fn is_said_of_the_second(keys: &str, right: &str, wrong: &str, what: &str) {
    let words = without_numbers(what);
    assert!(!without_numbers(right).contains(&words), "{keys}: {right}");
    assert!(wrong.contains(what), "{keys}: {wrong}");
}

/// A route that says so is read, and one that says more isn't.
#[track_caller]
fn is_read(keys: &str, [right, wrong]: [&str; 2], what: &str) {
    let read = |value: &str| {
        let operation = format!(r#"{{ "op": 10, "part": "piece", {} }}"#, keys.replace('?', value));
        let part = format!(r#""species": "ash", {}"#, stock("1", "4", "20"));
        try_route_of("in", "", &part, &operation).err().unwrap_or_default()
    };
    assert_eq!(read(right), "", "{keys}");
    let said = read(wrong);
    assert!(said.contains(what), "{keys}: {said}");
}

const PIECE: [&str; 3] = ["1", "4", "20"];

/// The rollers of the planer are 11 apart, and a piece is 2 longer; it takes 1/4 to 8
/// in thickness, 20 and less in width. The cabinet saw rips 3/4 and more.
#[test]
fn pieces_fit_their_machines() {
    let plane = r#""do": "plane", "at": "planer", "to": "0.2""#;
    for (size, values, what) in [
        (
            ["1", "4", "?"],
            ["13", "12.999"],
            "piece too short for the planer: 12.999 in, but at least 13 in",
        ),
        (["?", "4", "20"], ["1/4", "0.249"], "piece too thin for the planer"),
        (
            ["?", "4", "20"],
            ["8", "8.001"],
            "piece too thick for the planer: 8.001 in, but at most 8 in",
        ),
        (["1", "?", "20"], ["20", "20.001"], "piece too wide for the planer"),
    ] {
        holds_of_a_piece(size, plane, values, what);
    }
    let rip = r#""do": "rip", "at": "cabinet saw", "tool": "rip blade", "to": "?""#;
    holds(PIECE, rip, ["3/4", "0.749"], "0.749 in is narrower than the 3/4 in the saw may rip");
    let resaw = r#""do": "resaw", "at": "band saw", "tool": "half inch blade", "slice": "?", "clean_up": "0""#;
    holds(PIECE, resaw, ["1/4", "0.249"], "is thinner than the 1/4 in the band saw may take");
    let resaw = resaw.replace('?', "1/4");
    holds_of_a_piece(["1", "?", "20"], &resaw, ["10", "10.001"], "on edge it is 10.001 in high");
}

/// A piece is short below 6.
#[test]
fn a_short_piece_is_warned_of() {
    let cautions = |keys: &str, long: &str| {
        outcome(&planned(["1", "2", long], keys), 10)
            .cautions
            .join("\n")
            .contains("Under 6 in: hold it")
    };
    for keys in [
        r#""do": "mitre", "at": "saw and sled", "to": "4", "angle": "45", "ends": "one""#,
        r#""do": "crosscut", "at": "saw and sled", "to": "4""#,
    ] {
        assert!(!cautions(keys, "6"), "{keys}");
        assert!(cautions(keys, "5.999"), "{keys}");
    }
}

const TENON: &str = r#""do": "tenon", "at": "tenon saw", "mortise_width": "0.375", "mortise_from_face": "0.3", "setback": "0""#;

/// Tenons of 1 at both ends; 1/32 of room below one is enough. A tenon that reaches
/// the bottom can still be shortened, one that is longer can't close.
#[test]
fn a_tenon_has_room_in_its_mortise() {
    let deep = format!(r#"{TENON}, "length": "1", "mortise_depth": "?""#);
    holds(PIECE, &deep, ["1 1/32", "1.031"], "only 0.031 in below the tenon in its mortise");
    holds(
        PIECE,
        &deep,
        ["1.001", "1"],
        "a tenon of 1 in reaches the bottom of a mortise 1 in deep",
    );
    let level = |value: &str| {
        let plan = planned(PIECE, &deep.replace('?', value));
        let found = plan.all_findings().find(|found| found.what.contains("reaches the bottom"));
        found.unwrap().level
    };
    assert_eq!(level("1"), Level::Warning);
    assert_eq!(level("0.999"), Level::Error);
    let meet = format!(r#"{TENON}, "length": "?", "meets_beyond": "1""#);
    holds(PIECE, &meet, ["1", "1.001"], "tenons of 1.001 in meet in the leg beyond 1 in");
    holds(
        PIECE,
        &meet.replace("length", "mitred\": true, \"length"),
        ["1.001", "20"],
        "nothing is left",
    );
}

/// Air of 0.002 to 0.006, both cheeks together.
#[test]
fn a_tenon_has_air_and_wood() {
    let clear = format!(r#"{TENON}, "length": "1", "clearance": "?""#);
    holds(PIECE, &clear, ["0.002", "0.0019"], "is outside 0.002 to 0.006 in");
    holds(PIECE, &clear, ["0.006", "0.0061"], "is outside 0.002 to 0.006 in");
    holds(PIECE, &clear, ["0.374", "0.375"], "a clearance of 3/8 in leaves no tenon");
    // Face cheek 0.3 - setback + 0.002: none is left at 0.302.
    let back =
        format!(r#"{TENON}, "length": "1""#).replace(r#""setback": "0""#, r#""setback": "?""#);
    holds(
        PIECE,
        &back,
        ["0.302", "0.303"],
        "the tenon would be 0.001 in proud of the piece's face",
    );
    // Face 0.302 and tenon 0.371 are 0.673 together.
    let thin = format!(r#"{TENON}, "length": "1""#);
    holds_of_a_piece(
        ["?", "4", "20"],
        &thin,
        ["0.673", "0.672"],
        "tenon and face cheek need 0.001 in more",
    );
}

/// Shoulders 10 apart and two tenons of 1 are 12; a piece may be 1/64 off, 0.015625.
/// With one tenon it is 11.
#[test]
fn a_piece_is_as_long_as_its_shoulders_say() {
    let keys = format!(r#"{TENON}, "length": "1", "shoulders": "10""#);
    let piece = ["1", "4", "?"];
    holds_of_a_piece(
        piece,
        &keys,
        ["11.985", "11.984"],
        "is too short for 10 in between shoulders and 12 in overall",
    );
    holds_of_a_piece(
        piece,
        &keys,
        ["12.015", "12.016"],
        "is longer than 10 in between shoulders and 12 in overall",
    );
    let one = format!(r#"{keys}, "ends": 1"#);
    holds_of_a_piece(
        piece,
        &one,
        ["10.985", "10.984"],
        "is too short for 10 in between shoulders and 11 in overall",
    );
    // Two tenons of 1 leave nothing of 2.
    let none = format!(r#"{TENON}, "length": "1""#);
    holds_of_a_piece(
        piece,
        &none,
        ["2.001", "2"],
        "nothing is left between the shoulders of a piece 2 in long",
    );
}

/// Pieces that differ by more than 0.004 in thickness make tenons that differ, where
/// both cheeks are cut lying.
#[test]
fn pieces_alike_make_tenons_alike() {
    let said = |most: &str, method: &str| {
        let measure = r#"{ "op": 5, "part": "piece", "do": "measure", "checks": [
            { "check": "thickness", "limits": "±1/16", "with": "calipers", "pieces": "all" } ] }"#;
        let tenon = format!(
            r#"{{ "op": 10, "part": "piece", {TENON}, "length": "1", "method": "{method}" }}"#
        );
        let part = format!(r#""species": "ash", {}"#, stock("1", "4", "6"));
        let mut known = Known::default();
        let measured = Measured { least: inches("0.998"), most: inches(most) };
        known.measured.insert((5, "thickness".into()), measured);
        let route = route_of("", &part, &format!("{measure}, {tenon}"));
        said(&walk(&route, &shop(&[]), &known))
    };
    let differ = "these pieces differ by 0.005 in in thickness, and so will the tenons";
    assert!(!said("1.002", "two-heights").contains("these pieces differ"));
    assert!(said("1.003", "two-heights").contains(differ), "{}", said("1.003", "two-heights"));
    assert!(!said("1.003", "one-face").contains("these pieces differ"));
}

const DOWELS: &str =
    r#""do": "dowel", "at": "drill press", "dowel_length": "2", "from_face": "1/2", "joint": "3""#;

/// Holes of 1/2 begin half of that from the ends, and are more than that apart. One
/// alone is in the middle. A hole may be 0.004 looser than the dowel.
#[test]
fn dowels_have_room() {
    let half = format!(r#"{DOWELS}, "tool": "1/2 bit", "dowel": "1/2""#);
    let ends = format!(r#"{half}, "count": 2, "from_end": "?""#);
    holds(PIECE, &ends, ["1/4", "0.249"], "comes out at the end of a joint 3 in");
    // From 1.24 to 1.76 is 0.52; from 1.25 to 1.75 no more than the hole.
    holds(PIECE, &ends, ["1.24", "1 1/4"], "centres 1/2 in apart run into each other");
    let many = format!(r#"{half}, "from_end": "1/4", "count": ?"#);
    // 2 1/2 in four is 0.625, in five 0.5.
    holds(PIECE, &many, ["5", "6"], "centres 1/2 in apart run into each other");
    let slack =
        format!(r#"{DOWELS}, "tool": "1/2 bit", "count": 2, "from_end": "1/2", "dowel": "?""#);
    holds(PIECE, &slack, ["0.496", "0.4955"], "looser than the dowel");
    holds(PIECE, &slack, ["1/2", "0.501"], "the hole is 0.001 in tighter than the dowel");
    let count =
        format!(r#"{DOWELS}, "tool": "1/2 bit", "dowel": "1/2", "from_end": "1/4", "count": ?"#);
    is_read(&count, ["100", "101"], "a joint has 1 to 100 dowels");
    is_read(&count, ["1", "0"], "a joint has 1 to 100 dowels");
}

/// 1/16 of wood is left beside a hole. One of 1/2 in the edge of a piece 1 thick has
/// its centre from 5/16 to 11/16; on marks of 1/32 the next ones leave 1/32.
#[test]
fn a_hole_leaves_walls() {
    let bore = r#""do": "bore", "at": "drill press", "tool": "1/2 bit", "size": "1/2", "depth": "1/4", "into": "edge", "from_face": "?""#;
    let left = |face: &str| format!("only 1/32 in of wood is left between it and the {face} face");
    holds(PIECE, bore, ["5/16", "9/32"], &left("reference"));
    holds(PIECE, bore, ["11/16", "23/32"], &left("far"));
    holds(PIECE, bore, ["9/32", "1/4"], "no wood is left between it and the reference face");
    holds(PIECE, bore, ["1/4", "7/32"], "it comes out 1/32 in beyond the reference face");
    holds(PIECE, bore, ["3/4", "25/32"], "it comes out 1/32 in beyond the far face");
}

/// A mark lies on the piece, ends and edges included.
#[test]
fn marks_lie_on_the_piece() {
    for (from, least, most, beyond) in [
        ("end", "0", "20", "20.001"),
        ("face edge", "0", "4", "4.001"),
        ("face side", "0", "1", "1.001"),
    ] {
        let keys = format!(
            r#""do": "layout", "at": "bench", "marks": [ {{ "name": "shoulder", "at": "?", "from": "{from}", "face": "A" }} ]"#
        );
        holds(PIECE, &keys, [least, "-0.001"], "the mark shoulder is outside the piece");
        holds(PIECE, &keys, [most, beyond], "the mark shoulder is outside the piece");
    }
}

/// A groove is no deeper than half the piece, a rabbet leaves some of it. Both stay
/// on the piece; 1/4 is left beside a groove.
#[test]
fn grooves_leave_wood() {
    let groove = r#""do": "groove", "at": "router table", "tool": "1/4 straight bit", "panel": "0.242", "depth": "?", "from_edge": "1""#;
    holds(PIECE, groove, ["1/2", "0.501"], "0.501 in is more than half of a piece 1 in thick");
    let rabbet = r#""do": "groove", "at": "router table", "tool": "1/4 straight bit", "cut": "rabbet", "panel": "0.242", "depth": "?""#;
    holds(PIECE, rabbet, ["0.999", "1"], "1 in is more than half of a piece 1 in thick");
    let from = groove.replace('?', "1/4").replace(r#""from_edge": "1""#, r#""from_edge": "?""#);
    holds(PIECE, &from, ["1/4", "0.249"], "only 0.249 in of wood is left beside the groove");
    holds(PIECE, &from, ["0", "-0.001"], "is off the piece");
    // 0.25 wide ends at the far edge at 3.75, and at the far end at 19.75.
    holds(PIECE, &from, ["3 3/4", "3.751"], "from the edge goes beyond a piece of 4 in");
    let dado = from.replace(r#""panel""#, r#""cut": "dado", "panel""#);
    holds(PIECE, &dado, ["19 3/4", "19.751"], "from the edge goes beyond a piece of 20 in");
    holds(PIECE, &dado, ["0", "-0.001"], "is off the piece");
    let clear = groove.replace('?', "1/4").replace(r#""panel""#, r#""clearance": "?", "panel""#);
    for (cut, word) in [("groove", "groove"), ("dado", "dado")] {
        let keys = format!(r#""cut": "{cut}", {clear}"#);
        holds(PIECE, &keys, ["-0.241", "-0.242"], &format!("a {word} can't be 0 in wide"));
    }
}

/// What is cut is named by its kind, where the route gives it no name.
#[test]
fn a_cut_without_a_name_is_called_by_its_kind() {
    for (cut, from) in
        [("groove", r#", "from_edge": "1""#), ("dado", r#", "from_edge": "1""#), ("rabbet", "")]
    {
        let keys = format!(
            r#""do": "groove", "at": "router table", "tool": "1/4 straight bit", "cut": "{cut}", "panel": "0.242", "depth": "1/4"{from}"#
        );
        let plan = planned(PIECE, &keys);
        assert_eq!(outcome(&plan, 10).after.most(&format!("{cut} depth")), Some(inches("1/4")));
        assert_eq!(outcome(&plan, 10).after.most(&format!("{cut} width")), Some(inches("1/4")));
    }
}

/// Under 1/4 a slice gets 1/16 to clean up, otherwise 1/8; at 1/4 or less it is held
/// by a push block. A blade drifts 10 degrees at most.
#[test]
fn slices() {
    let keys = |slice: &str, more: &str| {
        format!(
            r#""do": "resaw", "at": "band saw", "tool": "half inch blade", "slice": "{slice}"{more}"#
        )
    };
    let thick = |slice: &str| {
        outcome(&planned(["2", "4", "20"], &keys(slice, "")), 10).settings[0].setting.target.0
    };
    assert_eq!(thick("1/4"), inches("3/8"));
    assert_eq!(thick("0.24"), inches("0.3025"));
    let bare = |slice: &str| {
        let plan = planned(["2", "4", "20"], &keys(slice, r#", "clean_up": "0""#));
        outcome(&plan, 10).cautions.join("\n").contains("never a bare hand")
    };
    assert!(bare("1/4"));
    assert!(!bare("0.251"));
    let drift = keys("3/8", r#", "drift": "?""#);
    holds(PIECE, &drift, ["10", "10.5"], "drifts more than 10 degrees");
    holds(PIECE, &drift, ["-10", "-10.5"], "drifts more than 10 degrees");
}

/// Slices of 1/2 with a cut of 1/16 leave a last slab: of 1.1875 there are two, and
/// 1.1875 - 0.5625 = 0.625 is the second, 1/8 over. A cut and 1/16 is enough to saw
/// it off. Of 1.0625 nothing is over.
#[test]
fn the_last_slab() {
    let last = |thick: &str| {
        let keys = r#""do": "resaw", "at": "band saw", "tool": "half inch blade", "slice": "3/8", "clean_up": "1/8""#;
        let plan = planned([thick, "4", "20"], keys);
        let out = outcome(&plan, 10);
        let step = out.steps.iter().find(|step| step.contains("last slab"));
        (step.cloned().unwrap_or_default(), out.after.biggest("thickness").unwrap())
    };
    let saw = "Saw the last slab too, at the same number: 1/8 in is over.";
    assert_eq!(last("1.1875"), (saw.to_owned(), inches("1/2")));
    // 1.1865 - 0.5625 = 0.624.
    let stays = "The last slab stays 0.624 in, too little over to saw: plane it first.";
    assert_eq!(last("1.1865"), (stays.to_owned(), inches("0.624")));
    assert_eq!(last("1.0625"), (String::new(), inches("1/2")));
}

/// The diagonals may differ by a side and no more; four legs may rock 1/64.
#[test]
fn dry_fits() {
    let keys = r#""do": "dry fit", "at": "bench", "wide": "16", "deep": "12", "diagonals": "?""#;
    holds(PIECE, keys, ["12", "12.001"], "may differ by more than a side of the frame");
    let legs = r#""do": "dry fit", "at": "bench", "wide": "16", "deep": "12", "legs": ["17", "17", "17", "?"]"#;
    holds(PIECE, legs, ["17 1/64", "17.016"], "these legs rock 0.016 in");
    // 17 + 17 against 17 + 17.016: no order of these four rocks less, so a leg is trimmed.
    assert!(
        said(&planned(PIECE, &legs.replace('?', "17.016")))
            .contains("trim a leg of the longer diagonal")
    );
    // 17.010 and 17.010 on one diagonal rock 0.020; on different ones nothing.
    let paired = r#""do": "dry fit", "at": "bench", "wide": "16", "deep": "12", "legs": ["17.010", "17", "17.010", "17"]"#;
    let plan = planned(PIECE, paired);
    assert!(said(&plan).contains("they rock 0 in then"), "{}", said(&plan));
    assert_eq!(outcome(&plan, 10).steps[0], "Longest and shortest leg on one diagonal.");
}

/// A sliding fit keeps 1/64 once it is finished: two coats of 0.001 on two faces
/// take 0.004.
#[test]
fn a_sliding_fit_keeps_its_gap() {
    let keys = r#""do": "finish", "at": "finish room", "makes": "drawer", "coats": 2, "recoat_hours": 4, "film": "0.001", "gap": "?", "faces": 2"#;
    holds(PIECE, keys, ["0.019625", "0.0196"], "but a sliding fit needs at least 1/64 in");
    let bare = r#""do": "finish", "at": "finish room", "makes": "drawer", "coats": 2, "recoat_hours": 4, "gap": "1/16", "faces": ?"#;
    holds(PIECE, bare, ["1", "0"], "where none of its faces is finished");
    is_read(bare, ["8", "9"], "no more than 8 faces slide past each other");
    let coats = r#""do": "finish", "at": "finish room", "recoat_hours": 4, "coats": ?"#;
    is_read(coats, ["50", "51"], "1 to 50 coats");
    is_read(coats, ["1", "0"], "1 to 50 coats");
}

/// A cut into a side of 1/2 stays above nothing.
#[test]
fn a_drawer_side_isnt_cut_through() {
    let keys = r#""do": "drawer", "at": "stop saw", "piece": "back", "front": "12", "side_thickness": "1/2", "dado": "?""#;
    holds(PIECE, keys, ["0.499", "1/2"], "1/2 in deep goes through a side 1/2 in thick");
}

/// The glue's times, its joints, and what is too many in one go: (8:00 - 2:00) at 30
/// seconds are 12.
#[test]
fn a_glue_up_keeps_its_times() {
    let keys = |open: &str, closing: &str, each: &str, joints: &str| {
        format!(
            r#""do": "glue", "at": "glue bench", "open_minutes": {open}, "closing_minutes": {closing}, "seconds_per_joint": {each}, "joints": {joints}"#
        )
    };
    let minutes = "greater than zero, and no more than 600 minutes";
    is_read(&keys("?", "1", "30", "4"), ["600", "600.1"], minutes);
    is_read(&keys("?", "1", "30", "4"), ["0.1", "0"], minutes);
    is_read(&keys("8", "?", "30", "4"), ["600", "601"], minutes);
    is_read(&keys("8", "1", "?", "4"), ["3600", "3601"], "1 to 3600 seconds");
    is_read(&keys("8", "1", "?", "4"), ["1", "0"], "1 to 3600 seconds");
    is_read(&keys("8", "1", "30", "?"), ["1", "0"], "at least one joint is glued");
    let many = keys("8", "2", "30", "?");
    holds(PIECE, &many, ["12", "13"], "13 joints, and the open time is enough for 12 in one go");
    // 13 in two goes are 7 and 6.
    assert!(said(&planned(PIECE, &many.replace('?', "13"))).contains("glue in 2 goes (7 + 6)"));
    // In thirteen goes nobody counts them out: 12 x 12 + 1.
    assert!(said(&planned(PIECE, &many.replace('?', "145"))).contains("(at most 12 each)"));
    let open = keys("?", "2", "30", "1");
    holds(PIECE, &open, ["2.5", "2.4"], "the glue skins over before one joint is spread");
}

/// How many may stay in one length or lie side by side.
#[test]
fn gangs_and_strips() {
    let rough = r#""do": "crosscut", "at": "chop saw", "to": "12", "rough": true"#;
    let most = "1 to 50 pieces";
    is_read(&format!(r#"{rough}, "gang": ?"#), ["50", "51"], "a gang is 1 to 50 pieces");
    is_read(&format!(r#"{rough}, "gang": ?"#), ["1", "0"], "a gang is 1 to 50 pieces");
    is_read(&format!(r#"{rough}, "beside": ?"#), ["50", "51"], most);
    is_read(&format!(r#"{rough}, "beside": ?"#), ["1", "0"], most);
    is_read(&format!(r#"{rough}, "gang": 2, "beside": ?"#), ["1", "2"], "not both");
    let finished = r#""do": "crosscut", "at": "chop saw", "to": "12""#;
    is_read(&format!(r#"{finished}, "gang": ?"#), ["1", "2"], "only a rough crosscut");
    is_read(&format!(r#"{finished}, "beside": ?"#), ["1", "2"], "only a rough crosscut");
    let rip = r#""do": "rip", "at": "cabinet saw", "tool": "rip blade", "to": "1", "strips": ?"#;
    is_read(rip, ["2", "1"], "strips");
}

/// Boards of 40 for lengths of 12 with a cut of 1/8: three are 36 1/4. Trimmed 1/16
/// at both ends, 36 3/8 just holds them.
#[test]
fn lengths_from_a_board() {
    let count = |board: &str| {
        let keys = format!(
            r#""do": "crosscut", "at": "chop saw", "to": "12", "rough": true, "board": "{board}", "trim": "1/16""#
        );
        crate::plans::number(&planned(["1", "4", "60"], &keys), 10, "lengths from a board")
    };
    assert_eq!((count("36 3/8"), count("36.374"), count("48 1/2"), count("12")), (3, 2, 4, 0));
}

/// 200 parts are a shop's route, 201 are not; a part's name has 60 letters at most.
#[test]
fn a_route_has_so_many_parts() {
    let read = |parts: &str| {
        let text = format!(
            r#"{{ "route": "Worked by hand", "unit": "in", "sets": 1, "parts": {{ {parts} }},
            "operations": [ {{ "op": 10, "part": "piece", "do": "hand", "say": ["Sort."] }} ] }}"#
        );
        crate::plans::try_route(&text).err().unwrap_or_default()
    };
    let part = |name: &str| format!(r#""{name}": {{ "per_set": 1, {} }}"#, stock("1", "4", "20"));
    let many = |count: usize| {
        let others = (2..=count).map(|n| part(&format!("part {n}")));
        std::iter::once(part("piece")).chain(others).collect::<Vec<String>>().join(", ")
    };
    assert_eq!(read(&many(200)), "");
    assert!(read(&many(201)).contains("more than 200 parts"));
    let named = |letters: usize| format!("{}, {}", part("piece"), part(&"b".repeat(letters)));
    assert_eq!(read(&named(60)), "");
    assert!(read(&named(61)).contains("a part has a short plain name"));
}

/// Dimensions nobody uses and parts nobody makes are told, and nothing else.
#[test]
fn what_is_of_no_use_is_told() {
    let text = format!(
        r#"{{ "route": "Worked by hand", "unit": "in", "sets": 1,
        "dims": {{ "long": "12", "half": "long / 2", "spare": "3" }},
        "parts": {{ "piece": {{ "per_set": 1, {sizes} }}, "lath": {{ "per_set": 1, {sizes} }} }},
        "operations": [ {{ "op": 10, "part": "piece", "do": "crosscut", "at": "stop saw", "to": "half" }} ] }}"#,
        sizes = stock("1", "4", "20")
    );
    let document = benchway::document::Document::read("route.json", text).unwrap();
    let (_, told) = benchway::route::read(&document).unwrap();
    let told: Vec<(Level, &str)> =
        told.iter().map(|told| (told.level, told.what.as_str())).collect();
    let expected = ["nothing uses the dimension `spare`", "no operation makes the part `lath`"];
    assert_eq!(told, expected.map(|what| (Level::Warning, what)));
}

/// Calipers are off by up to 0.003. On marks of 1/32 the stop goes up to 12 17/32 =
/// 12.53125: limits that end 0.002 over it are too near, 0.003 is far enough. A depth
/// goes down to 1/4, which may lie as near to the low limit.
#[test]
fn a_setting_leaves_room_to_both_limits() {
    let near = |keys: &str, limits: &str, of: &str| {
        let checked = format!(
            r#"{keys}, "checks": [ {{ {of}, "limits": "{limits}", "with": "calipers", "pieces": "all" }} ]"#
        );
        said(&planned(PIECE, &checked))
    };
    let too_close = "from a limit: many readings will be too close to call";
    let stop = |to: &str| {
        let keys = format!(r#""do": "crosscut", "at": "saw and sled", "to": "{to}""#);
        near(&keys, "±1/32", r#""check": "length""#)
    };
    assert!(
        stop("12.502").contains(&format!("12 17/32 in, 0.002 {too_close}")),
        "{}",
        stop("12.502")
    );
    assert!(!stop("12.503").contains(too_close), "{}", stop("12.503"));
    let height = |depth: &str| {
        let keys = format!(
            r#""do": "groove", "at": "router table", "tool": "1/4 straight bit", "makes": "slot", "panel": "0.242", "depth": "{depth}", "from_edge": "1""#
        );
        near(&keys, "±1/32", r#""of": "slot", "check": "depth""#)
    };
    assert!(height("0.280").contains(&format!("1/4 in, 0.001 {too_close}")), "{}", height("0.280"));
    assert!(!height("0.278").contains(too_close), "{}", height("0.278"));
}

/// A rough crosscut that lays nothing side by side says nothing of what is ripped
/// apart later; one that lays two lays as many as the stock is across.
#[test]
fn as_many_lie_side_by_side_as_in_the_stock() {
    let said = |across: u32, beside: &str| {
        let part = format!(
            r#""species": "ash", "stock": {{ "thickness": "1", "width": "6", "length": "40", "across": {across} }}"#
        );
        let operation = format!(
            r#"{{ "op": 10, "part": "piece", "do": "crosscut", "at": "chop saw", "to": "20", "rough": true{beside} }}"#
        );
        self::said(&walk(&route_of("", &part, &operation), &shop(&[]), &Known::default()))
    };
    let differ = "2 lie side by side here, but 3 in the part's stock";
    assert!(said(3, r#", "beside": 2"#).contains(differ));
    assert!(!said(2, r#", "beside": 2"#).contains("lie side by side here"));
    assert!(!said(3, "").contains("lie side by side here"));
}

/// One reading of a square piece is a reading of both its sides, unless both are read.
#[test]
fn a_square_piece_is_read_once() {
    let sides = |checks: &[&str]| {
        let each = checks.iter().map(|of| {
            format!(
                r#"{{ "check": "{of}", "limits": "±1/16", "with": "calipers", "pieces": "all" }}"#
            )
        });
        let each: Vec<String> = each.collect();
        let operation = format!(
            r#"{{ "op": 10, "part": "piece", "do": "plane", "at": "planer", "to": "1 1/4", "square": true, "checks": [ {} ] }}"#,
            each.join(", ")
        );
        let part = format!(r#""species": "ash", {}"#, stock("1 3/8", "1 3/8", "20"));
        let mut known = Known::default();
        for (of, most) in [("thickness", "1.262"), ("width", "1.240")] {
            let measured = Measured { least: inches("1.231"), most: inches(most) };
            known.measured.insert((10, of.into()), measured);
        }
        let plan = walk(&route_of("", &part, &operation), &shop(&[]), &known);
        let after = &outcome(&plan, 10).after;
        (after.most("thickness").unwrap(), after.most("width").unwrap())
    };
    assert_eq!(sides(&["thickness"]), (inches("1.262"), inches("1.262")));
    assert_eq!(sides(&["thickness", "width"]), (inches("1.262"), inches("1.240")));
}

/// A saw with a stop and no fence has only its sled or jig, so what is cut there keeps
/// the cautions of a sled, even a groove along a fence. About 740 kg in a cubic metre:
/// 2 x 20 x 60 in is 0.0393 m3, 29 kg; 12 x 20 x 60 is far over, 1 x 4 x 20 is light.
#[test]
fn cautions_belong_to_the_machine_and_the_piece() {
    let cautions = |size: [&str; 3], keys: &str| outcome_cautions(&planned(size, keys));
    let groove = |at: &str, tool: &str| {
        format!(
            r#""do": "groove", "at": "{at}", "tool": "{tool}", "panel": "0.242", "depth": "1/4", "from_edge": "1""#
        )
    };
    let on_sled = "hands never behind it";
    assert!(cautions(PIECE, &groove("tenon saw", "tenon blade")).contains(on_sled));
    assert!(cautions(PIECE, &groove("saw and sled", "combination blade")).contains(on_sled));
    assert!(!cautions(PIECE, &groove("cabinet saw", "rip blade")).contains(on_sled));
    let plane = r#""do": "plane", "at": "planer", "to": "1""#;
    let heavy = "two people lift, feed and carry it";
    assert!(!cautions(["1 1/8", "4", "20"], plane).contains(heavy));
    assert!(cautions(["2", "20", "60"], plane).contains(heavy));
}

fn outcome_cautions(plan: &Plan) -> String {
    plan.operation(10).unwrap().cautions.join("\n")
}

/// Sawn 1/32 outside its line a curve leaves that much more than its narrowest place: all
/// of 4 at 3 31/32.
#[test]
fn a_curve_adds_no_wood() {
    let keys = r#""do": "curve", "at": "band saw", "tool": "half inch blade", "radius": "9", "narrowest": "?""#;
    holds(PIECE, keys, ["3 31/32", "3.97"], "but the piece is only 4 in: wood can't be added");
}

/// Left and right pieces mirror each other where a cut lies in from an edge or an end; a
/// rabbet is at the edge itself.
#[test]
fn grooves_of_left_and_right_pieces_mirror_each_other() {
    let steps = |cut: &str, from: &str| {
        let keys = format!(
            r#""do": "groove", "at": "router table", "tool": "1/4 straight bit", "cut": "{cut}", "panel": "0.242", "depth": "1/4"{from}"#
        );
        outcome(&planned(PIECE, &keys), 10).steps.join("\n").contains("mirror each other")
    };
    let from = r#", "from_edge": "1""#;
    assert!(steps("groove", from) && steps("dado", from) && !steps("rabbet", ""));
}
