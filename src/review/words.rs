//! A story in one sentence, how sure it is, and what to do about it.
//! Facts, comparison, likely cause, next action: no blame, no names.

use super::cause::{FEWEST, Runner, Story, Told, WEAK};
use super::findings::{Account, GaugeMoved, Out};
use super::readings::{Kind, Series, from_inches};
use super::way_back::{Added, WayBack};
use crate::batch::Decision;
use crate::measure::{Feature, Length, Unit, Verdict};
use crate::operation::decimal;

/// `0.030 too short`.
pub fn off(by: Length, words: Feature, unit: Unit) -> String {
    let (much, little) = words.too();
    let too = if by.is_negative() { little } else { much };
    format!("{} {too}", decimal(by.abs(), unit))
}

/// `longer`, `thinner`: which way something changes.
fn way(by: Length, words: Feature) -> &'static str {
    let more = !by.is_negative();
    match (words, more) {
        (Feature::Thickness, true) => "thicker",
        (Feature::Thickness, false) => "thinner",
        (Feature::Width | Feature::Gap, true) => "wider",
        (Feature::Width | Feature::Gap, false) => "narrower",
        (Feature::Length, true) => "longer",
        (Feature::Length, false) => "shorter",
        (Feature::Depth, true) => "deeper",
        (Feature::Depth, false) => "shallower",
        (Feature::Size, true) => "bigger",
        (Feature::Size, false) => "smaller",
    }
}

/// The story of a check in one sentence.
pub fn sentence(account: &Account, unit: Unit) -> String {
    let series = &account.series;
    let count = series.points.len();
    let name = |place: usize| {
        series.points.get(place.saturating_sub(1)).map_or("?", |point| point.name.as_str())
    };
    match account.told {
        Told::TooFew { have, .. } => format!(
            "{have} {}: too few to say why; it takes {FEWEST} or more.",
            if have == 1 { "reading" } else { "readings" }
        ),
        Told::Story { story, .. } => match story {
            Story::Steady { level } if account.out == 0 => format!(
                "Nothing happened: all {count} alike, {} on the whole.",
                on_the_whole(from_inches(level), series, unit)
            ),
            Story::Steady { level } => format!(
                "No story fits: {} of {count} out, {} on the whole.",
                account.out,
                on_the_whole(from_inches(level), series, unit)
            ),
            Story::SetWrong { by } => {
                let by = from_inches(by);
                format!("Set wrong: all {count} alike, {}.", off(by, series.words, unit))
            }
            Story::Crept { by, .. } => {
                let by = from_inches(by);
                format!(
                    "It crept: {} {} from {} to {}.",
                    decimal(by.abs(), unit),
                    way(by, series.words),
                    name(1),
                    name(count)
                )
            }
            Story::Moved { after, before_level, after_level } => {
                let by = from_inches(after_level - before_level);
                format!(
                    "It moved between {} and {}: {} {} from there on.",
                    name(after),
                    name(after + 1),
                    decimal(by.abs(), unit),
                    way(by, series.words)
                )
            }
            Story::Slip { at, by } => {
                let by = from_inches(by);
                format!(
                    "One slip: {} is {} {} than the others, which are alike.",
                    name(at),
                    decimal(by.abs(), unit),
                    way(by, series.words)
                )
            }
            Story::Apart { count: few, by } => {
                let by = from_inches(by);
                format!(
                    "Some apart: {few} of {count}, here and there, are {} {} than the others.",
                    decimal(by.abs(), unit),
                    way(by, series.words)
                )
            }
            Story::Kind { kind, by } => {
                let by = from_inches(by);
                let these = account.kinds.get(kind).map_or_else(String::new, of_kind);
                format!(
                    "{these} are {} {} than the others.",
                    decimal(by.abs(), unit),
                    way(by, series.words)
                )
            }
            Story::Scattered { sd } => format!(
                "Scattered: no order in it, and wider apart than the limits; one in three is more than {} off the middle.",
                decimal(from_inches(sd), unit)
            ),
        },
    }
}

fn on_the_whole(level: Length, series: &Series, unit: Unit) -> String {
    if decimal(level.abs(), unit).trim_matches(['0', '.']).is_empty() {
        "to size".to_owned()
    } else {
        off(level, series.words, unit)
    }
}

/// The readings of a kind; people are not named.
fn of_kind(kind: &Kind) -> String {
    match kind {
        Kind::Person(_) => "Those that one person measured".to_owned(),
        Kind::Gauge(gauge) => format!("Those measured with the {gauge}"),
        Kind::Hand(hand) => format!("The {hand} ones"),
    }
}

/// A story named in a word or two.
pub fn named(story: &Story) -> &'static str {
    match story {
        Story::Steady { .. } => "nothing happened",
        Story::SetWrong { .. } => "set wrong",
        Story::Crept { .. } => "crept",
        Story::Moved { .. } => "moved",
        Story::Slip { .. } => "one slip",
        Story::Apart { .. } => "some apart",
        Story::Kind { .. } => "one kind apart",
        Story::Scattered { .. } => "scattered",
    }
}

