//! The fits in sentences: whether they hold, what to hold closer, and which
//! limits could be wider.

use super::judge::{Contribution, ENOUGH, JudgedFit};
use super::season::{Season, Seasons};
use super::shared_error::ErrorSource;
use super::stack::StackMethod;
use super::verdict::{FitVerdict, SizeRange};
use crate::measure::{Judges, Length, Limits, Tolerance, Unit};
use crate::operation::{decimal, words};
use crate::wood::Grain;

/// A dimension with a smaller share of every fit could have wider limits.
const LITTLE: f64 = 0.05;

/// One sentence: whether it holds.
pub fn verdict(judged: &JudgedFit, unit: Unit) -> String {
    let limits = between(judged.limits, unit);
    match judged.holds() {
        FitVerdict::Worst => "It fits, even at the worst.".to_owned(),
        FitVerdict::Likely => {
            "It will likely fit; at the worst it goes past its limits.".to_owned()
        }
        FitVerdict::Not => format!(
            "It can't be relied on: it will likely be {}, and its limits are {limits}.",
            between(judged.likely, unit)
        ),
        FitVerdict::Nominal => format!(
            "With every piece to size it comes to {}, outside {limits}: it can't fit even with \
             perfect parts.",
            decimal(judged.nominal, unit)
        ),
    }
}

/// A clearance in one season: `0.061 at 12 %, likely 0.030 to 0.092`.
pub fn season_words(season: &Season, unit: Unit) -> String {
    let Season { moisture, clearance, likely, holds, .. } = season;
    let past = if holds.counts() { "" } else { ": past its limits" };
    format!(
        "{} at {} %, likely {}{past}",
        decimal(*clearance, unit),
        moisture.in_percent(),
        between(*likely, unit)
    )
}

/// What swells in a fit and how well that is known, and what to do where a season
/// takes it past its limits.
fn swelling(seasons: &Seasons, unit: Unit) -> Vec<String> {
    let swells = seasons.swells;
    let wood = swells.wood;
    let (winter, summer) = (seasons.winter.by.from(), seasons.summer.by.from());
    let by = if winter == summer || swells.made == swells.driest {
        summer
    } else {
        format!("{winter} in winter, {summer} in summer")
    };
    let mut said = vec![format!(
        "{} of {}, {}, swells across its grain; made at {} %, movement by {by}.",
        words(seasons.across.abs(), unit),
        wood.name(),
        match swells.grain {
            Grain::Flat => "flat-sawn",
            Grain::Quarter => "quartersawn",
        },
        swells.made.in_percent()
    )];
    if wood.other_coefficient(swells.grain).is_some() {
        let both =
            "Two published coefficients of that wood disagree; the likely range covers both.";
        said.push(both.to_owned());
    }
    for (name, season) in [("driest", &seasons.winter), ("dampest", &seasons.summer)] {
        if !season.holds.counts() {
            said.push(format!(
                "In the {name} season it can't be relied on: leave more room, or make it nearer \
                 to {} %.",
                season.moisture.in_percent()
            ));
        }
    }
    said
}

/// What dominates a fit and what to do about it, one sentence each.
pub fn advice(judged: &JudgedFit, unit: Unit) -> Vec<String> {
    let mut said = match &judged.seasons {
        Some(seasons) => swelling(seasons, unit),
        None => Vec::new(),
    };
    let holds = judged.holds();
    if let Some(most) = judged.dominating().filter(|_| holds != FitVerdict::Nominal) {
        said.push(format!(
            "{} of the variation comes from {}: {}.",
            percent(most.share),
            most.place(),
            why(most)
        ));
        match holds {
            FitVerdict::Not => said.push(closer(judged, most, StackMethod::Likely, unit)),
            FitVerdict::Likely if judged.may_keep(most, StackMethod::Worst).is_some() => {
                said.push(closer(judged, most, StackMethod::Worst, unit));
            }
            _ => {}
        }
    }
    said.extend(in_common(judged, unit));
    said.extend(blind(judged, unit));
    let unmeasured =
        |one: &&Contribution| one.op.is_some() && !one.made && one.off.is_none() && one.share > 0.0;
    for one in judged.contributions.iter().filter(unmeasured) {
        said.push(format!("{}: a scale sets {}, and nobody measures it.", one.place(), one.dim));
    }
    said
}

