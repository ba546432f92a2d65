//! Diagnoses in sentences: facts, comparison, likely cause, certainty and next
//! action. They blame nobody and name no people.

use std::fmt::Write as _;

use super::attribution::{AddedMiss, Attribution};
use super::findings::{CheckDiagnosis, Out, row_limits};
use super::gauge_shifts::GaugeShift;
use super::readings::{Series, Subset};
use crate::journal::Decision;
use crate::measure::{Feature, Length, Unit, Verdict};
use crate::operation::decimal;
use crate::prose::counted;
use crate::route::Route;
use crate::series::{Cause, Diagnosis, FEWEST_READINGS, LoneReading, RunnerUp, WEAK_EVIDENCE};
use crate::work::{RepeatReading, limits_words};

/// A miss: `0.030 too short`.
pub fn off_by(by: Length, words: Feature, unit: Unit) -> String {
    let (much, little) = words.too();
    let too = if by.is_negative() { little } else { much };
    format!("{} {too}", decimal(by.abs(), unit))
}

/// A miss: `0.030 too short`, or `to size` where it rounds to zero.
pub fn miss_text(by: Length, words: Feature, unit: Unit) -> String {
    if decimal(by.abs(), unit).trim_matches(['0', '.']).is_empty() {
        "to size".to_owned()
    } else {
        off_by(by, words, unit)
    }
}

/// `+0.004`, `-0.012`, and zero without a sign.
pub fn signed(length: Length, unit: Unit) -> String {
    let figures = decimal(length.abs(), unit);
    let sign = match (figures.trim_matches(['0', '.']).is_empty(), length.is_negative()) {
        (true, _) => " ",
        (false, true) => "-",
        (false, false) => "+",
    };
    format!("{sign}{figures}")
}

/// `longer`, `thinner`: which way something changes.
fn way(by: Length, words: Feature) -> &'static str {
    let more = !by.is_negative();
    match (words, more) {
        (Feature::Thickness, true) => "thicker",
        (Feature::Thickness, false) => "thinner",
        (Feature::Width, true) => "wider",
        (Feature::Width, false) => "narrower",
        (Feature::Gap, true) => "more open",
        (Feature::Gap, false) => "tighter",
        (Feature::Squareness, true) => "less square",
        (Feature::Squareness, false) => "squarer",
        (Feature::Flatness, true) => "less flat",
        (Feature::Flatness, false) => "flatter",
        (Feature::Length, true) => "longer",
        (Feature::Length, false) => "shorter",
        (Feature::Depth, true) => "deeper",
        (Feature::Depth, false) => "shallower",
        (Feature::Size | Feature::Angle, true) => "bigger",
        (Feature::Size | Feature::Angle, false) => "smaller",
    }
}

/// The likely cause of a check in one sentence.
pub fn sentence(check: &CheckDiagnosis, unit: Unit) -> String {
    match &check.diagnosis {
        Diagnosis::TooFew { have, .. } => format!(
            "{have} {}{}: too few to tell a cause; it takes at least {FEWEST_READINGS}.",
            if *have == 1 { "reading" } else { "readings" },
            match check.out {
                0 => String::new(),
                out if out == *have => ", out of limits".to_owned(),
                out => format!(", {out} out of limits"),
            }
        ),
        Diagnosis::Found { cause: Cause::Slip { level, .. }, lone, .. } if lone.len() > 1 => {
            let slips: Vec<String> = lone.iter().map(|lone| apart(check, lone, unit)).collect();
            let rest = level_of_the_rest(check, *level, unit);
            let rest = rest.map_or_else(String::new, |rest| format!(", and all of them {rest}"));
            let (count, slips) = (slips.len(), slips.join(", "));
            format!("{count} slips: {slips} than the others, which are alike{rest}.")
        }
        Diagnosis::Found { cause, lone, .. } => {
            let mut said = cause_sentence(check, *cause, unit);
            let told = usize::from(matches!(cause, Cause::Slip { .. }));
            let besides = lone.iter().skip(told).map(|lone| apart(check, lone, unit));
            let besides: Vec<String> = besides.collect();
            if !besides.is_empty() {
                let _ = write!(said, " Besides, {}.", besides.join(", "));
            }
            said
        }
    }
}

