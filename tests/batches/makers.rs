//! Batches of makers who chose: every setting once, from the dial that leaves most wood;
//! what was chosen changes until it is cut; people join late and leave.

use benchway::journal::{Event, PieceId};
use benchway::measure::Length;
use benchway::route::{Chosen, OwnedArticle, Role};
use benchway::work::{
    Task, choose, first_cut, first_cut_of_wood, is_finished, join, owner_leaves, remake,
};

use crate::walker::{MANY, STOOL, Walker, in_thousandths, read_route};

/// A maker who wants a seat so many eighths of an inch high.
fn maker(owner: &str, eighths: i64, wood: Option<&str>) -> OwnedArticle {
    let height = ("height".to_owned(), Length::inch_fraction(eighths, 8));
    OwnedArticle {
        owner: Some(owner.to_owned()),
        chosen: Chosen { sizes: [height].into(), wood: wood.map(str::to_owned) },
    }
}

/// Three heights: 18 7/8, 19 7/8 and 20 7/8, legs 7/8 shorter.
fn six() -> Walker {
    let heights = [151, 159, 167, 151, 159, 167];
    let names = ["AB", "CD", "EF", "GH", "IJ", "KL"];
    let makers: Vec<OwnedArticle> =
        names.iter().zip(heights).map(|(name, height)| maker(name, height, None)).collect();
    Walker::of_makers(read_route(STOOL), &makers)
}

/// The dials that were set at an operation, in thousandths, in the order they were set.
fn set_at(walker: &Walker, op: u32, name: &str) -> Vec<i64> {
    let shown = |event: &Event| match event {
        Event::Setting { op: at, stored, shown, right: true, .. }
            if *at == op && stored.setting == name =>
        {
            Some(in_thousandths(*shown))
        }
        _ => None,
    };
    walker.lines.iter().filter_map(|line| shown(&line.event)).collect()
}

/// Walks everything to size up to an operation and through it.
fn walk_through(walker: &mut Walker, last: u32) {
    for _ in 0..MANY {
        let Some(op) = walker.next_op().filter(|op| *op <= last) else { return };
        walker.op = op;
        if matches!(walker.task(), Task::Blocked { .. }) {
            // Glue dries overnight.
            walker.pass_time(24 * 60);
        }
        walker.to_size(op);
        if let Task::Accept(proposal) = walker.task() {
            walker.enter(if proposal.keeps.len() > 1 { "1 mb" } else { "mb" });
        }
    }
    panic!("op {last} is never through");
}

/// Legs of 20, 19 and 18 in: three stops at op 60, the longest first; sanding is one
/// setting for all.
#[test]
fn three_heights_are_three_stops() {
    let mut walker = six();
    walk_through(&mut walker, 60);
    let stops = set_at(&walker, 60, "stop");
    assert_eq!(stops.len(), 3, "{stops:?}");
    assert!(stops.windows(2).all(|pair| pair[0] - pair[1] == 1000), "{stops:?}");
    // The rough cut has three too, an inch longer each.
    assert_eq!(set_at(&walker, 10, "stop").len(), 3);
    for piece in &walker.state.pieces {
        let Some(set) = piece.label.set.filter(|_| piece.label.part == "leg") else { continue };
        let reading = walker.state.reading_in_force(60, &piece.id, "length");
        let wanted = [18_000, 19_000, 20_000][(set as usize - 1) % 3];
        if let Some(size) = reading.and_then(|reading| reading.taken.size()) {
            assert_eq!(in_thousandths(size), wanted, "{}", piece.label);
        }
    }
}

/// Once the lengths are measured, later operations take each leg as long as it is: a leg of
/// 18 in isn't 18 to 20.
#[test]
fn a_measured_length_counts_for_its_own_article() {
    let mut walker = six();
    walk_through(&mut walker, 60);
    let op = walker.plan.operations.iter().find(|held| held.op > 60 && held.part == "leg");
    let later = op.expect("an operation after it");
    for (place, label) in later.pieces.iter().enumerate() {
        let Some(set) = label.set else { continue };
        let before = later.group_of(place).expect("a group").before_of(place);
        let wanted = [18_000, 19_000, 20_000][(set as usize - 1) % 3];
        let length = before.size("length").expect("a length");
        assert_eq!(
            (in_thousandths(length.least), in_thousandths(length.most)),
            (wanted, wanted),
            "{label}"
        );
        assert!(length.made, "{label}");
    }
}

