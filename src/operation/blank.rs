//! The imaginary piece: what one piece measures on its way through a route.

use std::collections::{BTreeMap, BTreeSet};

use super::feature::FeatureName;
use crate::measure::Length;

/// How big a feature is over all the pieces a setting is for. The two ends
/// differ once pieces have been measured.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Extent {
    /// The smallest of the pieces.
    pub least: Length,
    /// The biggest of the pieces.
    pub most: Length,
    /// Whether it was measured.
    pub made: bool,
}

impl Extent {
    /// A size that every piece is to have, not yet measured.
    pub const fn planned(size: Length) -> Extent {
        Extent { least: size, most: size, made: false }
    }
}

/// A mortise cut into a piece, by what its setting makes.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Mortised {
    /// What the route calls it.
    pub name: String,
    /// The faces it is cut into, where the route names them.
    pub faces: Vec<String>,
    /// From the reference face to the near wall.
    pub near: Length,
    /// How wide it is.
    pub wide: Length,
    /// How deep it is.
    pub deep: Length,
    /// From where to where it is, from the finished top.
    pub along: Option<(Length, Length)>,
    /// Whether its tenon's end is mitred, so that it may meet another.
    pub mitred: bool,
}

/// A surface that later operations may run against a table or a fence.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Surface {
    /// The face side, flat.
    Face,
    /// The face edge, straight and square to the face side.
    Edge,
}

/// One piece, or several alike, on the way through a route.
#[derive(Clone, Debug, PartialEq, Eq, Default)]
pub struct Blank {
    /// What is known of it so far; a feature that was never sized is missing.
    pub sizes: BTreeMap<FeatureName, Extent>,
    /// How much bigger than that some pieces may be, for a scale has its marks
    /// and a saw its kerf: the first bite at a machine is judged by it.
    pub over: BTreeMap<FeatureName, Length>,
    /// The mortises cut into it so far.
    pub mortises: Vec<Mortised>,
    /// Surfaces made straight so far.
    pub trued: BTreeSet<Surface>,
    /// How many pieces still hang together end to end.
    pub gang: u32,
    /// How many still lie side by side in it, until a rip takes them apart.
    pub beside: u32,
    /// How many slices the stock is meant for, one behind the other.
    pub through: u32,
}

impl Blank {
    /// How many pieces it still holds.
    pub fn holds(&self) -> u32 {
        self.gang.max(1) * self.beside.max(1)
    }

    /// How big a feature is, where it is known.
    pub fn size(&self, feature: &str) -> Option<Extent> {
        self.sizes.get(feature).copied()
    }

    /// The feature on the biggest piece; passes and heights are chosen by it.
    pub fn most(&self, feature: &str) -> Option<Length> {
        self.size(feature).map(|extent| extent.most)
    }

    /// The feature on the smallest piece; what must still fit is judged by it.
    pub fn least_of(&self, feature: &str) -> Option<Length> {
        self.size(feature).map(|extent| extent.least)
    }

    /// The feature on the biggest piece there can be: as it was measured, or
    /// as big as the scales leave it.
    pub fn biggest(&self, feature: &str) -> Option<Length> {
        let extent = self.size(feature)?;
        let over = self.over.get(feature).filter(|_| !extent.made);
        Some(extent.most + over.copied().unwrap_or(Length::ZERO))
    }

    /// Says that some pieces may be as big as that in a feature.
    pub fn may_be(&mut self, feature: &str, biggest: Length) {
        if let Some(over) = self.most(feature).map(|most| biggest - most)
            && over > Length::ZERO
        {
            self.over.insert(FeatureName::new(feature), over);
        }
    }

    /// Gives a feature a planned size on every piece.
    pub fn make(&mut self, feature: &str, size: Length) {
        self.over.remove(feature);
        self.sizes.insert(FeatureName::new(feature), Extent::planned(size));
    }
}
