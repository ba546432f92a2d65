//! Where a fault takes effect: its operation, the features it changes, and what
//! has to be known of route and shop for it.

use super::fault::{Fault, FaultKind};
use crate::measure::Length;
use crate::operation::FeatureName;
use crate::plan::{Plan, PlannedOperation};
use crate::prose::{Message, nearest};
use crate::route::{Route, Step};
use crate::shop::{MachineKind, Shop};
use crate::wood::{Grain, Species};

/// A fault, with what has to be known of its operation.
#[derive(Clone, Debug)]
pub(super) struct PlacedFault {
    pub fault: Fault,
    /// The part its operation works on.
    pub part: String,
    /// The features it changes.
    pub features: Vec<FeatureName>,
    /// The last piece in cut order.
    pub last: u32,
    /// How far the table moves in the last step.
    pub jog: Length,
    /// The gauge whose zero is off.
    pub gauge: Option<String>,
    /// The share of a width that moves per point of moisture.
    pub per_point: f64,
}

/// Every feature an operation sizes or checks.
pub(super) fn features_of(step: &Step) -> Vec<FeatureName> {
    let mut features: Vec<FeatureName> =
        step.what.sizes().into_iter().map(|sized| sized.feature).collect();
    for check in &step.checks {
        if !features.contains(&check.of) {
            features.push(check.of.clone());
        }
    }
    features
}

/// Places a fault in a route; an error says why it can't occur there.
pub(super) fn place_fault(
    route: &Route,
    shop: &Shop,
    plan: &Plan,
    fault: &Fault,
) -> Result<PlacedFault, Message> {
    let step = route.step(fault.op).zip(plan.operation(fault.op));
    let (step, planned) = step.ok_or_else(|| no_such_operation(route, fault))?;
    let last = last_piece(route, plan, step);
    let mut placed = PlacedFault {
        fault: fault.clone(),
        part: step.part.clone(),
        features: affected_features(step, fault)?,
        last,
        jog: Length::ZERO,
        gauge: None,
        per_point: 0.0,
    };
    let of =
        |what: &str| Message::error(format!("op {} ({} {}) {what}", step.op, step.kind, step.part));
    let machine = step.at.as_ref().and_then(|at| shop.machines.get(at));
    let is_sander = machine.is_some_and(|machine| machine.kind == MachineKind::ThicknessSander);
    match fault.kind {
        FaultKind::Slip { at: piece, .. } | FaultKind::WrongFace { at: Some(piece) }
            if piece > last =>
        {
            return Err(of(&format!("has pieces 1 to {last}, and no piece {piece}")));
        }
        FaultKind::Step { after, .. } | FaultKind::BeltChange { after, .. } if after >= last => {
            let help = format!("after piece {} at the latest", last.saturating_sub(1).max(1));
            let what = format!("has {last} pieces, so none is cut after piece {after}");
            return Err(of(&what).help(help));
        }
        FaultKind::BeltChange { .. } if !is_sander => {
            let help = "for a jump at any machine, use `step`".to_owned();
            return Err(of("is not done on a sander, so it has no belt").help(help));
        }
        FaultKind::DoubleJog => {
            placed.jog = last_step(planned).ok_or_else(|| {
                let help = "choose an operation that comes down in steps: plane or sand".to_owned();
                of("doesn't come down in steps").help(help)
            })?
        }
        FaultKind::WrongFace { .. } => {
            let wall = step.what.wall();
            placed
                .features
                .retain(|feature| wall.as_ref().is_some_and(|held| held.wall == *feature));
            if placed.features.is_empty() {
                let help = "choose an operation with a wall: mortise, bore or dowel".to_owned();
                return Err(of("locates nothing from a face").help(help));
            }
        }
        FaultKind::StopDust(_) if !placed.features.contains(&FeatureName::LENGTH) => {
            let help = "choose an operation that cuts to length".to_owned();
            return Err(of("cuts nothing against a length stop").help(help));
        }
        FaultKind::GaugeZero(_) => {
            let check = step.checks.iter().find(|check| placed.features.contains(&check.of));
            let gauge = check.map(|check| check.with.clone());
            let gauge = gauge.ok_or_else(|| of("measures nothing"))?;
            if shop.gauges.get(&gauge).is_some_and(|gauge| gauge.entry().is_none()) {
                return Err(Message::error(format!("the {gauge} has no zero that could be off")));
            }
            placed.gauge = Some(gauge);
        }
        FaultKind::Overnight { .. } => {
            placed.per_point = movement_per_point(route, step)?;
        }
        _ => {}
    }
    Ok(placed)
}

