//! The advice after a reading, in whole sentences judged by hand.
//! The causes are common practice, no source.

use crate::walker::{SHOP, STOOL, Walker, read_route, read_shop};
use benchway::work::{Advice, ReadReason, Remedy, Task, advice, choices};

const RAIL: &str = r#"{
  "route": "One rail", "unit": "in", "sets": 1,
  "dims": { "tenon": "3/4", "shoulder": "11", "rail_length": "shoulder + 2 * tenon" },
  "parts": { "rail": { "per_set": 4, "spares": 2, "setup_pieces": 0,
    "stock": { "thickness": "3/4", "width": "2", "length": "14" }, "length": "rail_length" } },
  "operations": [
    { "op": 10, "part": "rail", "do": "hand", "say": ["Sort them."] },
    { "op": 20, "part": "rail", "do": "crosscut", "at": "stop saw", "to": "rail_length",
      "checks": [ { "check": "length", "limits": "±1/32", "with": "calipers", "pieces": "all" } ] }
  ]
}"#;

fn at_the_saw() -> Walker {
    let mut walker = Walker::of(RAIL);
    walker.to_size(10);
    walker.op = 20;
    assert!(matches!(walker.on(), Task::Read { .. }));
    walker
}

fn said(walker: &Walker) -> Advice {
    let reading = walker.state.readings.last().expect("a reading");
    advice(&walker.context(), reading).expect("something to say")
}

/// The first piece of 12 1/2 in read so.
fn first(typed: &str) -> Advice {
    let mut walker = at_the_saw();
    walker.enter(typed);
    said(&walker)
}

/// Within ±1/32 a quarter of the band is 0.0156.
#[test]
fn inside_the_limits_the_side_decides() {
    assert_eq!(first("12.5").headline, "within limits");
    assert!(first("12.5").next.is_empty());
    assert_eq!(
        first("12.480").next,
        ["Within limits, but near the side that can't be saved: measure the next one."]
    );
    assert_eq!(
        first("12.520").next,
        ["Within limits, near the side that can still be cut: carry on."]
    );
}

#[test]
fn too_long_is_cut_again() {
    let said = first("12.560");
    // 12.560 - 12.53125 = 0.02875, and 0.060 over the size.
    assert_eq!(said.headline, "too long by 0.029: can be cut again");
    assert_eq!(
        said.next,
        ["Wipe the stop, see that the scale still shows its number, cut 0.060 in off again."]
    );
    assert!(said.questions.is_empty());
}

#[test]
fn too_short_by_itself_blames_the_setting() {
    let said = first("12.425");
    assert_eq!(said.headline, "too short by 0.044: can't be saved");
    assert_eq!(
        said.next,
        [
            "Set it aside and check the scale: the next piece is measured before the others.",
            "If they all come out this way, the setting is wrong: check the scale.",
            "2 spares have come this far.",
        ]
    );
}

#[test]
fn too_short_among_good_ones_is_matched_or_replaced() {
    let mut walker = at_the_saw();
    walker.enter("12.5");
    walker.on();
    walker.enter("12.425");
    let said = said(&walker);
    assert_eq!(
        said.next[1],
        "The others are within limits: the lead chooses a shorter match or a spare."
    );
    assert_eq!(
        said.next[3],
        "0.075 smaller somewhere from rail 1 to rail 2: can't tell yet whether it moved."
    );
    // Rail 2 is asked about, and rail 3 isn't cut: nobody is sent to measure it.
    assert_eq!(said.next.len(), 4);
}

#[test]
fn a_second_short_one_is_no_longer_alone() {
    let mut walker = at_the_saw();
    walker.enter("12.425");
    walker.enter("a mb for the small one");
    walker.on();
    walker.enter("12.420");
    let said = said(&walker);
    assert!(!said.next.iter().any(|text| text.contains("others are good")), "{said:?}");
}

#[test]
fn too_close_to_call_names_a_gauge_only_where_one_would_serve() {
    // A feeler is finer than calipers and measures no length.
    assert_eq!(
        first("12.530").next,
        [
            "The uncertainty of the calipers is 0.003: measure again in the same place, or let the lead decide."
        ]
    );
}

