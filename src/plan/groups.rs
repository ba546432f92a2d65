//! Groups of pieces that are cut at the same numbers become one: each number is set
//! once, whatever the operation leaves alone on the pieces.

use std::collections::BTreeSet;

use super::finding::push_once;
use super::{Group, Variety};
use crate::operation::{Blank, FeatureName, NamedSetting, Pass};

impl Group {
    /// Whether other pieces are cut at the same numbers and told the same.
    pub(super) fn is_set_like(&self, other: &Group) -> bool {
        let alike = |(one, other): (&NamedSetting, &NamedSetting)| {
            one.name == other.name && one.setting == other.setting
        };
        let (own, others) = (&self.outcome, &other.outcome);
        let is_same = self.limits == other.limits
            && own.settings.len() == others.settings.len()
            && own.settings.iter().zip(&others.settings).all(alike)
            && own.passes.len() == others.passes.len()
            && own.passes.iter().zip(&others.passes).all(|(one, other)| is_set_as(one, other));
        if self.before == other.before && own.after == others.after {
            return is_same;
        }
        is_same
            && own.facts == others.facts
            && own.places == others.places
            && own.wait == others.wait
            && is_cut_as((&self.before, &own.after), (&other.before, &others.after))
    }

    /// Takes in pieces that are set like its own.
    pub(super) fn join(&mut self, other: Group) {
        let is_alike = self.before == other.before && self.outcome.after == other.outcome.after;
        if !is_alike || !self.varieties.is_empty() {
            if self.varieties.is_empty() {
                let (before, after) = (self.before.clone(), self.outcome.after.clone());
                let pieces = self.pieces.clone();
                self.varieties.push(Variety { pieces, before, after });
            }
            let after = other.outcome.after.clone();
            let own = self.varieties.iter_mut();
            let mut own = own.filter(|held| held.before == other.before && held.after == after);
            match own.next() {
                Some(held) => held.pieces.extend(&other.pieces),
                None => self.varieties.push(Variety {
                    pieces: other.pieces.clone(),
                    before: other.before,
                    after,
                }),
            }
        }
        self.pieces.extend(other.pieces);
        self.pieces.sort_unstable();
        let (own, other) = (&mut self.outcome, other.outcome);
        other.places.into_iter().for_each(|place| push_once(&mut own.places, place));
        other.steps.into_iter().for_each(|step| push_once(&mut own.steps, step));
        other.cautions.into_iter().for_each(|caution| push_once(&mut own.cautions, caution));
    }

    /// A piece as it comes to the operation, by its place in the operation's list.
    pub fn before_of(&self, piece: usize) -> &Blank {
        let own = self.varieties.iter().find(|held| held.pieces.contains(&piece));
        own.map_or(&self.before, |held| &held.before)
    }

    /// A piece as it leaves the operation, by its place in the operation's list.
    pub fn after_of(&self, piece: usize) -> &Blank {
        let own = self.varieties.iter().find(|held| held.pieces.contains(&piece));
        own.map_or(&self.outcome.after, |held| &held.after)
    }

    /// Every kind of piece in it as it comes, and its pieces.
    pub fn kinds(&self) -> Vec<(&Blank, &[usize])> {
        if self.varieties.is_empty() {
            return vec![(&self.before, &self.pieces)];
        }
        self.varieties.iter().map(|held| (&held.before, held.pieces.as_slice())).collect()
    }
}

/// Whether two passes are set and fed alike, whatever their drawings show.
fn is_set_as(one: &Pass, other: &Pass) -> bool {
    let fed = |pass: &Pass| (pass.number, pass.feeds, pass.presses, pass.kiss, pass.beyond);
    one.dial == other.dial
        && one.target == other.target
        && one.tool == other.tool
        && one.readout == other.readout
        && one.faces == other.faces
        && fed(one) == fed(other)
}

/// Whether pieces differ only in what the operation leaves alone.
fn is_cut_as(one: (&Blank, &Blank), other: (&Blank, &Blank)) -> bool {
    let ((before, after), (others_before, others_after)) = (one, other);
    let features: BTreeSet<&FeatureName> =
        after.sizes.keys().chain(others_after.sizes.keys()).collect();
    let is_same = |feature: &FeatureName| {
        let own = (before.size(feature), after.size(feature));
        let others = (others_before.size(feature), others_after.size(feature));
        own == others || (own.0 == own.1 && others.0 == others.1)
    };
    features.into_iter().all(is_same)
        && before.mortises == others_before.mortises
        && after.mortises == others_after.mortises
        && after.trued == others_after.trued
        && after.holds() == others_after.holds()
        && after.through == others_after.through
}
