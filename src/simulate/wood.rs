//! The true sizes of the pieces of an invented batch. Nobody in it knows them:
//! only gauges show them, with their errors.
//!
//! First order: an operation leaves what its scale, its offset and its faults
//! say, plus a random deviation. Of what it inherits, only the thickness under a
//! tenon or behind a mortise is carried on.

use std::collections::HashMap;

use super::fault::{FaultKind, Grows};
use super::placement::{PlacedFault, features_of};
use super::rng::SeededRng;
use crate::journal::PieceId;
use crate::measure::{Feature, Length, Limits, SafeSide};
use crate::operation::{FeatureName, THICKNESS};
use crate::plan::Group;
use crate::route::{Role, Step};
use crate::wood::movement;
use crate::work::WorkContext;

/// The spread of careful work by hand: one standard deviation. Trade judgement,
/// no source.
const BY_HAND: Length = Length::thousandths(1);

/// The probability of dust between wood and stop where nobody wipes it. Trade
/// judgement, no source: dust is random, so some pieces come short.
const DUSTY: f64 = 0.25;

/// How a piece comes to its size.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum CutAttempt {
    /// The first time.
    First,
    /// Again, after the setting was moved.
    AtTheSetting,
    /// Again, with care, to the size wanted.
    ToSize,
}

/// The true size of every feature of every piece, and the faults that act on it.
pub(super) struct SimulatedWood {
    rng: SeededRng,
    noise: f64,
    faults: Vec<PlacedFault>,
    sizes: HashMap<PieceId, HashMap<FeatureName, Length>>,
    /// How often each piece was cut at each operation.
    cuts: HashMap<(u32, PieceId), u32>,
}

/// The place of a piece in cut order, from one; zero for setup pieces, which come
/// first. Where all of one hand are cut before the next, the order is not that of
/// their numbers.
pub(super) fn place(context: &WorkContext<'_>, piece: &PieceId) -> u32 {
    let piece = context.state.piece(piece);
    let Some(piece) = piece.filter(|piece| piece.label.role != Role::Setup) else { return 0 };
    if context.is_handed() { context.place(piece) as u32 } else { piece.label.number }
}

impl SimulatedWood {
    /// Wood before the first cut.
    pub(super) fn new(rng: SeededRng, noise: f64, faults: Vec<PlacedFault>) -> SimulatedWood {
        SimulatedWood { rng, noise, faults, sizes: HashMap::new(), cuts: HashMap::new() }
    }

    /// The true size of a feature, of the piece or of the blank it came from.
    pub(super) fn size(
        &self,
        context: &WorkContext<'_>,
        piece: &PieceId,
        feature: &str,
    ) -> Option<Length> {
        let own = |id: &PieceId| self.sizes.get(id)?.get(feature).copied();
        own(piece).or_else(|| own(context.state.piece(piece)?.from.as_ref()?))
    }

    /// Cuts a piece at the operation in hand, unless it is cut already.
    pub(super) fn cut(&mut self, context: &WorkContext<'_>, piece: &PieceId) {
        if !self.cuts.contains_key(&(context.op, piece.clone())) {
            let features = step(context).map(features_of).unwrap_or_default();
            self.cut_all(context, piece, &features, CutAttempt::First);
        }
    }

    /// Cuts it once more after the setting was moved.
    pub(super) fn cut_anew(&mut self, context: &WorkContext<'_>, piece: &PieceId) {
        let features = step(context).map(features_of).unwrap_or_default();
        self.cut_all(context, piece, &features, CutAttempt::AtTheSetting);
    }

    /// Cuts one feature once more, to the size wanted.
    pub(super) fn cut_to_size(
        &mut self,
        context: &WorkContext<'_>,
        piece: &PieceId,
        feature: &str,
    ) {
        let feature = FeatureName::new(feature);
        // A form is made anew; it doesn't begin from how far it was out.
        if feature.kind().is_some_and(Feature::is_form) {
            self.sizes.entry(piece.clone()).or_default().remove(&feature);
        }
        self.cut_all(context, piece, &[feature], CutAttempt::ToSize);
    }

