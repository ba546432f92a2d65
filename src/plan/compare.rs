//! What a new made value would change: collisions first, then each setting
//! that is different now. Knows nothing of who accepts it.

use super::Plan;
use crate::document::Level;
use crate::measure::Dial;

/// Something that won't work any more.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Collision {
    pub op: u32,
    pub what: String,
    pub fix: Option<String>,
}

/// A setting that is different now.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Change {
    pub op: u32,
    pub part: String,
    pub at: Option<String>,
    pub setting: String,
    pub was: Option<Dial>,
    pub now: Dial,
    pub was_text: String,
    pub now_text: String,
    pub why: String,
}

/// The collisions and changes from one plan to the next, and how many
/// settings were looked at.
pub fn compare(before: &Plan, after: &Plan) -> (Vec<Collision>, Vec<Change>, usize) {
    let mut collisions = Vec::new();
    let mut changes = Vec::new();
    let mut looked_at = 0;
    for finding in after.all_findings().filter(|finding| finding.level == Level::Error) {
        let known = before.all_findings().any(|old| {
            old.op == finding.op && old.level == Level::Error && old.what == finding.what
        });
        if !known {
            let (what, fix) = (finding.what.clone(), finding.fix.clone());
            collisions.push(Collision { op: finding.op.unwrap_or(0), what, fix });
        }
    }
    for operation in &after.operations {
        let old = before.operation(operation.op);
        for group in &operation.groups {
            let old_group = old.and_then(|old| old.group_of(*group.pieces.first()?));
            for setting in &group.outcome.settings {
                looked_at += 1;
                let was = old_group
                    .and_then(|old| old.outcome.settings.iter().find(|s| s.name == setting.name));
                if was.is_some_and(|was| was.setting.dial == setting.setting.dial) {
                    continue;
                }
                changes.push(Change {
                    op: operation.op,
                    part: operation.part.clone(),
                    at: operation.at.clone(),
                    setting: setting.name.clone(),
                    was: was.map(|was| was.setting.dial),
                    now: setting.setting.dial,
                    was_text: was.map_or_else(String::new, |was| was.dial_text()),
                    now_text: setting.dial_text(),
                    why: setting.why.clone(),
                });
            }
        }
    }
    (collisions, changes, looked_at)
}
