//! What is due now at an operation: one thing at a time, computed from the
//! state alone, so that anybody can go on where somebody left off.
//! Knows nothing of keys, screens or files.

use std::collections::HashMap;

use chrono::{DateTime, Duration, FixedOffset};

use super::boards_task::{self, BoardsTask};
use super::proposal::{self, Proposal};
use crate::journal::BOARDS;
use crate::journal::{Decision, GaugeSays, PieceId};
use crate::journal::{Piece, PieceTally, RunningWait, SetupState, State};
use crate::measure::{Dial, Gauge, Length, Readout, Target, Verdict, judge};
use crate::operation::{FeatureName, LENGTH, MayOverride, Outcome};
use crate::plan::hours::{GAP, Through, by_the_bell, feed_through};
use crate::plan::{Group, GroupLimits, Plan, PlanFinding, PlannedCheck, PlannedOperation};
use crate::prose::Level;
use crate::route::{PieceLabel, Role, Route, Step};
use crate::shop::Shop;

/// A gauge is tried again after so many readings, or so many minutes
/// (common practice, no source).
const READINGS_A_ZERO: u32 = 20;
const MINUTES_A_ZERO: i64 = 30;

/// Who stands where, and everything that is known there.
#[derive(Clone, Copy)]
pub struct WorkContext<'a> {
    pub route: &'a Route,
    pub shop: &'a Shop,
    pub plan: &'a Plan,
    pub state: &'a State,
    pub station: &'a str,
    pub who: Option<&'a str>,
    pub now: DateTime<FixedOffset>,
    /// When the bell rings, where somebody said so.
    pub bell: Option<DateTime<FixedOffset>>,
    pub op: u32,
}

impl crate::journal::Snapshot {
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
            op,
        }
    }
}

/// Why a piece is to be measured.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum ReadReason {
    /// It proves the setting.
    First,
    /// The check asks for it.
    Check,
    /// First and last differ: where between them did it move?
    Between,
    /// Measured before somebody left: does it read the same now?
    Bridge,
}

/// A scale to be set, and what it must then show.
#[derive(Clone, Debug, PartialEq)]
pub struct SettingTask {
    pub setting: String,
    pub pass: Option<u32>,
    pub readout: Readout,
    pub target: Target,
    pub dial: Dial,
    /// Moved from what was planned, after a first piece.
    pub moved: Length,
    pub pieces: Vec<PieceId>,
    pub tool: Option<String>,
    pub presses: Option<u32>,
    /// What it showed before this pass.
    pub before: Option<Length>,
}

/// The one thing due now.
#[derive(Clone, Debug, PartialEq)]
pub enum Task {
    /// Nobody has said who is here.
    Who,
    /// The operation may not begin. Nobody opens a machine's own limit.
    Blocked {
        reasons: Vec<String>,
        openable: bool,
    },
    /// Cautions to be read by this person, for this machine and tool, today.
    Caution {
        machine: String,
        tool: Option<String>,
    },
    /// A gauge to be zeroed and tried on its block.
    Zero {
        gauge: String,
        block: Option<Length>,
    },
    /// A tool to be put in.
    Tool {
        machine: String,
        tool: String,
        was: Option<String>,
    },
    Set(SettingTask),
    /// The whole stack through, or done by hand.
    Feed {
        pass: Option<u32>,
        faces: Vec<&'static str>,
        feeds: u32,
        kiss: bool,
        pieces: Vec<PieceId>,
    },
    /// A piece to be measured.
    Read {
        piece: PieceId,
        check: usize,
        why: ReadReason,
    },
    /// A piece to be cut and ticked.
    Tick {
        piece: PieceId,
    },
    /// A piece out of limits, or too close to call.
    Decide {
        piece: PieceId,
        check: usize,
        verdict: Verdict,
        first: bool,
    },
    /// Everything is through.
    Close {
        done: usize,
        aside: usize,
    },
    /// What was measured becomes a dimension: the lead accepts what follows.
    Accept(Box<Proposal>),
    /// Something at the rack, before the first operation.
    Boards(BoardsTask),
    /// This operation is finished.
    Finished,
}

