//! Questions about a likely cause whose size is one people know: twice the last
//! step, a kerf, a mark miscounted.

use super::findings::CheckDiagnosis;
use crate::journal::GaugeSays;
use crate::measure::Length;
use crate::series::Cause;
use crate::work::{WorkContext, follow_up_questions as questions_about};

/// Questions about the likely cause of a check, the likeliest first. A slip is
/// asked about by its own reading. A shift is asked about by its mean, because a
/// single reading scatters.
pub fn follow_up_questions(check: &CheckDiagnosis, stand: &WorkContext<'_>) -> Vec<String> {
    let points = &check.series.points;
    let (place, by) = match check.diagnosis.cause() {
        Some(Cause::Slip { at, .. }) => (at - 1, None),
        Some(Cause::SetWrong { by }) => (0, Some(*by)),
        Some(Cause::Moved { after, before_level, after_level }) => {
            (*after, Some(after_level - before_level))
        }
        _ => return Vec::new(),
    };
    let reading = points.get(place).and_then(|point| {
        stand.state.readings.iter().find(|reading| reading.reference == point.reference)
    });
    let Some(reading) = reading else { return Vec::new() };
    let mut taken = reading.taken.clone();
    if let (Some(by), Some(target)) = (by, taken.target) {
        taken.says = GaugeSays::Size(target + Length::from_inches(by));
        // Swapped digits explain one reading, not a series.
        taken.typed.retain(|letter| letter == '/');
    }
    questions_about(stand, &taken)
}
