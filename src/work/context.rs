//! What is known where someone works: the operation, its plan, its pieces and
//! the state of the batch at one moment.

use std::sync::Arc;
use std::time::Duration;

use chrono::{DateTime, FixedOffset};

use crate::journal::{BOARDS, Piece, PieceId, SetupState, Snapshot, State, TakenOnPaper};
use crate::measure::{Gauge, Length, Verdict};
use crate::operation::LENGTH;
use crate::plan::hours::{GAP, Through, by_the_bell, feed_through, through_all};
use crate::plan::{Group, GroupLimits, Plan, PlannedCheck, PlannedOperation};
use crate::route::{Role, Route, Step};
use crate::shop::Shop;
use crate::stock::Terms;

/// Who works where, and everything that is known there.
#[derive(Clone, Copy)]
pub struct WorkContext<'a> {
    /// The route.
    pub route: &'a Route,
    /// The shop.
    pub shop: &'a Shop,
    /// The plan with everything made so far.
    pub plan: &'a Plan,
    /// The state of the batch.
    pub state: &'a State,
    /// The station.
    pub station: &'a str,
    /// Whoever is at the keys.
    pub who: Option<&'a str>,
    /// The time now.
    pub now: DateTime<FixedOffset>,
    /// When the bell rings, where somebody has said.
    pub bell: Option<DateTime<FixedOffset>>,
    /// When and by whom the readings were taken that are typed now, where they come from paper.
    pub on_paper: Option<&'a TakenOnPaper>,
    /// The number of the operation someone is at.
    pub op: u32,
}

impl Snapshot {
    /// What is known at an operation, with no bell named.
    pub fn context<'a>(
        &'a self,
        op: u32,
        who: Option<&'a str>,
        now: DateTime<FixedOffset>,
    ) -> WorkContext<'a> {
        WorkContext {
            route: &self.route,
            shop: &self.shop,
            plan: &self.plan,
            state: &self.state,
            station: &self.station,
            who,
            now,
            bell: None,
            on_paper: None,
            op,
        }
    }
}

