//! Values that can't be true: an allowance below nothing, an aim to the unsafe
//! side, a scale below zero.
//!
//! Each is an error at its text, with what to do instead. The numbers are
//! worked out all the same: a batch that began on such a file still opens and
//! shows them beside the error.

use super::finding::{PlanFinding, plan_finding};
use crate::measure::{Length, Unit};
use crate::operation::{Keyed, Outcome, Work, scale_name};
use crate::prose::Level;
use crate::route::Step;
use crate::shop::Tool;

/// Keys that hold what is left on, taken off or kept clear.
const ALLOWANCES: [&str; 17] = [
    "allowance",
    "clean_up",
    "clear_behind",
    "clearance",
    "defect",
    "extra",
    "film",
    "flatten",
    "gap",
    "horn",
    "kerf",
    "last",
    "leave",
    "loss",
    "rejoint",
    "sanding",
    "trim",
];

/// Left at the end of a panel to hold it by: an allowance of its own.
const TAIL: &str = "tail";

/// No cut of this and less is set up for (common practice, no source).
const NEXT_TO_NOTHING: Length = Length::inch_fraction(1, 64);

/// What of an operation can't be.
/// `across` is how many pieces of the part lie side by side in its stock.
pub(super) fn impossible(
    step: &Step,
    work: &Work<'_>,
    outcome: &Outcome,
    across: u32,
) -> Vec<PlanFinding> {
    let mut found = allowances(step, work);
    found.extend(aim(step, work));
    found.extend(thickest(step, work));
    found.extend(belts(step, work, outcome));
    found.extend(travel(step, work, outcome));
    found.extend(kerf(step, work));
    found.extend(side_by_side(step, outcome, across));
    found
}

/// The boards are laid out for as many side by side as are cut there.
fn side_by_side(step: &Step, outcome: &Outcome, across: u32) -> Option<PlanFinding> {
    let beside = outcome.after.beside.max(1);
    (step.what.is_rough() && beside > 1 && beside != across).then(|| {
        let what = format!("{beside} lie side by side here, but {across} in the part's stock");
        refused(step, "beside", what, format!("\"across\": {beside} in the part's `stock`"))
    })
}

fn refused(step: &Step, key: &'static str, what: String, fix: impl Into<String>) -> PlanFinding {
    let mut finding = plan_finding(step.op, Level::Error, what);
    finding.place.key = Some(key);
    finding.help = Some(fix.into());
    finding
}

/// The same at the whole text of a formula.
fn refused_at(step: &Step, keyed: &Keyed, what: String, fix: impl Into<String>) -> PlanFinding {
    let mut finding = refused(step, keyed.key, what, fix);
    finding.place.at = Some(0..keyed.formula.text().len());
    finding
}

fn allowances(step: &Step, work: &Work<'_>) -> Vec<PlanFinding> {
    let held = step.what.formulas();
    let held = held.into_iter().filter(|held| ALLOWANCES.contains(&held.key) || held.key == TAIL);
    let negative = held.filter_map(|keyed| {
        let length = work.length(keyed).ok().filter(|length| length.is_negative())?;
        let key = keyed.key;
        Some(refused_at(
            step,
            keyed,
            format!("`{key}` comes to {}, and there is no less than nothing", work.words(length)),
            format!("zero or more; leave `{key}` out where the usual is meant"),
        ))
    });
    negative.collect()
}

/// An aim leaves a little on the side that can still be cut.
fn aim(step: &Step, work: &Work<'_>) -> Option<PlanFinding> {
    let keyed = step.aim.as_ref()?;
    let aim = work.length(keyed).ok()?;
    let (most, most_words) = match work.unit {
        Unit::Inch => (Length::inch_fraction(1, 4), "1/4 in"),
        Unit::Millimetre => (Length::MILLIMETRE * 6, "6 mm"),
    };
    if aim.is_negative() {
        let what = format!("an aim of {} is to the side that can't be cut again", work.words(aim));
        return Some(refused_at(step, keyed, what, "how much is left on: zero or more"));
    }
    (aim > most).then(|| {
        let what = format!("an aim of {} is more than {most_words}", work.words(aim));
        let fix = "an aim is a hair to the safe side; leave more on in the size itself";
        refused_at(step, keyed, what, fix)
    })
}

