//! The steps of the search, each by hand. Sizes are in hundredths of an inch where
//! nothing else is said.

use super::best_cutting::BestCutting;
use super::blank_kind::{FlawBox, overlap};
use super::cutting::PlacedStrip;
use super::every::KindLimits;
use super::group::GroupSearch;
use super::pool::{KnownCutting, Lot, Pool, Prices};
use super::prepared::{Beside, Strip, blocked_across, steps_up};
use super::tally::Remaining;
use super::*;
use crate::measure::Length;
use crate::stock::board::{Flaw, FlawKind, RackBoard, Ruling, Stretch};
use crate::stock::need::BlankNeed;
use crate::stock::samples;
use crate::stock::saw::Saw;

fn hundredths(n: i64) -> Length {
    Length::thousandths(n * 10)
}

fn nm(n: i64) -> i64 {
    hundredths(n).nanometres()
}

fn stretch(from: i64, to: i64) -> Stretch {
    Stretch { from: hundredths(from), to: hundredths(to) }
}

fn flaw(kind: FlawKind, ruling: Ruling, from: i64, to: i64) -> Flaw {
    Flaw { kind, along: stretch(from, to), across: None, ruling }
}

/// Marks are an inch apart, kerfs a quarter, trim an inch, the edge half an inch.
fn saw() -> Saw {
    Saw {
        crosscut: hundredths(25),
        rip: hundredths(25),
        trim: hundredths(100),
        edge: hundredths(50),
        mark: hundredths(100),
        shortest_offcut: hundredths(100),
        clean_up: Length::ZERO,
    }
}

fn board(length: i64, width: i64, flaws: Vec<Flaw>) -> RackBoard {
    RackBoard { flaws, ..samples::board(Length::INCH, hundredths(width), hundredths(length)) }
}

pub(super) fn need(length: i64, width: i64) -> BlankNeed {
    samples::need(Length::INCH, hundredths(width), hundredths(length))
}

pub(super) fn kinds(need: &BlankNeed) -> [BlankKind; 2] {
    [BlankKind::of(0, need, false), BlankKind::of(0, need, true)]
}

fn prepared(board: &RackBoard, cut_to: Option<i64>, need: &BlankNeed) -> Option<PreparedBoard> {
    PreparedBoard::new(board, cut_to.map(nm), &saw(), &kinds(need), |blank| !blank.proving)
}

/// Two strips of 2 with a kerf between them take 4 1/4 of the 5 1/2 there are. Sections of 4
/// take a mark more for their kerf. From 1 to 20 are 19 marks, (19 + 1) / (4 + 1) = 4
/// sections; with 1/100 less they end at 19, and 19 / 5 are 3.
#[test]
fn as_many_as_fit_and_not_one_more() {
    let need = need(400, 200);
    for (length, sections) in [(2_100, 4), (2_099, 3)] {
        let prepared = prepared(&board(length, 600, Vec::new()), None, &need).unwrap();
        assert_eq!((prepared.first, prepared.kerf_marks), (1, 1));
        let BestCutting { worth, cutting, .. } = prepared.best_cutting(&[10, 0]);
        assert_eq!((worth, cutting.sections.len()), (20 * sections, sections as usize));
        assert_eq!(cutting.counts(2), [2 * sections as u32, 0]);
        if sections == 4 {
            let at: Vec<i64> = cutting.sections.iter().map(|section| section.at).collect();
            assert_eq!(at, [1, 6, 11, 16]);
        }
    }
    // 0.5 + 2 + 0.25 + 2 = 4.75: at 4.74 only one goes side by side.
    for (width, side_by_side) in [(475, 2), (474, 1)] {
        let prepared = prepared(&board(2_100, width, Vec::new()), None, &need).unwrap();
        assert_eq!(prepared.best_cutting(&[10, 0]).worth, 10 * 4 * side_by_side);
    }
    // Six inches less two of trim hold one blank of four; a hundredth less holds none.
    assert!(prepared(&board(600, 600, Vec::new()), None, &need).is_some());
    assert!(prepared(&board(599, 600, Vec::new()), None, &need).is_none());
    assert!(prepared(&board(600, 250, Vec::new()), None, &need).is_some());
    assert!(prepared(&board(600, 249, Vec::new()), None, &need).is_none());
}