#[test]
fn misses_with_a_known_shape_are_asked_about() {
    for (typed, question) in [
        ("11.5", "Off by the check block: was the gauge zeroed on it?"),
        ("11", "Off by twice tenon: was one size measured or set instead of the other?"),
        ("11.750", "Off by tenon: was one size measured or set instead of the other?"),
        ("1.25", "Is the decimal point in the wrong place?"),
        ("15.2", "Are two digits swapped? Read it again."),
        ("12 11/16", "Off by exactly 3/16: were marks miscounted, or a fraction misread?"),
        // A kerf of 1/8.
        (
            "12.375",
            "Off by one kerf: was it cut on the wrong side of the line, or a kerf not counted?",
        ),
        // Kerf 0.125 on a plate of 0.087: a tooth stands out 0.019, twice 0.038.
        ("12.462", "Undersize by the tooth set: was it set to the plate instead of a tooth?"),
    ] {
        let said = first(typed);
        assert_eq!(said.questions.first().map(String::as_str), Some(question), "{typed}");
    }
}

/// The sander's last belt takes 0.010 and nothing jogs: 0.013 over the limit
/// is two steps, the size 0.021 away is two steps of 0.010 at most.
#[test]
fn a_leg_too_thick_at_the_sander() {
    let shop = SHOP.replace("\"jog\": \"0.004\",", "");
    let mut walker = Walker::new(read_route(STOOL), read_shop(&shop), 1);
    for op in [10, 20, 30, 40] {
        walker.to_size(op);
    }
    walker.op = 50;
    walker.on();
    walker.enter("1.271");
    let said = said(&walker);
    assert_eq!(said.headline, "too thick by 0.013: can be cut again");
    assert_eq!(said.next, ["2 more settings, 0.010 closer each: faces A, B then C, D."]);
}

/// Every one of a hundred rails was asked for where the readings scattered: halving takes
/// seven readings, and three on either side tell a step from a slip. What six more don't
/// tell, eighty more wouldn't.
#[test]
fn a_row_that_scatters_is_not_measured_to_its_end() {
    let route = RAIL
        .replace("\"all\"", "\"first, last\"")
        .replace("\"per_set\": 4, \"spares\": 2", "\"per_set\": 100, \"spares\": 0");
    for seed in 1..=12_u64 {
        let mut walker = Walker::of(&route);
        walker.to_size(10);
        walker.op = 20;
        walker.on();
        walker.enter("12.488");
        walker.on();
        walker.enter("12.512");
        // Anywhere between the two, without rhyme.
        let mut noise = seed;
        let mut between = 0;
        while let Task::Read { why: ReadReason::Between, .. } = walker.task() {
            noise = noise * 48_271 % 2_147_483_647;
            walker.enter(&format!("12.{}", 488 + noise % 25));
            between += 1;
            assert!(between <= 30, "seed {seed}");
        }
        let said = said(&walker).next.join(" ");
        assert!(!said.contains("can't tell yet"), "seed {seed}: {said}");
    }
}

/// 16 pieces, first and last read: the one halfway is next.
#[test]
fn a_drift_names_the_piece_to_measure() {
    let route = RAIL
        .replace("\"all\"", "\"first, last\"")
        .replace("\"per_set\": 4, \"spares\": 2", "\"per_set\": 16, \"spares\": 0");
    let mut walker = Walker::of(&route);
    walker.to_size(10);
    walker.op = 20;
    walker.on();
    walker.enter("12.500");
    walker.on();
    walker.enter("12.517");
    // 0.017 is more than a quarter of 0.0625 and than three times 0.003.
    assert_eq!(
        said(&walker).next[1..],
        [
            "0.017 bigger somewhere from rail 1 to rail 16: can't tell yet whether it moved.",
            "Measure rail 8 next."
        ]
    );
    walker.on();
    walker.void();
    walker.enter("12.515");
    assert!(!said(&walker).next.iter().any(|text| text.contains("somewhere from")));
}

/// A rail of 12 1/2 in is 317.5 mm, more than calipers of 24 in can show.
/// A tape of 144 in takes the number and asks.
#[test]
fn millimetres_for_inches_are_asked_about() {
    let mut walker = at_the_saw();
    let refused = walker.try_enter("317.5").expect_err("beyond the calipers");
    assert_eq!(
        refused.help.as_deref(),
        Some("if it shows millimetres, type mm after the number; else read it again")
    );
    let by_tape = RAIL.replace("calipers", "tape").replace("±1/32", "±1/8");
    let mut walker = Walker::of(&by_tape);
    walker.to_size(10);
    walker.op = 20;
    walker.on();
    walker.enter("317 1/2");
    assert_eq!(
        said(&walker).questions.first().map(String::as_str),
        Some("Millimetres instead of inches? Check the unit.")
    );
}

