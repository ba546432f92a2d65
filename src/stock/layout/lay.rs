//! Which blank comes from which board.
//!
//! As much as possible is made, sets before spares before setup pieces. Then sets
//! that should come from one board are kept together. Then as few board feet as
//! possible are cut into. Then the offcuts are kept long.

use super::arrange::{arranged, in_cut_order, share};
use super::cut_plan::{CutPlan, CutSection};
use crate::measure::Length;
use crate::route::Role;
use crate::stock::board::{Footprint, RackBoard, Stretch};
use crate::stock::need::BlankNeed;
use crate::stock::saw::Saw;
use crate::stock::solver::{BlankKind, Cutting, PreparedBoard, UsableBoard, Want, choose};
use crate::stock::suitability::may;

/// One blank at its place on a board.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct PlacedBlank {
    /// Which of the needs, by its index.
    pub need: usize,
    /// What it is for.
    pub role: Role,
    /// Which set it belongs to, from 1, where it is for a set.
    pub set: Option<u32>,
    /// From the marked end.
    pub along: Stretch,
    /// From the marked edge.
    pub across: Stretch,
}

impl PlacedBlank {
    /// Where it is on its board.
    pub fn footprint(&self) -> Footprint {
        Footprint { along: self.along, across: self.across }
    }
}

/// One board that is cut into.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct CutBoard {
    /// Which of the boards, by its index.
    pub board: usize,
    /// Its sections and offcuts.
    pub plan: CutPlan<PlacedBlank>,
}

/// Blanks that no board is left for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct MissingBlanks {
    /// Which of the needs, by its index.
    pub need: usize,
    /// What they are for.
    pub role: Role,
    /// How many are missing.
    pub blanks: u32,
    /// Whether it is proved that no layout that crosscuts first and then rips
    /// makes more. Where it isn't, they are only not found.
    pub proved: bool,
}

/// Which blank comes from which board, and how good the layout is.
#[derive(Clone, Debug, PartialEq)]
pub struct BoardLayout {
    /// The boards that are cut into, in the order they were given.
    pub boards: Vec<CutBoard>,
    /// What no board is left for.
    pub missing: Vec<MissingBlanks>,
    /// Whole sets that come from several boards though one was wanted: the index
    /// of the need, and how many sets.
    pub apart: Vec<(usize, u32)>,
    /// Board feet of the boards that are cut into.
    pub board_feet: f64,
    /// No layout that crosscuts first and then rips, makes as much of each need
    /// and keeps as many sets together takes fewer board feet than this.
    pub bound: f64,
    /// No layout of these boards makes more than all but so many board feet of the
    /// blanks; zero where nothing is missing or the bound says nothing.
    pub least_missing: f64,
}

/// The boards there are, and how far some of them are already cut.
#[derive(Clone, Copy, Debug, Default)]
pub struct OnHand<'a> {
    /// All boards.
    pub boards: &'a [RackBoard],
    /// Boards that are cut into, by index, each with the place from its marked end
    /// where its last section ends; the kerf of that cut comes on top. Such a
    /// board costs nothing more.
    pub taken: &'a [(usize, Length)],
}

/// The most [`effort`] that is laid out while somebody waits. Chosen, not
/// measured.
const MOST_EFFORT: f64 = 100_000.0;
/// With room for no more strips than this side by side, trying them takes no
/// time that counts. Chosen, not measured.
const FEW_STRIPS: f64 = 16.0;

/// An estimate of the effort of a layout. It grows with the square of the kinds
/// of blank that may come from a board, with its flaws, and, where a board has
/// room for many strips, with their square.
fn effort(boards: &[RackBoard], needs: &[BlankNeed], saw: &Saw) -> f64 {
    let of = |board: &RackBoard| {
        let own = needs.iter().filter(|need| need.blanks() > 0 && may(board, need, saw));
        let kinds: f64 = own.clone().map(|need| if need.setup > 0 { 2.0 } else { 1.0 }).sum();
        let narrowest = own.map(|need| need.width).min().unwrap_or(board.width);
        let strips = board.width.ratio(narrowest.max(Length::from_nanometres(1))) / FEW_STRIPS;
        kinds.powi(2) * (1.0 + board.flaws.len() as f64) * strips.max(1.0).powi(2)
    };
    boards.iter().map(of).sum()
}

