//! Invented batches, to practise on and to prove by: a made-up crew walks a
//! route through what is due and what is answered, like people would, and what
//! really happened is known. Knows nothing of files, screens or the clock.
//!
//! Model: what a piece really measures is what the scale and its offset leave,
//! faults, and a normal deviation; what is read is that, the zero of the
//! gauge, and a normal deviation of half its stated uncertainty, rounded to its
//! step. All deviations come from one seed, the same on every machine.

mod fault;
mod operators;
mod rng;
mod wood;

use chrono::{DateTime, FixedOffset};
use thiserror::Error;

pub use fault::{Fault, FaultKind, Grows, shapes};
pub use operators::STATION;

use crate::journal::JournalLine;
use crate::measure::Length;
use crate::operation::FeatureName;
use crate::plan::{Known, Plan, PlannedOperation, walk};
use crate::prose::{Message, nearest};
use crate::route::{Route, Step};
use crate::shop::{MachineKind, Shop};
use crate::wood::{Grain, Species};
use operators::Operators;
use rng::SeededRng;
use wood::{PlacedFault, SimulatedWood};

/// What the name of every invented batch begins with.
pub const PREFIX: &str = "invented-";

/// What batch is invented.
#[derive(Clone, Debug)]
pub struct Settings {
    /// What it is called; [`named`] makes such a name.
    pub batch: String,
    pub seed: u32,
    pub faults: Vec<Fault>,
    /// How much machines and gauges scatter: 1 as in a good shop, 0 not at all.
    pub noise: f64,
    /// How probable it is that a reading is grossly misread, 0 to 1.
    pub misses: f64,
    /// Whether the lead takes every piece as it comes, so that each is read
    /// once and nothing is cut again or set aside.
    pub accepts_all: bool,
    /// The last operation walked; nothing after it happened yet.
    pub until: Option<u32>,
    /// When the crew begins.
    pub begins: DateTime<FixedOffset>,
}

impl Default for Settings {
    /// A crew with nothing going wrong, on a Monday long ago: people can't
    /// take it for this week's work.
    fn default() -> Settings {
        let eight =
            chrono::NaiveDate::from_ymd_opt(2000, 1, 3).and_then(|d| d.and_hms_opt(8, 0, 0));
        Settings {
            batch: format!("{PREFIX}batch"),
            seed: 1,
            faults: Vec::new(),
            noise: 1.0,
            misses: 0.0,
            accepts_all: false,
            until: None,
            begins: eight.unwrap_or_default().and_utc().fixed_offset(),
        }
    }
}

/// Why a batch can't be invented.
#[derive(Clone, Debug, PartialEq, Eq, Error)]
pub enum CannotInvent {
    /// A fault doesn't fit the route; the place is its number, counted from zero.
    #[error("{}", .0.what)]
    Fault(Message<usize>),
    #[error("op {op} can't be walked: {what}")]
    Stuck { op: u32, what: String },
}

/// A name that says of a batch that it is invented.
pub fn named(name: &str) -> String {
    if name.starts_with(PREFIX) { name.to_owned() } else { format!("{PREFIX}{name}") }
}

/// Invents a batch of a route in a shop: its journal, in the order it would
/// have been written. The same settings give the same lines.
pub fn invent(
    route: &Route,
    shop: &Shop,
    settings: &Settings,
) -> Result<Vec<JournalLine>, CannotInvent> {
    let plan = walk(route, shop, &Known::default());
    let placed: Result<Vec<PlacedFault>, CannotInvent> = settings
        .faults
        .iter()
        .enumerate()
        .map(|(n, fault)| {
            placed(route, shop, &plan, fault).map_err(|why| CannotInvent::Fault(why.at(n)))
        })
        .collect();
    let wood = SimulatedWood::new(SeededRng(settings.seed), settings.noise, placed?);
    Operators::new(route, shop, settings, wood).walk()
}

