//! What a strict inspector says across operations, and where in the route it
//! stands. Knows nothing of what was measured.

use super::walk::plan_finding;
use super::{Plan, PlanFinding};
use crate::document::{Document, Level, Node, Place, Problem, nearest, visible};
use crate::measure::{Judges, Limits};
use crate::operation::words;
use crate::route::{Route, Step};
use crate::shop::Shop;

/// Looks at gauges, gates and the order of things.
pub(super) fn across(route: &Route, shop: &Shop, plan: &mut Plan) {
    for step in &route.steps {
        let Some(planned) = plan.operations.iter_mut().find(|planned| planned.op == step.op) else {
            continue;
        };
        let limits: Vec<Option<Limits>> = (0..step.checks.len())
            .map(|n| planned.groups.first().and_then(|group| group.limits.get(n)).map(|l| l.limits))
            .collect();
        let mut findings = gauges(route, shop, step, &limits);
        for need in &planned.needs {
            if need.op > step.op && step.cant_be_undone() {
                findings.push(about(
                    step,
                    Level::Error,
                    format!(
                        "uses {}, which is only measured at op {}, and this can't be undone",
                        need.dim, need.op
                    ),
                    "measure it before, or move this operation behind it",
                ));
            }
        }
        planned.needs.retain(|need| need.op < step.op);
        findings.extend(order(route, step));
        planned.findings.extend(findings);
    }
}

fn about(step: &Step, level: Level, what: String, fix: &str) -> PlanFinding {
    let mut finding = plan_finding(step.op, level, what);
    finding.key = Some("do");
    finding.fix = Some(fix.to_owned());
    finding
}

/// Checks the named gauge can't judge, or doesn't exist.
fn gauges(route: &Route, shop: &Shop, step: &Step, limits: &[Option<Limits>]) -> Vec<PlanFinding> {
    let mut findings = Vec::new();
    for (n, check) in step.checks.iter().enumerate() {
        let mut report = |level, what: String, fix: Option<String>| {
            let mut finding = plan_finding(step.op, level, what);
            finding.key = Some("with");
            finding.check = Some(n);
            finding.fix = fix;
            findings.push(finding);
        };
        let Some(gauge) = shop.gauges.get(&check.with) else {
            let near = nearest(&check.with, shop.gauges.keys().map(String::as_str));
            let what = format!("no gauge in this shop is called `{}`", visible(&check.with));
            report(Level::Error, what, near.map(|near| format!("did you mean `{near}`?")));
            continue;
        };
        let Some(limits) = limits.get(n).copied().flatten() else { continue };
        let (Some(band), Some(uncertainty)) = (limits.band(), gauge.uncertainty()) else {
            continue;
        };
        let better = || {
            shop.gauges
                .values()
                .find(|other| {
                    other.uncertainty().is_some_and(|u| u < uncertainty)
                        && other.judges(&limits) == Judges::Well
                })
                .map(|other| format!("the {} can", other.name))
        };
        let (band_words, u) = (words(band, route.unit), words(uncertainty, route.unit));
        match gauge.judges(&limits) {
            Judges::Well => {}
            Judges::Barely => report(
                Level::Warning,
                format!(
                    "the {} is off by up to {u}: a band of {band_words} leaves many readings too close to call",
                    check.with
                ),
                better(),
            ),
            Judges::Not => report(
                Level::Error,
                format!(
                    "the {} is off by up to {u} and can't judge a band of {band_words}",
                    check.with
                ),
                better(),
            ),
        }
    }
    findings
}

/// Orders the trade warns against (common practice, no source).
fn order(route: &Route, step: &Step) -> Vec<PlanFinding> {
    let before = |wanted: &dyn Fn(&Step) -> bool| {
        route.steps.iter().filter(|other| other.part == step.part && other.op < step.op).any(wanted)
    };
    let finished_length = before(&|other| other.kind.name == "crosscut" && !other.what.is_rough());
    let mut findings = Vec::new();
    match step.kind.name {
        "plane" if finished_length => findings.push(about(
            step,
            Level::Warning,
            "planing after the finished length is cut leaves the planer's snipe in the piece"
                .into(),
            "plane first, cut to length afterwards",
        )),
        "joint" if before(&|other| matches!(other.kind.name, "plane" | "sand")) => {
            findings.push(about(
                step,
                Level::Warning,
                "jointing after thicknessing makes pieces unlike again".into(),
                "joint first, then plane to one thickness",
            ));
        }
        "plane" if before(&|other| other.kind.name == "sand") => findings.push(about(
            step,
            Level::Warning,
            "planing after sanding: grit left in the wood blunts the knives".into(),
            "plane first, sand afterwards",
        )),
        _ => {}
    }
    findings
}

/// A plan's findings as problems of the route's document, each at its place.
pub fn problems(plan: &Plan, route: &Route, document: &Document) -> Vec<Problem> {
    plan.all_findings()
        .map(|finding| {
            let node = node_of(finding, route, document);
            let mut problem = node.problem(finding.what.clone(), finding.fix.clone());
            problem.level = finding.level;
            if let Some(at) = &finding.at {
                problem.place = Some(node.text_place(at.clone()));
            }
            problem
        })
        .collect()
}

/// Where each finding stands, in the plan's order.
pub fn places(plan: &Plan, route: &Route, document: &Document) -> Vec<Place> {
    plan.all_findings().map(|finding| node_of(finding, route, document).place()).collect()
}

fn node_of<'d>(finding: &PlanFinding, route: &Route, document: &'d Document) -> Node<'d> {
    let root = document.root();
    if let Some(part) = &finding.part {
        return root.child("parts").and_then(|parts| parts.child(part)).unwrap_or(root);
    }
    let Some(step) = finding.op.and_then(|op| route.step(op)) else { return root };
    let operation =
        root.child("operations").and_then(|node| node.items()?.get(step.index).copied());
    let Some(operation) = operation else { return root };
    let inner = finding
        .check
        .and_then(|n| operation.child("checks")?.items()?.get(n).copied())
        .unwrap_or(operation);
    finding.key.and_then(|key| inner.child(key)).unwrap_or(inner)
}
