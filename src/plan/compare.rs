//! What a new made value would change: collisions first, then each setting and
//! each size worked to that is different now.

use super::Plan;
use crate::measure::{Dial, Unit};
use crate::operation::Outcome;
use crate::prose::{Level, Message};

/// Something that no longer works, at the operation of this number; 0 where it
/// is about none.
pub type Collision = Message<u32>;

/// Something people set or work to that is different now.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Change {
    /// The operation.
    pub op: u32,
    /// Its part.
    pub part: String,
    /// Its machine.
    pub at: Option<String>,
    /// What is set or worked to: `fence`.
    pub what: String,
    /// What sort of number it is.
    pub of: Changed,
    /// What it was, in words; empty where it is new.
    pub was_text: String,
    /// What it is now, in words.
    pub now_text: String,
    /// How it came about; empty where nothing says.
    pub why: String,
}

/// What sort of number changed.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Changed {
    /// What a scale is set to.
    Setting {
        /// What the scale was set to; `None` where it is new.
        was: Option<Dial>,
        /// What the scale is set to now.
        now: Dial,
    },
    /// A number that is not set by itself: a tenon, a spacer, heights on the way.
    Size,
}

/// One thing a plan says to set or to work to.
struct PlannedNumber {
    what: String,
    text: String,
    why: String,
    /// None where no scale shows it.
    dial: Option<Dial>,
}

/// The collisions and changes from one plan to the next, and how many
/// settings stay as they are.
pub fn compare(before: &Plan, after: &Plan, unit: Unit) -> (Vec<Collision>, Vec<Change>, usize) {
    let mut collisions = Vec::new();
    let mut changes = Vec::new();
    let mut unchanged = 0;
    for finding in after.all_findings().filter(|finding| finding.level == Level::Error) {
        let known = before.all_findings().any(|old| {
            old.place.op == finding.place.op
                && old.level == Level::Error
                && old.what == finding.what
        });
        if !known {
            collisions.push(finding.clone().map_place(|place| place.op.unwrap_or(0)));
        }
    }
    for operation in &after.operations {
        let old = before.operation(operation.op);
        for group in &operation.groups {
            let old = group.pieces.first().and_then(|piece| old?.group_of(*piece));
            let old = old.map_or_else(Vec::new, |old| planned_numbers(&old.outcome, unit));
            for now in planned_numbers(&group.outcome, unit) {
                let was = old
                    .iter()
                    .find(|was| was.what == now.what && was.dial.is_some() == now.dial.is_some());
                if was.is_some_and(|was| was.dial == now.dial && was.text == now.text) {
                    unchanged += usize::from(now.dial.is_some());
                    continue;
                }
                let was_dial = was.and_then(|was| was.dial);
                changes.push(Change {
                    op: operation.op,
                    part: operation.part.clone(),
                    at: operation.at.clone(),
                    of: now
                        .dial
                        .map_or(Changed::Size, |now| Changed::Setting { was: was_dial, now }),
                    what: now.what,
                    was_text: was.map_or_else(String::new, |was| was.text.clone()),
                    now_text: now.text,
                    why: now.why,
                });
            }
        }
    }
    (collisions, changes, unchanged)
}

fn planned_numbers(outcome: &Outcome, unit: Unit) -> Vec<PlannedNumber> {
    let settings = outcome.settings.iter().map(|setting| PlannedNumber {
        what: setting.name.clone(),
        text: setting.dial_text(),
        why: setting.why.clone(),
        dial: Some(setting.setting.dial),
    });
    let plain =
        |what: String, text: String| PlannedNumber { what, text, why: String::new(), dial: None };
    let facts = outcome.facts.iter().map(|fact| plain(fact.what.clone(), fact.words(unit)));
    let heights = heights_on_the_way(outcome).map(|text| plain("heights on the way".into(), text));
    settings.chain(heights).chain(facts).collect()
}

/// More heights than these are summed up as the first, the last and how many.
const MOST_HEIGHTS: usize = 4;

/// The heights of the passes that no setting tells already.
fn heights_on_the_way(outcome: &Outcome) -> Option<String> {
    let settings: Vec<Dial> = outcome.settings.iter().map(|held| held.setting.dial).collect();
    let heights: Vec<String> = outcome
        .passes
        .iter()
        .filter(|pass| !pass.kiss && !settings.contains(&pass.dial))
        .map(|pass| pass.dial_text())
        .collect();
    match heights.as_slice() {
        [] => None,
        [first, .., last] if heights.len() > MOST_HEIGHTS => {
            Some(format!("{first} to {last} in {}", heights.len()))
        }
        few => Some(few.join(", ")),
    }
}
