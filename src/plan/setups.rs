//! Operations that one setup serves: same machine, same tool, same dials.

use super::{Plan, PlannedOperation};
use crate::measure::Dial;

/// Operations at one machine that need nothing set in between.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct SharedSetup {
    /// The machine.
    pub at: String,
    /// The tool.
    pub tool: Option<String>,
    /// Each setting with what its scale shows.
    pub settings: Vec<(String, String)>,
    /// The operations, by number.
    pub operations: Vec<u32>,
}

/// The setups that serve more than one operation.
pub fn shared_setups(plan: &Plan) -> Vec<SharedSetup> {
    let mut shared: Vec<(SetupKey<'_>, SharedSetup)> = Vec::new();
    for planned in &plan.operations {
        let Some(key) = key(planned) else { continue };
        match shared.iter_mut().find(|(other, _)| *other == key) {
            Some((_, setup)) => setup.operations.push(planned.op),
            None => {
                let outcome = &planned.groups[0].outcome;
                let settings =
                    outcome.settings.iter().map(|held| (held.name.clone(), held.dial_text()));
                let setup = SharedSetup {
                    at: key.0.to_owned(),
                    tool: planned.tool.clone(),
                    settings: settings.collect(),
                    operations: vec![planned.op],
                };
                shared.push((key, setup));
            }
        }
    }
    shared.into_iter().map(|(_, setup)| setup).filter(|s| s.operations.len() > 1).collect()
}

/// Machine, tool, and every setting with its dial.
type SetupKey<'a> = (&'a str, Option<&'a str>, Vec<(&'a str, Dial)>);

/// What a setup is known by. Passes move the scale all the time, and groups
/// with dials of their own share nothing.
fn key(planned: &PlannedOperation) -> Option<SetupKey<'_>> {
    let [group] = planned.groups.as_slice() else { return None };
    let outcome = &group.outcome;
    if outcome.settings.is_empty() || !outcome.passes.is_empty() {
        return None;
    }
    let settings = outcome.settings.iter().map(|s| (s.name.as_str(), s.setting.dial)).collect();
    Some((planned.at.as_deref()?, planned.tool.as_deref(), settings))
}