/// `rail 9 is 0.025 narrower`: a reading beside those that are left.
fn apart(check: &CheckDiagnosis, lone: &LoneReading, unit: Unit) -> String {
    let by = Length::from_inches(lone.by);
    let name = check.series.points.get(lone.at - 1).map_or("?", |point| point.name.as_str());
    format!("{name} is {} {}", decimal(by.abs(), unit), way(by, check.series.words))
}

/// Where the others are off as well, how much: more than the gauge and an eighth of the
/// band explain.
fn level_of_the_rest(check: &CheckDiagnosis, level: f64, unit: Unit) -> Option<String> {
    let series = &check.series;
    let is_seen = level.abs() > row_limits(series).harmless();
    is_seen.then(|| off_by(Length::from_inches(level), series.words, unit))
}

fn cause_sentence(check: &CheckDiagnosis, cause: Cause, unit: Unit) -> String {
    let series = &check.series;
    let count = series.points.len();
    let name = |place: usize| {
        series.points.get(place.saturating_sub(1)).map_or("?", |point| point.name.as_str())
    };
    let miss = |by: f64| miss_text(Length::from_inches(by), series.words, unit);
    let off = |by: f64| off_by(Length::from_inches(by), series.words, unit);
    let changed = |by: f64| {
        let by = Length::from_inches(by);
        format!("{} {}", decimal(by.abs(), unit), way(by, series.words))
    };
    let rest = |level: f64, words: &str| {
        let rest = level_of_the_rest(check, level, unit);
        rest.map_or_else(String::new, |rest| format!("{words} {rest}"))
    };
    match cause {
        Cause::Steady { level } if check.out == 0 => {
            format!("Steady: all {count} are alike, on average {}.", miss(level))
        }
        Cause::Steady { level } => format!(
            "No cause fits: {} of {count} are out of limits, on average {}.",
            check.out,
            miss(level)
        ),
        Cause::SetWrong { by } if check.by_gauge => {
            format!("All {count} are off by the same amount, {}: see the gauge.", off(by))
        }
        Cause::SetWrong { by } => format!("Set wrong: all {count} are {}.", off(by)),
        Cause::Crept { by, .. } => {
            format!("It crept: {} from {} to {}.", changed(by), name(1), name(count))
        }
        Cause::Moved { after, before_level, after_level } => format!(
            "It moved between {} and {}: {} from there on.",
            name(after),
            name(after + 1),
            changed(after_level - before_level)
        ),
        Cause::Slip { at, by, level } => format!(
            "One slip: {} is {} than the others, which are alike{}.",
            name(at),
            changed(by),
            rest(level, ", and all of them")
        ),
        Cause::Apart { count: few, by, level } => format!(
            "Several apart: {few} of {count}, in no order, are {} than the others{}.",
            changed(by),
            rest(level, ", which are all")
        ),
        Cause::Subset { subset, by, level } => {
            let these = check.subsets.get(subset).map_or_else(String::new, of_subset);
            let rest = rest(level, ", which are all");
            format!("{these} are {} than the others{rest}.", changed(by))
        }
        Cause::WoreIn { by, .. } => format!(
            "It wore in: {} from {} to {}, most of it on the first pieces.",
            changed(by),
            name(1),
            name(count)
        ),
        Cause::SawTooth { by, every } => format!(
            "Up and back: about every {every} pieces it begins anew, and until then the pieces \
             become {}.",
            changed(by)
        ),
        Cause::Loosened { after, times } => format!(
            "It scatters more from {} on, {times:.1} times as much as before.",
            name(after + 1)
        ),
        Cause::Scattered { sd } => format!(
            "Scattered: the pieces vary more than the limits allow, in no order; about one in \
             three is more than {} from the middle.",
            decimal(Length::from_inches(sd), unit)
        ),
    }
}

