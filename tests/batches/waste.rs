//! Where the wood of a batch went, walked in memory from the rack to the last
//! operation. Numbers are worked out by hand beside each test.

use crate::walker::boards::{LONG, SHORT, at_boards, tell};
use crate::walker::{SHOP, Walker, read_shop};
use benchway::learn::{Figure, Files, Journal, Topic, learn};
use benchway::measure::Unit;
use benchway::review::{WoodAccount, WoodAmount, WoodUsed, wood_used};
use benchway::stock::Area;
use benchway::work::set_aside;

fn used(walker: &Walker) -> Vec<WoodUsed> {
    wood_used(&walker.route, &walker.shop, &walker.plan, &walker.state)
}

/// The one wood there is.
fn all(walker: &Walker) -> WoodAccount {
    let used = used(walker);
    assert_eq!(used.len(), 1, "{used:?}");
    used[0].all
}

fn square_inches(area: Area) -> f64 {
    (area.square_feet() * 144.0 * 1e6).round() / 1e6
}

/// Boards entered and laid out, nothing cut yet.
fn laid_out(boards: &[&[&str]]) -> Walker {
    let mut walker = at_boards();
    for (name, board) in ["A", "B", "C"].into_iter().zip(boards) {
        tell(&mut walker, name, board);
    }
    walker.enter("");
    walker.enter("MB");
    walker
}

fn through(walker: &mut Walker) {
    for op in [10, 20] {
        walker.to_size(op);
    }
}

/// Always: The wood of a batch sums to what was bought.
///
/// By hand, a board 72 x 5. Sections 19 long from 1, 20 1/8 and 39 1/4, a kerf
/// of 1/8 apart; 12 5/8 is left, under the 24 worth keeping.
/// Crosscuts: 4 x 1/8 x 5 = 2.5. Trim: (1 - 1/8 + 13 3/4 - 1/8) x 5 = 72.5.
/// In each section a strip of 4 after 1/4 of edge: rip 19 x 1/8 = 2.375, edging
/// 19 x (1/4 + 3/4 - 1/8) = 16.625; three of them 7.125 and 49.875.
/// A blank of 19 x 4 becomes 18 x 3 3/4 = 67.5; 4 is trim, 4.5 edging.
/// Two rails are parts and one a spare: 135 + 67.5 + 84.5 + 63.375 + 9.625 = 360.
#[test]
fn the_wood_of_a_batch_sums_to_what_was_bought() {
    let mut walker = laid_out(&[&LONG]);
    let before = all(&walker);
    assert_eq!(square_inches(before.in_work), 135.0);
    assert_eq!((before.parts, before.yields()), (Area::ZERO, None), "nothing is through yet");
    through(&mut walker);
    let found = all(&walker);
    let told = [
        found.parts,
        found.in_work,
        found.over,
        found.rejected,
        found.trim,
        found.edging,
        found.kerf,
        found.kept,
    ];
    assert_eq!(told.map(square_inches), [135.0, 0.0, 67.5, 0.0, 84.5, 63.375, 9.625, 0.0]);
    assert_eq!(square_inches(found.bought()), 360.0);
    assert!((found.yields().unwrap() - 0.375).abs() < 1e-9);
    // An inch thick: 360 / 144 board feet.
    let amount = WoodAmount::of(found.bought(), &used(&walker)[0], Unit::Inch);
    assert_eq!((amount.figure, amount.word), (2.5, "board feet"));
}

/// A board nobody cut into is kept, and costs the yield nothing.
#[test]
fn a_board_nobody_cut_into_is_kept() {
    let mut walker = laid_out(&[&LONG, &SHORT]);
    through(&mut walker);
    let found = all(&walker);
    assert_eq!(square_inches(found.bought()), 600.0);
    assert_eq!(square_inches(found.kept), 240.0);
    assert!((found.yields().unwrap() - 0.375).abs() < 1e-9);
}

/// A rail is lost and the spare takes its place: as many parts, one rejected.
#[test]
fn a_spare_takes_the_place_of_what_is_lost() {
    let mut walker = laid_out(&[&LONG]);
    walker.to_size(10);
    let rail = walker.state.pieces.iter().find(|piece| piece.label.to_string() == "rail 1");
    let rail = rail.unwrap().id.clone();
    walker.op = 20;
    let events = set_aside(&walker.context(), &rail, "mb a split ran in").unwrap();
    walker.push(events);
    walker.to_size(20);
    let found = all(&walker);
    assert_eq!(square_inches(found.parts), 135.0);
    assert_eq!((square_inches(found.rejected), found.over), (67.5, Area::ZERO));
    assert_eq!(square_inches(found.bought()), 360.0);
}

#[test]
fn a_batch_without_boards_tells_of_no_wood() {
    let mut walker = at_boards();
    through(&mut walker);
    assert!(used(&walker).is_empty());
}

/// Three batches with one board each, all alike: 0.375 without a doubt, where
/// the bundled shop buys ash for 0.60.
#[test]
fn the_yield_is_fed_back_to_buy_with() {
    let mut walker = laid_out(&[&LONG]);
    through(&mut walker);
    let Walker { route, shop, lines, state, .. } = &walker;
    let journal = Journal { route, shop, lines, state };
    let yields = |journals: &[Journal<'_>]| {
        let mut lessons = learn(journals, Files { shop, route });
        lessons.retain(|lesson| lesson.topic == Topic::Yield);
        lessons
    };
    assert!(yields(&[journal; 2]).is_empty(), "two boards teach nothing");
    let lessons = yields(&[journal; 3]);
    let [lesson] = lessons.as_slice() else { panic!("{lessons:?}") };
    let change = lesson.change.as_ref().expect("a change");
    assert_eq!(change.to, Figure::Share(38), "0.375 to the nearest hundredth");
    assert_eq!(change.path, ["lumber", "woods", "ash", "yield"]);
    let document = benchway::document::Document::read("shop.json", SHOP).unwrap();
    let edit = change.edit(&document).expect("a place for it");
    let mut text = SHOP.to_owned();
    text.replace_range(edit.at, &edit.to);
    assert!((read_shop(&text).lumber.yield_of("ash").share() - 0.38).abs() < 1e-9);
    assert!((read_shop(&text).lumber.yield_of("walnut").share() - 0.50).abs() < 1e-9);
}