/// The thickest piece goes through the machine, and has wood to lose.
fn thickest(step: &Step, work: &Work<'_>) -> Option<PlanFinding> {
    let formulas = step.what.formulas();
    let of = |key: &str| formulas.iter().find(|keyed| keyed.key == key).copied();
    let keyed = of("thickest")?;
    let thickest = work.length(keyed).ok()?;
    let at = work.at.unwrap_or("machine");
    if let Some(most) = work.machine.and_then(|machine| machine.thickest)
        && thickest > most
    {
        let what = format!(
            "a piece {} thick doesn't go through the {at}, which takes {}",
            work.words(thickest),
            work.words(most)
        );
        return Some(refused_at(step, keyed, what, "measure the thickest piece again"));
    }
    let to = work.length(of("to")?).ok()?;
    (thickest < to).then(|| {
        let what = format!(
            "the thickest piece is {}, and it is to come down to {}",
            work.words(thickest),
            work.words(to)
        );
        refused_at(step, keyed, what, "measure the thickest piece again, or make it thinner")
    })
}

/// Belts go from coarse to fine.
fn belts(step: &Step, work: &Work<'_>, outcome: &Outcome) -> Option<PlanFinding> {
    let machine = work.machine?;
    let tools = outcome.passes.iter().filter_map(|pass| pass.tool.as_deref());
    let belts: Vec<(&str, u32)> =
        tools.filter_map(|name| Some((name, machine.tools.get(name)?.grit?))).collect();
    let back = belts.windows(2).find(|pair| pair[1].1 < pair[0].1)?;
    let what = format!(
        "the {} comes after the {}: its scratches stay in the finished face",
        back[1].0, back[0].0
    );
    Some(refused(step, "belts", what, "name the belts from coarse to fine"))
}

/// No scale stands below zero or beyond its end.
fn travel(step: &Step, work: &Work<'_>, outcome: &Outcome) -> Option<PlanFinding> {
    let at = work.at.unwrap_or("machine");
    let set = outcome.settings.iter();
    // Where next to nothing is to be cut, the scale isn't set at all.
    let set = set.filter(|held| held.setting.target.0 > NEXT_TO_NOTHING);
    let mut set = set.map(|held| (held.name.as_str(), held.setting.dial.0, held.dial_text()));
    let shown = |dial: &str, unit: Unit| {
        if unit == work.unit { dial.to_owned() } else { format!("{dial} {unit}") }
    };
    set.find_map(|(name, dial, text)| {
        let scale = scale_name(name);
        let readout = work.readout(scale);
        let text = shown(&text, readout.unit);
        if dial.is_negative() {
            let what = format!("the {name} of the {at} would stand at {text}, below zero");
            let fix = "another size, or a tool whose `scale_offset` is right";
            return Some(refused(step, "at", what, fix));
        }
        let most = work.machine?.readouts.get(scale)?.most.filter(|most| dial > *most)?;
        let what = format!(
            "the {name} of the {at} would stand at {text}, and its scale ends at {}",
            work.words(most)
        );
        Some(refused(step, "at", what, "another machine, or a smaller size"))
    })
}

/// The shop file's blade can't cut as it says.
fn kerf(step: &Step, work: &Work<'_>) -> Option<PlanFinding> {
    let (at, name) = (work.at?, work.tool_name?);
    let (what, fix) = work.tool.and_then(Tool::impossible_kerf)?;
    let mut finding = refused(step, "at", format!("the {name} of the {at}: {what}"), fix);
    finding.place.of_the_shop = true;
    Some(finding)
}
