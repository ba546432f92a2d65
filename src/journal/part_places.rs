//! The pieces of a part by their places, and which of them anything sets apart: whoever
//! looks for the few pieces that are open passes over all the others at once.

use std::collections::BTreeMap;

use bit_set::BitSet;

use super::record::Piece;
use crate::route::Role;

/// The places of the pieces of one part.
#[derive(Clone, Debug, Default, PartialEq)]
pub(super) struct PartPlaces {
    /// All of them, those cut into others too, in cut order.
    pub(super) all: Vec<usize>,
    /// Those that go into each operation of the part: nothing sets them apart.
    alike: BitSet,
    /// Those that something sets apart: each of them is looked at by itself.
    apart: BitSet,
    /// Those of each hand.
    hands: BTreeMap<String, BitSet>,
}

impl PartPlaces {
    /// Those that go into an operation, where this says which ones do.
    pub(super) fn into<'a>(
        &'a self,
        pieces: &'a [Piece],
        goes_into: impl Fn(&Piece) -> bool,
    ) -> PlacesInto<'a> {
        let (mut counted, mut in_work) = (self.alike.clone(), self.alike.clone());
        let apart = self.apart.iter().map(|place| &pieces[place]);
        for piece in apart.filter(|piece| goes_into(piece)) {
            if piece.label.role != Role::Setup {
                counted.insert(piece.place);
            }
            if piece.aside.is_none() {
                in_work.insert(piece.place);
            }
        }
        PlacesInto { counted, in_work, apart: Some(&self.apart), hands: Some(&self.hands) }
    }

    /// Notes anew what sets a piece apart, once something about it changed.
    pub(super) fn put(&mut self, piece: &Piece) {
        self.forget(piece.place);
        if let Some(hand) = &piece.label.hand {
            self.hands.entry(hand.clone()).or_default().insert(piece.place);
        }
        let of = if is_apart(piece) { &mut self.apart } else { &mut self.alike };
        if piece.whole {
            of.insert(piece.place);
        }
    }

    pub(super) fn forget(&mut self, place: usize) {
        self.alike.remove(place);
        self.apart.remove(place);
        self.hands.values_mut().for_each(|own| _ = own.remove(place));
    }
}

/// Whether more than its place says which operations a piece goes into and what is asked
/// of it there.
fn is_apart(piece: &Piece) -> bool {
    piece.label.role == Role::Setup
        || piece.aside.is_some()
        || piece.joins.is_some()
        || !piece.decisions.is_empty()
}

/// The pieces that go into an operation, by their places.
#[derive(Clone, Debug, Default)]
pub struct PlacesInto<'a> {
    /// Those that count, and not the setup pieces.
    pub counted: BitSet,
    /// Those that go through: not the ones set aside.
    pub in_work: BitSet,
    /// Setup pieces, those that came late, and those anything was decided about: each of
    /// them is looked at by itself.
    pub apart: Option<&'a BitSet>,
    hands: Option<&'a BTreeMap<String, BitSet>>,
}

impl<'a> PlacesInto<'a> {
    /// The pieces of a hand, those at other operations too.
    pub fn of_hand(&self, hand: &str) -> Option<&'a BitSet> {
        self.hands?.get(hand)
    }
}
