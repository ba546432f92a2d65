//! How its mortises look on the faces of the piece.

use super::super::hole::Into;
use super::super::trace::{CutAlong, CutShape, LongFace, Trace};
use super::{Mortise, MortisedFaces};
use crate::measure::Length;

impl Mortise {
    /// Two in neighbouring faces are in the two inside ones.
    pub(super) fn trace(&self, along: Option<(Length, Length)>) -> Trace {
        let into = self.keys.into.unwrap_or(Into::Edge).faces();
        let into = into.filter(|_| !self.keys.adjacent);
        Trace::Cut {
            shape: CutShape::Mortise,
            faces: match &self.keys.faces {
                MortisedFaces::Count(count) => vec![None; *count as usize],
                MortisedFaces::Named(names) => names.iter().cloned().map(Some).collect(),
            },
            among: into.unwrap_or(LongFace::INSIDE),
            along: along.map_or(CutAlong::Unknown, |(from, to)| CutAlong::Between(from, to)),
        }
    }
}