/// The readings of a subset; people are not named.
fn of_subset(subset: &Subset) -> String {
    match subset {
        Subset::Person(_) => "The pieces that one person measured".to_owned(),
        Subset::Gauge(gauge) => format!("The pieces measured with the {gauge}"),
        Subset::Hand(hand) => format!("The {hand} pieces"),
    }
}

/// The name of a cause, in a word or two; `review --format json` uses it too.
pub fn cause_name(cause: &Cause) -> &'static str {
    match cause {
        Cause::Steady { .. } => "nothing happened",
        Cause::SetWrong { .. } => "set wrong",
        Cause::Crept { .. } => "crept",
        Cause::Moved { .. } => "moved",
        Cause::Slip { .. } => "one slip",
        Cause::Apart { .. } => "some apart",
        Cause::Subset { .. } => "one kind apart",
        Cause::WoreIn { .. } => "wore in",
        Cause::SawTooth { .. } => "up and back",
        Cause::Loosened { .. } => "scatter grew",
        Cause::Scattered { .. } => "scattered",
    }
}

/// The name of a cause for people; JSON keeps the names of [`cause_name`].
fn other_name(cause: &Cause) -> &'static str {
    match cause {
        Cause::Steady { .. } => "steady",
        Cause::Apart { .. } => "several apart",
        _ => cause_name(cause),
    }
}

/// How certain the likely cause is, and what else comes near it. `None` where
/// there are too few readings.
pub fn how_sure(check: &CheckDiagnosis) -> Option<String> {
    let Diagnosis::Found { cause, runner_up, .. } = &check.diagnosis else { return None };
    let certainty = check.certainty().name();
    let Some(RunnerUp { cause: other, behind }) = runner_up else {
        return Some(certainty.to_owned());
    };
    let close = *behind < WEAK_EVIDENCE;
    Some(match cause {
        Cause::Steady { .. } | Cause::Scattered { .. } => {
            format!(
                "{certainty}; the nearest is `{}`, but the evidence is too weak",
                other_name(other)
            )
        }
        // Every row has a level: any other cause would come on top of it.
        Cause::SetWrong { .. } if close => format!("{certainty}; {}", as_well(other)),
        _ if close => format!("{certainty}; `{}` fits about as well", other_name(other)),
        _ => format!("{certainty}; the next best is `{}`", other_name(other)),
    })
}

fn as_well(cause: &Cause) -> &'static str {
    match cause {
        Cause::Crept { .. } => "it may also have crept",
        Cause::Moved { .. } => "it may also have moved",
        Cause::Slip { .. } => "one piece may also have slipped",
        Cause::Apart { .. } | Cause::Subset { .. } => "several pieces may also be apart",
        Cause::WoreIn { .. } | Cause::SawTooth { .. } => "it may also have worn",
        Cause::Loosened { .. } => "the scatter may also have grown",
        Cause::Steady { .. } | Cause::SetWrong { .. } | Cause::Scattered { .. } => {
            "there may be more to it"
        }
    }
}

/// Feature, size and target: `length 20.035, wanted 20.000`.
pub fn read_and_wanted(out: &Out, unit: Unit) -> String {
    format!("{} {}, wanted {}", out.feature, decimal(out.value, unit), decimal(out.wanted, unit))
}

/// Limits, miss and outcome: `limits 19.969 to 20.031 in: too long by 0.004; accepted`.
pub fn limits_and_outcome(out: &Out, unit: Unit) -> String {
    format!("limits {}: {}", limits_words(&out.limits, None, unit), outcome(out, unit))
}

