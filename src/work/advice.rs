//! What to do after a reading, in sentences: from limits, safe side, machine and
//! what is left.

use super::context::WorkContext;
use super::current::task;
use super::drift::{Drift, DriftShape, drift};
use super::reading_mistakes::{follow_up_questions, slip};
use super::rereading;
use super::task::{ReadReason, Task};
use super::witness::repeat_reading;
use crate::journal::{PieceId, ReadingRecord, TakenReading};
use crate::measure::{
    Feature, Gauge, Length, Limits, Reads, SafeSide, Shows, Unit, Verdict, Zone, zone,
};
use crate::operation::{Over, decimal};
use crate::plan::PlannedCheck;

/// What a reading says and what follows from it.
#[derive(Clone, Debug, PartialEq)]
pub struct Advice {
    /// What the reading says.
    pub verdict: Verdict,
    /// The verdict in words: `too thick by 0.021: can be cut again`.
    pub headline: String,
    /// The zone of the limits it is in, where they are wide enough to have zones.
    pub zone: Option<Zone>,
    /// What to do next, most important first.
    pub next: Vec<String>,
    /// Questions about likely mistakes.
    pub questions: Vec<String>,
}

/// Advice after a reading of the operation someone works at.
pub fn advice(context: &WorkContext<'_>, reading: &ReadingRecord) -> Option<Advice> {
    let taken = &reading.taken;
    let planned = context.plan.operation(taken.op)?;
    let (n, check) =
        planned.checks.iter().enumerate().find(|(_, check)| check.of == taken.feature)?;
    let verdict = taken.verdict();
    let unit = context.route.unit;
    let places = if unit == Unit::Inch { 3 } else { 2 };
    let headline = verdict.words(check.kind, unit, places);
    let zone = taken.size().and_then(|size| zone(size, &taken.limits(), taken.uncertainty));
    let mut next = Vec::new();
    let mut questions = Vec::new();
    // A number with the shape of a slip says nothing of the piece.
    if let Some(slip) = slip(context, taken) {
        next.push("Measure it again before anything is cut or moved.".to_owned());
        let questions = vec![slip.to_owned()];
        let headline = format!("{} looks like a slip", taken.typed.trim());
        return Some(Advice { verdict, headline, zone, next, questions });
    }
    // Which of two readings is right is found first, on the piece as it is.
    if context.wants_a_third(&taken.piece, check) {
        next.extend(rereading::words(context, check, reading));
        return Some(Advice { verdict, headline, zone, next, questions });
    }
    match verdict {
        // A form has no side that is safer.
        Verdict::In if check.kind.is_form() => {}
        Verdict::In => next.extend(zone_words(zone, taken.safe)),
        Verdict::TooClose { .. } => next.push(close_call(context, check, reading)),
        Verdict::TooBig { again: true, .. } | Verdict::TooSmall { again: true, .. } => {
            let step = context.route.step(taken.op);
            let put_right = step.and_then(|step| step.what.put_right(check.kind, verdict));
            next.extend(put_right.map(str::to_owned).or_else(|| cut_again(context, reading)));
        }
        Verdict::TooBig { .. } | Verdict::TooSmall { .. } => {
            next.extend(cant_be_put_back(context, check, reading));
        }
    }
    match repeat_reading(context.route, context.state, reading) {
        Some(again) => {
            let species = context.route.part(&again.part).and_then(|part| part.species.as_deref());
            next.push(again.words(species, unit));
        }
        None => {
            let said = rereading::words(context, check, reading);
            next.extend(said.or_else(|| differs_from_before(context, reading)));
        }
    }
    // A form is no length that a kerf or a misread mark could explain.
    if !matches!(verdict, Verdict::In) && !check.kind.is_form() {
        questions = follow_up_questions(context, taken);
    }
    if let Some(drift) = drift(context, check, n) {
        next.extend(drift_words(context, &drift, unit));
    }
    Some(Advice { verdict, headline, zone, next, questions })
}

/// Whether the same piece was read differently a little later, by somebody else.
fn differs_from_before(context: &WorkContext<'_>, reading: &ReadingRecord) -> Option<String> {
    let taken = &reading.taken;
    let before = context
        .state
        .readings_of(taken.op, &taken.piece, &taken.feature)
        .rev()
        .find(|other| !other.voided && other.order < reading.order)?;
    let apart = before.who != reading.who || before.at.date_naive() != reading.at.date_naive();
    let by = taken.size()? - before.taken.size()?;
    (apart && by.abs() > taken.uncertainty).then(|| {
        format!(
            "It read {} before, a difference of {}: two gauges or two ways to hold one. Both people measure the same two pieces and compare.",
            decimal(before.taken.size().unwrap_or_default(), context.route.unit),
            decimal(by.abs(), context.route.unit)
        )
    })
}