/// How many layouts of these boards can be made while somebody waits, at most
/// `most`; zero where even one takes too long.
pub fn layouts_in_time(boards: &[RackBoard], needs: &[BlankNeed], saw: &Saw, most: usize) -> usize {
    most.min((MOST_EFFORT / effort(boards, needs, saw).max(1.0)) as usize)
}

/// Lays out boards that are all uncut.
pub fn lay_out(boards: &[RackBoard], needs: &[BlankNeed], saw: &Saw) -> BoardLayout {
    lay_out_on_hand(&OnHand { boards, taken: &[] }, needs, saw)
}

/// Lays out boards of which some are cut into. Places are measured from the
/// marked ends as always; `board_feet` and `bound` count only boards that were
/// whole before.
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
    let usable: Vec<UsableBoard> = on_hand
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
    let wood: Vec<i64> = needs.iter().map(|need| billionths(need.board_feet_of_one())).collect();
    let chosen = choose(&usable, &blanks, &wants, &wood);
    let (bound, proved, least_missing) = (chosen.bound, chosen.proved, chosen.least_missing);
    let chosen: Vec<(&UsableBoard, Cutting)> = chosen
        .cuttings
        .into_iter()
        .filter_map(|(index, cutting)| {
            let usable = usable.get(index)?;
            let board = &on_hand.boards[usable.board];
            let shortest = saw.shortest_offcut.nanometres();
            Some((usable, arranged(board, &usable.prepared, &blanks, cutting, shortest)))
        })
        .collect();
    let mut found = as_layout(on_hand, needs, saw, &blanks, &chosen);
    for missing in &mut found.missing {
        missing.proved = proved[missing.need];
    }
    found.least_missing = least_missing as f64 / 1e9;
    // Board feet were rounded down to billionths, so a proved layout is equal
    // to its bound only nearly.
    let bound = bound as f64 / 1e9;
    found.bound = if bound + 1e-6 > found.board_feet { found.board_feet } else { bound };
    found
}

/// Board feet in whole billionths, rounded down so that the bound stays one.
fn billionths(board_feet: f64) -> i64 {
    (board_feet * 1e9) as i64
}

/// The chosen cuttings as a layout, without its bound and with nothing proved.
fn as_layout(
    on_hand: &OnHand,
    needs: &[BlankNeed],
    saw: &Saw,
    blanks: &[BlankKind],
    chosen: &[(&UsableBoard, Cutting)],
) -> BoardLayout {
    let counts: Vec<Vec<u32>> =
        chosen.iter().map(|(_, cutting)| cutting.counts(blanks.len())).collect();
    let (mut missing, mut apart) = (Vec::new(), Vec::new());
    // The use of each good blank, need by need and board by board.
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
            missing.push(MissingBlanks { need: index, role, blanks, proved: false });
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
    for (at, (usable, cutting)) in chosen.iter().enumerate() {
        let board = &on_hand.boards[usable.board];
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
                section.at * usable.prepared.step,
                (section.at + section.length) * usable.prepared.step,
            );
            let blanks =
                in_cut_order(&usable.prepared, blanks, section).into_iter().filter_map(place);
            CutSection { along: stretch(ends), blanks: blanks.collect() }
        });
        let sections = sections.collect();
        let offcuts = usable.prepared.offcuts(board, cutting, saw.shortest_offcut.nanometres());
        let offcuts = offcuts.into_iter().map(stretch).collect();
        boards.push(CutBoard { board: usable.board, plan: CutPlan { sections, offcuts } });
        if usable.cost > 0 {
            board_feet += board.board_feet();
        }
    }
    BoardLayout { boards, missing, apart, board_feet, bound: 0.0, least_missing: 0.0 }
}