impl<'a> WorkContext<'a> {
    pub fn planned(&self) -> Option<&'a PlannedOperation> {
        self.plan.operation(self.op)
    }

    pub fn setup(&self) -> Option<&'a SetupState> {
        self.state.setups.get(&self.op)
    }

    /// The pieces of this operation in cut order: where left and right lie
    /// differently, all of one hand before the next.
    pub fn pieces(&self) -> Vec<&'a Piece> {
        let Some(planned) = self.planned() else { return Vec::new() };
        let mut pieces: Vec<&Piece> = self.state.pieces_into(&planned.part, self.op).collect();
        let hands = self.hands();
        if hands.is_empty() {
            return pieces;
        }
        let place = |piece: &&Piece| {
            let hand = piece.label.hand.as_ref();
            match hands.iter().position(|held| Some(held) == hand) {
                Some(place) => place,
                None if piece.label.role == Role::Setup => 0,
                None => hands.len(),
            }
        };
        pieces.sort_by_key(place);
        pieces
    }

    /// The hands this operation takes one after another; none where left and
    /// right lie alike.
    fn hands(&self) -> &'a [String] {
        let step = self.route.step(self.op).filter(|step| step.what.is_handed());
        step.and_then(|step| self.route.part(&step.part)).map_or(&[], |part| &part.hands)
    }

    /// How many of each hand are through, and of how many: nothing where left
    /// and right lie alike.
    pub fn hands_through(&self) -> Vec<(&'a str, usize, usize)> {
        let pieces = self.pieces();
        let tally = |hand: &'a String| {
            let own = pieces
                .iter()
                .filter(|piece| piece.aside.is_none() && piece.label.hand.as_ref() == Some(hand));
            let (done, all) = own.fold((0, 0), |(done, all), piece| {
                (done + usize::from(self.state.is_done(self.op, &piece.id)), all + 1)
            });
            (hand.as_str(), done, all)
        };
        self.hands().iter().map(tally).collect()
    }

    /// The group of alike pieces a piece belongs to.
    pub fn group_of(&self, piece: &PieceId) -> Option<&'a Group> {
        let planned = self.planned()?;
        let label = &self.state.piece(piece)?.label;
        let index = planned.pieces.iter().position(|held| held == label);
        index.and_then(|index| planned.group_of(index)).or(planned.groups.first())
    }

    /// The size wanted and its limits. A piece made again follows what its
    /// siblings really measured, not the drawing.
    pub fn limits(&self, piece: &PieceId, check: usize) -> Option<GroupLimits> {
        let held = self.group_of(piece)?.limits.get(check).copied()?;
        let again = self.state.piece(piece).is_some_and(|piece| piece.instead_of.is_some());
        let of = &self.planned()?.checks.get(check)?.of;
        let made = self.state.median(self.op, of, piece).filter(|_| again);
        Some(match (made, held.target) {
            (Some(made), Some(target)) => held.moved(made - target),
            _ => held,
        })
    }

    pub fn gauge(&self, check: &PlannedCheck) -> Option<&'a Gauge> {
        self.shop.gauges.get(&check.gauge)
    }

    /// What the standing reading of a piece says, by the limits of its own time.
    pub fn verdict(&self, piece: &PieceId, check: &PlannedCheck) -> Option<Verdict> {
        self.state.standing(self.op, piece, &check.of).map(|reading| verdict_of(&reading.taken))
    }

    /// Whether a check wants this piece: setup pieces prove settings, so always.
    pub fn wants(&self, check: &PlannedCheck, piece: &PieceId) -> bool {
        Sequence::of(self).is_some_and(|row| row.wants(check, piece))
    }

    /// Whether another check than this still wants something of a piece.
    pub(super) fn wants_more(&self, piece: &PieceId, but: usize, first: bool) -> bool {
        let Some(row) = Sequence::of(self) else { return false };
        let mut checks = row.planned.checks.iter().enumerate().filter(|(n, _)| *n != but);
        checks.any(|(n, check)| {
            (first || row.looks_at(check, piece))
                && row.open_check(check, n, piece, first).is_some()
        })
    }
}

/// What a reading on record says.
pub fn verdict_of(taken: &crate::journal::TakenReading) -> Verdict {
    let again = |side| taken.safe == side;
    match taken.says {
        GaugeSays::Size(size) => judge(size, &taken.limits(), taken.uncertainty, taken.safe),
        GaugeSays::In => Verdict::In,
        GaugeSays::TooBig => {
            Verdict::TooBig { by: Length::ZERO, again: again(crate::measure::SafeSide::Big) }
        }
        GaugeSays::TooSmall => {
            Verdict::TooSmall { by: Length::ZERO, again: again(crate::measure::SafeSide::Small) }
        }
    }
}

