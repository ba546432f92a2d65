//! The pieces of an operation in cut order, as sets of their places: an answer looks at
//! the few that are open and passes over the others without looking at each.

use bit_set::BitSet;

use super::context::WorkContext;
use crate::journal::{Piece, PiecesThrough, PlacesInto, State};
use crate::plan::PlannedOperation;
use crate::route::Role;

/// Sets of places, one after another: one for each hand where left and right are cut one
/// after the other, else a single one.
struct Turns(Vec<BitSet>);

impl Turns {
    fn of(into: &PlacesInto<'_>, all: &BitSet, hands: &[String], state: &State) -> Turns {
        if hands.is_empty() {
            return Turns(vec![all.clone()]);
        }
        let mut left = all.clone();
        let mut turns: Vec<BitSet> = Vec::with_capacity(hands.len() + 1);
        for hand in hands {
            let own = into.of_hand(hand);
            let own = own.map_or_else(BitSet::new, |own| common(&left, own));
            left.difference_with(&own);
            turns.push(own);
        }
        // Setup pieces of no hand come with the first, other pieces last.
        let is_setup = |place: &usize| state.pieces[*place].label.role == Role::Setup;
        let setups: BitSet = left.iter().filter(is_setup).collect();
        left.difference_with(&setups);
        turns[0].union_with(&setups);
        turns.push(left);
        Turns(turns)
    }

    fn places(&self) -> impl Iterator<Item = usize> {
        self.0.iter().flat_map(BitSet::iter)
    }

    fn last(&self) -> Option<usize> {
        self.0.iter().rev().find_map(last)
    }

    /// One place in so many from the first on.
    fn one_in(&self, every: usize) -> BitSet {
        let end = self.0.iter().filter_map(last).max().map_or(0, |last| last + 1);
        let mut wanted = BitSet::with_capacity(end);
        // How many places come before the next one that is wanted.
        let mut skipped = 0;
        let blocks = self.0.iter().flat_map(|turn| turn.get_ref().storage().iter().zip(0..));
        for (block, at) in blocks {
            let start = at * WIDTH;
            if *block == u32::MAX {
                wanted.extend((skipped..WIDTH).step_by(every).map(|bit| start + bit));
                let beyond = WIDTH.saturating_sub(skipped).div_ceil(every);
                skipped = skipped + beyond * every - WIDTH;
                continue;
            }
            let mut rest = *block;
            while rest != 0 {
                if skipped == 0 {
                    wanted.insert(start + rest.trailing_zeros() as usize);
                    skipped = every;
                }
                skipped -= 1;
                rest &= rest - 1;
            }
        }
        wanted
    }
}

/// The places that two sets have in common.
pub(super) fn common(one: &BitSet, other: &BitSet) -> BitSet {
    let mut common = one.clone();
    common.intersect_with(other);
    common
}

/// The greatest place of a set.
fn last(places: &BitSet) -> Option<usize> {
    let blocks = places.get_ref().storage();
    let at = blocks.iter().rposition(|block| *block != 0)?;
    Some((at + 1) * WIDTH - 1 - blocks[at].leading_zeros() as usize)
}

/// How many places of a set come before this one.
fn before(places: &BitSet, place: usize) -> usize {
    let blocks = places.get_ref().storage();
    let whole = blocks.iter().take(place / WIDTH).map(|block| block.count_ones() as usize);
    let rest = blocks.get(place / WIDTH).map_or(0, |block| block & ((1 << (place % WIDTH)) - 1));
    whole.sum::<usize>() + rest.count_ones() as usize
}

/// How many places are in a block of a set.
const WIDTH: usize = u32::BITS as usize;

/// The pieces of an operation in cut order.
pub(super) struct CutOrder<'a> {
    state: &'a State,
    /// Those that go through: not the ones set aside.
    in_work: Turns,
    /// Those that have a place here: not the setup pieces.
    counted: Turns,
    /// How many these are.
    pub(super) count: usize,
    /// The first and the last of them that still goes through.
    ends: Option<(usize, usize)>,
    into: PlacesInto<'a>,
    nothing: BitSet,
}

impl<'a> CutOrder<'a> {
    pub(super) fn of(context: &WorkContext<'a>, planned: &PlannedOperation) -> CutOrder<'a> {
        let (state, hands) = (context.state, context.hands());
        let into = state.places_into(&planned.part, context.op);
        let in_work = Turns::of(&into, &into.in_work, hands, state);
        let counted = Turns::of(&into, &into.counted, hands, state);
        let still = in_work.0.iter().zip(&counted.0);
        let still = Turns(still.map(|(in_work, counted)| common(in_work, counted)).collect());
        let ends = still.places().next().zip(still.last());
        let (count, nothing) = (into.counted.len(), BitSet::new());
        CutOrder { state, in_work, counted, count, ends, into, nothing }
    }

    /// The pieces that go through.
    pub(super) fn in_work(&self) -> impl Iterator<Item = &'a Piece> {
        let state = self.state;
        self.in_work.places().map(move |place| &state.pieces[place])
    }

    /// Those of them that are not in a set.
    pub(super) fn but<'s>(
        &'s self,
        passed: Option<&'s BitSet>,
    ) -> impl Iterator<Item = &'a Piece> + use<'a, 's> {
        let (state, passed) = (self.state, passed.unwrap_or(&self.nothing));
        let open = self.in_work.0.iter().flat_map(move |turn| turn.difference(passed));
        open.map(move |place| &state.pieces[place])
    }

    /// Those of them that are not through.
    pub(super) fn not_through(
        &self,
        through: PiecesThrough<'a>,
    ) -> impl Iterator<Item = &'a Piece> {
        let open = self.but(through.places());
        open.filter(move |piece| !through.has(piece))
    }

    /// The place of a piece here, from one. Setup pieces have none.
    pub(super) fn at(&self, piece: &Piece) -> Option<usize> {
        let turns = &self.counted.0;
        let turn = turns.iter().position(|turn| turn.contains(piece.place))?;
        let earlier: usize = turns[..turn].iter().map(BitSet::len).sum();
        Some(earlier + before(&turns[turn], piece.place) + 1)
    }

    /// Whether a piece is the first with a place here that still goes through.
    pub(super) fn is_first(&self, piece: &Piece) -> bool {
        self.ends.is_some_and(|(first, _)| first == piece.place)
    }

    /// Whether it is the last one.
    pub(super) fn is_last(&self, piece: &Piece) -> bool {
        self.ends.is_some_and(|(_, last)| last == piece.place)
    }

    /// The pieces that nothing sets apart.
    pub(super) fn alike(&self) -> BitSet {
        let mut alike = self.into.in_work.clone();
        if let Some(apart) = self.into.apart {
            alike.difference_with(apart);
        }
        alike
    }

    /// One piece in so many from the first on, and the ends: whatever a check may want
    /// that doesn't want all.
    pub(super) fn one_in(&self, every: Option<usize>) -> BitSet {
        let mut wanted = match every.filter(|every| *every > 0) {
            Some(every) => self.counted.one_in(every),
            None => BitSet::new(),
        };
        wanted.extend(self.ends.map(|(first, last)| [first, last]).into_iter().flatten());
        wanted.extend(self.counted.places().next());
        wanted.extend(self.counted.last());
        wanted
    }
}