/// Four strips of 2 would fit across 9 1/4, and the blanks of one need may lie two
/// abreast: two in each of four sections. Alone, one. The list of every cutting
/// says the same.
#[test]
fn no_more_lie_abreast_than_are_ripped_apart() {
    for (abreast, most) in [(None, 16), (Some(2), 8), (Some(1), 4)] {
        let need = BlankNeed { abreast, ..need(400, 200) };
        let prepared = prepared(&board(2_100, 925, Vec::new()), None, &need).unwrap();
        assert_eq!(prepared.best_cutting(&[10, 0]).worth, 10 * most, "{abreast:?}");
        let every = prepared.every_cutting(&KindLimits(vec![20, 0]), 100_000).unwrap();
        let counts = every.iter().map(|cutting| cutting.counts(2)[0]).max();
        assert_eq!(counts, Some(most as u32), "{abreast:?}");
    }
}

/// Blanks of two needs lie in one section only where nobody knows how they are
/// cut. Two strips of 2 fit across 4 3/4: both needs then come from one section of 4.
#[test]
fn what_no_operation_parts_does_not_share_a_section() {
    for (abreast, sections) in [(None, 1), (Some(5), 2)] {
        let need = BlankNeed { abreast, ..need(400, 200) };
        let blanks = [(0, false), (0, true), (1, false), (1, true)]
            .map(|(index, proving)| BlankKind::of(index, &need, proving));
        let board = board(2_100, 475, Vec::new());
        let prepared =
            PreparedBoard::new(&board, None, &saw(), &blanks, |blank| !blank.proving).unwrap();
        let every = prepared.every_cutting(&KindLimits(vec![1, 0, 1, 0]), 100_000).unwrap();
        let both = every.iter().find(|cutting| cutting.counts(4) == [1, 0, 1, 0]).unwrap();
        assert_eq!(both.sections.len(), sections, "{abreast:?}");
    }
}

/// A knot lies in the middle of the board; a strip beside it is as good as one
/// before it, and two abreast may lie on either side of it.
#[test]
fn what_may_lie_abreast_goes_round_a_knot() {
    let mut knot = flaw(FlawKind::Knot, Ruling::Around, 0, 2_100);
    knot.across = Some(stretch(50, 300));
    let need = BlankNeed { abreast: Some(2), ..need(400, 200) };
    let prepared = prepared(&board(2_100, 725, vec![knot]), None, &need).unwrap();
    // 3 to 5 and 5 1/4 to 7 1/4, in each of four sections.
    let BestCutting { worth, cutting, .. } = prepared.best_cutting(&[10, 0]);
    assert_eq!(worth, 80);
    let near: Vec<i64> = cutting.sections[0].strips.iter().map(|strip| strip.near).collect();
    assert_eq!(near, [nm(300), nm(525)]);
}

/// Cut to 9.75 already, the kerf ends at 10; cut to 9.76 the next mark is 11. A cut within
/// the trim changes nothing.
#[test]
fn a_board_cut_into_begins_a_kerf_further_on() {
    let first = |cut_to| {
        let prepared = prepared(&board(2_100, 600, Vec::new()), Some(cut_to), &need(400, 200));
        prepared.unwrap().first
    };
    assert_eq!((first(975), first(976), first(50)), (10, 11, 1));
}