/// The operation to go on with at a station: where it was working, or the
/// first that is not finished.
pub fn next_op(route: &Route, state: &State, station: &str) -> Option<u32> {
    let open = |op: u32| !is_finished(route, state, op);
    let rack = route.step(BOARDS).is_none() && state.boards.is_begun() && open(BOARDS);
    let begun = state.setups.values().any(|setup| setup.begun.is_some());
    state
        .working_at
        .get(station)
        .copied()
        .filter(|op| (route.step(*op).is_some() && open(*op)) || (*op == BOARDS && rack))
        .or((rack && !begun).then_some(BOARDS))
        .or_else(|| route.steps.iter().map(|step| step.op).find(|op| open(*op)))
}

/// Closed, nobody left behind, and whatever it makes accepted.
pub fn is_finished(route: &Route, state: &State, op: u32) -> bool {
    let Some(step) = route.step(op) else {
        return if op == BOARDS { state.boards.is_finished() } else { state.is_closed(op) };
    };
    is_through(state, step) && !proposal::waits_for_the_lead(route, state, op)
}

/// Whether an operation is closed and holds no piece that came back to the
/// batch afterwards: half a batch is never taken for a whole one.
fn is_through(state: &State, step: &Step) -> bool {
    state.is_closed(step.op)
        && state
            .pieces_into(&step.part, step.op)
            .all(|piece| piece.aside.is_some() || state.is_done(step.op, &piece.id))
}

/// The one thing due now.
pub fn task(context: &WorkContext<'_>) -> Task {
    if context.at_boards() {
        return if context.who.is_none() { Task::Who } else { boards_task::task(context) };
    }
    let Some(planned) = context.planned() else { return Task::Finished };
    if context.who.is_none() {
        return Task::Who;
    }
    if context.route.step(context.op).is_some_and(|step| is_through(context.state, step)) {
        return match proposal::proposal(context) {
            Some(proposal) => Task::Accept(Box::new(proposal)),
            None => Task::Finished,
        };
    }
    let begun = context.setup().is_some_and(|setup| setup.begun.is_some());
    let early = shut(context, planned).or_else(|| caution(context, planned)).or_else(|| {
        // Later on a gauge is tried when it is about to be used.
        let gauges = planned.checks.iter().map(|check| check.gauge.as_str());
        gauges.into_iter().filter(|_| !begun).find_map(|gauge| zero(context, gauge))
    });
    if let Some(task) = early {
        return task;
    }
    if let Some(bridge) = bridge(context, planned) {
        return bridge;
    }
    let Some(row) = Sequence::of(context) else { return Task::Finished };
    let worked = match Style::of(planned) {
        Style::Stack => row.stack(),
        Style::PieceByPiece => row.piece_by_piece(),
        Style::ReadingsOnly => row.readings(),
        Style::ByHand => row.by_hand(),
    };
    let worked = worked.map(|task| before_the_bell(context, task));
    worked.or_else(|| between(context, planned)).unwrap_or_else(|| {
        let PieceTally { done, aside, .. } = context.state.tally(&planned.part, context.op);
        Task::Close { done, aside }
    })
}

/// No new setting is begun that isn't through fifteen minutes before the bell,
/// unless the lead opens it.
fn before_the_bell(context: &WorkContext<'_>, task: Task) -> Task {
    let Task::Set(SettingTask { pass: Some(pass), .. }) = &task else { return task };
    let opened = context.setup().is_some_and(|setup| setup.opened_early.is_some());
    match context.through(*pass) {
        Some(Through::No) if !opened => {
            let bell = context.bell.map_or_else(String::new, |at| at_words(at, context.now));
            let reasons = vec![format!(
                "not all pieces can be through this setting fifteen minutes before the bell at {bell}"
            )];
            Task::Blocked { reasons, openable: true }
        }
        Some(Through::LastSafeStop(last)) if *pass > last && !opened => {
            let reasons =
                vec![format!("pass {last} was the last that may be begun before the bell")];
            Task::Blocked { reasons, openable: true }
        }
        _ => task,
    }
}

/// The piece last measured before people left, to be measured once more by
/// somebody else or on another day: a difference is the gauge's or the
/// person's, not the wood's.
fn bridge(context: &WorkContext<'_>, planned: &PlannedOperation) -> Option<Task> {
    let piece = context.setup()?.bridge.clone()?;
    let (check, reading) =
        planned.checks.iter().enumerate().find_map(|(n, check)| {
            Some((n, context.state.standing(context.op, &piece, &check.of)?))
        })?;
    let same_day = reading.at.date_naive() == context.now.date_naive();
    if same_day && reading.who.as_deref() == context.who {
        return None;
    }
    let gauge = &planned.checks[check].gauge;
    Some(zero(context, gauge).unwrap_or(Task::Read { piece, check, why: ReadReason::Bridge }))
}