/// How sure a story is, and what comes next to it.
pub fn how_sure(told: &Told) -> Option<String> {
    let Told::Story { story, over_nothing, needed, runner } = told else { return None };
    let next = |Runner { story, behind }: &Runner| {
        if *behind < WEAK {
            format!("it can't be told from `{}`", named(story))
        } else {
            format!("next, {behind:.0} points behind: {}", named(story))
        }
    };
    match story {
        Story::Steady { .. } | Story::Scattered { .. } => {
            runner.as_ref().map(|Runner { story, behind }| {
                format!("nearest story: {}, {behind:.0} points short of being told", named(story))
            })
        }
        _ => {
            let mut words =
                format!("{over_nothing:.0} points over nothing, where {needed:.0} are needed");
            if let Some(runner) = runner {
                words = format!("{words}; {}", next(runner));
            }
            Some(words)
        }
    }
}

/// What to look at, or do, next time.
pub fn next_action(account: &Account) -> Option<&'static str> {
    let series = &account.series;
    if account.by_gauge {
        return Some("The gauge explains it: see there before the machine is touched.");
    }
    match account.told.story()? {
        Story::Steady { .. } if account.out == 0 => None,
        Story::Steady { .. } => {
            Some("Measure the same pieces again, in the same place, with a finer gauge.")
        }
        Story::SetWrong { .. } => Some(match series.kind {
            "sand" | "plane" => {
                "How fat this tool cuts, or the last step taken: try both on a setup piece."
            }
            _ => "How fat this tool cuts, or a scale read wrong: try it on a setup piece.",
        }),
        Story::Crept { .. } => Some(match series.kind {
            "sand" => "A belt that wears or fills, or wood that warms: measure every fifth piece.",
            _ => {
                "A lock that gives, or dust at the stop: clear it each time, measure every fifth piece."
            }
        }),
        Story::Moved { .. } => Some(
            "Something was bumped or set between the two: look there, and at every piece after.",
        ),
        Story::Slip { .. } => {
            Some("Look at that piece: not tight to the stop, a chip under it, or read wrong.")
        }
        Story::Apart { by, .. } if by.is_sign_negative() && series.words == Feature::Length => {
            Some("Dust or a chip between end and stop leaves a piece short: wipe it each time.")
        }
        Story::Apart { .. } => {
            Some("What have those pieces in common: hand, board, person, which end was first?")
        }
        Story::Kind { kind, .. } => Some(match account.kinds.get(*kind)? {
            Kind::Person(_) => "Two hold the gauge unlike: both measure two pieces, side by side.",
            Kind::Gauge(_) => "Both gauges on the same block, then on the same piece.",
            Kind::Hand(_) => "Look how that hand lies at the machine: which face, which way round.",
        }),
        Story::Scattered { .. } => Some(
            "This machine, held like this, can't keep these limits: another way, or wider ones.",
        ),
    }
}

/// `too short by 0.014, set aside`.
pub fn became(out: &Out, unit: Unit) -> String {
    let places = if unit == Unit::Inch { 3 } else { 2 };
    let verdict = out.verdict.words(out.words, unit, places);
    let decided = match out.decision {
        Some(Decision::Rework) => match &out.afterwards {
            Some((size, Verdict::In)) => format!("cut again to {}, in", decimal(*size, unit)),
            Some((size, _)) => format!("cut again to {}, still out", decimal(*size, unit)),
            None => "sent back, not measured since".to_owned(),
        },
        Some(Decision::Accept) => "accepted".to_owned(),
        Some(decision) => decision.words().to_owned(),
        None => match &out.afterwards {
            Some((size, verdict)) => {
                format!(
                    "{} afterwards: {}",
                    decimal(*size, unit),
                    verdict.words(out.words, unit, places)
                )
            }
            None => "nothing decided".to_owned(),
        },
    };
    format!("{verdict}; {decided}")
}

/// `op 170`, or `between op 60 and op 90`, as far as it was measured.
pub fn between(ops: &[u32]) -> String {
    match ops {
        [] => String::new(),
        [only] => format!("op {only}"),
        [first, .., last] => format!("op {first} to op {last}, nothing measured between"),
    }
}

/// What an added share is of.
pub fn added_what(added: &Added) -> String {
    let times = added.times.abs();
    let of = &added.feature;
    if added.rest {
        format!("the rest of {of}")
    } else if times == 1 {
        of.clone()
    } else {
        format!("{times} x {of}")
    }
}

/// Where it left its limits, in one sentence.
pub fn left_at(way: &WayBack) -> Option<String> {
    let (good, out) = way.left()?;
    Some(match good {
        Some(good) if good.op == out.op => format!("Out at op {}.", out.op),
        Some(good) => format!("Good at op {}, out at op {}: it happened between.", good.op, out.op),
        None => format!("Out at op {}, where it was first measured.", out.op),
    })
}

/// A gauge's own story in one sentence.
pub fn gauge_sentence(moved: &GaugeMoved, unit: Unit) -> String {
    let since = &moved.between.1;
    let before = match &moved.between.0 {
        Some(point) => format!("after {}", point.name),
        None => "from the start".to_owned(),
    };
    let more = if moved.by.is_negative() { "less" } else { "more" };
    format!(
        "The {} read {} {more} from {} on ({before}), at every machine: look at its zero.",
        moved.gauge,
        decimal(moved.by.abs(), unit),
        since.name
    )
}