/// A split from 7 to 8 across the board: nothing begins after 3 and before 8. Whatever the
/// search chooses, 1 to 5, 8 to 12 and 13 to 17 have room, and a fourth has not.
#[test]
fn nothing_is_cut_through_a_split() {
    let split = flaw(FlawKind::Split, Ruling::Around, 700, 800);
    let prepared = prepared(&board(2_100, 250, vec![split]), None, &need(400, 200)).unwrap();
    let BestCutting { worth, cutting, .. } = prepared.best_cutting(&[10, 0]);
    assert_eq!(worth, 30);
    for section in &cutting.sections {
        assert!(section.at + 4 <= 7 || section.at >= 8, "{section:?}");
    }
    let sections = |n: usize| vec![cutting.sections[0].clone(); n];
    let blanks = kinds(&need(400, 200));
    let placed = prepared.in_order(&blanks, sections(3)).unwrap();
    let at: Vec<i64> = placed.sections.iter().map(|section| section.at).collect();
    assert_eq!(at, [1, 8, 13]);
    assert_eq!(prepared.in_order(&blanks, sections(4)), None);
}

/// One section from 6 to 10 on a board of 1 to 20: from 1 to a kerf before 6, and from a kerf
/// after 10 to 20. A knot from 14 to 15 parts the second.
#[test]
fn offcuts_lie_a_kerf_away_from_what_is_cut() {
    let knot = flaw(FlawKind::Knot, Ruling::Around, 1_400, 1_500);
    let board = board(2_100, 600, vec![knot]);
    let prepared = prepared(&board, None, &need(400, 200)).unwrap();
    let strips = [50, 275].map(|near| PlacedStrip { blank: 0, count: 1, near: nm(near) });
    let section = SectionCut { at: 6, length: 4, strips: strips.to_vec() };
    let cutting = Cutting { sections: vec![section] };
    let offcuts = |shortest| prepared.offcuts(&board, &cutting, nm(shortest));
    let all = [(100, 575), (1_025, 1_400), (1_500, 2_000)].map(|(a, b)| (nm(a), nm(b)));
    assert_eq!(offcuts(100), all);
    assert_eq!(offcuts(475), [all[0], all[2]]);
    assert_eq!(offcuts(476), [all[2]]);
    let blanks = kinds(&need(400, 200));
    let places = prepared.places(&blanks, &cutting.sections[0]);
    let rectangles: Vec<_> = places.iter().map(|(_, place)| (place.along, place.across)).collect();
    let along = stretch(600, 1_000);
    assert_eq!(rectangles, [(along, stretch(50, 250)), (along, stretch(275, 475))]);
    // Three of four with two kerfs are 12 1/2, so 13 marks; four are 16 3/4, 17 marks.
    let strip = |count| PlacedStrip { blank: 0, count, near: nm(50) };
    assert_eq!(prepared.marks_needed(&blanks, &[strip(3)]), 13);
    assert_eq!(prepared.marks_needed(&blanks, &[strip(1), strip(4)]), 17);
}

/// Blanks of 4 a quarter apart, from 0: 0 to 4, 4.25 to 8.25. What is in the kerf is in no
/// blank.
#[test]
fn which_blank_a_flaw_is_in() {
    let first = |from, to| {
        let flaws = vec![flaw(FlawKind::Split, Ruling::Around, from, to)];
        let prepared = prepared(&board(2_100, 600, flaws), None, &need(400, 200)).unwrap();
        let blocking = prepared.blocking(&kinds(&need(400, 200))[0], 0);
        blocking.iter().map(|(first, _)| *first).collect::<Vec<_>>()
    };
    assert_eq!(first(390, 400), [0]);
    assert_eq!(first(405, 420), [0; 0]);
    assert_eq!(first(405, 430), [1]);
    assert_eq!(first(500, 600), [1]);
    assert_eq!(first(850, 1_200), [2]);
}