/// How an operation is walked.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Style {
    /// Every piece through one height, then the next height.
    Stack,
    /// One setting, then piece after piece.
    PieceByPiece,
    ReadingsOnly,
    ByHand,
}

impl Style {
    fn of(planned: &PlannedOperation) -> Style {
        let outcome = planned.groups.first().map(|group| &group.outcome);
        match outcome {
            Some(outcome) if !outcome.passes.is_empty() => Style::Stack,
            Some(outcome) if !outcome.settings.is_empty() => Style::PieceByPiece,
            _ if !planned.checks.is_empty() => Style::ReadingsOnly,
            _ => Style::ByHand,
        }
    }
}

impl WorkContext<'_> {
    /// Whether the passes from this one on are through before the bell; none
    /// where no bell was named, or nothing is known of the feed.
    pub fn through(&self, from: u32) -> Option<Through> {
        let left = (self.bell? - self.now).to_std().unwrap_or_default();
        let planned = self.planned()?;
        let feed = self.shop.machines.get(planned.at.as_ref()?)?.feed_per_minute?;
        let group = planned.groups.first()?;
        let length = group.before.most(LENGTH)?;
        let pieces = self.pieces().iter().filter(|piece| piece.aside.is_none()).count();
        let once = feed_through(pieces, length, GAP, feed)?;
        let passes = &group.outcome.passes;
        let at = passes.iter().position(|pass| pass.number == from)?;
        Some(by_the_bell(&passes[at..], once, left))
    }

    /// What later operations made of these pieces before this one was
    /// finished: whatever they located from its faces shifts. Each with the
    /// operation that made it.
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

    /// How much closer the operation is set for another cut of such a piece.
    pub(super) fn closer(&self, over: crate::operation::Over) -> Option<Length> {
        crate::plan::closer(self.route, self.shop, &self.state.known(), self.op, over)
    }
}

/// Whether the operation has to wait, and why.
fn shut(context: &WorkContext<'_>, planned: &PlannedOperation) -> Option<Task> {
    let begun = context.setup().is_some_and(|setup| setup.begun.is_some());
    let errors: Vec<&PlanFinding> =
        planned.findings.iter().filter(|finding| finding.level == Level::Error).collect();
    let limits: Vec<String> = errors
        .iter()
        .filter(|finding| finding.place.may_override == MayOverride::Nobody)
        .map(|finding| sentence(finding))
        .collect();
    if !limits.is_empty() {
        return Some(Task::Blocked { reasons: limits, openable: false });
    }
    if begun || context.setup().is_some_and(|setup| setup.opened_early.is_some()) {
        return None;
    }
    let mut reasons: Vec<String> = errors.iter().map(|finding| sentence(finding)).collect();
    if let Some(step) = context.route.step(context.op) {
        let mut before: Vec<_> = context.route.before(step).collect();
        before.sort_by_key(|earlier| earlier.op);
        if let Some(earlier) = before.iter().find(|earlier| !is_through(context.state, earlier)) {
            let (op, kind, part) = (earlier.op, earlier.kind, &earlier.part);
            reasons.push(if *part == planned.part {
                format!("op {op} ({kind}) is not finished for these pieces")
            } else {
                format!("op {op} ({kind} {part}) is not finished")
            });
        }
        for earlier in before {
            let waits = context.state.waits.iter().filter(|wait| wait.op == earlier.op);
            let running =
                waits.filter(|wait| wait.until > context.now && !is_cut_short(context, wait));
            if let Some(wait) = running.max_by_key(|wait| wait.until) {
                let (op, at) = (earlier.op, at_words(wait.until, context.now));
                reasons.push(format!("op {op}, {}: not before {at}", wait.what));
            }
        }
    }
    if planned.cant_be_undone {
        for need in &planned.needs {
            if !context.state.made.iter().any(|made| made.made.dim == need.dim) {
                reasons.push(format!(
                    "{} is only planned: it is measured at op {}, and this cut can't be undone",
                    need.dim, need.op
                ));
            }
        }
    }
    (!reasons.is_empty()).then_some(Task::Blocked { reasons, openable: true })
}

/// Whether a lead opened an operation on this wood while it already waited:
/// wood that went on once doesn't wait again for the same.
fn is_cut_short(context: &WorkContext<'_>, wait: &RunningWait) -> bool {
    context.state.setups.iter().any(|(op, setup)| {
        let opened = setup.opened_early.as_ref();
        let step = context.route.step(*op).filter(|_| opened.is_some_and(|o| o.order > wait.order));
        step.is_some_and(|step| context.route.before(step).any(|before| before.op == wait.op))
    })
}