/// What to do within limits near one of them; none in the middle half of the band.
fn zone_words(zone: Option<Zone>, safe: SafeSide) -> Option<String> {
    let unsafe_zone = match safe {
        SafeSide::Big => Zone::OuterLow,
        SafeSide::Small => Zone::OuterHigh,
        SafeSide::Neither => return None,
    };
    match zone? {
        held if held == unsafe_zone => Some(
            "Within limits, but near the side that can't be saved: measure the next one."
                .to_owned(),
        ),
        Zone::OuterHigh | Zone::OuterLow => {
            Some("Within limits, near the side that can still be cut: carry on.".to_owned())
        }
        _ => None,
    }
}

fn close_call(context: &WorkContext<'_>, check: &PlannedCheck, reading: &ReadingRecord) -> String {
    let limits = reading.taken.limits();
    // A gauge for gaps does not measure lengths, so only gauges that the route
    // already uses for such a feature count.
    let suits = |gauge: &Gauge| {
        let mut checks = context.route.steps.iter().flat_map(|step| &step.checks);
        checks.any(|other| other.kind == check.kind && other.with == gauge.name)
    };
    let better = context.shop.gauges.values().filter(|gauge| suits(gauge)).find(|gauge| {
        gauge.uncertainty().is_some_and(|u| u < reading.taken.uncertainty)
            && gauge.judges(&limits) == crate::measure::Judges::Well
    });
    let u = decimal(reading.taken.uncertainty, context.route.unit);
    match better {
        Some(gauge) => {
            format!(
                "The uncertainty of the {} is {u}: measure it with the {}.",
                check.gauge, gauge.name
            )
        }
        None => format!(
            "The uncertainty of the {} is {u}: measure again in the same place, or let the lead decide.",
            check.gauge
        ),
    }
}

fn cut_again(context: &WorkContext<'_>, reading: &ReadingRecord) -> Option<String> {
    context.cut_again(over(&reading.taken)?)
}

/// How far a piece that can be cut again is over its target and its limit.
pub(super) fn over(taken: &TakenReading) -> Option<Over> {
    let (size, target) = (taken.size()?, taken.target?);
    let limit = match taken.safe {
        SafeSide::Big => size - taken.high?,
        SafeSide::Small => taken.low? - size,
        SafeSide::Neither => return None,
    };
    // On the other side of the limit nothing is left to cut.
    (limit > Length::ZERO).then(|| Over { target: (size - target).abs(), limit })
}

fn cant_be_put_back(
    context: &WorkContext<'_>,
    check: &PlannedCheck,
    reading: &ReadingRecord,
) -> Vec<String> {
    let taken = &reading.taken;
    let mut next = vec![
        "Set it aside and check the scale: the next piece is measured before the others."
            .to_owned(),
    ];
    let others: Vec<&ReadingRecord> = context
        .state
        .counting_readings()
        .filter(|other| {
            other.taken.op == taken.op
                && other.taken.feature == taken.feature
                && other.taken.piece != taken.piece
        })
        .collect();
    let way = std::mem::discriminant(&taken.verdict());
    let out_too =
        others.iter().filter(|other| std::mem::discriminant(&other.taken.verdict()) == way).count();
    if out_too >= 2 {
        next.insert(
            0,
            format!(
                "{out_too} others came out the same way: the lead may accept them all, and later settings follow."
            ),
        );
    } else if others.is_empty() {
        next.push(
            "If they all come out this way, the setting is wrong: check the scale.".to_owned(),
        );
    } else if out_too == 0 && check.kind == Feature::Length {
        next.push(
            "The others are within limits: the lead chooses a shorter match or a spare.".to_owned(),
        );
    }
    if let Some(planned) = context.plan.operation(taken.op) {
        let before = context
            .route
            .steps
            .iter()
            .filter(|step| step.part == planned.part && step.op < taken.op)
            .map(|step| step.op)
            .max();
        if let Some(before) = before {
            let spares = context.state.spares_through(&planned.part, before);
            next.push(match spares {
                0 => "No spare has come this far.".to_owned(),
                1 => "One spare has come this far.".to_owned(),
                n => format!("{n} spares have come this far."),
            });
        }
    }
    next
}