    fn cut_all(
        &mut self,
        context: &WorkContext<'_>,
        piece: &PieceId,
        features: &[FeatureName],
        cut: CutAttempt,
    ) {
        let count = self.cuts.entry((context.op, piece.clone())).or_default();
        *count += 1;
        let count = *count;
        for feature in features {
            let size = self.left(context, piece, feature, cut, count);
            let own = self.sizes.entry(piece.clone()).or_default();
            own.extend(size.map(|size| (feature.clone(), size)));
        }
    }

    /// The size the operation leaves; `None` where nothing is known of it.
    fn left(
        &self,
        context: &WorkContext<'_>,
        piece: &PieceId,
        feature: &str,
        cut: CutAttempt,
        count: u32,
    ) -> Option<Length> {
        let (step, group) = (step(context)?, context.group_of(piece)?);
        let before = self.size(context, piece, feature);
        let sized = step.what.sizes().into_iter().find(|sized| sized.feature == feature);
        if let Some(before) = before
            && (sized.is_none() || step.what.leaves_alone(feature))
        {
            // It is only measured here, so it stays as it was.
            return Some(before);
        }
        let safe = sized.map_or(SafeSide::Neither, |sized| sized.safe);
        let limits = limits_of(context, piece, feature);
        let wanted = wanted(group, feature, limits);
        let set = match cut {
            CutAttempt::ToSize => wanted?,
            CutAttempt::First | CutAttempt::AtTheSetting => {
                let planned = self.meant(context, step, group, piece, feature);
                // Hands work to the size that the next check asks for.
                let by_hand = limits.filter(|_| worked_by_hand(context, step)).and_then(middle);
                let meant = by_hand.or(planned).or(wanted)?;
                meant + self.missed(context, piece, feature, cut, meant)
            }
        };
        let about = (context.op, &*piece.0, feature, count);
        let left = set + self.scatter(context, limits, self.rng.normal("wood", about));
        // Cutting only takes wood away.
        let left = match (safe, before) {
            (SafeSide::Big, Some(before)) => left.min(before),
            (SafeSide::Small, Some(before)) => left.max(before),
            _ => left,
        };
        Some(left.max(Length::ZERO))
    }

    /// What the scale and its offset leave, as they were set for this piece.
    fn meant(
        &self,
        context: &WorkContext<'_>,
        step: &Step,
        group: &Group,
        piece: &PieceId,
        feature: &str,
    ) -> Option<Length> {
        let outcome = &group.outcome;
        if let Some(named) = step.sizing(&outcome.settings, feature) {
            let fat = named.setting.predicted - named.setting.dial.0;
            let shown = context.setup().and_then(|setup| {
                setup.shown.iter().rev().find(|shown| {
                    shown.right
                        && shown.stored.setting == named.name
                        && (shown.pieces.is_empty() || shown.pieces.contains(piece))
                })
            });
            return Some(shown.map_or(named.setting.predicted, |shown| shown.shown + fat));
        }
        let planned = outcome.after.most(feature)?;
        // Both cheeks are cut from their own faces: what the stock is over the
        // thinnest piece, for which they were set, stays on the tenon.
        let over = step.what.varies_with_stock(feature).then(|| {
            Some(self.size(context, piece, THICKNESS)? - group.before.least_of(THICKNESS)?)
        });
        Some(planned + over.flatten().unwrap_or_default())
    }