#[test]
fn no_advice_is_long_or_speaks_of_the_program() {
    let mut all = Vec::new();
    for typed in ["12.5", "12.48", "12.52", "12.53", "12.56", "12.4", "11", "15.2"] {
        let said = first(typed);
        all.push(said.headline);
        all.extend(said.next);
        all.extend(said.questions);
    }
    for text in all {
        let sentences = text.matches(['.', '?', '!']).count() - decimals(&text);
        assert!(sentences <= 2, "{text}");
        let low = text.to_lowercase();
        for word in ["error", "invalid", "data", "file", "event", "null", "none", "value", "input"]
        {
            assert!(!low.contains(word), "{text}");
        }
    }
}

/// How many full stops of a text stand inside numbers.
fn decimals(text: &str) -> usize {
    let letters: Vec<char> = text.chars().collect();
    letters.windows(2).filter(|pair| pair[0] == '.' && pair[1].is_ascii_digit()).count()
}

/// An edge of a 3/4 x 2 in rail, jointed and checked. `finish` is what the rail
/// says of its finished sizes.
fn at_the_jointer(check: &str, finish: &str) -> Walker {
    let route = format!(
        r#"{{
  "route": "One rail", "unit": "in", "sets": 1,
  "parts": {{ "rail": {{ "per_set": 4, "spares": 2, "setup_pieces": 0,
    "stock": {{ "thickness": "3/4", "width": "2", "length": "24" }}{finish} }} }},
  "operations": [
    {{ "op": 10, "part": "rail", "do": "joint", "at": "jointer", "sides": ["face", "edge"],
      "checks": [ {{ {check}, "limits": "0..0.008", "with": "square and feeler", "pieces": "all" }} ] }}
  ]
}}"#
    );
    let mut walker = Walker::of(&route);
    walker.op = 10;
    assert!(matches!(walker.on(), Task::Read { .. }));
    walker
}

/// The first piece is proved, clean and square, before the stack follows it:
/// its face, then every face; its edge, its squareness, then every edge.
#[test]
fn the_first_piece_at_the_jointer_is_proved_before_the_stack() {
    let mut walker = at_the_jointer(r#""check": "squareness""#, "");
    let through = |walker: &Walker, pass: u32| {
        walker.state.setups[&10].passes.get(&pass).map_or(0, |pieces| pieces.len())
    };
    // Every face and one edge are through when the square is asked for.
    assert_eq!((through(&walker, 1), through(&walker, 2)), (6, 1));
    let Task::Read { piece, why: ReadReason::First, .. } = walker.task() else { panic!() };
    assert_eq!(piece, walker.state.pieces[0].id);
    walker.enter("0.020");
    walker.enter("");
    assert!(matches!(walker.on(), Task::Read { why: ReadReason::First, .. }));
    walker.enter("0.002");
    let Task::Feed { pieces, alone: false, .. } = walker.task() else { panic!() };
    assert_eq!(pieces.len(), 5);
    walker.enter("");
    assert_eq!(through(&walker, 2), 6);
}

/// Alone, the first piece is asked for by side: its face, and later its edge.
#[test]
fn the_first_piece_goes_over_the_jointer_alone() {
    let route = r#"{ "route": "One rail", "unit": "in", "sets": 1,
      "parts": { "rail": { "per_set": 4, "stock": { "thickness": "3/4", "width": "2", "length": "24" } } },
      "operations": [ { "op": 10, "part": "rail", "do": "joint", "at": "jointer", "sides": ["face", "edge"] } ] }"#;
    let mut walker = Walker::of(route);
    walker.op = 10;
    let mut fed = Vec::new();
    loop {
        if let Task::Feed { faces, alone, pieces, .. } = walker.task() {
            fed.push((faces[0], alone, pieces.len()));
        }
        if !walker.plainly() {
            break;
        }
    }
    assert_eq!(fed, [("face", true, 1), ("face", false, 3), ("edge", true, 1), ("edge", false, 3)]);
}

