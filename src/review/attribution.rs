//! What each operation added to the miss of a piece, and where the piece left its
//! limits.
//!
//! What an operation added is the measured change less the intended change. Every
//! miss is counted from the size wanted at that operation, so this is the
//! difference of two misses, and the differences sum to the last miss exactly.

use crate::journal::{PieceId, ReadingRecord, State};
use crate::measure::{Length, Verdict};
use crate::operation::FeatureName;
use crate::route::{Route, Step};

/// What an operation, or several with nothing measured between them, added.
#[derive(Clone, Debug, PartialEq)]
pub struct AddedMiss {
    /// The operations, in route order; more than one where nothing was measured
    /// between them.
    pub ops: Vec<u32>,
    /// The feature they changed.
    pub feature: FeatureName,
    /// How many times that feature is in the attributed one: two tenons are taken
    /// off a rail's length to its shoulders.
    pub times: i64,
    /// What they added, `times` included.
    pub amount: Length,
    /// Expanded uncertainty (k = 2) of both readings together.
    pub uncertainty: Length,
    /// Whether this is the remainder, after the features it is composed of.
    pub remainder: bool,
}

/// An operation at which the feature was measured.
#[derive(Clone, Debug, PartialEq)]
pub struct MeasuredStage {
    /// The operation.
    pub op: u32,
    /// The feature measured.
    pub feature: FeatureName,
    /// The size read.
    pub value: Length,
    /// The size wanted there.
    pub wanted: Length,
    /// Expanded uncertainty (k = 2) of the reading.
    pub uncertainty: Length,
    /// How it was judged.
    pub verdict: Verdict,
}

impl MeasuredStage {
    /// The size read less the size wanted.
    pub fn miss(&self) -> Length {
        self.value - self.wanted
    }
}

/// The miss of one feature of a piece, attributed to its operations.
#[derive(Clone, Debug, PartialEq)]
pub struct Attribution {
    /// The piece.
    pub piece: PieceId,
    /// The feature.
    pub feature: FeatureName,
    /// The last reading less the size wanted.
    pub miss: Length,
    /// Where it was measured, first to last.
    pub stages: Vec<MeasuredStage>,
    /// First to last; they sum to `miss`.
    pub added: Vec<AddedMiss>,
}

impl Attribution {
    /// The first stage at which it was certainly out of limits, with the last one
    /// before it at which it was certainly within: it happened between the two.
    pub fn left_limits(&self) -> Option<(Option<&MeasuredStage>, &MeasuredStage)> {
        let own: Vec<&MeasuredStage> =
            self.stages.iter().filter(|s| s.feature == self.feature).collect();
        let out = own.iter().position(|stage| stage.verdict.is_out())?;
        let good = own[..out].iter().rev().find(|stage| stage.verdict == Verdict::In).copied();
        Some((good, own[out]))
    }

    /// The length that the longest bar stands for: the largest amount or
    /// uncertainty, so that an amount within its uncertainty looks small.
    pub fn longest_bar(&self) -> Length {
        let sizes = self.added.iter().map(|added| added.amount.abs().max(added.uncertainty));
        sizes.max().unwrap_or_default()
    }

    /// What added most in the direction of the miss.
    pub fn largest(&self) -> Option<&AddedMiss> {
        let toward = |added: &&AddedMiss| added.amount.is_negative() == self.miss.is_negative();
        self.added.iter().filter(toward).max_by_key(|added| added.amount.abs())
    }
}

/// Attributes the miss of a feature of a piece, from an operation at which it was
/// measured. `None` where there is no number.
pub fn attribution(
    route: &Route,
    state: &State,
    piece: &PieceId,
    op: u32,
    feature: &str,
) -> Option<Attribution> {
    let end = stage(state, piece, op, feature)?;
    let step = route.step(op)?;
    let mut trail = Trail { route, state, piece, stages: Vec::new(), added: Vec::new() };
    trail.follow(step, &end, 1);
    trail.added.reverse();
    trail.stages.reverse();
    let miss = end.miss();
    Some(Attribution {
        piece: piece.clone(),
        feature: FeatureName::new(feature),
        miss,
        stages: trail.stages,
        added: trail.added,
    })
}

/// The attribution of everything measured on a piece, from the last reading of
/// each feature, in the order of the route.
pub fn attributions(route: &Route, state: &State, piece: &PieceId) -> Vec<Attribution> {
    let mut last: Vec<(u32, &str)> = Vec::new();
    for reading in &state.readings {
        let taken = &reading.taken;
        if taken.piece == *piece && !reading.voided {
            last.retain(|(_, feature)| *feature != taken.feature);
            last.push((taken.op, &taken.feature));
        }
    }
    last.sort_by_key(|(op, _)| *op);
    last.into_iter()
        .filter_map(|(op, feature)| attribution(route, state, piece, op, feature))
        .collect()
}