    /// The error of this cut, all faults together.
    fn missed(
        &self,
        context: &WorkContext<'_>,
        piece: &PieceId,
        feature: &str,
        cut: CutAttempt,
        meant: Length,
    ) -> Length {
        let here = self.faults.iter().filter(|placed| {
            placed.fault.op == context.op && placed.features.iter().any(|held| held == feature)
        });
        let mut here = here.peekable();
        if here.peek().is_none() {
            return Length::ZERO;
        }
        let place = place(context, piece);
        here.map(|placed| match placed.fault.kind {
            FaultKind::Offset(by) => by,
            FaultKind::Creep { by, grows: Grows::PerPiece } => {
                by * i64::from(place.saturating_sub(1))
            }
            FaultKind::Creep { by, grows: Grows::OverTheBatch } => {
                let steps = i64::from(placed.last.saturating_sub(1)).max(1);
                by * i64::from(place.saturating_sub(1)) / steps
            }
            FaultKind::Step { by, after } | FaultKind::BeltChange { by, after }
                if place > after =>
            {
                by
            }
            FaultKind::Slip { by, at } if place == at && cut == CutAttempt::First => by,
            FaultKind::DoubleJog => -placed.jog,
            FaultKind::WrongFace { at }
                if at.is_none_or(|at| at == place)
                    && (at.is_none() || cut == CutAttempt::First) =>
            {
                self.mirrored(context, piece, feature, meant).map_or(Length::ZERO, |to| to - meant)
            }
            // Dust keeps the wood off the stop, so the piece comes short.
            FaultKind::StopDust(dust) if cut == CutAttempt::First => {
                let about = (context.op, &*piece.0, feature, 0);
                self.rng.happens(DUSTY, "dust", about).map_or(Length::ZERO, |_| -dust)
            }
            _ => Length::ZERO,
        })
        .sum()
    }

    /// The wall in front of a hole that was located from the other face: what
    /// the stock leaves beside the hole and the wall meant.
    fn mirrored(
        &self,
        context: &WorkContext<'_>,
        piece: &PieceId,
        feature: &str,
        meant: Length,
    ) -> Option<Length> {
        let held = step(context)?.what.wall().filter(|held| held.wall == *feature)?;
        let group = context.group_of(piece)?;
        let stock =
            self.size(context, piece, THICKNESS).or_else(|| group.before.least_of(THICKNESS))?;
        let across = self
            .size(context, piece, &held.across)
            .or_else(|| group.outcome.after.most(&held.across))?;
        Some(stock - across - meant)
    }

    /// A random deviation: the machine's own spread, or an eighth of the band where
    /// that is less, because a shop sets no limits that it can't hold.
    fn scatter(&self, context: &WorkContext<'_>, limits: Option<Limits>, draw: f64) -> Length {
        let at = context.planned().and_then(|planned| planned.at.as_ref());
        let machine = at.and_then(|at| context.shop.machines.get(at));
        let own = machine
            .map_or(BY_HAND, |machine| machine.spread.unwrap_or(machine.kind.usual_spread()));
        let held = limits.and_then(|limits| limits.band()).map_or(own, |band| own.min(band / 8));
        times(held, draw * self.noise)
    }

    /// The zero error of a gauge, from faults up to this operation.
    pub(super) fn zero(&self, op: u32, gauge: &str) -> Length {
        let off = self.faults.iter().filter(|placed| {
            placed.fault.op <= op && placed.gauge.as_deref().is_some_and(|held| held == gauge)
        });
        off.map(|placed| match placed.fault.kind {
            FaultKind::GaugeZero(by) => by,
            _ => Length::ZERO,
        })
        .sum()
    }

    /// The overnight fault of an operation, with its index.
    pub(super) fn night(&self, op: u32) -> Option<(usize, &PlacedFault)> {
        self.faults.iter().enumerate().find(|(_, placed)| {
            placed.fault.op == op && matches!(placed.fault.kind, FaultKind::Overnight { .. })
        })
    }

    /// After which piece the belt is changed at an operation.
    pub(super) fn belt_change(&self, op: u32) -> Option<u32> {
        self.faults.iter().find_map(|placed| match placed.fault.kind {
            FaultKind::BeltChange { after, .. } if placed.fault.op == op => Some(after),
            _ => None,
        })
    }

    /// Moves every width and thickness of a part as its wood takes up or gives off
    /// moisture; along the grain it doesn't move.
    pub(super) fn rest_overnight(&mut self, context: &WorkContext<'_>, night: usize) {
        let Some(placed) = self.faults.get(night) else { return };
        let FaultKind::Overnight { hundredths } = placed.fault.kind else { return };
        let (points, per_point) = (f64::from(hundredths) / 100.0, placed.per_point);
        for (id, own) in &mut self.sizes {
            let of_part =
                context.state.piece(id).is_some_and(|piece| piece.label.part == placed.part);
            for (feature, size) in own.iter_mut().filter(|_| of_part) {
                if feature.moves_with_moisture() {
                    *size += movement(*size, per_point, points);
                }
            }
        }
    }
}