/// How far past its limit it was and what became of it: `too short by 0.014; set
/// aside`. What can be done is shown until something is decided.
pub fn outcome(out: &Out, unit: Unit) -> String {
    let places = if unit == Unit::Inch { 3 } else { 2 };
    let verdict = out.verdict.words(out.words, unit, places);
    let too = verdict.split(':').next().unwrap_or_default();
    let again = |size: &Length, verdict: &Verdict| {
        let said = verdict.words(out.words, unit, places);
        let said = said.split(':').next().unwrap_or_default();
        format!("{}, {said}", decimal(*size, unit))
    };
    let done = if out.words.is_form() { "put right" } else { "cut again" };
    match (out.decision, &out.afterwards) {
        (Some(Decision::Rework), Some((size, Verdict::In))) => {
            format!("{too}; {done} to {}, within limits", decimal(*size, unit))
        }
        (Some(Decision::Rework), Some((size, verdict))) => {
            format!("{too}; {done} to {}", again(size, verdict))
        }
        (Some(Decision::Rework), None) => format!("{too}; to be {done}, not measured since"),
        (Some(decision), None) => format!("{too}; {}", decided(decision)),
        (Some(decision), Some((size, verdict))) => {
            format!("{too}; later {}; {}", again(size, verdict), decided(decision))
        }
        (None, Some((size, verdict))) => format!("{too}; later {}", again(size, verdict)),
        (None, None) => format!("{verdict}; nothing decided yet"),
    }
}

fn decided(decision: Decision) -> &'static str {
    match decision {
        Decision::Accept => "accepted",
        other => other.words(),
    }
}

/// Several pieces out of limits alike at one check: `8 too wide by 0.004 to 0.009`,
/// their names, and what became of them.
pub fn grouped(outs: &[&Out], unit: Unit) -> (String, String, String) {
    let past = |out: &&Out| match out.verdict {
        Verdict::TooBig { by, .. } | Verdict::TooSmall { by, .. } => by,
        Verdict::In | Verdict::TooClose { .. } => Length::ZERO,
    };
    let least = outs.iter().map(past).min().unwrap_or_default();
    let most = outs.iter().map(past).max().unwrap_or_default();
    let (much, little) = outs.first().map_or(("", ""), |out| out.words.too());
    let big = matches!(outs.first().map(|out| &out.verdict), Some(Verdict::TooBig { .. }));
    let too = if big { much } else { little };
    let by = match (decimal(least, unit), decimal(most, unit)) {
        (least, most) if least == most => most,
        (least, most) => format!("{least} to {most}"),
    };
    let head = format!("{} {too} by {by}", outs.len());
    let names: Vec<&str> = outs.iter().map(|out| out.name.as_str()).collect();
    let mut became: Vec<(&str, usize)> = Vec::new();
    for out in outs {
        let word = match (out.decision, &out.afterwards) {
            (_, Some((_, Verdict::In))) => "within limits after cutting again",
            (Some(decision), _) => decided(decision),
            (None, _) => "nothing decided yet",
        };
        match became.iter_mut().find(|(held, _)| *held == word) {
            Some((_, count)) => *count += 1,
            None => became.push((word, 1)),
        }
    }
    let became: Vec<String> =
        became.iter().map(|(word, count)| format!("{count} {word}")).collect();
    (head, names.join(", "), became.join(", "))
}

/// The name of a check: `op 60 crosscut leg at stop saw: length`.
pub fn check_name(series: &Series) -> String {
    let at = series.at.as_ref().map_or_else(String::new, |at| format!(" at {at}"));
    format!("op {} {} {}{at}: {}", series.op, series.kind, series.part, series.feature)
}

/// What a diagnosis is based on: `5 of 21 pieces, calipers +-0.003`, with that sign for plus
/// or minus.
pub fn basis(series: &Series, unit: Unit, plus_minus: &str) -> String {
    let measured = series.points.len();
    let pieces = series.pieces.max(measured);
    let mut gauges: Vec<(&str, Length)> = Vec::new();
    for point in &series.points {
        if !gauges.iter().any(|(held, _)| *held == point.gauge) {
            gauges.push((&point.gauge, point.uncertainty));
        }
    }
    let off = |(name, own): &(&str, Length)| format!("{name} {plus_minus}{}", decimal(*own, unit));
    let gauges: Vec<String> = gauges.iter().map(off).collect();
    format!("{measured} of {pieces} pieces, {}", gauges.join(", "))
}

