//! What each named dimension is for a given operation and piece: planned, or
//! made.

use std::cell::RefCell;
use std::collections::BTreeMap;

use super::articles::ArticleWebs;
use super::known::{Known, MadeOver, MadeValue};
use crate::formula::{Scope, Value};
use crate::measure::Unit;
use crate::prose::Message;
use crate::route::{PieceLabel, Route};

/// A dimension as the route planned it and, once measured, as it was made.
#[derive(Clone, Debug, PartialEq)]
pub struct DimensionState {
    /// Its name.
    pub name: String,
    /// What it comes to with nothing made, or why it has no value.
    pub planned: Result<Value, Message>,
    /// What it was made to, in the order accepted.
    pub made: Vec<MadeValue>,
    /// Its value with everything made so far.
    pub now: Result<Value, Message>,
}

/// Every dimension, planned and made.
pub fn dimensions(route: &Route, known: &Known) -> Vec<DimensionState> {
    let webs = ArticleWebs::of(route, known);
    let web = webs.web(None);
    let view = PieceValues::new(&webs, known.made.iter(), None);
    web.names()
        .map(|name| DimensionState {
            name: name.to_owned(),
            planned: web.value(name, &|_| None),
            made: known.made.iter().filter(|made| made.dim == name).cloned().collect(),
            now: view.value(name),
        })
        .collect()
}

/// The dimensions as one operation sees them for one piece.
pub(super) struct PieceValues<'a> {
    webs: &'a ArticleWebs<'a>,
    /// The article whose dimensions it sees.
    article: Option<u32>,
    made: BTreeMap<&'a str, &'a MadeValue>,
    every: Vec<&'a MadeValue>,
    peers: &'a [PieceLabel],
    /// Looked up before: a setting asks for the same names over and over.
    found: RefCell<BTreeMap<String, Result<Value, Message>>>,
}

impl<'a> PieceValues<'a> {
    pub(super) fn new(
        webs: &'a ArticleWebs<'a>,
        made: impl Iterator<Item = &'a MadeValue>,
        piece: Option<&PieceLabel>,
    ) -> PieceValues<'a> {
        let every: Vec<&MadeValue> = made.collect();
        let mut view = PieceValues {
            webs,
            article: piece.and_then(|piece| piece.set),
            made: BTreeMap::new(),
            every,
            peers: &[],
            found: RefCell::default(),
        };
        for made in &view.every {
            let holds = match &made.over {
                MadeOver::Batch => true,
                MadeOver::Set(set) => piece.is_some_and(|piece| piece.set == Some(*set)),
                MadeOver::Piece(label) => piece == Some(label),
            };
            if holds {
                view.made.insert(&made.dim, made);
            }
        }
        view
    }

    /// The same for a piece without a set, as if it were of this one.
    pub(super) fn of_set(mut self, set: u32) -> PieceValues<'a> {
        self.article = Some(set);
        for made in &self.every {
            if made.over == MadeOver::Set(set) {
                self.made.insert(&made.dim, made);
            }
        }
        self
    }

    /// The pieces `min(x)` and its like range over.
    pub(super) fn among(mut self, peers: &'a [PieceLabel]) -> PieceValues<'a> {
        self.peers = peers;
        self
    }

    /// The values made or chosen for some pieces only: pieces that share them are alike.
    pub(super) fn own(&self) -> Vec<(&'a str, crate::measure::Length)> {
        let made = self.made.iter().filter(|(_, made)| made.over != MadeOver::Batch);
        let chosen = self.webs.chosen(self.article).into_iter().flat_map(|held| &held.sizes);
        let stands = chosen.filter(|(dim, _)| !self.made.contains_key(dim.as_str()));
        made.map(|(dim, made)| (*dim, made.value))
            .chain(stands.map(|(dim, size)| (dim.as_str(), *size)))
            .collect()
    }

    /// What the maker of its article chose.
    pub(super) fn chosen(&self) -> Option<&'a crate::route::Chosen> {
        self.webs.chosen(self.article)
    }

    /// The lengths of these names, and whether each was made.
    pub(super) fn used<'n>(
        &self,
        names: impl Iterator<Item = &'n str>,
    ) -> Vec<(String, crate::measure::Length, bool)> {
        let mut used: Vec<(String, crate::measure::Length, bool)> = Vec::new();
        for name in names {
            if used.iter().all(|(known, ..)| known != name)
                && let Some(length) = self.value(name).ok().and_then(|value| value.length())
            {
                used.push((name.to_owned(), length, self.made.contains_key(name)));
            }
        }
        used
    }

    /// `leg_square 1 5/8, planned`; `shoulder 13 5/16, follows leg_square 1 11/32: smallest …`.
    pub(super) fn source(&self, name: &str, unit: Unit) -> Option<String> {
        let value = self.value(name).ok()?;
        let amount = match value.length() {
            Some(length) => crate::operation::words(length, unit),
            None => format!("{}", value.amount),
        };
        if let Some(made) = self.made.get(name) {
            return Some(format!("{name} {amount}: {}", made.words));
        }
        let chosen = || self.webs.chosen(self.article).into_iter().flat_map(|held| &held.sizes);
        if chosen().any(|(dim, _)| dim == name) {
            return Some(format!("{name} {amount}, chosen"));
        }
        let web = self.webs.web(self.article);
        let words = |length| crate::operation::words(length, unit);
        let mut follows: Vec<String> = self
            .made
            .values()
            .filter(|made| web.depends_on(name, &made.dim))
            .map(|made| format!("{} {}: {}", made.dim, words(made.value), made.words))
            .collect();
        let stands = chosen()
            .filter(|(dim, _)| !self.made.contains_key(dim.as_str()) && web.depends_on(name, dim));
        follows.extend(stands.map(|(dim, size)| format!("{dim} {}, chosen", words(*size))));
        Some(if follows.is_empty() {
            format!("{name} {amount}, planned")
        } else {
            format!("{name} {amount}, follows {}", follows.join(" and "))
        })
    }
}

impl Scope for PieceValues<'_> {
    fn value(&self, name: &str) -> Result<Value, Message> {
        if let Some(found) = self.found.borrow().get(name) {
            return found.clone();
        }
        let value = self.webs.web(self.article).value(name, &|dim| {
            self.made.get(dim).map(|made| Value::root(dim, Value::of_length(made.value)))
        });
        self.found.borrow_mut().insert(name.to_owned(), value.clone());
        value
    }

    fn each(&self) -> Option<Vec<Box<dyn Scope + '_>>> {
        let are_chosen = self.webs.differ();
        if !are_chosen && self.every.iter().all(|made| made.over == MadeOver::Batch) {
            return None;
        }
        // A piece without a set has no size of its own to be among them.
        let counts = |piece: &&PieceLabel| {
            piece.set.is_some()
                || self.every.iter().any(|made| match &made.over {
                    MadeOver::Piece(label) => label == *piece,
                    MadeOver::Set(_) | MadeOver::Batch => false,
                })
        };
        let by_set = |made: &&MadeValue| matches!(made.over, MadeOver::Set(_));
        let parted = are_chosen || self.every.iter().any(by_set);
        let sets = parted && self.peers.iter().any(|piece| counts(&piece));
        let views = self.peers.iter().filter(|piece| !sets || counts(piece)).map(|piece| {
            let view = PieceValues::new(self.webs, self.every.iter().copied(), Some(piece));
            Box::new(view) as Box<dyn Scope + '_>
        });
        Some(views.collect())
    }
}