/// Whether what is measured here was brought to size by hand just before.
fn worked_by_hand(context: &WorkContext<'_>, step: &Step) -> bool {
    let earlier =
        context.route.steps.iter().filter(|other| other.part == step.part && other.op < step.op);
    let last = earlier.max_by_key(|other| other.op);
    step.what.only_measures() && last.is_some_and(|last| last.what.is_by_hand())
}

fn step<'a>(context: &WorkContext<'a>) -> Option<&'a Step> {
    context.route.step(context.op)
}

fn limits_of(context: &WorkContext<'_>, piece: &PieceId, feature: &str) -> Option<Limits> {
    let checks = &context.planned()?.checks;
    let check = checks.iter().position(|check| check.of == feature)?;
    context.limits(piece, check).map(|held| held.limits)
}

/// The size wanted, or the middle of the limits where no size is named.
fn wanted(group: &Group, feature: &str, limits: Option<Limits>) -> Option<Length> {
    group.outcome.after.most(feature).or_else(|| middle(limits?))
}

/// Halfway between two limits, or the one there is.
fn middle(limits: Limits) -> Option<Length> {
    limits.middle().or(limits.low).or(limits.high)
}

pub(super) fn times(length: Length, by: f64) -> Length {
    Length::from_nanometres_f64(length.nanometres() as f64 * by).unwrap_or(Length::ZERO)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::simulate::fault::Fault;

    fn th(n: i64) -> Length {
        Length::thousandths(n)
    }

    fn wood(faults: &[(u32, FaultKind, Option<&str>)]) -> SimulatedWood {
        let place = |(op, kind, gauge): &(u32, FaultKind, Option<&str>)| PlacedFault {
            fault: Fault { op: *op, kind: *kind, on: None },
            part: "leg".to_owned(),
            features: Vec::new(),
            last: 16,
            jog: Length::ZERO,
            gauge: gauge.map(str::to_owned),
            per_point: 0.0,
        };
        SimulatedWood::new(SeededRng(1), 0.0, faults.iter().map(place).collect())
    }

    /// By hand: 0.003 from op 20 on, 0.005 less from op 40 on, and only for that gauge.
    #[test]
    fn a_zero_is_off_from_its_operation_on() {
        let wood = wood(&[
            (20, FaultKind::GaugeZero(th(3)), Some("calipers")),
            (40, FaultKind::GaugeZero(th(-5)), Some("calipers")),
            (10, FaultKind::GaugeZero(th(7)), Some("tape")),
        ]);
        let zero = |op| wood.zero(op, "calipers");
        assert_eq!([19, 20, 39, 40].map(zero), [th(0), th(3), th(3), th(-2)]);
        assert_eq!(wood.zero(50, "tape"), th(7));
    }

    #[test]
    fn a_night_and_a_belt_are_of_their_operation() {
        let wood = wood(&[
            (20, FaultKind::BeltChange { by: th(4), after: 9 }, None),
            (30, FaultKind::Overnight { hundredths: 150 }, None),
        ]);
        assert_eq!((wood.belt_change(20), wood.belt_change(30)), (Some(9), None));
        assert_eq!(wood.night(30).map(|(index, _)| index), Some(1));
        assert!(wood.night(20).is_none());
    }

    /// The middle of two limits is wanted, else the one there is.
    #[test]
    fn what_limits_ask_for() {
        let of = |low: Option<i64>, high: Option<i64>| {
            middle(Limits { low: low.map(th), high: high.map(th) })
        };
        assert_eq!(of(Some(1), Some(4)), Some(th(5) / 2));
        assert_eq!(
            (of(Some(1), None), of(None, Some(4)), of(None, None)),
            (Some(th(1)), Some(th(4)), None)
        );
        assert_eq!(times(th(8), -1.5), th(-12));
    }
}