/// `14:30`, or with its date when that is another day.
pub fn at_words(at: DateTime<FixedOffset>, now: DateTime<FixedOffset>) -> String {
    let same_day = at.date_naive() == now.date_naive();
    at.format(if same_day { "%H:%M" } else { "%a %e %b %H:%M" }).to_string()
}

fn sentence(finding: &PlanFinding) -> String {
    match &finding.help {
        Some(fix) => format!("{} ({fix})", finding.what),
        None => finding.what.clone(),
    }
}

fn caution(context: &WorkContext<'_>, planned: &PlannedOperation) -> Option<Task> {
    let machine = planned.at.clone()?;
    if planned.cautions.is_empty() {
        return None;
    }
    let tool = planned.tool.clone();
    let who = context.who.unwrap_or_default().to_owned();
    let key = (who, machine.clone(), tool.clone(), context.now.date_naive());
    (!context.state.cautions_read.contains(&key)).then_some(Task::Caution { machine, tool })
}

/// Whether a gauge is to be zeroed before it is used again.
fn zero(context: &WorkContext<'_>, gauge: &str) -> Option<Task> {
    let held = context.shop.gauges.get(gauge)?;
    held.entry()?;
    let key = (context.station.to_owned(), gauge.to_owned());
    let fresh = context.state.zeroed.get(&key).is_some_and(|zeroing| {
        zeroing.readings_since < READINGS_A_ZERO
            && context.now.signed_duration_since(zeroing.at) < Duration::minutes(MINUTES_A_ZERO)
            && zeroing.at.date_naive() == context.now.date_naive()
    });
    let block = context.shop.check_blocks.get(gauge).copied();
    // A gauge with nothing to be tried on has no zero to set: rules and tapes.
    (!fresh && block.is_some()).then(|| Task::Zero { gauge: gauge.to_owned(), block })
}

/// When the next gauge falls due by the clock alone, so that a sleeping
/// terminal knows when to wake.
pub fn wake_at(context: &WorkContext<'_>) -> Option<DateTime<FixedOffset>> {
    let zeroings = context
        .state
        .zeroed
        .iter()
        .filter(|((station, _), _)| station == context.station)
        .map(|(_, zeroing)| zeroing.at + Duration::minutes(MINUTES_A_ZERO));
    let waits = context.state.waits.iter().map(|wait| wait.until);
    zeroings.chain(waits).filter(|at| *at > context.now).min()
}

fn tool_task(context: &WorkContext<'_>, tool: Option<&str>) -> Option<Task> {
    let planned = context.planned()?;
    let machine = planned.at.as_ref()?;
    let tool = tool?;
    // With one tool there is nothing to change.
    if context.shop.machines.get(machine)?.tools.len() < 2 {
        return None;
    }
    let was = context.state.tools.get(machine);
    (was.map(String::as_str) != Some(tool)).then(|| Task::Tool {
        machine: machine.clone(),
        tool: tool.to_owned(),
        was: was.cloned(),
    })
}

/// The pieces of an operation in cut order, looked up once for one question.
struct Sequence<'a> {
    context: &'a WorkContext<'a>,
    planned: &'a PlannedOperation,
    /// Those that go through: set aside is out of it.
    in_work: Vec<&'a Piece>,
    /// The place of each piece, from one; setup pieces have none.
    places: HashMap<&'a PieceId, usize>,
    /// The first and the last place that still goes through.
    ends: (usize, usize),
    /// Which group each piece is in, where there are several.
    groups: HashMap<&'a PieceLabel, usize>,
    /// When the machine was last set for another operation.
    elsewhere: usize,
}

