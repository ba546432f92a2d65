//! What an operation is done with: its machine and tool, their cautions, and
//! what the operations after it need of the piece.

use super::finding::{PlanFinding, plan_finding};
use super::walker::Walker;
use super::{Group, Need};
use crate::measure::Length;
use crate::operation::{Blank, FeatureName, LENGTH, MayOverride, ShortestPiece, THICKNESS, WIDTH};
use crate::prose::{Level, nearest, visible};
use crate::route::Step;
use crate::shop::{Act, Machine, Tool, cautions, lifting, protection};

/// Of seasoned hard wood, in kilograms a cubic metre: on the heavy side, for it
/// only says when to call for help (common practice, no source).
const HEAVY_WOOD: f64 = 750.0;

/// What an operation is done with.
pub(super) struct Bench<'a> {
    pub machine: Option<&'a Machine>,
    pub tool: Option<(&'a str, &'a Tool)>,
}

impl<'a> Walker<'a> {
    pub(super) fn bench(&self, step: &Step, findings: &mut Vec<PlanFinding>) -> Bench<'a> {
        // No lead can stand in for a machine that isn't there.
        let mut report = |may_override, key, what: String, fix: Option<String>| {
            let mut finding = plan_finding(step.op, Level::Error, what);
            finding.place.may_override = may_override;
            finding.place.key = Some(key);
            finding.help = fix;
            findings.push(finding);
        };
        let nothing = Bench { machine: None, tool: None };
        let kinds = step.what.machines();
        let Some(at) = &step.at else {
            if !kinds.is_empty() {
                let what = format!("`at` is missing: the machine to {} with", step.kind);
                report(MayOverride::Nobody, "do", what, None);
            }
            return nothing;
        };
        let machine: Option<&'a Machine> = self.shop.machines.get(at);
        let Some(machine) = machine else {
            let near = nearest(at, self.shop.machines.keys().map(String::as_str));
            let what = format!("no machine in this shop is called `{}`", visible(at));
            report(
                MayOverride::Nobody,
                "at",
                what,
                near.map(|near| format!("did you mean `{near}`?")),
            );
            return nothing;
        };
        if !kinds.is_empty() && !kinds.contains(&machine.kind) {
            let what = format!("the {} is not a machine to {} with", visible(at), step.kind);
            report(MayOverride::Nobody, "at", what, None);
        }
        let tool = match &step.tool {
            Some(name) => {
                let found = machine.tools.get_key_value(name);
                if found.is_none() {
                    let near = nearest(name, machine.tools.keys().map(String::as_str));
                    let what =
                        format!("the {} has no tool called `{}`", visible(at), visible(name));
                    let fix = near.map(|near| format!("did you mean `{near}`?"));
                    report(MayOverride::Lead, "tool", what, fix);
                }
                found
            }
            None if step.what.chooses_tools() => None,
            None if machine.tools.len() > 1 => {
                let names: Vec<&str> = machine.tools.keys().map(String::as_str).collect();
                let what = format!("the {} has several tools: name one", visible(at));
                report(
                    MayOverride::Lead,
                    "do",
                    what,
                    Some(format!("\"tool\": one of {}", names.join(", "))),
                );
                machine.tools.iter().next()
            }
            None => machine.tools.iter().next(),
        };
        Bench { machine: Some(machine), tool: tool.map(|(name, tool)| (name.as_str(), tool)) }
    }

    /// The longest of the shortest pieces the machines ahead will take, up to
    /// where the finished length is cut.
    pub(super) fn shortest_later(&self, step: &Step) -> Option<ShortestPiece> {
        self.route
            .steps
            .iter()
            .filter(|later| later.part == step.part && later.op > step.op)
            .take_while(|later| {
                !(later.what.parts_a_gang()
                    && later.what.takes_wood_off().contains(&FeatureName::LENGTH))
            })
            .filter_map(|later| {
                let name = later.at.as_ref()?;
                let least = self.shop.machines.get(name)?.least_length(self.route.unit)?;
                let length = least.size;
                Some(ShortestPiece { length, machine: name.clone() })
            })
            .max_by_key(|limit| limit.length)
    }

    /// Dimensions a check before this operation makes, as far as it uses them.
    pub(super) fn needs(&self, step: &Step) -> Vec<Need> {
        let mut needs = Vec::new();
        for maker in self.route.steps.iter().filter(|maker| maker.op != step.op) {
            for becomes in maker.checks.iter().filter_map(|check| check.becomes.as_ref()) {
                let dim = &becomes.dim;
                let uses = step.names().any(|name| name == dim || self.web().depends_on(name, dim));
                if uses {
                    needs.push(Need { dim: dim.clone(), op: maker.op });
                }
            }
        }
        needs
    }

    /// The cautions of the cut, then of the machine and what is done there, then
    /// of heavy pieces, then what to wear.
    pub(super) fn cautions(&self, step: &Step, bench: &Bench<'_>, groups: &[Group]) -> Vec<String> {
        let mut all: Vec<String> = Vec::new();
        let own = groups.iter().flat_map(|group| group.outcome.cautions.iter().cloned());
        all.extend(own);
        let heaviest = groups.iter().map(|group| kilograms(&group.before)).fold(0.0, f64::max);
        if let Some(machine) = bench.machine {
            let act = if is_on_sled(machine) { Act::OnSled } else { step.what.act() };
            all.extend(cautions(machine.kind, act).iter().map(|text| (*text).to_owned()));
            all.extend(lifting(heaviest));
            all.push(protection(machine.kind).to_owned());
        }
        let mut seen = std::collections::BTreeSet::new();
        all.retain(|text| seen.insert(text.clone()));
        all
    }
}

/// Whether everything there is cut on a sled: it has one, or it has a length
/// stop and no fence.
fn is_on_sled(machine: &Machine) -> bool {
    let has = |scale: &str| machine.readouts.contains_key(scale);
    machine.sled_base.is_some() || (has("stop") && !has("fence"))
}

/// About how much the biggest of these pieces weighs; nothing where its sizes
/// aren't known.
fn kilograms(blank: &Blank) -> f64 {
    let metres = |feature| {
        let size = blank.most(feature).unwrap_or(Length::ZERO);
        size.nanometres() as f64 / 1e9
    };
    metres(THICKNESS) * metres(WIDTH) * metres(LENGTH) * HEAVY_WOOD
}
