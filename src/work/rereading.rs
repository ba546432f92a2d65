//! One size of one piece, measured again with nothing cut in between. Two readings
//! that differ by more than both uncertainties ask for a third, which shows the wrong
//! one.

use super::context::WorkContext;
use super::reading_mistakes::shape_of_a_slip;
use crate::journal::{Decision, PieceId, ReadingRecord, TakenReading};
use crate::measure::Length;
use crate::operation::decimal;
use crate::plan::PlannedCheck;

/// The readings of a size since it was last cut, in the order they were taken. Each
/// with its uncertainty.
struct Rereadings(Vec<(Length, Length)>);

impl Rereadings {
    /// Up to a reading, or all of them. One that was undone says nothing. One that was
    /// voided to measure again counts, unless it has the shape of a slip.
    fn of(
        context: &WorkContext<'_>,
        piece: &PieceId,
        check: &PlannedCheck,
        up_to: Option<&ReadingRecord>,
    ) -> Rereadings {
        let cut_by =
            |held: &&ReadingRecord| context.state.decision_on(held) == Some(Decision::Rework);
        let own = context.state.readings_of(context.op, piece, &check.of);
        let own: Vec<&ReadingRecord> =
            own.filter(|held| up_to.is_none_or(|last| held.order <= last.order)).collect();
        let set = context.setup().and_then(|setup| setup.shown.last()).map_or(0, |last| last.order);
        let cut = own.iter().copied().filter(cut_by).map(|held| held.order).max().unwrap_or(0);
        let counts = |held: &&&ReadingRecord| {
            let is_undone = held.voided && !held.to_measure_again;
            held.order > cut.max(set)
                && held.at.date_naive() == context.now.date_naive()
                && !is_undone
                && !(held.voided && shape_of_a_slip(context, &held.taken).is_some())
        };
        let known = own.iter().filter(counts);
        Rereadings(known.filter_map(|held| sized(&held.taken)).collect())
    }

    /// Whether the only two of them differ by more than both uncertainties.
    fn want_a_third(&self) -> bool {
        matches!(self.0.as_slice(), [one, other] if !agree(*one, *other))
    }
}

/// A size with its uncertainty; none where the gauge gives no number.
fn sized(taken: &TakenReading) -> Option<(Length, Length)> {
    Some((taken.size()?, taken.uncertainty))
}

fn agree((one, first): (Length, Length), (other, second): (Length, Length)) -> bool {
    (one - other).abs() <= first + second
}

impl WorkContext<'_> {
    /// Whether the last reading of a size was voided to measure the piece again, and
    /// nobody has done so yet.
    pub fn is_to_be_measured_again(&self, piece: &PieceId, check: &PlannedCheck) -> bool {
        let mut own = self.state.readings_of(self.op, piece, &check.of).rev();
        let last = own.find(|held| !held.voided || held.to_measure_again);
        last.is_some_and(|held| held.voided)
    }

    /// Whether a size has to be measured a third time.
    pub(super) fn wants_a_third(&self, piece: &PieceId, check: &PlannedCheck) -> bool {
        let several = self.state.readings_of(self.op, piece, &check.of).nth(1).is_some();
        several && Rereadings::of(self, piece, check, None).want_a_third()
    }

    /// The same once this reading is taken.
    pub(super) fn would_want_a_third(&self, taken: &TakenReading, check: &PlannedCheck) -> bool {
        let mut all = Rereadings::of(self, &taken.piece, check, None);
        all.0.extend(sized(taken));
        all.want_a_third()
    }
}

/// What two or three readings of one size say of each other.
pub(super) fn words(
    context: &WorkContext<'_>,
    check: &PlannedCheck,
    reading: &ReadingRecord,
) -> Option<String> {
    let unit = context.route.unit;
    let text = |(size, _): (Length, Length)| decimal(size, unit);
    let all = Rereadings::of(context, &reading.taken.piece, check, Some(reading));
    if all.want_a_third() {
        // A third one may have been voided since.
        if !context.wants_a_third(&reading.taken.piece, check) {
            return None;
        }
        let [one, other] = all.0.as_slice() else { return None };
        return Some(format!(
            "It read {}, then {}: further apart than the gauge explains. Measure it a third time.",
            text(*one),
            text(*other)
        ));
    }
    let [.., first, second, third] = all.0.as_slice() else { return None };
    let (first, second, third) = (*first, *second, *third);
    if agree(first, second) {
        return None;
    }
    Some(match (agree(second, third), agree(first, third)) {
        (true, false) => {
            format!("{} and {} agree; {} was wrong.", text(second), text(third), text(first))
        }
        (false, true) => {
            format!("{} and {} agree; {} was wrong.", text(first), text(third), text(second))
        }
        (true, true) => format!("{} lies between the two and is taken.", text(third)),
        (false, false) => {
            "No two of the three agree: wipe piece and gauge, zero it, and ask the lead.".to_owned()
        }
    })
}