/// 0.020 is 0.012 over 0.008. An old route calls the kind of a squareness a
/// gap; it is judged as what it is all the same. Pressing Enter puts it right:
/// nothing is set aside while wood is left.
#[test]
fn an_edge_out_of_square_is_jointed_again_and_never_set_aside() {
    for check in [
        r#""check": "squareness", "kind": "gap""#,
        r#""check": "squareness""#,
        r#""check": "corner", "kind": "squareness""#,
    ] {
        let mut walker = at_the_jointer(check, r#", "thickness": "1/2", "width": "1 3/4""#);
        walker.enter("0.020");
        let said = said(&walker);
        assert_eq!(said.headline, "not square by 0.012: can be put right");
        assert_eq!(said.next[0], "Square the fence, joint the edge again.");
        assert!(said.questions.is_empty(), "{:?}", said.questions);
        let all = said.next.join(" ");
        assert!(!all.contains("aside") && !all.contains("wide"), "{all}");
        let task = walker.on();
        let open = choices(&walker.context(), &task);
        assert_eq!(open[0], Remedy::PutRight);
        assert!(!open.contains(&Remedy::CutAgain));
        walker.enter("");
        let piece = &walker.state.pieces[0];
        assert!(piece.aside.is_none(), "{piece:?}");
        // Jointed again, it is measured again.
        assert!(matches!(walker.on(), Task::Read { .. }));
        walker.enter("0.002");
        assert_eq!(self::said(&walker).headline, "within limits");
    }
}

/// A gap that must be 1/32 to 1/16 is put right from either side, and neither
/// side of its limits is safer: 1/32 - 0.020 = 0.011.
#[test]
fn a_gap_too_tight_is_opened() {
    let route = r#"{ "route": "One lid", "unit": "in", "sets": 1,
      "parts": { "lid": { "per_set": 2, "stock": { "thickness": "3/4", "width": "8", "length": "12" } } },
      "operations": [ { "op": 10, "part": "lid", "do": "hand", "say": ["Hang it."],
        "checks": [ { "check": "front gap", "limits": "1/32..1/16", "with": "gap feeler", "pieces": "all" } ] } ] }"#;
    let mut walker = Walker::of(route);
    walker.op = 10;
    assert!(matches!(walker.on(), Task::Read { .. }));
    walker.enter("0.020");
    let tight = said(&walker);
    assert_eq!(tight.headline, "too tight by 0.011: can be put right");
    assert_eq!(tight.next[0], "Open the gap: plane a shaving off, or set it wider.");
    walker.enter("");
    walker.on();
    walker.enter("0.034");
    let good = said(&walker);
    assert_eq!((good.headline.as_str(), good.next.first()), ("within limits", None));
}

/// By hand: the jointer takes 1/16 off the rough face and 1/32 off the edge:
/// 11/16 x 1 31/32. With
/// those as the finished sizes no wood is left, and nothing puts it right.
#[test]
fn without_wood_left_an_edge_out_of_square_is_not_put_right() {
    let mut walker =
        at_the_jointer(r#""check": "squareness""#, r#", "thickness": "11/16", "width": "1 31/32""#);
    walker.enter("0.020");
    let said = said(&walker);
    assert_eq!(said.headline, "not square by 0.012: can't be saved");
    assert_eq!(
        said.next[0],
        "Set it aside and check the scale: the next piece is measured before the others."
    );
}

#[test]
fn hollow_faces_and_gaps_have_advice_of_their_own() {
    let first = |check: &str| {
        let mut walker = at_the_jointer(check, r#", "thickness": "1/2", "width": "1 3/4""#);
        walker.enter("0.020");
        let said = said(&walker);
        (said.headline, said.next[0].clone())
    };
    let said = |headline: &str, next: &str| (headline.to_owned(), next.to_owned());
    assert_eq!(
        first(r#""check": "flatness""#),
        said("not flat by 0.012: can be put right", "Joint the face again, the hollow down.")
    );
    assert_eq!(
        first(r#""check": "edge gap""#),
        said("too open by 0.012: can be put right", "Close the gap: joint both edges again.")
    );
    assert_eq!(
        first(r#""check": "angle""#),
        said(
            "angle too big by 0.012: can be put right",
            "Set the angle anew, prove it on scrap, then cut it again."
        )
    );
}