/// The whole batch comes to its end, in two woods.
#[test]
fn a_batch_of_makers_is_walked_to_its_end() {
    let makers = [
        maker("AB", 151, None),
        maker("CD", 167, Some("white oak")),
        maker("EF", 159, Some("white oak")),
    ];
    let mut walker = Walker::of_makers(read_route(STOOL), &makers);
    walk_through(&mut walker, u32::MAX);
    assert!(walker.route.steps.iter().all(|step| is_finished(
        &walker.route,
        &walker.state,
        step.op
    )));
}

/// Two stretchers lie in one length, and so do the two spare ones, both of ash. White oak
/// for one stool brings a length of its own for its spare, and the batch is walked to its
/// end with it.
#[test]
fn wood_chosen_after_the_beginning_brings_its_own_spare_length() {
    let makers = [OwnedArticle::default(), OwnedArticle::default()];
    let mut walker = Walker::of_makers(read_route(STOOL), &makers);
    let lengths = |walker: &Walker| {
        let all = walker.state.pieces.iter();
        all.filter(|piece| piece.label.part == "stretcher" && piece.gang == 2).count()
    };
    assert_eq!(lengths(&walker), 3);
    let oak = Chosen { wood: Some("white oak".to_owned()), ..Chosen::default() };
    let dora = OwnedArticle { owner: Some("Dora".to_owned()), chosen: oak };
    let events = choose(&walker.context(), 2, dora).expect("early enough");
    walker.push(events);
    assert_eq!(lengths(&walker), 4);
    walk_through(&mut walker, u32::MAX);
    let mut steps = walker.route.steps.iter();
    assert!(steps.all(|step| is_finished(&walker.route, &walker.state, step.op)));
}

/// The height is chosen anew until the legs are cut off the board at op 10; the wood
/// likewise, the rails only at op 110.
#[test]
fn a_choice_changes_until_it_is_cut() {
    let mut walker = six();
    assert_eq!(first_cut(&walker.route, "height").map(|step| step.op), Some(10));
    assert_eq!(first_cut(&walker.route, "rail_width").map(|step| step.op), Some(130));
    assert_eq!(first_cut_of_wood(&walker.route).map(|step| step.op), Some(10));
    let events = choose(&walker.context(), 2, maker("CD", 163, None)).expect("early enough");
    walker.push(events);
    assert_eq!(walker.state.chosen(2).sizes["height"], Length::inch_fraction(163, 8));
    assert_eq!(walker.plan.operation(60).expect("planned").groups.len(), 4);
    let twice = choose(&walker.context(), 2, maker("ab", 163, None)).expect_err("taken");
    assert!(twice.what.contains("owns stool 1 already"), "{twice:?}");
    let out = choose(&walker.context(), 2, maker("CD", 164, None)).expect_err("no step");
    assert!(out.what.contains("can't be chosen"), "{out:?}");
    let teak = choose(&walker.context(), 2, maker("CD", 163, Some("teak"))).expect_err("no wood");
    assert!(teak.what.contains("teak"), "{teak:?}");
    walk_through(&mut walker, 10);
    let before = walker.state.clone();
    let late = choose(&walker.context(), 2, maker("CD", 159, None)).expect_err("too late");
    assert!(late.what.contains("too late") && late.what.contains("op 10"), "{late:?}");
    assert_eq!(walker.state, before);
    // Whose it is can be said whenever.
    let renamed = choose(&walker.context(), 2, maker("Dora", 163, None)).expect("a name");
    walker.push(renamed);
    assert_eq!(walker.state.owner(2), Some("Dora"));
}

