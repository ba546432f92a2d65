//! How often pieces are lost, and how many spares the next batch needs.

use std::collections::BTreeMap;

use statrs::distribution::{Beta, ContinuousCDF};

use super::{
    Evidence, FEWEST, Figure, File, FileChange, Files, Lesson, LessonSubject, ReviewedBatch, Topic,
    counted,
};
use crate::plan::spares::{planning_loss, spares_for};
use crate::route::Role;

/// The share of batches that should end without a piece made again.
const ENOUGH: f64 = 0.95;
/// The tail left out on each side of the 95 % interval of the loss rate.
const TAIL: f64 = 0.025;

/// Spares for the next batch.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Spares {
    /// The rate to plan with: (lost + 1) / (made + 2).
    pub loss: f64,
    /// How many spares that rate asks for.
    pub wanted: u32,
    /// How many the lower end of the rate's 95 % interval asks for: a beta
    /// distribution with lost + 1 and made - lost + 1, every rate being equally
    /// likely before.
    pub least: u32,
    /// How many the upper end asks for.
    pub most: u32,
}

/// How many spares `needed` pieces ask for, when `lost` of `made` were lost before.
/// `None` where no number of spares is enough.
pub fn spares(made: u32, lost: u32, needed: u32) -> Option<Spares> {
    let loss = planning_loss(made, lost);
    let rate = Beta::new(f64::from(lost) + 1.0, f64::from(made.saturating_sub(lost)) + 1.0).ok()?;
    let at = |share: f64| spares_for(needed, rate.inverse_cdf(share), ENOUGH);
    let wanted = spares_for(needed, loss, ENOUGH)?;
    Some(Spares { loss, wanted, least: at(TAIL)?, most: at(1.0 - TAIL)? })
}

/// The losses of each part whose last operation is closed.
pub(super) fn lessons(batches: &[ReviewedBatch<'_>], files: Files<'_>) -> Vec<Lesson> {
    let route = files.route;
    let mut counts: BTreeMap<&str, (u32, u32)> = BTreeMap::new();
    for batch in batches.iter().filter(|batch| batch.journal.route.name == route.name) {
        let (own, state) = (batch.journal.route, batch.journal.state);
        for part in route.parts.iter().filter(|part| part.assembled_from.is_empty()) {
            let last = own.steps.iter().rev().find(|step| step.part == part.name);
            if !last.is_some_and(|last| state.is_closed(last.op)) {
                continue;
            }
            let count = counts.entry(&part.name).or_default();
            let pieces = state.pieces.iter().filter(|piece| {
                piece.whole && piece.label.part == part.name && piece.label.role != Role::Setup
            });
            for piece in pieces {
                count.0 += piece.gang.max(1);
                count.1 += if piece.aside.is_some() { piece.gang.max(1) } else { 0 };
            }
        }
    }
    let lesson = |(name, (made, lost)): (&str, (u32, u32))| {
        let part = route.part(name)?;
        if (made as usize) < FEWEST {
            return None;
        }
        let needed = part.per_set * route.sets;
        let found = spares(made, lost, needed)?;
        let beyond = part.spares < found.least || part.spares > found.most;
        let planned = counted(part.spares as usize, "spare");
        let mut says = format!(
            "{lost} of {made} lost, so plan with {:.1} %. For {needed} pieces the route has {planned}",
            found.loss * 100.0
        );
        says.push_str(&if beyond {
            format!("; {} would be enough in nineteen batches of twenty.", found.wanted)
        } else {
            format!("; {} to {} are reasonable.", found.least, found.most)
        });
        let path = ["parts", name, "spares"];
        let change =
            beyond.then(|| FileChange::of(File::Route, &path, Figure::Count(found.wanted)));
        Some(Lesson {
            topic: Topic::Loss,
            about: name.to_owned(),
            subject: LessonSubject::Route(route.name.clone()),
            says,
            evidence: Evidence {
                unit: route.unit,
                count: made as usize,
                of: "piece",
                batches: 0,
                range: None,
                uncertainty: None,
                more: None,
            },
            change,
        })
    };
    counts.into_iter().filter_map(lesson).collect()
}
