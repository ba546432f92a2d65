//! What a strict inspector says across operations, and where in the route it
//! is.

use super::finding::plan_finding;
use super::{Group, GroupLimits, Need, Plan, PlanFinding};
use crate::document::{Document, Node, Problem};
use crate::measure::{Gauge, Judges, Length, Reads, Setting, Tolerance};
use crate::operation::{NamedSetting, PartSequence, decimal, words};
use crate::prose::{Level, nearest, visible};
use crate::route::{Check, Route, Step};
use crate::shop::Shop;

/// Looks at gauges, gates and the order of things.
pub(super) fn across(
    route: &Route,
    shop: &Shop,
    step: &Step,
    group: &Group,
    needs: &[Need],
) -> Vec<PlanFinding> {
    let mut findings = gauges(route, shop, step, group);
    findings.extend(limits(route, shop, step, group));
    let late = needs.iter().filter(|need| need.op > step.op && step.cant_be_undone());
    findings.extend(late.map(|need| {
        about(
            step,
            Level::Error,
            format!(
                "this can't be undone, but it uses {}, which is measured only at op {}",
                need.dim, need.op
            ),
            "measure it earlier, or move this operation after that one",
        )
    }));
    findings.extend(order(route, step));
    findings
}

fn about(step: &Step, level: Level, what: String, fix: &str) -> PlanFinding {
    let mut finding = plan_finding(step.op, level, what);
    finding.place.key = Some("do");
    finding.help = Some(fix.to_owned());
    finding
}

/// Checks the named gauge can't judge, or doesn't exist.
fn gauges(route: &Route, shop: &Shop, step: &Step, group: &Group) -> Vec<PlanFinding> {
    let mut findings = Vec::new();
    for (n, check) in step.checks.iter().enumerate() {
        let mut report = |level, what: String, fix: Option<String>| {
            let mut finding = plan_finding(step.op, level, what);
            finding.place.key = Some("with");
            finding.place.check = Some(n);
            finding.help = fix;
            findings.push(finding);
        };
        let Some(gauge) = shop.gauges.get(&check.with) else {
            let near = nearest(&check.with, shop.gauges.keys().map(String::as_str));
            let what = format!("no gauge in this shop is called `{}`", visible(&check.with));
            report(Level::Error, what, near.map(|near| format!("did you mean `{near}`?")));
            continue;
        };
        let Some(GroupLimits { target, limits }) = group.limits.get(n) else { continue };
        if let Some(target) = target.filter(|target| gauge.is_beyond(*target)) {
            let target = words(target, route.unit);
            let what = format!("{target} is beyond the range of the {}", check.with);
            report(Level::Error, what, None);
        }
        let (Some(band), Some(uncertainty)) = (limits.band(), gauge.uncertainty()) else {
            continue;
        };
        // What has a block to be tried on measures sizes of any kind; feelers
        // and rods serve one purpose each, so they come second.
        let better = || {
            let fits = |other: &&Gauge| {
                other.uncertainty().is_some_and(|u| u < uncertainty)
                    && other.judges(limits) == Judges::Well
                    && target.is_some_and(|target| !other.is_beyond(target))
            };
            let tried = |other: &&Gauge| shop.check_blocks.contains_key(&other.name);
            let gauges = || shop.gauges.values().filter(fits);
            let reaches =
                |other: &&Gauge| matches!(other.reads, Reads::Number { range: Some(_), .. });
            let found = gauges().find(tried).or_else(|| gauges().find(reaches));
            found.map(|other| format!("use the {}", other.name))
        };
        let (band_words, u) = (words(band, route.unit), words(uncertainty, route.unit));
        match gauge.judges(limits) {
            Judges::Well => {}
            Judges::Barely => report(
                Level::Warning,
                format!(
                    "the {} has an uncertainty of {u}: a band of {band_words} leaves many readings too close to call",
                    check.with
                ),
                better(),
            ),
            Judges::Not => report(
                Level::Error,
                format!(
                    "the {} has an uncertainty of {u}, too much to judge a band of {band_words}",
                    check.with
                ),
                better(),
            ),
        }
    }
    findings
}

