//! What to check or do next about a check, in a sentence or two.

use super::findings::CheckDiagnosis;
use super::readings::{Series, Subset};
use crate::measure::Feature;
use crate::operation::RowFault;
use crate::series::Cause;

/// What to check or do next.
pub fn next_action(check: &CheckDiagnosis) -> Option<&'static str> {
    let series = &check.series;
    if check.by_gauge {
        return Some("The gauge explains it: check the gauge before you touch the machine.");
    }
    if check.reader_changed() {
        return Some(
            "The reader changed there too: measure two of the earlier pieces again. If they read as before, the machine moved; if they read like the later ones, the two people read differently.",
        );
    }
    match check.diagnosis.cause()? {
        Cause::Steady { .. } if check.out == 0 => None,
        // A gauge can't judge a band under four times its uncertainty.
        Cause::Steady { .. } if series.band.is_some_and(|b| b < series.uncertainty() * 4) => Some(
            "The gauge is too coarse for these limits: measure the same pieces with a finer one.",
        ),
        Cause::Steady { .. } => Some(
            "Measure the pieces that were out again, in the same place, and more of the others.",
        ),
        Cause::SetWrong { .. } => Some(series.kind.advice(RowFault::SetWrong)),
        Cause::Crept { .. } => Some(series.kind.advice(RowFault::Crept)),
        Cause::WoreIn { .. } => Some(
            "A fresh belt or edge changes most at first: run a few pieces of waste, then set the machine, then the good wood.",
        ),
        Cause::SawTooth { .. } => Some(
            "Something builds up and is cleared again: dust at the stop, pitch, a loaded belt. Clear it before it shows, every few pieces.",
        ),
        Cause::Loosened { .. } => Some(
            "Something came loose or dull: switch off, and check clamps, fence, blade and the gauge's jaws.",
        ),
        Cause::Moved { after, .. } if a_night_before(series, *after) => Some(
            "A night passed between the two: the wood or the setting may have moved. Check both.",
        ),
        Cause::Moved { .. } => Some(series.kind.advice(RowFault::Moved)),
        Cause::Slip { .. } if check.awaits_a_second_reading() => Some(
            "One reading is no proof: measure that piece again. If it reads the same, the piece is wrong.",
        ),
        Cause::Slip { .. } => Some(series.kind.advice(RowFault::Slip)),
        Cause::Apart { by, .. } if by.is_sign_negative() && series.words == Feature::Length => {
            Some(
                "Dust or a chip between end and stop leaves a piece short: wipe the stop each time.",
            )
        }
        Cause::Apart { .. } if series.words == Feature::Length => Some(
            "Either these are long or the others short: dust or a chip at the stop shortens a piece. Wipe the stop each time.",
        ),
        Cause::Apart { .. } => Some(
            "What do those pieces have in common: hand, board, person, which end was cut first?",
        ),
        Cause::Subset { subset, .. } => Some(match check.subsets.get(*subset)? {
            Subset::Person(_) => {
                "Two people read the gauge differently: have both measure the same two pieces, side by side."
            }
            Subset::Gauge(_) => "Measure the same block with both gauges, then the same piece.",
            Subset::Hand(_) => {
                "Check how that hand is placed at the machine: which face, which way round."
            }
        }),
        Cause::Scattered { .. } => Some(
            "This machine can't hold these limits this way: change the method, or widen the limits.",
        ),
    }
}

/// Whether the readings before and after a place are of different days.
fn a_night_before(series: &Series, after: usize) -> bool {
    let day = |place: usize| series.points.get(place).map(|point| point.at.date_naive());
    after > 0 && day(after - 1) != day(after)
}