/// The reading on record for a feature of a piece, or of the blank it came from.
fn stage(state: &State, piece: &PieceId, op: u32, feature: &str) -> Option<MeasuredStage> {
    let own = state.reading_in_force(op, piece, feature);
    let reading: &ReadingRecord = own.or_else(|| {
        let blank = state.piece(piece)?.from.as_ref()?;
        state.reading_in_force(op, blank, feature)
    })?;
    let taken = &reading.taken;
    let value = taken.size()?;
    Some(MeasuredStage {
        op,
        feature: FeatureName::new(feature),
        value,
        wanted: taken.wanted()?,
        uncertainty: taken.uncertainty,
        verdict: taken.verdict(),
    })
}

struct Trail<'a> {
    route: &'a Route,
    state: &'a State,
    piece: &'a PieceId,
    /// Last first, both.
    stages: Vec<MeasuredStage>,
    added: Vec<AddedMiss>,
}

impl<'a> Trail<'a> {
    /// Operations on this piece before one, last first, that size a feature.
    fn sizing(&self, before: &Step, feature: &str) -> Vec<&'a Step> {
        let mut steps: Vec<&Step> = self
            .route
            .steps
            .iter()
            .filter(|step| step.part == before.part && step.op < before.op)
            .filter(|step| step.what.sizes().iter().any(|sized| sized.feature == feature))
            .collect();
        steps.sort_by_key(|step| std::cmp::Reverse(step.op));
        steps
    }

    /// Attributes the miss at `end`, `times` of it, and everything before it.
    fn follow(&mut self, step: &'a Step, end: &MeasuredStage, times: i64) {
        self.stages.push(end.clone());
        let from = step.what.comes_from(&end.feature);
        if from.iter().any(|(feature, _)| *feature != end.feature) {
            self.split_composite(step, end, times, &from);
            return;
        }
        let mut ops = vec![step.op];
        let mut earlier = None;
        for before in self.sizing(step, &end.feature) {
            if let Some(found) = stage(self.state, self.piece, before.op, &end.feature) {
                earlier = Some((before, found));
                break;
            }
            ops.insert(0, before.op);
        }
        let (started, uncertainty) = earlier
            .as_ref()
            .map_or((Length::ZERO, Length::ZERO), |(_, found)| (found.miss(), found.uncertainty));
        self.added.push(AddedMiss {
            ops,
            feature: end.feature.clone(),
            times,
            amount: (end.miss() - started) * times,
            uncertainty: combined(&[(end.uncertainty, times), (uncertainty, times)]),
            remainder: false,
        });
        if let Some((before, found)) = earlier {
            self.follow(before, &found, times);
        }
    }

    /// Attributes a feature composed of others: each of them adds its own miss, and
    /// the operation the remainder.
    fn split_composite(
        &mut self,
        step: &'a Step,
        end: &MeasuredStage,
        times: i64,
        from: &[(FeatureName, i64)],
    ) {
        let mut remains = end.miss() * times;
        let mut uncertainties = vec![(end.uncertainty, times)];
        let mut found = Vec::new();
        let mut unmeasured: Vec<u32> = Vec::new();
        for (feature, of) in from {
            let times = times * of;
            let here = stage(self.state, self.piece, step.op, feature).map(|held| (step, held));
            let earlier = || {
                self.sizing(step, feature)
                    .into_iter()
                    .find_map(|b| Some((b, stage(self.state, self.piece, b.op, feature)?)))
            };
            match here.or_else(earlier) {
                Some((at, held)) => {
                    remains -= held.miss() * times;
                    uncertainties.push((held.uncertainty, times));
                    found.push((at, held, times));
                }
                None => unmeasured.extend(self.sizing(step, feature).iter().map(|s| s.op)),
            }
        }
        unmeasured.push(step.op);
        unmeasured.sort_unstable();
        unmeasured.dedup();
        self.added.push(AddedMiss {
            ops: unmeasured,
            feature: end.feature.clone(),
            times,
            amount: remains,
            uncertainty: combined(&uncertainties),
            remainder: !found.is_empty(),
        });
        // Last first, because the whole list is reversed at the end.
        found.sort_by_key(|(at, ..)| std::cmp::Reverse(at.op));
        for (at, held, times) in found {
            if at.op == step.op {
                self.stages.push(held.clone());
                self.added.push(AddedMiss {
                    ops: vec![at.op],
                    feature: held.feature.clone(),
                    times,
                    amount: held.miss() * times,
                    uncertainty: combined(&[(held.uncertainty, times)]),
                    remainder: false,
                });
            } else {
                self.follow(at, &held, times);
            }
        }
    }
}

/// Independent uncertainties combined by the root of the sum of squares (JCGM
/// 100:2008, 5.1.2), each with its sensitivity.
fn combined(uncertainties: &[(Length, i64)]) -> Length {
    let squares: f64 = uncertainties
        .iter()
        .map(|(uncertainty, times)| (uncertainty.nanometres() as f64 * *times as f64).powi(2))
        .sum();
    Length::from_nanometres_f64(squares.sqrt()).unwrap_or_default()
}