fn no_such_operation(route: &Route, fault: &Fault) -> Message {
    let ops: Vec<String> = route.steps.iter().map(|step| step.op.to_string()).collect();
    Message::error(format!("the route has no op {}", fault.op))
        .help(format!("the route has {}", ops.join(", ")))
}

/// The share by which the part's wood moves across the grain per point of
/// moisture.
fn movement_per_point(route: &Route, step: &Step) -> Result<f64, Message> {
    let species = route.part(&step.part).and_then(|part| part.species.as_deref());
    let known = species.and_then(Species::named).ok_or_else(|| {
        let woods: Vec<&str> = Species::all().map(Species::name).collect();
        let wood = species.map_or_else(
            || format!("the route says no species for the {}", step.part),
            |species| format!("the movement of {species} with moisture is unknown"),
        );
        Message::<()>::error(wood).help(format!("known woods: {}", woods.join(", ")))
    })?;
    Ok(known.coefficient(Grain::Flat).amount)
}

/// The features a fault changes: the one it names, or the first checked; all that
/// the operation sizes where they come to one size.
fn affected_features(step: &Step, fault: &Fault) -> Result<Vec<FeatureName>, Message> {
    let all = features_of(step);
    let named = match &fault.on {
        Some(on) if all.contains(on) => Some(on.clone()),
        Some(on) => {
            let near = nearest(on, all.iter().map(FeatureName::as_str));
            let help = match near {
                Some(near) => Some(format!("did you mean `{near}`?")),
                None if all.is_empty() => None,
                None => Some(format!("it has {}", all.join(", "))),
            };
            let (op, kind) = (step.op, step.kind);
            let what = format!("op {op} ({kind} {}) has no {on}", step.part);
            return Err(Message::error(what).maybe_help(help));
        }
        None => None,
    };
    let whole = matches!(fault.kind, FaultKind::Overnight { .. } | FaultKind::WrongFace { .. });
    if fault.on.is_none() && whole {
        return Ok(all);
    }
    let first = step.checks.first().map(|check| check.of.clone());
    let Some(feature) = named.or(first).or_else(|| all.first().cloned()) else {
        let (op, kind) = (step.op, step.kind);
        let what = format!("op {op} ({kind} {}) leaves no size that could go wrong", step.part);
        return Err(Message::error(what));
    };
    let sized = step.what.sizes();
    let one = step.what.one_size() && sized.iter().any(|sized| sized.feature == feature);
    Ok(if one { sized.into_iter().map(|sized| sized.feature).collect() } else { vec![feature] })
}

/// How far the last step moves the table, where there are two heights or more.
fn last_step(planned: &PlannedOperation) -> Option<Length> {
    let passes = &planned.groups.first()?.outcome.passes;
    let mut heights = passes.iter().filter(|pass| !pass.kiss).rev();
    let (last, before) = (heights.next()?, heights.next()?);
    let step = before.dial.0 - last.dial.0;
    (step > Length::ZERO).then_some(step)
}

/// How many pieces an operation has in cut order; before blanks are cut apart,
/// how many blanks.
fn last_piece(route: &Route, plan: &Plan, step: &Step) -> u32 {
    let Some(part) = route.part(&step.part) else { return 0 };
    let counted = part.per_set * route.sets + part.spares;
    let groups = plan.operations.iter().filter(|op| op.part == part.name).flat_map(|op| &op.groups);
    let gang = groups.map(|group| group.outcome.after.holds()).max().unwrap_or(1).max(1);
    let parts_at =
        route.steps.iter().find(|s| s.part == part.name && s.what.parts_a_gang()).map(|s| s.op);
    if gang > 1 && parts_at.is_none_or(|at| step.op < at) {
        return (counted + part.setup_pieces).div_ceil(gang);
    }
    counted
}
