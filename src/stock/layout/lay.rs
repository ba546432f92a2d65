//! Which piece comes from which board.
//! Knows nothing of prices, and nothing of who marks and cuts.
//!
//! As much as possible is made, sets before spares before setup pieces; then
//! sets that ask for one board are kept together; then as few board feet as
//! possible are cut into; then what is left is left long. How a board may be
//! cut is said in `pattern`.

use super::arrange::{arranged, ordered, share};
use super::cut_plan::{CutPlan, CutSection};
use crate::measure::Length;
use crate::route::Role;
use crate::stock::board::{Footprint, RackBoard, Stretch};
use crate::stock::need::BlankNeed;
use crate::stock::saw::Saw;
use crate::stock::solver::{BlankKind, Cutting, PreparedBoard, UsableBoard, Want, choose};
use crate::stock::suitability::may;

/// One blank where it lies on its board.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct PlacedBlank {
    /// Which of the needs.
    pub need: usize,
    pub role: Role,
    /// Which set it belongs to, where it is one of a set.
    pub set: Option<u32>,
    pub along: Stretch,
    pub across: Stretch,
}

impl PlacedBlank {
    /// Where it is on its board.
    pub fn footprint(&self) -> Footprint {
        Footprint { along: self.along, across: self.across }
    }
}

/// One board and the sections it is cut into, from its marked end on.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct CutBoard {
    /// Which of the boards, by its index.
    pub board: usize,
    /// Its sections and offcuts.
    pub plan: CutPlan<PlacedBlank>,
}

/// Blanks no board was left for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct MissingBlanks {
    /// Which of the needs.
    pub need: usize,
    pub role: Role,
    pub blanks: u32,
}

/// Which piece comes from which board, and how good that is.
#[derive(Clone, Debug, PartialEq)]
pub struct BoardLayout {
    /// The boards that are cut into, in the order they were given.
    pub boards: Vec<CutBoard>,
    pub missing: Vec<MissingBlanks>,
    /// Whole sets that come from more than one board though one was asked for:
    /// which need, and how many sets of it.
    pub apart: Vec<(usize, u32)>,
    /// Board feet of the boards that are cut into.
    pub board_feet: f64,
    /// No way of cutting these boards, as `pattern` has it, that makes as much of
    /// each need and keeps as many sets together takes fewer board feet.
    pub bound: f64,
}

/// The boards there are, and how far some of them are cut already.
#[derive(Clone, Copy, Debug, Default)]
pub struct OnHand<'a> {
    pub boards: &'a [RackBoard],
    /// Which of the boards, and up to which place from its marked end it is
    /// cut: where its last section ends; the kerf of that cut comes on top.
    /// Such a board is opened, and costs nothing more.
    pub taken: &'a [(usize, Length)],
}

/// More than this is not laid out in the time anybody waits.
const MOST_AT_ONCE: f64 = 100_000.0;
/// So many of the narrowest strips side by side are quickly tried.
const STRIPS: f64 = 16.0;

/// How much there is to choose: it goes with the square of the kinds of blank
/// that may come from a board, with its flaws, and with the square of the
/// strips it has room for where those are many.
fn to_choose(boards: &[RackBoard], needs: &[BlankNeed], saw: &Saw) -> f64 {
    let of = |board: &RackBoard| {
        let own = needs.iter().filter(|need| need.blanks() > 0 && may(board, need, saw));
        let kinds: f64 = own.clone().map(|need| if need.setup > 0 { 2.0 } else { 1.0 }).sum();
        let narrowest = own.map(|need| need.width).min().unwrap_or(board.width);
        let strips = board.width.ratio(narrowest.max(Length::from_nanometres(1))) / STRIPS;
        kinds.powi(2) * (1.0 + board.flaws.len() as f64) * strips.max(1.0).powi(2)
    };
    boards.iter().map(of).sum()
}

/// How often these boards may be laid out while somebody waits, at most so
/// often; not once where there is too much to choose.
pub fn layouts_in_time(boards: &[RackBoard], needs: &[BlankNeed], saw: &Saw, most: usize) -> usize {
    most.min((MOST_AT_ONCE / to_choose(boards, needs, saw).max(1.0)) as usize)
}

/// Which blank comes from which of these boards, none of them cut yet.
pub fn lay_out(boards: &[RackBoard], needs: &[BlankNeed], saw: &Saw) -> BoardLayout {
    lay_out_on_hand(&OnHand { boards, taken: &[] }, needs, saw)
}