/// Touching stretches share nothing and stay apart; what overlaps becomes one.
#[test]
fn what_is_in_the_way_side_by_side() {
    let blocking = [(0, (5, 6)), (0, (1, 3)), (2, (8, 9)), (1, (2, 5))];
    assert_eq!(blocked_across(&blocking, 1), [(1, 3), (5, 6)]);
    assert_eq!(blocked_across(&blocking, 2), [(1, 5), (5, 6)]);
    assert_eq!(blocked_across(&blocking, 3), [(1, 5), (5, 6), (8, 9)]);
    let beside = Beside::Anything;
    let strip = Strip { blank: 0, count: 1, width: 10, beside, blocked: vec![(20, 30), (39, 50)] };
    assert_eq!(strip.place(10, 100), Some(10), "it ends where the first begins");
    assert_eq!(strip.place(11, 100), Some(50), "9 between the two are too few");
    assert_eq!(strip.place(11, 60), Some(50));
    assert_eq!(strip.place(11, 59), None);
    assert!(overlap((0, 10), (9, 20)) && !overlap((0, 10), (10, 20)));
    assert_eq!((steps_up(10, 5), steps_up(11, 5), steps_up(0, 5)), (2, 3, 0));
}

/// A blank of 10, of which 1 to 3 is hidden; turned end for end, 7 to 9.
#[test]
fn a_blank_contains_what_is_hidden_or_filled() {
    let need = BlankNeed {
        hidden: vec![stretch(100, 300)],
        fill: Some(hundredths(50)),
        ..need(1_000, 200)
    };
    let [good, proving] = kinds(&need);
    let may = |kind, ruling, from, to| {
        good.may_contain(&FlawBox::of(&flaw(kind, ruling, from, to)), nm(2_000))
    };
    let hidden = |from, to| may(FlawKind::Knot, Ruling::Hidden, from, to);
    assert!(hidden(2_100, 2_300) && hidden(2_700, 2_900) && hidden(2_290, 2_300));
    assert!(!hidden(2_099, 2_300) && !hidden(2_100, 2_301));
    assert!(!hidden(2_699, 2_900) && !hidden(2_700, 2_901));
    let filled = |from, to| may(FlawKind::Knot, Ruling::Fill, from, to);
    assert!(filled(2_400, 2_450) && !filled(2_400, 2_451));
    assert!(!may(FlawKind::Knot, Ruling::Around, 2_400, 2_410));
    let of = |kind| FlawBox::of(&flaw(kind, Ruling::Around, 2_400, 2_410));
    assert!(proving.may_contain(&of(FlawKind::Knot), nm(2_000)), "setup wood may look as it likes");
    assert!(!proving.may_contain(&of(FlawKind::Split), nm(2_000)), "no split is ever cut");
}

/// Three good ones and two to prove settings are wanted. Five good ones and one other: three
/// at 10, the other two of the good ones at 1, and one is too many.
#[test]
fn what_is_still_wanted() {
    let want = Want { good: 3, proving: 2, for_sets: 2, a_set: None };
    let mut open = Remaining::new(&[want, Want { good: 1, ..Want::default() }]);
    assert_eq!([open.wants(0), open.wants(1), open.wants(2), open.wants(3)], [5, 2, 1, 0]);
    assert_eq!(open.worth(&[5, 1, 0, 0], &[10.0, 1.0, 7.0, 7.0]), 32.0);
    assert_eq!(open.worth(&[2, 1, 1, 0], &[10.0, 1.0, 7.0, 7.0]), 28.0);
    open.take_all(&[4, 0, 0, 0]);
    assert_eq!(open.0, [(0, 1), (1, 0)]);
    open.take_all(&[0, 3, 0, 0]);
    assert!(!open.is_made_by(&[0; 4]) && open.is_made_by(&[0, 0, 1, 0]));
    open.take_all(&[0, 0, 2, 0]);
    assert!(open.is_made_by(&[0; 4]));
}

