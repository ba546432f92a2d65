//! The order operations on one part must come in, as the trade warns about it
//! (common practice, no source).

use super::outcome::Finding;

/// The stage of work an operation belongs to. A kind warns by the stages of
/// the operations before and after it on the same part.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum WorkStage {
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

impl WorkStage {
    /// Whether it brings pieces to one thickness.
    pub fn thicknesses(self) -> bool {
        matches!(self, WorkStage::Planing | WorkStage::Sanding)
    }

    /// Whether a piece loses thickness by what is left on for it, rather than
    /// by a cut to a size: stock is then not counted clean at that size.
    pub fn cleans_up(self) -> bool {
        matches!(self, WorkStage::Jointing | WorkStage::Sanding)
    }
}

/// The stages of the other operations on the same part.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct PartSequence {
    /// Those before this operation, in order.
    pub before: Vec<WorkStage>,
    /// Those after it, in order.
    pub after: Vec<WorkStage>,
}

impl PartSequence {
    /// Warnings about thickness that changes once something depends on it.
    pub(super) fn thickness_changes(&self) -> Vec<Finding> {
        [
            (WorkStage::Marking, "the thickness changes after layout: the marks come off or move"),
            (
                WorkStage::Mortising,
                "the thickness changes after mortising: walls and setbacks move",
            ),
        ]
        .into_iter()
        .filter(|(stage, _)| self.before.contains(stage))
        .map(|(_, what)| {
            Finding::warning(what).help("finish all thickness work first, then mark and mortise")
        })
        .collect()
    }
}