/// A fault with what it needs to know of its operation, or why it can't be.
fn placed(route: &Route, shop: &Shop, plan: &Plan, fault: &Fault) -> Result<PlacedFault, Message> {
    let ops = || {
        let ops: Vec<String> = route.steps.iter().map(|step| step.op.to_string()).collect();
        Some(format!("the route has {}", ops.join(", ")))
    };
    let step = route.step(fault.op);
    let planned = plan.operation(fault.op);
    let Some((step, planned)) = step.zip(planned) else {
        let what = format!("the route has no op {}", fault.op);
        return Err(Message::error(what).maybe_help(ops()));
    };
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
            let what = format!("has {last} pieces: none is cut after {after}");
            return Err(of(&what).help(help));
        }
        FaultKind::BeltChange { .. } if !is_sander => {
            let help = "for a jump in the middle anywhere: `step`".to_owned();
            return Err(of("is done on no sander, and has no belt").help(help));
        }
        FaultKind::DoubleJog => {
            placed.jog = last_step(planned).ok_or_else(|| {
                let help =
                    "it needs an operation that comes down in steps: plane or sand".to_owned();
                of("comes down by no step").help(help)
            })?
        }
        FaultKind::WrongFace { .. } => {
            let wall = step.what.wall();
            placed
                .features
                .retain(|feature| wall.as_ref().is_some_and(|held| held.wall == *feature));
            if placed.features.is_empty() {
                let help = "it needs an operation with a wall: mortise, bore or dowel".to_owned();
                return Err(of("locates nothing from a face").help(help));
            }
        }
        FaultKind::StopDust(_) if !placed.features.contains(&FeatureName::LENGTH) => {
            let help = "it needs an operation that cuts to length".to_owned();
            return Err(of("cuts nothing against a length stop").help(help));
        }
        FaultKind::GaugeZero(_) => {
            let check = step.checks.iter().find(|check| placed.features.contains(&check.of));
            let gauge = check.map(|check| check.with.clone());
            let gauge = gauge.ok_or_else(|| of("measures nothing"))?;
            if shop.gauges.get(&gauge).is_some_and(|gauge| gauge.entry().is_none()) {
                return Err(Message::error(format!("the {gauge} has no zero to be off by")));
            }
            placed.gauge = Some(gauge);
        }
        FaultKind::Overnight { .. } => {
            let species = route.part(&step.part).and_then(|part| part.species.as_deref());
            let known = species.and_then(Species::named);
            let known = known.ok_or_else(|| {
                let woods: Vec<&str> = Species::all().map(Species::name).collect();
                let wood = species.map_or_else(
                    || format!("the route says no species for the {}", step.part),
                    |species| format!("how far {species} moves with moisture is not known here"),
                );
                Message::<()>::error(wood).help(format!("known woods: {}", woods.join(", ")))
            })?;
            placed.per_point = known.coefficient(Grain::Flat).amount;
        }
        _ => {}
    }
    Ok(placed)
}

/// The features a fault befalls: the one it names, or the first checked; all
/// the operation sizes where they come to one size.
fn affected_features(step: &Step, fault: &Fault) -> Result<Vec<FeatureName>, Message> {
    let all = wood::features_of(step);
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
        let what = format!("op {op} ({kind} {}) leaves no size to go wrong", step.part);
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

/// How many pieces an operation has in cut order; before they come apart, how
/// many blanks.
fn last_piece(route: &Route, plan: &Plan, step: &Step) -> u32 {
    let Some(part) = route.part(&step.part) else { return 0 };
    let counted = part.per_set * route.sets + part.spares;
    let groups = plan.operations.iter().filter(|op| op.part == part.name).flat_map(|op| &op.groups);
    let gang = groups.map(|group| group.outcome.after.gang).max().unwrap_or(1).max(1);
    let parts_at =
        route.steps.iter().find(|s| s.part == part.name && s.what.parts_a_gang()).map(|s| s.op);
    if gang > 1 && parts_at.is_none_or(|at| step.op < at) {
        return (counted + part.setup_pieces).div_ceil(gang);
    }
    counted
}