/// A seventh stool of a fourth height comes in after the legs are cut to length: its legs
/// go through op 10 to 60 late, at their own stop, and nobody else's are touched.
#[test]
fn somebody_joins_late() {
    let mut walker = six();
    walk_through(&mut walker, 60);
    let events = join(&walker.context(), maker("MN", 147, None)).expect("joins");
    walker.push(events);
    assert_eq!((walker.state.article_count(), walker.state.owner(7)), (7, Some("MN")));
    let late = walker.state.pieces.iter().filter(|piece| piece.label.set == Some(7));
    assert_eq!(late.filter(|piece| piece.label.part == "leg").count(), 4);
    let before = set_at(&walker, 60, "stop").len();
    walk_through(&mut walker, 60);
    let stops = set_at(&walker, 60, "stop");
    assert_eq!(stops.len(), before + 1);
    // 18 3/8 less 7/8 is 17 1/2: half an inch under the shortest of the others.
    assert_eq!(stops[before - 1] - stops[before], 500);
}

/// Two stools alike are cut at one stop that names nobody. A lower one that joins then has
/// a stop of its own: 18 7/8 less 7/8 is 18, two inches under the others' 20.
#[test]
fn whoever_joins_alike_ones_late_has_a_stop_of_their_own() {
    let makers = [OwnedArticle::default(), OwnedArticle::default()];
    let mut walker = Walker::of_makers(read_route(STOOL), &makers);
    walk_through(&mut walker, 60);
    assert_eq!(set_at(&walker, 60, "stop").len(), 1);
    let events = join(&walker.context(), maker("MN", 151, None)).expect("joins");
    walker.push(events);
    walk_through(&mut walker, 60);
    for op in [10, 60] {
        let stops = set_at(&walker, op, "stop");
        assert_eq!(stops.len(), 2, "op {op}: {stops:?}");
        assert_eq!(stops[0] - stops[1], 2000, "op {op}: {stops:?}");
    }
}

/// What was a leaver's becomes spares, or is set aside; nobody works at it any more.
#[test]
fn an_owner_leaves() {
    for spares in [true, false] {
        let mut walker = six();
        walk_through(&mut walker, 20);
        let count = |walker: &Walker, role| {
            let legs = walker.state.pieces.iter().filter(|piece| piece.label.part == "leg");
            legs.filter(|piece| piece.label.role == role && piece.aside.is_none()).count()
        };
        let before = (count(&walker, Role::Set), count(&walker, Role::Spare));
        let said = owner_leaves(&walker.context(), 3, spares, "mb").expect_err("no reason");
        assert!(said.what.contains("reason"), "{said:?}");
        let events = owner_leaves(&walker.context(), 3, spares, "mb moved away").expect("leaves");
        walker.push(events);
        let more = if spares { 4 } else { 0 };
        assert_eq!(count(&walker, Role::Set), before.0 - 4);
        assert_eq!(count(&walker, Role::Spare), before.1 + more);
        owner_leaves(&walker.context(), 3, spares, "mb moved away").expect_err("left already");
        walk_through(&mut walker, 60);
    }
}

/// A leg made again in an article of its own size goes to its own stop.
#[test]
fn a_leg_made_again_has_the_size_of_its_article() {
    let mut walker = six();
    walk_through(&mut walker, 60);
    let leg = walker.state.pieces.iter().find(|piece| piece.label.to_string() == "leg 1");
    let (id, set): (PieceId, _) = leg.map(|leg| (leg.id.clone(), leg.label.set)).expect("leg 1");
    assert_eq!(set, Some(1));
    walker.op = 60;
    let events = remake(&walker.context(), &id, "mb split").expect("made again");
    walker.push(events);
    let before = set_at(&walker, 60, "stop").len();
    [10, 20, 30, 40, 50, 60].into_iter().for_each(|op| walker.to_size(op));
    let stops = set_at(&walker, 60, "stop");
    assert_eq!(stops.len(), before + 1, "{stops:?}");
    // Legs of stool 1 are the shortest of the three lengths, and the new one is measured
    // as one of them.
    assert_eq!(stops[before], stops[2]);
    let again = walker.state.pieces.iter().find(|piece| piece.label.make == 2).expect("made again");
    let limits = walker.context().limits(&again.id, 0).expect("limits");
    assert_eq!(limits.target, Some(Length::inch_fraction(18, 1)));
}