fn drift_words(context: &WorkContext<'_>, drift: &Drift, unit: Unit) -> Vec<String> {
    let name = |piece| context.state.name(piece);
    let by = decimal(drift.by.abs(), unit);
    let way = if drift.by.is_negative() { "smaller" } else { "bigger" };
    let mut lines = vec![match &drift.shape {
        DriftShape::Moved(last, first) => {
            let (last, first) = (name(last), name(first));
            format!("The setting moved between {last} and {first}: {by} {way} from there on.")
        }
        DriftShape::Crept => {
            format!("It crept: {by} {way} from the first piece to the last, little by little.")
        }
        DriftShape::OnePiece(piece) => {
            format!("Only {} differs, {by} {way}: one slip, not the setting.", name(piece))
        }
        DriftShape::CannotTell(low, high) => {
            let (low, high) = (name(low), name(high));
            let yet = if drift.next.is_some() { "yet " } else { "" };
            format!("{by} {way} somewhere from {low} to {high}: can't tell {yet}whether it moved.")
        }
    }];
    // While another piece is asked for, a reading of this one would be booked to that.
    let is_asked = |next: &&PieceId| matches!(task(context), Task::Read { piece, why: ReadReason::Between, .. } if piece == **next);
    let next = drift.next.as_ref().filter(is_asked);
    lines.extend(next.map(|piece| format!("Measure {} next.", name(piece))));
    lines
}

/// The limits in words, in the form the gauge shows: `1.242 to 1.258 in`, or
/// `19 31/32 to 20 1/32 in` on printed marks.
pub fn limits_words(limits: &Limits, gauge: Option<&Gauge>, unit: Unit) -> String {
    let printed = gauge
        .is_some_and(|gauge| matches!(gauge.reads, Reads::Number { shows: Shows::Fraction, .. }));
    let text = |length: Length| {
        let (mark, rest) = length.fraction(64);
        if printed && unit == Unit::Inch && rest.is_zero() { mark } else { decimal(length, unit) }
    };
    match (limits.low.map(text), limits.high.map(text)) {
        (Some(low), Some(high)) => format!("{low} to {high} {unit}"),
        (Some(low), None) => format!("{low} {unit} or more"),
        (None, Some(high)) => format!("{high} {unit} or less"),
        (None, None) => String::new(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Near the limit that can't be put right the next one is measured; near the other
    /// it goes on. What has no safe side, and the middle, need no words.
    #[test]
    fn the_zones_near_a_limit_have_words() {
        let said = |zone, safe| zone_words(Some(zone), safe).unwrap_or_default();
        let (stop, go) = ("can't be saved", "can still be cut");
        assert!(said(Zone::OuterLow, SafeSide::Big).contains(stop));
        assert!(said(Zone::OuterHigh, SafeSide::Big).contains(go));
        assert!(said(Zone::OuterHigh, SafeSide::Small).contains(stop));
        assert!(said(Zone::OuterLow, SafeSide::Small).contains(go));
        assert_eq!(said(Zone::OuterLow, SafeSide::Neither), "");
        assert_eq!(zone_words(Some(Zone::Middle), SafeSide::Big), None);
        assert_eq!(zone_words(None, SafeSide::Big), None);
    }

    /// 1.250 wanted, 1.240 to 1.260: 1.263 is 0.013 over the target and 0.003 over the
    /// limit, which itself is still within. What may not be smaller is the mirror of it.
    #[test]
    fn what_is_over_its_limit_is_cut_again() {
        let th = Length::thousandths;
        let reading = |size: i64, safe| TakenReading {
            op: 10,
            piece: crate::journal::PieceId("a-1".into()),
            feature: "width".into(),
            says: crate::journal::GaugeSays::Size(th(size)),
            typed: String::new(),
            gauge: "calipers".to_owned(),
            uncertainty: th(3),
            target: Some(th(1250)),
            low: Some(th(1240)),
            high: Some(th(1260)),
            safe,
            on_paper: None,
        };
        let found = |size, safe| over(&reading(size, safe)).map(|over| (over.target, over.limit));
        assert_eq!(found(1263, SafeSide::Big), Some((th(13), th(3))));
        assert_eq!(found(1260, SafeSide::Big), None);
        assert_eq!(found(1230, SafeSide::Big), None);
        assert_eq!(found(1237, SafeSide::Small), Some((th(13), th(3))));
        assert_eq!(found(1240, SafeSide::Small), None);
        assert_eq!(found(1263, SafeSide::Neither), None);
    }
}
