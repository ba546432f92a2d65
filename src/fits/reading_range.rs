//! The range that readings of a planned dimension may have, and how far they
//! move a clearance.

use super::stack::Range;
use crate::route::{HoldsFor, Take};

/// The range of readings of a planned dimension, as deviations from its planned
/// size in nanometres.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct ReadingRange {
    pub low: f64,
    pub high: f64,
    /// The target, as a deviation from the planned size.
    pub aimed: f64,
    /// The gauge's uncertainty, which its limits allow for at either end.
    pub uncertainty: f64,
    /// Which of the readings later cuts are made to.
    pub cut_by: Option<(Take, HoldsFor)>,
}

impl ReadingRange {
    /// The range `by` times as wide about its target.
    pub(super) fn scaled(self, by: f64) -> ReadingRange {
        let from = self.aimed.clamp(self.low, self.high);
        ReadingRange {
            low: from + (self.low - from) * by,
            high: from + (self.high - from) * by,
            ..self
        }
    }

    /// How far readings in it move a clearance. The piece and the reading that
    /// later cuts are made to both lie in the range, and the smallest reading is
    /// no bigger than the piece, so the extremes lie at these corners.
    pub(super) fn moves(self, slope: f64, followed: f64) -> Range {
        let (low, high) = (self.low, self.high);
        let middle = f64::midpoint(low, high);
        let mut corners = vec![(low, low), (high, high)];
        match self.cut_by {
            Some((_, HoldsFor::Piece)) | None => {}
            Some((Take::Smallest, _)) => corners.push((high, low)),
            Some((Take::Largest, _)) => corners.push((low, high)),
            Some((Take::Mean, _)) => corners.extend([(high, middle), (low, middle)]),
        }
        let ends = corners.into_iter().map(|(piece, taken)| slope * piece + followed * taken);
        ends.fold(Range { low: f64::INFINITY, high: f64::NEG_INFINITY }, |range, end| Range {
            low: range.low.min(end),
            high: range.high.max(end),
        })
    }
}
