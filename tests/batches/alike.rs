//! Pieces that go together by what was measured, and pieces that each have a setting
//! of their own.

use benchway::journal::{Event, MadeDimension, PieceId};
use benchway::measure::Length;
use benchway::route::HoldsFor;
use benchway::work::matched;

use crate::walker::{Walker, by_calipers, named, th};

fn reads(op: u32, piece: PieceId, feature: &str, size: Length, wanted: Length) -> Event {
    by_calipers(op, &piece, feature, size, (wanted, Length::INCH))
}

/// Eight legs of two stools, so many thousandths long, by calipers good to 0.003.
fn eight_legs(over: [i64; 8]) -> Walker {
    let mut walker = Walker::stool(2);
    let events = (1..).zip(over).map(|(n, over)| {
        let leg = named(&walker, &format!("leg {n}"));
        reads(60, leg, "length", th(17_500 + over), th(17_500))
    });
    let events: Vec<Event> = events.collect();
    walker.push(events);
    walker
}

/// As they come a stool's legs are 3 apart; the best fours are 0 0 1 1 and 2 2 3 3, 1
/// apart. The calipers can't see the 0.002 that matching gains.
#[test]
fn nothing_below_the_gauge_is_matched() {
    let walker = eight_legs([0, 2, 1, 3, 0, 2, 1, 3]);
    let found = matched(&walker.context());
    let [legs] = found.as_slice() else { panic!("{found:?}") };
    assert_eq!((legs.worst, legs.as_they_come), (th(1), th(3)));
    assert!(!legs.is_worth_it());
}

/// Eight legs of two stools, in cut order 0 10 1 11 2 12 3 13 thousandths long. As they
/// come, a stool has 0 to 11 or 2 to 13: 11 apart. The best fours are 0 1 2 3 and 10 11 12
/// 13: 3 apart, the longest and the shortest on one diagonal.
#[test]
fn legs_are_matched_in_fours_by_their_length() {
    let mut walker = eight_legs([0, 10, 1, 11, 2, 12, 3, 13]);
    // Neither another size there, nor the length at another place, nor a setup piece
    // says how long a leg is.
    let beside =
        |op, name: &str, feature| reads(op, named(&walker, name), feature, th(9_999), th(9_999));
    let others = vec![
        beside(60, "leg 2", "thickness"),
        beside(10, "leg 3", "length"),
        beside(60, "leg setup 1", "length"),
    ];
    walker.push(others);
    let found = matched(&walker.context());
    let [legs] = found.as_slice() else { panic!("{found:?}") };
    assert_eq!((legs.part.as_str(), legs.by.as_str()), ("leg", "length, op 60"));
    assert_eq!((legs.worst, legs.as_they_come), (th(3), th(11)));
    // Two readings good to 0.003 each differ surely from 0.003 times the root of 2 on,
    // 0.0042, and matching gains 0.008.
    assert!(legs.is_worth_it());
    let mut groups: Vec<Vec<String>> = Vec::new();
    for group in &legs.groups {
        let label = |id: &PieceId| walker.state.piece(id).expect("a leg").label.to_string();
        groups.push(group.iter().map(label).collect());
    }
    groups.sort();
    assert_eq!(
        groups,
        [["leg 7", "leg 1", "leg 3", "leg 5"], ["leg 8", "leg 2", "leg 4", "leg 6"]]
    );
}

/// Posts and rails of frames, the rails cut to what the post of their frame measured.
fn frames(sets: u32, spares: u32, posts: &[(u32, i64)]) -> Walker {
    let wood = format!(
        r#""per_set": 1, "spares": {spares}, "setup_pieces": 0, "species": "ash",
      "stock": {{ "thickness": "1", "width": "2", "length": "24" }}, "length": "long""#
    );
    let check = r#""check": "length", "limits": "±1/32", "with": "calipers", "pieces": "all""#;
    let mut walker = Walker::of(&format!(
        r#"{{ "route": "Trial frames", "unit": "in", "sets": {sets}, "dims": {{ "long": "20" }},
          "parts": {{ "post": {{ {wood} }}, "rail": {{ {wood} }} }},
          "operations": [
            {{ "op": 10, "part": "post", "do": "crosscut", "at": "stop saw", "to": "long",
              "checks": [ {{ {check}, "becomes": {{ "dim": "long", "take": "mean", "of": "set" }} }} ] }},
            {{ "op": 20, "part": "rail", "do": "crosscut", "at": "stop saw", "to": "long",
              "checks": [ {{ {check} }} ] }} ] }}"#
    ));
    let made = |&(set, value): &(u32, i64)| {
        Event::Made(MadeDimension {
            dim: "long".to_owned(),
            span: HoldsFor::Set,
            set: Some(set),
            piece: None,
            value: th(value),
            op: 10,
            words: String::new(),
            from: Vec::new(),
        })
    };
    walker.push(posts.iter().map(made).collect());
    walker
}

/// A rail is cut to the post of its own frame. Post 1 came out 20.000 and post 2 20.250.
#[test]
fn each_rail_has_the_limits_of_its_own_frame() {
    let mut walker = frames(2, 0, &[(1, 20_000), (2, 20_250)]);
    walker.op = 20;
    let wanted = |name| {
        let limits = walker.context().limits(&named(&walker, name), 0).expect("a check");
        limits.target.expect("a size is wanted")
    };
    assert_eq!((wanted("rail 1"), wanted("rail 2")), (th(20_000), th(20_250)));
}

/// Spares are cut as for the frame where the most wood is left. With one frame there is
/// nothing to choose, so nothing is said.
#[test]
fn a_spare_is_cut_as_for_the_longest_of_several_frames() {
    let says = |walker: &Walker| {
        let groups = &walker.plan.operation(20).expect("the rails").groups;
        let steps = groups.iter().flat_map(|group| &group.outcome.steps);
        steps.filter(|step| step.contains("Spares are cut as for")).cloned().collect::<Vec<_>>()
    };
    assert_eq!(says(&frames(1, 1, &[(1, 20_250)])), [""; 0]);
    let two = says(&frames(2, 1, &[(1, 20_000), (2, 20_250)]));
    assert!(two.len() == 1 && two[0].contains(" 2, where the most wood is left"), "{two:?}");
}