impl<'a> Sequence<'a> {
    fn of(context: &'a WorkContext<'a>) -> Option<Sequence<'a>> {
        let planned = context.planned()?;
        let pieces = context.pieces();
        let counted = pieces.iter().filter(|piece| piece.label.role != Role::Setup);
        let places: HashMap<&PieceId, usize> =
            counted.enumerate().map(|(index, piece)| (&piece.id, index + 1)).collect();
        let in_work: Vec<&Piece> =
            pieces.into_iter().filter(|piece| piece.aside.is_none()).collect();
        let mut placed = in_work.iter().filter_map(|piece| places.get(&piece.id).copied());
        let first = placed.next().unwrap_or(0);
        let ends = (first, placed.next_back().unwrap_or(first));
        let parted = planned.groups.len() > 1;
        let groups = planned.groups.iter().enumerate().filter(|_| parted).flat_map(|(n, group)| {
            group.pieces.iter().filter_map(move |index| Some((planned.pieces.get(*index)?, n)))
        });
        let others = context
            .plan
            .operations
            .iter()
            .filter(|other| other.op != context.op && other.at.is_some() && other.at == planned.at)
            .filter_map(|other| context.state.setups.get(&other.op)?.shown.last());
        Some(Sequence {
            context,
            planned,
            in_work,
            places,
            ends,
            groups: groups.collect(),
            elsewhere: others.map(|shown| shown.order).max().unwrap_or(0),
        })
    }

    fn members(&self, group: usize) -> Vec<&'a Piece> {
        let own = |piece: &&&Piece| {
            self.groups.is_empty() || self.groups.get(&piece.label).copied().unwrap_or(0) == group
        };
        self.in_work.iter().filter(own).copied().collect()
    }

    /// The pieces a setting names: none where it is for all.
    fn named(&self, members: &[&Piece]) -> Vec<PieceId> {
        if self.groups.is_empty() { Vec::new() } else { ids(members) }
    }

    fn wants(&self, check: &PlannedCheck, piece: &PieceId) -> bool {
        let Some(at) = self.places.get(piece).copied() else { return true };
        let count = self.places.len();
        // Where the first or last is set aside, its neighbour stands for it.
        check.pieces.wants(at, count)
            || (at == self.ends.0 && check.pieces.wants(1, count))
            || (at == self.ends.1 && check.pieces.wants(count, count))
    }

    /// Whether a check wants a piece, or looked at it though it need not have.
    fn looks_at(&self, check: &PlannedCheck, piece: &PieceId) -> bool {
        self.wants(check, piece) || self.context.verdict(piece, check).is_some()
    }

    /// Whether a scale still stands at that dial, set for this operation.
    fn stands_at(&self, setting: &str, dial: Dial) -> bool {
        let stands = self.context.setup().and_then(|setup| setup.stands(setting));
        stands.is_some_and(|shown| shown.stored.dial == dial && shown.order >= self.elsewhere)
    }

    /// The same for a scale that passes lead along: what stood before on it, by
    /// whatever name, stands no more.
    fn passes_stand_at(&self, outcome: &Outcome, setting: &str, dial: Dial) -> bool {
        let of_passes = |shown: &&crate::journal::ScaleCheck| {
            let mut named = outcome.settings.iter().filter(|named| named.by_passes);
            named.any(|named| named.name == shown.stored.setting)
        };
        let shown = self.context.setup().map(|setup| setup.shown.iter().rev());
        let last = shown.into_iter().flatten().filter(of_passes).find(|shown| shown.right);
        last.is_some_and(|last| last.stored.setting == setting) && self.stands_at(setting, dial)
    }

    /// What is still to be added to a setting after a first piece.
    fn moved(&self, setting: &str) -> Length {
        let setup = self.context.setup();
        setup.and_then(|setup| setup.moves.get(setting)).copied().unwrap_or(Length::ZERO)
    }

    fn proven(&self) -> bool {
        self.context.setup().is_some_and(|setup| setup.first_piece.is_some())
    }

    /// A step of a stack: every piece through each height.
    fn stack(&self) -> Option<Task> {
        let groups = self.planned.groups.iter().enumerate();
        groups
            .into_iter()
            .find_map(|(n, group)| self.heights(&group.outcome, &self.members(n)))
            .or_else(|| self.readings())
    }

    fn heights(&self, outcome: &Outcome, members: &[&Piece]) -> Option<Task> {
        let first = members.first()?;
        let setup = self.context.setup();
        let mut before = None;
        for (index, pass) in outcome.passes.iter().enumerate() {
            let setting = pass_setting(outcome, index);
            let through = setup.and_then(|setup| setup.passes.get(&pass.number));
            let left: Vec<&Piece> = members
                .iter()
                .filter(|piece| through.is_none_or(|through| !through.contains(&piece.id)))
                .copied()
                .collect();
            // The last height is the one that a first piece proves, and moves.
            let proves = !pass.kiss && outcome.passes[index + 1..].iter().all(|pass| pass.kiss);
            let moved = if proves { self.moved(&setting) } else { Length::ZERO };
            if left.is_empty() && moved.is_zero() {
                before = Some(pass.dial.0);
                continue;
            }
            let feed = Task::Feed {
                pass: Some(pass.number),
                faces: pass.faces.clone(),
                feeds: pass.feeds,
                kiss: pass.kiss,
                pieces: ids(&left),
            };
            if let Some(task) = tool_task(self.context, pass.tool.as_deref()) {
                return Some(task);
            }
            // Before it closes further all come down to this height: at the
            // next one the rest would be cut by two steps at once.
            if moved.is_negative() && !left.is_empty() {
                return Some(feed);
            }
            if pass.number == 1
                && let Some(task) = self.opening(outcome, members)
            {
                return Some(task);
            }
            let dial = Dial(pass.dial.0 + moved);
            if !pass.kiss && !self.passes_stand_at(outcome, &setting, dial) {
                return Some(Task::Set(SettingTask {
                    setting,
                    pass: Some(pass.number),
                    readout: pass.readout,
                    target: pass.target,
                    dial,
                    moved,
                    pieces: self.named(members),
                    tool: pass.tool.clone(),
                    presses: pass.presses.filter(|_| moved.is_zero()),
                    before: if moved.is_zero() { before } else { Some(pass.dial.0) },
                }));
            }
            let sized = |check: &PlannedCheck| outcome.after.sizes.contains_key(&check.of);
            if proves
                && left.len() == members.len()
                && !self.proven()
                && self.planned.checks.iter().any(sized)
                && let Some(task) = self.prove(&first.id)
            {
                return Some(task);
            }
            return Some(feed);
        }
        None
    }

    /// Settings of a stack that stand before its first pass.
    fn opening(&self, outcome: &Outcome, members: &[&Piece]) -> Option<Task> {
        let mut named = outcome.settings.iter().filter(|setting| !setting.by_passes);
        let named = named.find(|named| !self.stands_at(&named.name, named.setting.dial))?;
        Some(Task::Set(SettingTask {
            setting: named.name.clone(),
            pass: None,
            readout: named.readout,
            target: named.setting.target,
            dial: named.setting.dial,
            moved: Length::ZERO,
            pieces: self.named(members),
            tool: None,
            presses: None,
            before: None,
        }))
    }

    /// One setting, then piece after piece; groups with their own dials in turn.
    fn piece_by_piece(&self) -> Option<Task> {
        for (n, group) in self.planned.groups.iter().enumerate() {
            let members = self.members(n);
            let Some(next) = members.iter().find(|piece| !self.settled(&piece.id)) else {
                continue;
            };
            if let Some(task) = tool_task(self.context, self.planned.tool.as_deref()) {
                return Some(task);
            }
            for named in group.outcome.settings.iter().filter(|setting| !setting.by_passes) {
                let moved = self.moved(&named.name);
                let dial = Dial(named.setting.dial.0 + moved);
                if !self.stands_at(&named.name, dial) {
                    return Some(Task::Set(SettingTask {
                        setting: named.name.clone(),
                        pass: None,
                        readout: named.readout,
                        target: named.setting.target,
                        dial,
                        moved,
                        pieces: self.named(&members),
                        tool: self.planned.tool.clone(),
                        presses: None,
                        before: None,
                    }));
                }
            }
            let read =
                if self.proven() { self.reading_task(&next.id) } else { self.prove(&next.id) };
            return Some(read.unwrap_or_else(|| Task::Tick { piece: next.id.clone() }));
        }
        None
    }

    /// Whether nothing more is wanted of a piece at a piece-by-piece operation.
    fn settled(&self, piece: &PieceId) -> bool {
        self.context.state.is_done(self.context.op, piece) && self.reading_task(piece).is_none()
    }

    /// The first piece of a setup: every check on it, whatever the checks want.
    fn prove(&self, piece: &PieceId) -> Option<Task> {
        let mut checks = self.planned.checks.iter().enumerate();
        checks.find_map(|(n, check)| self.open_check(check, n, piece, true))
    }

    /// The first check that still wants something of this piece.
    fn reading_task(&self, piece: &PieceId) -> Option<Task> {
        let checks = self.planned.checks.iter().enumerate();
        checks
            .filter(|(_, check)| self.looks_at(check, piece))
            .find_map(|(n, check)| self.open_check(check, n, piece, false))
    }

    /// Readings that checks still want, in cut order.
    fn readings(&self) -> Option<Task> {
        self.in_work
            .iter()
            .find_map(|piece| self.reading_task(&piece.id))
            .or_else(|| self.by_hand())
    }

    fn by_hand(&self) -> Option<Task> {
        let state = self.context.state;
        let done = |piece: &&&Piece| state.is_done(self.context.op, &piece.id);
        let left: Vec<&Piece> = self.in_work.iter().filter(|piece| !done(piece)).copied().collect();
        (!left.is_empty()).then(|| Task::Feed {
            pass: None,
            faces: Vec::new(),
            feeds: 1,
            kiss: false,
            pieces: ids(&left),
        })
    }

    /// A check on a piece that is not yet answered well.
    fn open_check(
        &self,
        check: &PlannedCheck,
        n: usize,
        piece: &PieceId,
        first: bool,
    ) -> Option<Task> {
        let context = self.context;
        let read = || {
            zero(context, &check.gauge).unwrap_or(Task::Read {
                piece: piece.clone(),
                check: n,
                why: if first { ReadReason::First } else { ReadReason::Check },
            })
        };
        let Some(reading) = context.state.standing(context.op, piece, &check.of) else {
            return Some(read());
        };
        // A reading from before the scale was last touched proves nothing.
        let set = context.setup().and_then(|setup| setup.shown.last()).map_or(0, |last| last.order);
        if first && reading.order < set {
            return Some(read());
        }
        match (verdict_of(&reading.taken), context.state.decision_on(reading)) {
            // Sent back for another cut: the next reading takes its place.
            (_, Some(Decision::Rework)) => Some(read()),
            (Verdict::In, _) | (_, Some(_)) => None,
            (verdict, None) => {
                Some(Task::Decide { piece: piece.clone(), check: n, verdict, first })
            }
        }
    }
}