/// One board of 21 by 6, cut in ways whose counts are given. Boards that cost differently
/// are lots of their own.
pub(super) fn search<'a>(
    blanks: &'a [BlankKind],
    wants: &[Want],
    costs: &[i64],
    ways: &[(usize, [u32; 4])],
) -> GroupSearch<'a> {
    let prepared = prepared(&board(2_100, 600, Vec::new()), None, &need(400, 200)).unwrap();
    let lot = |(place, cost): (usize, &i64)| Lot {
        boards: vec![place],
        prepared: prepared.clone(),
        cost: *cost,
        listed: true,
    };
    let mut pool = Pool::new(vec![9; 4]);
    pool.lots = costs.iter().enumerate().map(lot).collect();
    let way = |(lot, counts): &(usize, [u32; 4])| KnownCutting {
        lot: *lot,
        counts: counts.to_vec(),
        cutting: Cutting { sections: Vec::new() },
    };
    pool.candidates = ways.iter().map(way).collect();
    GroupSearch { blanks, wants: wants.to_vec(), wood: vec![0; wants.len()], pool }
}

/// One blank of the first need is wanted for a set and one of the second as a spare. Three of
/// the first make one set, and the other two are of no use; one of each makes all of it.
#[test]
fn more_than_is_wanted_makes_up_for_nothing() {
    let blanks = kinds(&need(400, 200));
    let wants = [
        Want { good: 1, for_sets: 1, ..Want::default() },
        Want { good: 1, for_sets: 0, ..Want::default() },
    ];
    let search = search(&blanks, &wants, &[1], &[(0, [3, 0, 0, 0]), (0, [1, 0, 1, 0])]);
    let found = search.most_made(Vec::new());
    assert_eq!((found.chosen, found.proved), (vec![1], true));
}

/// Two boards give the one blank that is wanted, for 5 board feet and for 3.
#[test]
fn the_cheaper_board_is_cut() {
    let blanks = kinds(&need(400, 200));
    let wants = [Want { good: 1, for_sets: 1, ..Want::default() }, Want::default()];
    let costs = [5_000_000_000, 3_000_000_000];
    let search = search(&blanks, &wants, &costs, &[(0, [1, 0, 0, 0]), (1, [1, 0, 0, 0])]);
    let found = Prices { of: vec![0; 4], bound: 0, beyond: vec![0; 2] };
    let cheapest = search.cheapest(&wants, &[0], &found);
    assert_eq!((cheapest.chosen, cheapest.proved), (vec![1], true));
}

/// No choice costs less than 1000. The best cutting of this lot is worth 7 more than the 100 it
/// costs; this one is worth 3 x 10 + 4 = 34: 1000 + 7 + 100 - 34 = 1073.
#[test]
fn a_way_of_cutting_is_as_far_from_the_bound_as_from_the_best() {
    let blanks = kinds(&need(400, 200));
    let search = search(&blanks, &[Want::default(); 2], &[100], &[(0, [3, 1, 0, 0])]);
    let found = Prices { of: vec![10, 4, 0, 0], bound: 1_000, beyond: vec![7] };
    assert_eq!(search.pool.least_cost_with(&search.pool.candidates[0], &found), 1_073);
}

/// A setup piece comes from where a good blank would do, so it has no strip of its own; a
/// knot that only setup wood may contain gives it one. The knot of one need says nothing of
/// the other.
#[test]
fn setup_wood_has_a_strip_of_its_own_only_at_a_flaw() {
    let needs = [need(400, 200), BlankNeed { fill: Some(hundredths(50)), ..need(400, 200) }];
    let blanks = [(0, false), (0, true), (1, false), (1, true)]
        .map(|(index, proving)| BlankKind::of(index, &needs[index], proving));
    let of = |flaws| {
        let board = board(2_100, 250, flaws);
        let prepared = PreparedBoard::new(&board, None, &saw(), &blanks, |_| true).unwrap();
        prepared.kinds().into_iter().collect::<Vec<_>>()
    };
    assert_eq!(of(Vec::new()), [0, 2]);
    // The second need fills it.
    assert_eq!(of(vec![flaw(FlawKind::Knot, Ruling::Fill, 700, 740)]), [0, 1, 2]);
}

