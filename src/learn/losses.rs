//! How often pieces are lost, and how many spares the next batch needs.
//! Knows nothing of why they were lost.

use std::collections::BTreeMap;

use statrs::distribution::{Beta, ContinuousCDF};

use super::{Evidence, FEWEST, Figure, File, FileChange, Files, Lesson, Looked, Topic, counted};
use crate::plan::spares::{planning_loss, spares_for};
use crate::route::Role;

/// Nineteen batches in twenty should end without a piece made again.
const ENOUGH: f64 = 0.95;
/// What is left of the doubt about the rate on each side: 95 % between them.
const TAIL: f64 = 0.025;

/// Spares for the next batch.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Spares {
    /// The rate to plan with: (lost + 1) / (made + 2).
    pub loss: f64,
    pub wanted: u32,
    /// As few as would do if the true rate is as low as it may well be, and as
    /// many as if it is as high: 95 % between, every rate being as likely
    /// before (a beta distribution, lost + 1 and made - lost + 1).
    pub least: u32,
    pub most: u32,
}

/// How many spares `needed` pieces want, when of `made` before so many were
/// lost.
pub fn spares(made: u32, lost: u32, needed: u32) -> Option<Spares> {
    let loss = planning_loss(made, lost);
    let rate = Beta::new(f64::from(lost) + 1.0, f64::from(made.saturating_sub(lost)) + 1.0).ok()?;
    let at = |share: f64| spares_for(needed, rate.inverse_cdf(share), ENOUGH);
    let wanted = spares_for(needed, loss, ENOUGH)?;
    Some(Spares { loss, wanted, least: at(TAIL)?, most: at(1.0 - TAIL)? })
}

/// What was lost of each part that is through its last operation.
pub(super) fn lessons(looked: &[Looked<'_>], files: Files<'_>) -> Vec<Lesson> {
    let route = files.route;
    let mut counts: BTreeMap<&str, (u32, u32)> = BTreeMap::new();
    for looked in looked.iter().filter(|looked| looked.journal.route.name == route.name) {
        let (own, state) = (looked.journal.route, looked.journal.state);
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
            "{lost} of {made} lost; {:.1} % to plan with. For {needed} the route has {planned}",
            found.loss * 100.0
        );
        says.push_str(&if beyond {
            format!("; {} would do nineteen times in twenty.", found.wanted)
        } else {
            format!(", and {} to {} may be right.", found.least, found.most)
        });
        let path = ["parts", name, "spares"];
        let change =
            beyond.then(|| FileChange::of(File::Route, &path, Figure::Count(found.wanted)));
        Some(Lesson {
            topic: Topic::Loss,
            about: name.to_owned(),
            says,
            evidence: Evidence {
                unit: route.unit,
                count: made as usize,
                of: "piece",
                range: None,
                doubt: None,
                more: None,
            },
            change,
        })
    };
    counts.into_iter().filter_map(lesson).collect()
}