/// Which blank comes from what is left of these boards. Places are measured
/// from the marked ends as ever; `board_feet` and `bound` count only boards
/// that weren't opened before.
pub fn lay_out_on_hand(on_hand: &OnHand, needs: &[BlankNeed], saw: &Saw) -> BoardLayout {
    let blanks: Vec<BlankKind> = needs
        .iter()
        .enumerate()
        .flat_map(|(index, need)| [false, true].map(|proving| BlankKind::of(index, need, proving)))
        .collect();
    let wants: Vec<Want> = needs
        .iter()
        .map(|need| Want {
            good: need.for_sets.saturating_add(need.spare),
            proving: need.setup,
            for_sets: need.for_sets,
            a_set: need.one_board.then_some(need.a_set.max(1)),
        })
        .collect();
    let stock: Vec<UsableBoard> = on_hand
        .boards
        .iter()
        .enumerate()
        .filter_map(|(index, board)| {
            let taken = on_hand.taken.iter().filter(|(taken, _)| *taken == index);
            let taken = taken.map(|(_, place)| place.nanometres()).max();
            let prepared = PreparedBoard::new(board, taken, saw, &blanks, |blank| {
                let want = wants[blank.need];
                want.proving + if blank.proving { 0 } else { want.good } > 0
                    && may(board, &needs[blank.need], saw)
            })?;
            let cost = if taken.is_some() { 0 } else { billionths(board.board_feet()) };
            Some(UsableBoard { board: index, prepared, cost })
        })
        .collect();
    let chosen = choose(&stock, &blanks, &wants);
    let bound = chosen.bound;
    let chosen: Vec<(&UsableBoard, Cutting)> = chosen
        .cuttings
        .into_iter()
        .filter_map(|(index, cutting)| {
            let stock = stock.get(index)?;
            let board = &on_hand.boards[stock.board];
            let keep = saw.keep.nanometres();
            Some((stock, arranged(board, &stock.prepared, &blanks, cutting, keep)))
        })
        .collect();
    let mut found = put(on_hand, needs, saw, &blanks, &chosen);
    // Billionths were cut off each board, so a proof shows as nearly equal.
    let bound = bound as f64 / 1e9;
    found.bound = if bound + 1e-6 > found.board_feet { found.board_feet } else { bound };
    found
}

/// Board feet as the whole numbers that boards are compared by, never more than
/// they are.
fn billionths(board_feet: f64) -> i64 {
    (board_feet * 1e9) as i64
}

/// The chosen cuttings as a layout, without its bound.
fn put(
    on_hand: &OnHand,
    needs: &[BlankNeed],
    saw: &Saw,
    blanks: &[BlankKind],
    chosen: &[(&UsableBoard, Cutting)],
) -> BoardLayout {
    let counts: Vec<Vec<u32>> =
        chosen.iter().map(|(_, cutting)| cutting.counts(blanks.len())).collect();
    let (mut missing, mut apart) = (Vec::new(), Vec::new());
    // What each good blank is for, need by need and board by board.
    let mut shares = Vec::new();
    for (index, need) in needs.iter().enumerate() {
        let of = |proving: bool| {
            let kind = blanks.iter().position(|b| b.need == index && b.proving == proving);
            counts.iter().map(move |counts| kind.map_or(0, |kind| counts[kind]))
        };
        let good: Vec<u32> = of(false).collect();
        let (shared, short) = share(need, &good, of(true).sum());
        let short_of =
            [(Role::Set, short.sets), (Role::Spare, short.spare), (Role::Setup, short.setup)];
        for (role, blanks) in short_of.into_iter().filter(|(_, blanks)| *blanks > 0) {
            missing.push(MissingBlanks { need: index, role, blanks });
        }
        if short.apart > 0 {
            apart.push((index, short.apart));
        }
        shares.push(shared.into_iter().map(Vec::into_iter).collect::<Vec<_>>());
    }
    let length = Length::from_nanometres;
    let stretch = |(from, to): (i64, i64)| Stretch { from: length(from), to: length(to) };
    let mut boards = Vec::new();
    let mut board_feet = 0.0;
    for (at, (stock, cutting)) in chosen.iter().enumerate() {
        let board = &on_hand.boards[stock.board];
        let sections = cutting.sections.iter().map(|section| {
            let place = |(kind, footprint): (usize, Footprint)| {
                let blank = &blanks[kind];
                let (role, set) = match blank.proving {
                    true => (Role::Setup, None),
                    false => shares.get_mut(blank.need)?.get_mut(at)?.next()?,
                };
                let Footprint { along, across } = footprint;
                Some(PlacedBlank { need: blank.need, role, set, along, across })
            };
            let ends = (
                section.at * stock.prepared.step,
                (section.at + section.length) * stock.prepared.step,
            );
            let blanks = ordered(&stock.prepared, blanks, section).into_iter().filter_map(place);
            CutSection { along: stretch(ends), blanks: blanks.collect() }
        });
        let sections = sections.collect();
        let offcuts = stock.prepared.offcuts(board, cutting, saw.keep.nanometres());
        let offcuts = offcuts.into_iter().map(stretch).collect();
        boards.push(CutBoard { board: stock.board, plan: CutPlan { sections, offcuts } });
        if stock.cost > 0 {
            board_feet += board.board_feet();
        }
    }
    BoardLayout { boards, missing, apart, board_feet, bound: 0.0 }
}
