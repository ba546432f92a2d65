//! The names of what can be measured on a piece, and what such a name says.

use std::borrow::{Borrow, Cow};
use std::fmt;
use std::ops::Deref;

use serde::{Deserialize, Serialize};

use crate::measure::Feature;

/// Along the grain.
pub const LENGTH: &str = "length";
/// Across the grain and the face.
pub const WIDTH: &str = "width";
/// From face to face.
pub const THICKNESS: &str = "thickness";
/// How far a cut goes in.
pub(super) const DEPTH: &str = "depth";
/// The diameter of a hole.
pub(super) const SIZE: &str = "size";
/// What stays free between two parts.
pub(super) const GAP: &str = "gap";
/// The wood between a hole and the reference face.
pub(super) const WALL: &str = "wall thickness";

/// The name of something that can be measured on a piece: `length`,
/// `front mortise width`. Routes and journals write it as plain text.
///
/// The last word decides in which words a reading is judged; see
/// [`FeatureName::kind`]. Only this room puts such names together or takes them
/// apart: every other room compares whole names or asks.
#[derive(Clone, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(transparent)]
pub struct FeatureName(Cow<'static, str>);

impl FeatureName {
    /// The length of the piece.
    pub const LENGTH: FeatureName = FeatureName(Cow::Borrowed(LENGTH));
    /// The width of the piece.
    pub const WIDTH: FeatureName = FeatureName(Cow::Borrowed(WIDTH));
    /// The thickness of the piece.
    pub const THICKNESS: FeatureName = FeatureName(Cow::Borrowed(THICKNESS));

    /// A name as a route or a journal writes it.
    pub fn new(name: impl Into<String>) -> FeatureName {
        FeatureName(Cow::Owned(name.into()))
    }

    /// The name of a feature of something an operation makes.
    pub(super) fn of(makes: &str, feature: &str) -> FeatureName {
        FeatureName(Cow::Owned(format!("{makes} {feature}")))
    }

    /// The name as text.
    pub fn as_str(&self) -> &str {
        &self.0
    }

    /// In which words a reading of it is judged. The last word of the name
    /// says it: `front mortise width` is a width, and `pin depth` a depth.
    /// `None` where the last word is no such word.
    pub fn kind(&self) -> Option<Feature> {
        match self.0.rsplit(' ').next()? {
            LENGTH => Some(Feature::Length),
            WIDTH => Some(Feature::Width),
            THICKNESS => Some(Feature::Thickness),
            DEPTH => Some(Feature::Depth),
            SIZE => Some(Feature::Size),
            GAP => Some(Feature::Gap),
            "squareness" | "diagonals" => Some(Feature::Squareness),
            "flatness" | "wind" | "bow" | "cup" | "twist" | "rock" => Some(Feature::Flatness),
            "angle" => Some(Feature::Angle),
            _ => None,
        }
    }

    /// Whether wood that takes up or gives off moisture changes it: widths and
    /// thicknesses do, lengths do not.
    pub fn moves_with_moisture(&self) -> bool {
        matches!(self.kind(), Some(Feature::Width | Feature::Thickness))
    }
}

impl fmt::Display for FeatureName {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(&self.0)
    }
}

impl Deref for FeatureName {
    type Target = str;

    fn deref(&self) -> &str {
        &self.0
    }
}

impl Borrow<str> for FeatureName {
    fn borrow(&self) -> &str {
        &self.0
    }
}

impl AsRef<str> for FeatureName {
    fn as_ref(&self) -> &str {
        &self.0
    }
}

impl From<&str> for FeatureName {
    fn from(name: &str) -> FeatureName {
        FeatureName::new(name)
    }
}

impl From<String> for FeatureName {
    fn from(name: String) -> FeatureName {
        FeatureName::new(name)
    }
}

impl PartialEq<str> for FeatureName {
    fn eq(&self, other: &str) -> bool {
        self.0 == other
    }
}

impl PartialEq<&str> for FeatureName {
    fn eq(&self, other: &&str) -> bool {
        self.0 == *other
    }
}

impl PartialEq<FeatureName> for &str {
    fn eq(&self, other: &FeatureName) -> bool {
        other.0 == *self
    }
}