/// How many readings are too close to call.
pub fn too_close(check: &CheckDiagnosis) -> Option<String> {
    match check.close {
        0 => None,
        1 => Some("1 reading is too close to a limit for the gauge to decide.".to_owned()),
        n => Some(format!("{n} readings are too close to a limit for the gauge to decide.")),
    }
}

/// What kind of size an attribution is about.
pub fn feature_of(route: &Route, way: &Attribution) -> Feature {
    let op = way.stages.iter().rev().find(|stop| stop.feature == way.feature).map(|stop| stop.op);
    let checks = op.and_then(|op| route.step(op)).map(|step| step.checks.as_slice());
    let mut own = checks.unwrap_or_default().iter().filter(|check| check.of == way.feature);
    own.next().map_or(Feature::Size, |check| check.kind)
}

/// Operations as a label: `op 170 tenon`, `op 10 to 60`.
pub fn op_label(route: &Route, ops: &[u32]) -> String {
    match ops {
        [only] => format!("op {only} {}", route.step(*only).map_or("", |step| step.kind.name())),
        [first, .., last] => format!("op {first} to {last}"),
        [] => String::new(),
    }
}

/// Which operations share an amount because nothing was measured between them.
pub fn shared_ops(way: &Attribution) -> Option<String> {
    let shared: Vec<String> = way
        .added
        .iter()
        .filter(|added| added.ops.len() > 1)
        .filter_map(|added| Some((added.ops.first()?, added.ops.last()?)))
        .map(|(first, last)| format!("op {first} and op {last}"))
        .collect();
    (!shared.is_empty()).then(|| {
        format!(
            "Nothing was measured between {}, so they share the error.",
            shared.join(", nor between ")
        )
    })
}

/// How many other pieces are out like one: `And 3 others out in the same way`.
pub fn alike(others: usize) -> String {
    format!("And {} out in the same way", counted(others, "other"))
}

/// The feature that an amount is of, where it isn't the attributed one.
pub fn added_label(way: &Attribution, added: &AddedMiss) -> String {
    let times = added.times.abs();
    let of = &added.feature;
    match (added.remainder, *of == way.feature) {
        (true, true) => "the rest".to_owned(),
        (true, false) => format!("the rest of {of}"),
        (false, true) if times == 1 => String::new(),
        (false, _) if times == 1 => of.to_string(),
        (false, _) => format!("{times} x {of}"),
    }
}

/// Where the piece left its limits, in one sentence.
pub fn where_it_left(way: &Attribution) -> Option<String> {
    let (good, out) = way.left_limits()?;
    Some(match good {
        Some(good) if good.op == out.op => format!("Out at op {}.", out.op),
        Some(good) => format!(
            "Within limits at op {}, out at op {}: it happened in between.",
            good.op, out.op
        ),
        None => format!("Out at op {}, where it was first measured.", out.op),
    })
}

/// A gauge whose zero moved, in one sentence, with what to do about it.
pub fn gauge_shift_sentence(moved: &GaugeShift, unit: Unit) -> String {
    let more = if moved.by.is_negative() { "less" } else { "more" };
    let op = moved.ops.first().map_or_else(String::new, |op| format!("op {op}, "));
    format!(
        "From {op}{} on, the {} read {} {more} than before, at every machine: check the zero, \
         then measure again.",
        moved.between.1.name,
        moved.gauge,
        decimal(moved.by.abs(), unit),
    )
}

/// A size measured again on another day: where, which pieces, and what it means.
pub fn repeat_sentence(again: &RepeatReading, route: &Route) -> String {
    let species = route.part(&again.part).and_then(|part| part.species.as_deref());
    let of = match again.pieces.len() {
        1 => String::new(),
        several => format!(" of {several}"),
    };
    format!(
        "Op {}, {} {}{of}: {}",
        again.op,
        again.part,
        again.feature,
        again.words(species, route.unit)
    )
}
