//! What a named dimension is: a length, an angle or a count.

use std::fmt;

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use super::Kind;

/// What a named dimension is: a length unless it says otherwise.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "lowercase")]
pub enum DimensionKind {
    /// A length.
    #[default]
    Length,
    /// An angle.
    Angle,
    /// A number of things.
    Count,
}

impl DimensionKind {
    /// Its physical dimension.
    pub fn kind(self) -> Kind {
        match self {
            DimensionKind::Length => Kind::LENGTH,
            DimensionKind::Angle => Kind::ANGLE,
            DimensionKind::Count => Kind::PLAIN,
        }
    }
}

impl fmt::Display for DimensionKind {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            DimensionKind::Length => "a length",
            DimensionKind::Angle => "an angle",
            DimensionKind::Count => "a count",
        })
    }
}
