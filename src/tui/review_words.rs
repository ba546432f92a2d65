//! What looking back says, in words: the screens fit them into the window, and
//! where lines are read aloud each stands alone.

use crate::measure::Unit;
use crate::review::{CheckDiagnosis, Series, check_lines, wording};
use crate::route::Route;

use super::review_state::{ReviewRow, ReviewState};

/// Said where nothing was found.
pub(super) const QUIET: &str = "Nothing went out of limits, and the readings show no shift.";

/// The list that a row belongs to.
pub(super) fn row_heading(state: &ReviewState, n: usize) -> String {
    let found = &state.findings;
    let is_check = |row: &&ReviewRow| matches!(row, ReviewRow::Check(_));
    let checks = state.rows[..n].iter().filter(is_check).count();
    match state.rows[n] {
        ReviewRow::Out(_) | ReviewRow::Together(_) => {
            format!("Out of limits: {}, in the order found", found.out.len())
        }
        ReviewRow::Gauge(_) => "Gauges".to_owned(),
        ReviewRow::Day(_) => "Measured again on another day".to_owned(),
        ReviewRow::Check(_) if checks < found.notable().len() => "Checks worth a look".to_owned(),
        ReviewRow::Check(_) => "Checks with nothing to report".to_owned(),
        ReviewRow::Wood(_) => "Where the wood went".to_owned(),
    }
}

/// What a row of the list says.
pub(super) fn row_words(state: &ReviewState, row: ReviewRow, route: &Route) -> String {
    let (found, unit) = (&state.findings, route.unit);
    match row {
        ReviewRow::Out(n) => found.out.get(n).map_or_else(String::new, |out| {
            format!(
                "op {} {}: {}, {}",
                out.op,
                out.name,
                wording::read_and_wanted(out, unit),
                wording::limits_and_outcome(out, unit)
            )
        }),
        ReviewRow::Together(n) => {
            let first = found.out.get(n);
            let told = found.grouped_out().into_iter().find(|told| {
                told.first().zip(first).is_some_and(|(held, first)| std::ptr::eq(*held, first))
            });
            let (Some(told), Some(first)) = (told, first) else { return String::new() };
            let (head, _, became) = wording::grouped(&told, unit);
            format!("op {} {}: {head}, {} first; {became}", first.op, first.feature, first.name)
        }
        ReviewRow::Gauge(n) => found
            .gauges
            .get(n)
            .map_or_else(String::new, |moved| wording::gauge_shift_sentence(moved, unit)),
        ReviewRow::Wood(n) => state.wood.get(n).map_or_else(String::new, |used| {
            let follows = used.sentences().join(" ");
            format!("{} {follows}", used.sentence(unit)).trim_end().to_owned()
        }),
        ReviewRow::Day(n) => found
            .moved_repeats()
            .nth(n)
            .map_or_else(String::new, |again| wording::repeat_sentence(again, route)),
        ReviewRow::Check(n) => found.checks.get(n).map_or_else(String::new, |check| {
            format!("{}. {}", wording::check_name(&check.series), wording::sentence(check, unit))
        }),
    }
}

/// What is measured, and where. What comes before where: a narrow window cuts the
/// end off.
pub(super) fn check_title(series: &Series) -> String {
    let at = series.at.as_ref().map_or_else(String::new, |at| format!(" at {at}"));
    format!("op {} {} {}, {}{at}", series.op, series.part, series.feature, series.kind)
}

/// What is asked of a check, what to do next, and how sure it is.
pub(super) fn check_words(state: &ReviewState, check: &CheckDiagnosis, unit: Unit) -> Vec<String> {
    let asked = state.asked.get(state.open).map_or(&[][..], Vec::as_slice);
    check_lines(check, asked, &state.findings.gauges, (unit, "+-"))
}
