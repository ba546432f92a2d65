//! What a plan may take as known: values made, sizes measured, setups frozen.

use std::collections::BTreeMap;
use std::sync::Arc;

use crate::measure::{Dial, Length, Target};
use crate::operation::FeatureName;
use crate::route::{Chosen, PieceLabel};

/// Over which pieces a made value holds.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum MadeOver {
    /// The whole batch.
    Batch,
    /// One article, counted from one.
    Set(u32),
    /// One piece.
    Piece(PieceLabel),
}

/// A dimension's value from measurement.
#[derive(Clone, Debug, PartialEq)]
pub struct MadeValue {
    /// The dimension.
    pub dim: String,
    /// Over which pieces it holds.
    pub over: MadeOver,
    /// What it came out at.
    pub value: Length,
    /// The operation whose check made it: that one and all before it go on
    /// reading the planned value.
    pub op: Option<u32>,
    /// `smallest of 24 readings at op 50, calipers`.
    pub words: String,
}

/// Sizes read on the pieces at an operation.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Measured {
    /// The smallest reading.
    pub least: Length,
    /// The largest reading.
    pub most: Length,
}

/// A setting as it was when its setup began.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct FrozenSetting {
    /// What is set.
    pub name: String,
    /// Which pass, for settings that passes lead to.
    pub pass: Option<u32>,
    /// The pieces it is for; none named means all.
    pub pieces: Vec<PieceLabel>,
    /// The size that was wanted.
    pub target: Target,
    /// What the scale was set to.
    pub dial: Dial,
}

/// A setup that has begun: later news doesn't move it.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Frozen {
    /// How many made values had been accepted when it began.
    pub made: usize,
    /// Oldest first; a later one takes the place of an earlier one.
    pub settings: Vec<FrozenSetting>,
}

/// Everything known beside route and shop.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Known {
    /// In the order they were accepted; a later one takes the place of an
    /// earlier one for the same dimension and pieces.
    pub made: Vec<MadeValue>,
    /// Which end of a chain of dimensions stays, of the route's alternatives.
    pub keep: Option<String>,
    /// Sizes read, by operation and feature.
    pub measured: BTreeMap<(u32, FeatureName), Measured>,
    /// The same for each size that was wanted, where articles differ: what a long leg
    /// measures says nothing about a short one.
    pub measured_for: BTreeMap<(u32, FeatureName), Vec<(Length, Measured)>>,
    /// Setups that have begun, by operation.
    pub frozen: BTreeMap<u32, Frozen>,
    /// The pieces of each part now, where they aren't just what the route asks.
    pub pieces: BTreeMap<String, Arc<[PieceLabel]>>,
    /// What the maker of each article chose; empty where all are as the route says.
    pub articles: Arc<[Chosen]>,
}

impl Known {
    /// The made values an operation reads.
    pub(super) fn made_for(&self, op: u32) -> impl Iterator<Item = &MadeValue> {
        let count = self.frozen.get(&op).map_or(self.made.len(), |frozen| frozen.made);
        self.made.iter().take(count).filter(move |made| made.op.is_none_or(|at| at < op))
    }
}