impl<'a> WorkContext<'a> {
    /// The operation as it is planned.
    pub fn planned(&self) -> Option<&'a PlannedOperation> {
        self.plan.operation(self.op)
    }

    /// How far the operation has come; nothing before its first event.
    pub fn setup(&self) -> Option<&'a SetupState> {
        self.state.setups.get(&self.op).map(Arc::as_ref)
    }

    /// The pieces of this operation in cut order. Where left and right differ, all
    /// of one hand come before the next.
    pub fn pieces(&self) -> Vec<&'a Piece> {
        let Some(planned) = self.planned() else { return Vec::new() };
        let pieces = self.state.pieces_into(&planned.part, self.op);
        // Each answer goes over them, so they are moved here in one loop, into room that
        // is large enough.
        let most = pieces.size_hint().1.unwrap_or(0);
        let hands = self.hands();
        let mut ranked = vec![Vec::new(); hands.len()];
        let mut first = Vec::with_capacity(most);
        pieces.for_each(|piece| match rank(hands, piece) {
            0 => first.push(piece),
            rank => ranked[rank - 1].push(piece),
        });
        ranked.into_iter().for_each(|pieces| first.extend(pieces));
        first
    }

    /// Which piece of the operation it is in cut order, from one; setup pieces don't
    /// count.
    pub fn place(&self, piece: &Piece) -> usize {
        let Some(planned) = self.planned() else { return 0 };
        let hands = self.hands();
        let order = |piece: &Piece| (rank(hands, piece), piece.place);
        let own = order(piece);
        let counted = self.state.pieces_into(&planned.part, self.op);
        let counted = counted.filter(|held| held.label.role != Role::Setup);
        counted.filter(|held| order(held) <= own).count()
    }

    /// The hands this operation cuts one after another; empty where left and right
    /// are cut alike.
    pub(super) fn hands(&self) -> &'a [String] {
        let step = self.route.step(self.op).filter(|step| step.what.is_handed());
        step.and_then(|step| self.route.part(&step.part)).map_or(&[], |part| &part.hands)
    }

    /// Whether left and right are cut one after the other here.
    pub fn is_handed(&self) -> bool {
        !self.hands().is_empty()
    }

    /// For each hand, how many pieces are through and how many there are; empty
    /// where left and right are cut alike.
    pub fn hands_through(&self) -> Vec<(&'a str, usize, usize)> {
        let Some(planned) = self.planned().filter(|_| self.is_handed()) else {
            return Vec::new();
        };
        let through = self.state.through(self.op);
        let tally = |hand: &'a String| {
            let own = self.state.pieces_into(&planned.part, self.op);
            let own = own
                .filter(|piece| piece.aside.is_none() && piece.label.hand.as_ref() == Some(hand));
            let (done, all) = own.fold((0, 0), |(done, all), piece| {
                (done + usize::from(through.has(piece)), all + 1)
            });
            (hand.as_str(), done, all)
        };
        self.hands().iter().map(tally).collect()
    }

    /// The group of alike pieces a piece belongs to.
    pub fn group_of(&self, piece: &PieceId) -> Option<&'a Group> {
        let planned = self.planned()?;
        let label = &self.state.piece(piece)?.label;
        match planned.groups.as_slice() {
            [only] => Some(only),
            groups => groups.get(planned.group_index(label).unwrap_or(0)),
        }
    }

    /// The size wanted and its limits. A piece made again follows what the other
    /// pieces of its part measured, not the drawing.
    pub fn limits(&self, piece: &PieceId, check: usize) -> Option<GroupLimits> {
        let held = self.group_of(piece)?.limits.get(check).copied()?;
        let again = self.state.piece(piece).is_some_and(|piece| piece.instead_of.is_some());
        let of = &self.planned()?.checks.get(check)?.of;
        let Some(target) = held.target.filter(|_| again) else { return Some(held) };
        let miss = self.state.median_miss(self.op, of, piece, target);
        Some(miss.map_or(held, |miss| held.moved(miss)))
    }

    /// A check's gauge.
    pub fn gauge(&self, check: &PlannedCheck) -> Option<&'a Gauge> {
        self.shop.gauges.get(&check.gauge)
    }

    /// What the reading in force of a piece says, by the limits of its own time.
    pub fn verdict(&self, piece: &PieceId, check: &PlannedCheck) -> Option<Verdict> {
        self.state
            .reading_in_force(self.op, piece, &check.of)
            .map(|reading| reading.taken.verdict())
    }

    /// Whether the passes from this one on are finished before the bell. None where
    /// no bell was named or the feed is unknown.
    pub fn through(&self, from: u32) -> Option<Through> {
        let left = (self.bell? - self.now).to_std().unwrap_or_default();
        let pieces = self.pieces().iter().filter(|piece| piece.aside.is_none()).count();
        let once = self.once_through(pieces)?;
        let passes = &self.planned()?.groups.first()?.outcome.passes;
        let at = passes.iter().position(|pass| pass.number == from)?;
        let (done, ahead) = passes.split_at(at);
        Some(by_the_bell(done, ahead, once, left))
    }

    /// How many minutes it takes to feed so many pieces through every pass, rounded up.
    /// None where the feed is unknown or nothing is fed.
    pub fn feeding_minutes(&self, pieces: usize) -> Option<u64> {
        let passes = &self.planned()?.groups.first()?.outcome.passes;
        let all = through_all(passes, self.once_through(pieces)?);
        (!passes.is_empty()).then(|| all.as_secs().div_ceil(60))
    }

    /// How long it takes to feed so many pieces through once.
    fn once_through(&self, pieces: usize) -> Option<Duration> {
        let planned = self.planned()?;
        let feed = self.shop.machines.get(planned.at.as_ref()?)?.feed_per_minute?;
        let length = planned.groups.first()?.before.most(LENGTH)?;
        feed_through(pieces, length, GAP, feed)
    }

    /// What later operations have already made on these pieces. They located it from
    /// the faces this operation cuts, so it shifts. Each with its operation.
    pub fn disturbs(&self) -> Vec<(String, u32)> {
        let open = self.setup().is_none_or(|setup| !setup.closed);
        let Some(own) = self.route.step(self.op).filter(|_| open) else { return Vec::new() };
        let begun = |op| self.state.setups.get(&op).is_some_and(|setup| setup.begun.is_some());
        let later = self
            .route
            .steps
            .iter()
            .filter(|later| later.part == own.part && later.op > own.op && begun(later.op));
        let named = |step: &Step| step.makes.clone().unwrap_or_else(|| step.kind.to_string());
        later.map(|step| (named(step), step.op)).collect()
    }

    /// What the operation says of a piece that is too big: one sentence.
    pub fn cut_again(&self, over: crate::operation::Over) -> Option<String> {
        crate::plan::cut_again(self.route, self.shop, &self.state.known(), self.op, over)
    }

    /// How much closer the machine is set to cut such a piece again.
    pub(super) fn closer(&self, over: crate::operation::Over) -> Option<Length> {
        crate::plan::closer(self.route, self.shop, &self.state.known(), self.op, over)
    }

    /// Whether this is the boards, before every operation of the route.
    pub fn at_boards(&self) -> bool {
        // A route may have an operation 0 of its own.
        self.op == BOARDS && self.route.step(BOARDS).is_none()
    }

    /// The names of woods in this batch.
    pub fn terms(&self) -> Terms {
        Terms::of(self.route, self.shop).among(&self.plan.known().articles)
    }
}

/// Which hand's turn a piece has where left and right are cut one after the other.
fn rank(hands: &[String], piece: &Piece) -> usize {
    let hand = piece.label.hand.as_ref();
    match hands.iter().position(|held| Some(held) == hand) {
        Some(place) => place,
        None if piece.label.role == Role::Setup => 0,
        None => hands.len(),
    }
}
