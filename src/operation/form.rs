//! What puts a piece right whose form is out and not its size: an edge out of
//! square, a face that isn't flat, an angle, a gap. Wood or a setting cures
//! these, as long as wood is left (common practice, no source).

use super::order::WorkStage;
use crate::measure::Feature;

/// What to do about a form that is out, after work of that stage; `None` for a
/// plain size.
pub(super) const fn put_right(stage: WorkStage, kind: Feature) -> Option<&'static str> {
    Some(match (kind, stage) {
        (Feature::Squareness, WorkStage::Jointing) => "Square the fence, joint the edge again.",
        (Feature::Squareness, WorkStage::RoughLength | WorkStage::FinishedLength) => {
            "Square the fence to the blade, and the blade to the table; trim the end again."
        }
        (Feature::Squareness, WorkStage::Planing | WorkStage::Sanding) => {
            "Square the jointer's fence and joint the edge again; then bring it to size."
        }
        (Feature::Squareness, _) => {
            "Square it: square fence and blade and cut again, or push a frame square by its long diagonal."
        }
        (Feature::Flatness, WorkStage::Jointing) => "Joint the face again, the hollow down.",
        (Feature::Flatness, WorkStage::Planing | WorkStage::Sanding) => {
            "Joint one face flat again; then bring it to size."
        }
        (Feature::Flatness, _) => "Plane the high places off until the hollow is gone.",
        (Feature::Angle, _) => "Set the angle anew, prove it on scrap, then cut it again.",
        (Feature::Gap, WorkStage::Jointing) => "Close the gap: joint both edges again.",
        (Feature::Gap, _) => "Close the gap: clamp it, or shave what holds it open.",
        _ => return None,
    })
}