fn ids(pieces: &[&Piece]) -> Vec<PieceId> {
    pieces.iter().map(|piece| piece.id.clone()).collect()
}

/// The setting a pass leads to: one of its own, or the one all passes share.
fn pass_setting(outcome: &Outcome, pass: usize) -> String {
    let named: Vec<_> = outcome.settings.iter().filter(|named| named.by_passes).collect();
    let own = if named.len() == outcome.passes.len() { pass } else { 0 };
    named.get(own).map_or_else(String::new, |named| named.name.clone())
}

/// When first and last differ too much, the piece halfway between the last
/// known like the first and the first known like the last. Common practice,
/// no source: a quarter of the band, and three times the uncertainty.
fn between(context: &WorkContext<'_>, planned: &PlannedOperation) -> Option<Task> {
    planned.checks.iter().enumerate().find_map(|(n, check)| {
        let drift = drift(context, check, n)?;
        let skipped = context
            .state
            .remarks
            .iter()
            .any(|remark| remark.op == Some(context.op) && remark.text == drift.skipped_text());
        let piece = drift.next?;
        (!skipped).then(|| {
            zero(context, &check.gauge).unwrap_or(Task::Read {
                piece,
                check: n,
                why: ReadReason::Between,
            })
        })
    })
}

/// A setting that moved while pieces were cut.
#[derive(Clone, Debug, PartialEq)]
pub struct Drift {
    pub feature: FeatureName,
    pub by: Length,
    /// Between which places in cut order it moved, as far as is known.
    pub after: usize,
    pub before: usize,
    /// The piece to measure next; `None` once neighbours differ.
    pub next: Option<PieceId>,
}