/// Four blanks for two sets of two, a spare and two setup pieces are wanted. Three good
/// ones, then two and one to prove settings: all but a setup piece, each set from one board.
/// Three alone lack one, the spare and both setup pieces. One and one are a set apart.
#[test]
fn how_good_a_choice_is() {
    let blanks = kinds(&need(400, 200));
    let want = Want { good: 5, proving: 2, for_sets: 4, a_set: Some(2) };
    let ways = [(0, [3, 0, 0, 0]), (1, [2, 1, 0, 0]), (2, [1, 0, 0, 0]), (3, [1, 0, 0, 0])];
    let search = search(&blanks, &[want, Want::default()], &[7, 5, 2, 1], &ways);
    let of = |chosen: &[usize]| {
        let score = search.score(chosen);
        (score.made(), score.missing(), score.cost)
    };
    assert_eq!(of(&[0, 1]), ((0, 0, 1, 0), 1, 12));
    assert_eq!(of(&[0]), ((1, 1, 2, 0), 4, 7));
    assert_eq!(of(&[2, 3]), ((2, 1, 2, 1), 5, 3));
    let (remaining, left) = search.remaining_after(&[0, 3]);
    assert_eq!((remaining.0[0], left), ((1, 2), vec![0, 1, 1, 0]));
    let met = search.wants_met(&[0]);
    assert_eq!(met[0], Want { good: 3, proving: 0, for_sets: 3, a_set: Some(2) });
}

/// Two are wanted. Boards for 10, 6 and 3 give two each, so the two dearest can go, and the
/// dearest alone gives way to the cheapest. One for 3 that gives one, beside the one for 10,
/// is left over once the one for 6 takes the place of the other.
#[test]
fn boards_that_can_go_are_dropped() {
    let blanks = kinds(&need(400, 200));
    let wants = [Want { good: 2, for_sets: 2, ..Want::default() }, Want::default()];
    let alike = [(0, [2, 0, 0, 0]), (1, [2, 0, 0, 0]), (2, [2, 0, 0, 0])];
    let all = search(&blanks, &wants, &[10, 6, 3], &alike);
    assert_eq!(all.without_spare_boards(vec![2, 0, 1]), [2]);
    assert_eq!(all.without_spare_boards(vec![0]), [2]);
    let last = [(0, [2, 0, 0, 0]), (1, [2, 0, 0, 0]), (2, [1, 0, 0, 0])];
    let one = search(&blanks, &wants, &[10, 6, 3], &last);
    assert_eq!(one.without_spare_boards(vec![0, 2]), [1]);
}

/// A blank is worth 10. Two from a board of 10 are 2 for each board foot, one from a board of 4
/// is 2.5: that one is first, and the other follows where three are wanted. What costs 9 for
/// two gives way to two boards of 4.
#[test]
fn a_first_choice_and_a_better_one() {
    let blanks = kinds(&need(400, 200));
    let wants = |good| [Want { good, for_sets: good, ..Want::default() }, Want::default()];
    let ways = [(0, [2, 0, 0, 0]), (1, [1, 0, 0, 0])];
    let first = |good| search(&blanks, &wants(good), &[10, 4], &ways).first_choice(&[10, 1, 0, 0]);
    assert_eq!((first(3), first(1)), (vec![1, 0], vec![1]));
    let ways = [(0, [2, 0, 0, 0]), (1, [1, 0, 0, 0]), (2, [1, 0, 0, 0])];
    let search = search(&blanks, &wants(2), &[9, 4, 4], &ways);
    let found = Prices { of: vec![5, 0, 0, 0], bound: 0, beyond: vec![0; 3] };
    let mut better = search.improved(&found, vec![0]);
    better.sort_unstable();
    assert_eq!(better, [1, 2]);
}