/// Why a dimension moves the clearance.
fn why(most: &Contribution) -> String {
    let dim = &most.dim;
    let by_gauge = most.shared > most.moves.high - most.moves.low;
    match (most.made, by_gauge, &most.gauge) {
        (true, true, Some(gauge)) => {
            format!("{dim} is made, and the {} leaves it uncertain", gauge.name)
        }
        (true, false, _) => format!("{dim} is made, and its pieces differ"),
        _ if most.followed != 0.0 && most.off.is_some() => {
            format!("later cuts follow the batch's reading of {dim}, not each piece")
        }
        _ => dim.clone(),
    }
}

/// By how much to hold the dominating dimension closer.
fn closer(judged: &JudgedFit, most: &Contribution, method: StackMethod, unit: Unit) -> String {
    let how = match method {
        StackMethod::Likely => "will likely fit",
        StackMethod::Worst => "fits even at the worst",
    };
    let (Some(keep), Some(now), true) =
        (judged.may_keep(most, method), most.limits_with(1.0), most.has_limits())
    else {
        return if most.has_limits() {
            "No limits on that dimension alone are enough. Tighten others too, or try the pieces \
                 in each other and keep matching ones together."
                .to_owned()
        } else {
            "Try the pieces in each other and keep matching ones together.".to_owned()
        };
    };
    let Some(wanted) = most.limits_with(keep).map(|wanted| narrower(wanted, unit)) else {
        return String::new();
    };
    let blind = most.gauge.as_ref().and_then(|gauge| {
        let limits = Limits { low: Some(wanted.low), high: Some(wanted.high) };
        (gauge.judges(&limits) != Judges::Well)
            .then(|| format!("; the {} can't judge those limits, so use a finer gauge", gauge.name))
    });
    format!(
        "With {} there instead of {} it {how}{}.",
        deviations(wanted, unit),
        deviations(now, unit),
        blind.unwrap_or_default()
    )
}

/// Errors that several dimensions have in common, each once, with what it comes to.
fn in_common(judged: &JudgedFit, unit: Unit) -> Vec<String> {
    let moving = || judged.contributions.iter().filter(|one| !one.shared.is_zero());
    let mut sources: Vec<&ErrorSource> = Vec::new();
    for source in moving().filter_map(|one| one.shared_by.as_ref()) {
        if !sources.contains(&source) {
            sources.push(source);
        }
    }
    let sentence = |source: &ErrorSource| {
        let ours: Vec<&Contribution> =
            moving().filter(|one| one.shared_by.as_ref() == Some(source)).collect();
        let dims: Vec<&str> = ours.iter().map(|one| one.dim.as_str()).collect();
        let (last, others) = dims.split_last().filter(|(_, others)| !others.is_empty())?;
        let together: Length = ours.iter().map(|one| one.shared_when_up()).sum();
        let comes_to = if decimal(together.abs(), unit) == decimal(Length::ZERO, unit) {
            "it cancels here".to_owned()
        } else {
            format!("together ±{} here", decimal(together.abs(), unit))
        };
        let (of, one) = match source {
            ErrorSource::Gauge(_) => ("read with", "one gauge"),
            ErrorSource::Scale { .. } => ("set by", "one scale"),
        };
        Some(format!(
            "{} and {last} are {of} {one}, the {}, and share its error: {comes_to}.",
            others.join(", "),
            source.words()
        ))
    };
    sources.into_iter().filter_map(sentence).collect()
}

/// Gauges too coarse for the fit, each once, with the dimension it judges worst.
fn blind(judged: &JudgedFit, unit: Unit) -> Vec<String> {
    let mut worst: Vec<(&Contribution, &str, f64)> = Vec::new();
    for one in &judged.contributions {
        let (Some(gauge), Some(sees)) = (&one.gauge, one.sees) else { continue };
        if sees >= ENOUGH {
            continue;
        }
        match worst.iter_mut().find(|(_, name, _)| *name == gauge.name) {
            Some(held) if held.2 <= sees => {}
            Some(held) => *held = (one, &gauge.name, sees),
            None => worst.push((one, &gauge.name, sees)),
        }
    }
    let sentence = |(one, name, sees): (&Contribution, &str, f64)| {
        let off = one.gauge.as_ref().and_then(|gauge| gauge.uncertainty()).unwrap_or_default();
        format!(
            "Too coarse for this fit: {name} (± {}) at {}. The limits are {sees:.1} times as wide \
             as the uncertainty both ways; they must be at least {ENOUGH:.0} times. Try a plug or the \
             mating piece.",
            decimal(off, unit),
            one.place()
        )
    };
    worst.into_iter().map(sentence).collect()
}