/// Limits around nothing, limits the setting itself misses, and scales too
/// coarse for them.
fn limits(route: &Route, shop: &Shop, step: &Step, group: &Group) -> Vec<PlanFinding> {
    let mut findings = Vec::new();
    for (n, (check, held)) in step.checks.iter().zip(&group.limits).enumerate() {
        let mut report = |level, what: String, fix: &str| {
            let mut finding = about(step, level, what, fix);
            finding.place.key = Some("limits");
            finding.place.check = Some(n);
            findings.push(finding);
        };
        if held.target.is_none() && matches!(check.tolerance, Tolerance::About { .. }) {
            let what =
                format!("± limits need a size, and the planned {} is unknown", visible(&check.of));
            report(
                Level::Error,
                what,
                "give the size with `around`, or write both limits: 1/32..3/32",
            );
        }
        let sizes = |setting: &&NamedSetting| setting.sizes.as_ref() == Some(&check.of);
        let Some(setting) = group.outcome.settings.iter().find(sizes) else { continue };
        if check.around.is_some() {
            continue;
        }
        let predicted = setting.setting.predicted;
        let off = (predicted - setting.setting.target.0 - setting.setting.aim).abs();
        if !held.limits.contains(predicted) {
            if let Some((what, fix)) = outside(route, group, setting, held) {
                report(Level::Error, what, &fix);
            }
        } else if let Some(near) = too_near(shop, check, predicted, held) {
            let what = format!(
                "the {} makes {}, {} from a limit: many readings will be too close to call",
                setting.name,
                words(predicted, route.unit),
                decimal(near, route.unit)
            );
            let fix = "leave room between the setting and each limit, or give an `aim`";
            report(Level::Warning, what, fix);
        } else if held.limits.band().is_some_and(|band| off * 10 > band) {
            let what = format!(
                "the {} can only be set to {}, which uses up {} of the {} between the limits",
                setting.name,
                setting.dial_text(),
                decimal(off, route.unit),
                decimal(held.limits.band().unwrap_or_default(), route.unit)
            );
            report(Level::Note, what, "use a scale with a finer step, or widen the limits");
        }
    }
    findings
}

/// What is wrong with a setting outside its limits, and what helps: the size lies between
/// two marks of the scale, or the limits are of another size. Where the piece is smaller
/// already the cut itself is refused, and nothing is said here.
fn outside(
    route: &Route,
    group: &Group,
    setting: &NamedSetting,
    held: &GroupLimits,
) -> Option<(String, String)> {
    let say = |length| words(length, route.unit);
    let Setting { target, aim, predicted, .. } = setting.setting;
    let wanted = target.0 + aim;
    let step = setting.readout.step;
    if held.limits.contains(wanted) {
        let other = if predicted < wanted { predicted + step } else { predicted - step };
        let what = format!(
            "the {} makes {} where {} is wanted, which is outside these limits",
            setting.name,
            say(predicted),
            say(wanted)
        );
        let fix = format!(
            "its marks make {} and {}: take one of them for the size, widen the limits, or use a scale with a finer step",
            say(predicted.min(other)),
            say(predicted.max(other))
        );
        return Some((what, fix));
    }
    let left = group.outcome.after.size(setting.sizes.as_ref()?);
    if left.is_some_and(|left| left.most + Length::ROUNDING < predicted) {
        return None;
    }
    let what =
        format!("the {} makes {}, which is outside these limits", setting.name, say(predicted));
    Some((what, "change the limits or the size: they don't belong together".to_owned()))
}

/// How near a limit a setting puts the pieces, where that is nearer than the
/// gauge can tell though there is room on the other side.
fn too_near(shop: &Shop, check: &Check, predicted: Length, held: &GroupLimits) -> Option<Length> {
    let uncertainty = shop.gauges.get(&check.with)?.uncertainty()?;
    let (low, high) = held.limits.low.zip(held.limits.high)?;
    let near = (predicted - low).min(high - predicted);
    (near < uncertainty && high - low >= uncertainty * 4).then_some(near)
}

/// What the trade warns about in the order of the operations on one part.
fn order(route: &Route, step: &Step) -> Vec<PlanFinding> {
    let stages = |wanted: &dyn Fn(&Step) -> bool| {
        let of_part = route.steps.iter().filter(|other| other.part == step.part && wanted(other));
        of_part.map(|other| other.what.stage()).collect()
    };
    let sequence = PartSequence {
        before: stages(&|other| other.op < step.op),
        after: stages(&|other| other.op > step.op),
    };
    let findings = step.what.order(&sequence).into_iter();
    findings
        .map(|found| {
            let mut finding = plan_finding(step.op, found.level, found.what);
            finding.place.key = Some("do");
            finding.help = found.help;
            finding
        })
        .collect()
}

/// A plan's findings as problems of the route's document, each at its place.
pub fn problems(plan: &Plan, route: &Route, document: &Document) -> Vec<Problem> {
    plan.all_findings()
        .map(|finding| {
            let node = node_of(finding, route, document);
            let mut problem = node.problem(finding.what.clone(), finding.help.clone());
            problem.level = finding.level;
            if let Some(at) = &finding.place.at {
                problem.place.at = Some(node.text_place(at.clone()));
            }
            problem
        })
        .collect()
}

fn node_of<'d>(finding: &PlanFinding, route: &Route, document: &'d Document) -> Node<'d> {
    let root = document.root();
    if let Some(part) = &finding.place.part {
        return root.child("parts").and_then(|parts| parts.child(part)).unwrap_or(root);
    }
    let Some(step) = finding.place.op.and_then(|op| route.step(op)) else { return root };
    let operation =
        root.child("operations").and_then(|node| node.items()?.get(step.index).copied());
    let Some(operation) = operation else { return root };
    let inner = finding
        .place
        .check
        .and_then(|n| operation.child("checks")?.items()?.get(n).copied())
        .unwrap_or(operation);
    finding.place.key.and_then(|key| inner.child(key)).unwrap_or(inner)
}
