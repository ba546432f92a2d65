//! From a piece's miss back through its operations: what each one added, and
//! where it left its limits. Knows nothing of why.
//!
//! What an operation added is the change measured less the change intended. As
//! every miss is counted from what was wanted there and then, that is the
//! difference of two misses, and all of them sum to the last one exactly.

use crate::journal::{PieceId, ReadingRecord, State};
use crate::measure::{Length, Verdict};
use crate::operation::FeatureName;
use crate::route::{Route, Step};

/// What an operation, or several with nothing measured between them, added.
#[derive(Clone, Debug, PartialEq)]
pub struct AddedMiss {
    /// In route order; more than one where nothing was measured between them.
    pub ops: Vec<u32>,
    pub feature: FeatureName,
    /// How many of that feature are in the one asked about: two tenons are
    /// taken off a rail's length to its shoulders.
    pub times: i64,
    /// `times` of them together.
    pub amount: Length,
    /// Expanded (k = 2), both readings together.
    pub uncertainty: Length,
    /// What remains when the features it is put together from are accounted for.
    pub remainder: bool,
}

/// A place on the way where the feature was measured.
#[derive(Clone, Debug, PartialEq)]
pub struct Stage {
    pub op: u32,
    pub feature: FeatureName,
    pub value: Length,
    pub wanted: Length,
    pub uncertainty: Length,
    pub verdict: Verdict,
}

impl Stage {
    pub fn miss(&self) -> Length {
        self.value - self.wanted
    }
}

/// A feature of a piece, back through its operations.
#[derive(Clone, Debug, PartialEq)]
pub struct Attribution {
    pub piece: PieceId,
    pub feature: FeatureName,
    /// The last reading less what was wanted.
    pub miss: Length,
    /// Where it was measured, first to last.
    pub stages: Vec<Stage>,
    /// First to last; they sum to `miss`.
    pub added: Vec<AddedMiss>,
}

impl Attribution {
    /// The first place it was surely out, with the last place before it that
    /// it was surely in: it happened between the two.
    pub fn left_limits(&self) -> Option<(Option<&Stage>, &Stage)> {
        let own: Vec<&Stage> = self.stages.iter().filter(|s| s.feature == self.feature).collect();
        let out = own.iter().position(|stage| stage.verdict.is_out())?;
        let good = own[..out].iter().rev().find(|stage| stage.verdict == Verdict::In).copied();
        Some((good, own[out]))
    }

    /// What the longest bar stands for: the largest share, and no less than
    /// the doubt about one, so that next to nothing looks like it.
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

/// Follows a feature of a piece back from an operation where it was measured.
/// `None` where there is no number.
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

/// The way back of everything measured on a piece, as it was measured last, in
/// the order of the route.
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

/// What stands on record for a feature of a piece, or of the blank it came from.
fn stage(state: &State, piece: &PieceId, op: u32, feature: &str) -> Option<Stage> {
    let own = state.reading_in_force(op, piece, feature);
    let reading: &ReadingRecord = own.or_else(|| {
        let blank = state.piece(piece)?.from.as_ref()?;
        state.reading_in_force(op, blank, feature)
    })?;
    let taken = &reading.taken;
    let value = taken.size()?;
    Some(Stage {
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
    stages: Vec<Stage>,
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

    /// Accounts for the miss at `end`, `times` of it, and for all before it.
    fn follow(&mut self, step: &'a Step, end: &Stage, times: i64) {
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
        let (started, doubt) = earlier
            .as_ref()
            .map_or((Length::ZERO, Length::ZERO), |(_, found)| (found.miss(), found.uncertainty));
        self.added.push(AddedMiss {
            ops,
            feature: end.feature.clone(),
            times,
            amount: (end.miss() - started) * times,
            uncertainty: combined(&[(end.uncertainty, times), (doubt, times)]),
            remainder: false,
        });
        if let Some((before, found)) = earlier {
            self.follow(before, &found, times);
        }
    }

    /// A feature that others make: each accounts for its own miss, so many
    /// times, and the operation for what remains.
    fn split_composite(
        &mut self,
        step: &'a Step,
        end: &Stage,
        times: i64,
        from: &[(FeatureName, i64)],
    ) {
        let mut remains = end.miss() * times;
        let mut doubts = vec![(end.uncertainty, times)];
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
                    doubts.push((held.uncertainty, times));
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
            uncertainty: combined(&doubts),
            remainder: !found.is_empty(),
        });
        // What was done last comes first, for the whole is turned round.
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

/// Doubts that have nothing to do with one another, by root of squares: JCGM
/// 100:2008, 5.1.2, with sensitivities of so many times.
fn combined(doubts: &[(Length, i64)]) -> Length {
    let squares: f64 = doubts
        .iter()
        .map(|(doubt, times)| (doubt.nanometres() as f64 * *times as f64).powi(2))
        .sum();
    Length::from_nanometres_f64(squares.sqrt()).unwrap_or_default()
}