impl Drift {
    /// The remark by which people say they leave it at that.
    pub fn skipped_text(&self) -> String {
        format!("{} differs from first to last; left at that", self.feature)
    }
}

/// Whether a feature drifted over the stack, and where as far as is known.
pub fn drift(context: &WorkContext<'_>, check: &PlannedCheck, n: usize) -> Option<Drift> {
    let members: Vec<&Piece> = context
        .pieces()
        .into_iter()
        .filter(|piece| piece.aside.is_none() && piece.label.role != Role::Setup)
        .collect();
    // Pieces with dials of their own differ by as much as they were meant to.
    let size = |piece: &Piece| {
        let taken = &context.state.standing(context.op, &piece.id, &check.of)?.taken;
        Some(taken.size()? - taken.target.unwrap_or(Length::ZERO))
    };
    let known: Vec<(usize, Length)> = members
        .iter()
        .enumerate()
        .filter_map(|(index, piece)| Some((index, size(piece)?)))
        .collect();
    let ((first_at, first), (last_at, last)) = (*known.first()?, *known.last()?);
    let uncertainty = context.gauge(check)?.uncertainty()?;
    let limits = context.limits(&members.first()?.id, n)?.limits;
    let band = limits.band()?;
    let by = last - first;
    if by.abs() <= (band / 4).max(uncertainty * 3) || first_at == last_at {
        return None;
    }
    let nearer_first = |size: Length| (size - first).abs() <= (size - last).abs();
    let low = known.iter().take_while(|(_, size)| nearer_first(*size)).last()?.0;
    let high = known.iter().find(|(index, size)| *index > low && !nearer_first(*size))?.0;
    let next = (high - low > 1).then(|| members[(low + high) / 2].id.clone());
    Some(Drift { feature: check.of.clone(), by, after: low + 1, before: high + 1, next })
}
