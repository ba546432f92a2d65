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

#[cfg(test)]
mod tests {
    use super::*;

    const RANGE: ReadingRange =
        ReadingRange { low: -2.0, high: 6.0, aimed: 1.0, uncertainty: 0.5, cut_by: None };

    /// By hand: from 1 down 3 and up 5. Half as wide: -0.5 and 3.5. A target outside the
    /// range, at 8, counts as its end, 6: half as wide is 2 to 6.
    #[test]
    fn a_range_shrinks_toward_its_target() {
        let ends = |range: ReadingRange| (range.low, range.high);
        assert_eq!(ends(RANGE.scaled(0.5)), (-0.5, 3.5));
        assert_eq!(ends(RANGE.scaled(2.0)), (-5.0, 11.0));
        assert_eq!(ends(ReadingRange { aimed: 8.0, ..RANGE }.scaled(0.5)), (2.0, 6.0));
    }

    /// By hand, for a clearance that grows by 1 with the piece and by -3 with the reading
    /// later cuts are made to. Piece and reading alike: -2 x -2 = 4 and 6 x -2 = -12. Cut to the
    /// smallest, a piece of 6 beside a reading of -2: 6 + 6 = 12. To the largest, -2 and 6:
    /// -2 - 18 = -20. To the mean, 2: 6 - 6 = 0 and -2 - 6 = -8, within the others.
    #[test]
    fn how_far_readings_move_a_clearance() {
        let moves = |take: Option<(Take, HoldsFor)>, followed| {
            let Range { low, high } = ReadingRange { cut_by: take, ..RANGE }.moves(1.0, followed);
            (low, high)
        };
        assert_eq!(moves(None, -3.0), (-12.0, 4.0));
        assert_eq!(moves(Some((Take::Smallest, HoldsFor::Piece)), -3.0), (-12.0, 4.0));
        assert_eq!(moves(Some((Take::Smallest, HoldsFor::Batch)), -3.0), (-12.0, 12.0));
        assert_eq!(moves(Some((Take::Largest, HoldsFor::Batch)), -3.0), (-20.0, 4.0));
        assert_eq!(moves(Some((Take::Mean, HoldsFor::Batch)), -3.0), (-12.0, 4.0));
        // By -1, pieces alike move nothing: only what differs from the mean does, by 4.
        assert_eq!(moves(None, -1.0), (0.0, 0.0));
        assert_eq!(moves(Some((Take::Mean, HoldsFor::Batch)), -1.0), (-4.0, 4.0));
    }
}