/// Checks that could have wider limits as far as the fits are concerned: each is
/// under a twentieth of every fit, and every fit that holds still holds with
/// twice the range.
pub fn wider_limits(all: &[JudgedFit], unit: Unit) -> Vec<String> {
    let mut said: Vec<String> = Vec::new();
    let mut seen: Vec<&str> = Vec::new();
    for one in all.iter().flat_map(|judged| &judged.contributions) {
        if seen.contains(&one.dim.as_str()) {
            continue;
        }
        seen.push(&one.dim);
        let each = || {
            all.iter().filter_map(|judged| {
                let own = judged.contributions.iter().find(|other| other.dim == one.dim)?;
                Some((judged, own))
            })
        };
        let little = each().all(|(judged, own)| {
            let still = match judged.holds() {
                FitVerdict::Worst => judged.holds_with(&one.dim, 2.0, StackMethod::Worst),
                FitVerdict::Likely => judged.holds_with(&one.dim, 2.0, StackMethod::Likely),
                FitVerdict::Not | FitVerdict::Nominal => true,
            };
            own.has_limits() && own.share < LITTLE && still
        });
        let moves = each().any(|(_, own)| own.share > 0.0);
        let limits = (one.limits_with(1.0), one.limits_with(2.0));
        if let (true, true, (Some(now), Some(wider))) = (little, moves, limits) {
            said.push(format!(
                "{}: {} adds under {} to the variation of every fit. For the fits alone, {} would do.",
                one.place(),
                deviations(now, unit),
                percent(LITTLE),
                deviations(narrower(wider, unit), unit)
            ));
        }
    }
    said
}

/// A range of sizes: `0.002 to 0.006`.
pub fn between(range: SizeRange, unit: Unit) -> String {
    format!("{} to {}", decimal(range.low, unit), decimal(range.high, unit))
}

/// A share of one in whole percent: `38 %`.
pub fn percent(share: f64) -> String {
    format!("{:.0} %", share * 100.0)
}

/// Deviations as a route writes limits: `±0.008`, `+0.012 -0`.
pub fn deviations(off: SizeRange, unit: Unit) -> String {
    let exact = Tolerance::About { below: off.low, above: off.high };
    let none = |length| signed(length, unit) == "+0" || signed(length, unit) == "-0";
    match off.high {
        high if none(high) && none(off.low) => "±0".to_owned(),
        // An exact fraction is shorter than its decimals.
        high if high == -off.low && !words(high, unit).contains('.') => exact.written(unit),
        high if high == -off.low => format!("±{}", decimal(high, unit)),
        high => format!("{} {}", signed(high, unit), signed(off.low, unit)),
    }
}

/// A length with its sign; zero is `+0`.
pub fn signed(length: Length, unit: Unit) -> String {
    let text = decimal(length.abs(), unit);
    let sign = if length.is_negative() { '-' } else { '+' };
    if text.chars().any(|c| c.is_ascii_digit() && c != '0') {
        format!("{sign}{text}")
    } else {
        format!("{sign}0")
    }
}

/// Rounded inwards to the step in which limits are written.
fn narrower(off: SizeRange, unit: Unit) -> SizeRange {
    let step = match unit {
        Unit::Inch => Length::thousandths(1),
        Unit::Millimetre => Length::MILLIMETRE / 100,
    };
    let steps = |length: Length| length.nanometres().div_euclid(step.nanometres());
    SizeRange { low: step * -steps(-off.low), high: step * steps(off.high) }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn limits_are_written_as_a_route_writes_them() {
        let off = |low, high| SizeRange { low, high };
        let th = Length::thousandths;
        assert_eq!(deviations(off(th(-8), th(8)), Unit::Inch), "±0.008");
        let close = Length::inch_fraction(1, 64);
        assert_eq!(deviations(off(-close, close), Unit::Inch), "±1/64");
        assert_eq!(deviations(off(Length::ZERO, th(12)), Unit::Inch), "+0.012 +0");
        assert_eq!(deviations(off(th(-4), th(8)), Unit::Inch), "+0.008 -0.004");
        let narrow = narrower(off(Length::from_nanometres(-30_000), th(5)), Unit::Inch);
        assert_eq!(narrow, off(th(-1), th(5)));
    }
}