/// The board holds two strips in four sections, eight blanks at 10. The same way is known
/// once. Where every way is listed, more than the three that are wanted count as three.
#[test]
fn a_way_of_cutting_joins_the_pool_once() {
    let blanks = kinds(&need(400, 200));
    let mut search = search(&blanks, &[Want::default(); 2], &[30], &[]);
    search.pool.lots[0].listed = false;
    assert_eq!(search.pool.add_best(0, &[10, 0, 0, 0]), (80, vec![8, 0, 0, 0]));
    let tried = search.pool.tried;
    assert_eq!(search.pool.add_best(0, &[7, 0, 0, 0]), (56, vec![8, 0, 0, 0]));
    assert_eq!(search.pool.candidates.len(), 1);
    assert!(tried > 0 && search.pool.tried == 2 * tried, "the same board takes the same effort");
    let mut listed = Pool::new(vec![3, 0, 0, 0]);
    listed.lots = search.pool.lots.clone();
    listed.lots[0].listed = true;
    listed.add_best(0, &[10, 0, 0, 0]);
    assert_eq!(listed.candidates[0].counts, [3, 0, 0, 0]);
}

/// Five are wanted at 10. A board that gives eight for 75 is worth 5 more than it costs; two
/// of them could save 10: 50 - 2 x 5 = 40. For 30 they could save all of it.
#[test]
fn a_bound_is_what_the_boards_cannot_save() {
    let blanks = kinds(&need(400, 200));
    let wants = [Want { good: 5, for_sets: 5, ..Want::default() }, Want::default()];
    for (cost, listed, bound, beyond) in
        [(75, false, 40, 5), (75, true, 40, 5), (30, false, 0, 50), (90, false, 50, 0)]
    {
        let ways = [(0, [8, 0, 0, 0])];
        let mut search = search(&blanks, &wants, &[cost], if listed { &ways } else { &[] });
        search.pool.lots[0].listed = listed;
        search.pool.lots[0].boards = vec![0, 1];
        let found = search.pool.bound(&[10, 0, 0, 0], &wants);
        assert_eq!((found.bound, found.beyond, found.of), (bound, vec![beyond], vec![10, 0, 0, 0]));
    }
}

/// One blank for a set counts more than two spares, one spare more than three setup pieces.
#[test]
fn sets_come_before_spares_and_spares_before_setup_pieces() {
    let blanks = kinds(&need(400, 200));
    let made = |wants: [Want; 2], ways: [[u32; 4]; 2]| {
        search(&blanks, &wants, &[1], &ways.map(|way| (0, way))).most_made(Vec::new()).chosen
    };
    let a_set = Want { good: 1, for_sets: 1, ..Want::default() };
    let two_spares = Want { good: 2, ..Want::default() };
    assert_eq!(made([two_spares, a_set], [[2, 0, 0, 0], [0, 0, 1, 0]]), [1]);
    let a_spare = Want { good: 1, ..Want::default() };
    let three_setups = Want { proving: 3, ..Want::default() };
    assert_eq!(made([three_setups, a_spare], [[0, 3, 0, 0], [0, 0, 1, 0]]), [1]);
    // More of the same is more.
    assert_eq!(made([two_spares, a_set], [[1, 0, 0, 0], [2, 0, 0, 0]]), [1]);
}

/// Two sets of two. Two from one board and one each from two others leave one set apart for 9;
/// two boards with two each keep both together for 14, and that counts more.
#[test]
fn sets_are_kept_together_at_a_price() {
    let blanks = kinds(&need(400, 200));
    let want = Want { good: 4, for_sets: 4, a_set: Some(2), ..Want::default() };
    let wants = [want, Want::default()];
    let ways = [(0, [2, 0, 0, 0]), (1, [1, 0, 0, 0]), (2, [1, 0, 0, 0]), (3, [2, 0, 0, 0])];
    let costs = [5, 2, 2, 9].map(|feet| feet * 1_000_000_000);
    let search = search(&blanks, &wants, &costs, &ways);
    let found = Prices { of: vec![0; 4], bound: 0, beyond: vec![0; 4] };
    let cheapest = search.cheapest(&wants, &[0, 1, 2], &found);
    assert_eq!((cheapest.chosen, cheapest.proved), (vec![0, 3], true));
}
