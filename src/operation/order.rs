//! The order operations on one part must come in, as the trade warns about it
//! (common practice, no source).

use super::outcome::Finding;

/// The stage of work an operation belongs to. A kind warns by the stages of
/// the operations before and after it on the same part.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Stage {
    /// Lengths are cut from the board and left long.
    RoughLength,
    /// A face is made flat or an edge straight.
    Jointing,
    /// Pieces are planed to one thickness.
    Planing,
    /// Pieces are sanded to one thickness.
    Sanding,
    /// The finished length is cut.
    FinishedLength,
    /// Marks are drawn for later cuts.
    Marking,
    /// Mortises are cut.
    Mortising,
    /// Faces are tapered, so that they are square to no fence.
    Tapering,
    /// Nothing comes before or after it by custom.
    Any,
}

impl Stage {
    /// Whether it brings pieces to one thickness.
    pub fn thicknesses(self) -> bool {
        matches!(self, Stage::Planing | Stage::Sanding)
    }

    /// Whether a piece loses thickness by what is left on for it, rather than
    /// by a cut to a size: stock is then not counted clean at that size.
    pub fn cleans_up(self) -> bool {
        matches!(self, Stage::Jointing | Stage::Sanding)
    }
}

/// The stages of the other operations on the same part.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Sequence {
    /// Those before this operation, in order.
    pub before: Vec<Stage>,
    /// Those after it, in order.
    pub after: Vec<Stage>,
}

impl Sequence {
    /// Warnings about thickness that changes once something depends on it.
    pub(super) fn thickness_changes(&self) -> Vec<Finding> {
        [
            (Stage::Marking, "the thickness changes after layout: the marks come off or move"),
            (Stage::Mortising, "the thickness changes after mortising: walls and setbacks move"),
        ]
        .into_iter()
        .filter(|(stage, _)| self.before.contains(stage))
        .map(|(_, what)| {
            Finding::warning(what).help("all thickness work first, then mark and mortise")
        })
        .collect()
    }
}
