//! The imaginary piece: what one piece measures on its way through a route.
//! Knows nothing of which operation does what to it.

use std::collections::{BTreeMap, BTreeSet};

use crate::measure::{Feature, Length};

/// The name of something that can be measured on a piece: `length`, `front mortise`.
pub type FeatureName = String;

pub const LENGTH: &str = "length";
pub const WIDTH: &str = "width";
pub const THICKNESS: &str = "thickness";

/// How big a feature is over all the pieces a setting is for. The two ends
/// differ once pieces have been measured.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Extent {
    pub least: Length,
    pub most: Length,
    /// Whether it was measured.
    pub made: bool,
}

impl Extent {
    pub const fn planned(size: Length) -> Extent {
        Extent { least: size, most: size, made: false }
    }
}

/// A surface that later operations may run against a table or a fence.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Surface {
    Face,
    Edge,
}

/// One piece, or several alike, on the way through a route.
#[derive(Clone, Debug, PartialEq, Eq, Default)]
pub struct Blank {
    pub sizes: BTreeMap<FeatureName, Extent>,
    /// Surfaces made straight so far.
    pub trued: BTreeSet<Surface>,
    /// How many pieces still hang together.
    pub gang: u32,
}

impl Blank {
    pub fn size(&self, feature: &str) -> Option<Extent> {
        self.sizes.get(feature).copied()
    }

    /// The biggest the feature may be, by which passes and heights are chosen.
    pub fn most(&self, feature: &str) -> Option<Length> {
        self.size(feature).map(|extent| extent.most)
    }

    pub fn least_of(&self, feature: &str) -> Option<Length> {
        self.size(feature).map(|extent| extent.least)
    }

    pub fn make(&mut self, feature: &str, size: Length) {
        self.sizes.insert(feature.to_owned(), Extent::planned(size));
    }
}

/// Which words a feature is judged in, told by the last word of its name:
/// `front mortise width` is a width.
pub fn feature_kind(name: &str) -> Option<Feature> {
    match name.rsplit(' ').next()? {
        LENGTH => Some(Feature::Length),
        WIDTH => Some(Feature::Width),
        THICKNESS => Some(Feature::Thickness),
        "depth" => Some(Feature::Depth),
        "size" => Some(Feature::Size),
        "gap" => Some(Feature::Gap),
        _ => None,
    }
}

/// The name of a feature of something an operation makes.
pub fn feature_of(makes: &str, feature: &str) -> FeatureName {
    format!("{makes} {feature}")
}
