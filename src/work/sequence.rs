//! The pieces of an operation in cut order, and what each of them still needs.

use std::num::NonZeroUsize;

use super::context::WorkContext;
use super::gate::{tool_change, zeroing_task};
use super::task::{ReadReason, SettingTask, Task};
use crate::journal::{
    Decision, Piece, PieceId, PiecesThrough, ReadPlaces, ReadingRecord, ScaleCheck,
};
use crate::measure::{Dial, Length, Verdict};
use crate::operation::{NamedSetting, Outcome};
use crate::plan::{PlannedCheck, PlannedOperation};
use crate::route::Role;

/// The order in which an operation is worked.
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

/// The places of pieces at an operation, in cut order from one. Setup pieces have none.
struct CutPlaces {
    /// For each piece from `first` on, by its place in the batch: the pieces of a part
    /// lie together there.
    at: Vec<Option<NonZeroUsize>>,
    first: usize,
    count: usize,
}

impl CutPlaces {
    fn of(pieces: &[&Piece]) -> CutPlaces {
        let all = pieces.iter().map(|piece| piece.place);
        let first = all.clone().min().unwrap_or(0);
        let end = all.max().map_or(first, |last| last + 1);
        let mut places = CutPlaces { at: vec![None; end - first], first, count: 0 };
        for piece in pieces.iter().filter(|piece| piece.label.role != Role::Setup) {
            places.count += 1;
            places.at[piece.place - first] = NonZeroUsize::new(places.count);
        }
        places
    }

    fn at(&self, piece: &Piece) -> Option<usize> {
        let at = self.at.get(piece.place.checked_sub(self.first)?)?;
        at.map(NonZeroUsize::get)
    }
}

/// The pieces of an operation in cut order, looked up once for one question.
pub(super) struct Sequence<'a> {
    pub(super) context: &'a WorkContext<'a>,
    pub(super) planned: &'a PlannedOperation,
    /// Those that go through: not the ones set aside.
    pub(super) in_work: Vec<&'a Piece>,
    /// The place of each piece here.
    places: CutPlaces,
    /// The first and the last place that still goes through.
    pub(super) ends: (usize, usize),
    /// Which group each piece in work is in, in the same order; empty where all are in
    /// one.
    groups: Vec<usize>,
    /// For each check, the pieces it was read of; none before its first reading.
    read: Vec<Option<&'a ReadPlaces>>,
    through: PiecesThrough<'a>,
    /// When the machine was last set for another operation.
    pub(super) elsewhere: usize,
    /// The next piece, where it is measured whatever the checks want.
    watched: Option<&'a Piece>,
}

impl<'a> Sequence<'a> {
    pub(super) fn of(context: &'a WorkContext<'a>) -> Option<Sequence<'a>> {
        let planned = context.planned()?;
        let mut in_work = context.pieces();
        let places = CutPlaces::of(&in_work);
        in_work.retain(|piece| piece.aside.is_none());
        let mut still = in_work.iter().filter_map(|piece| places.at(piece));
        let first = still.next().unwrap_or(0);
        let ends = (first, still.next_back().unwrap_or(first));
        let parted = planned.groups.len() > 1;
        let labels = in_work.iter().filter(|_| parted).map(|piece| &piece.label);
        let groups = planned.group_indexes(labels);
        let of = planned.checks.iter().map(|check| &check.of);
        let read = of.map(|feature| context.state.read(context.op, feature)).collect();
        let watched = watched_piece(context, &in_work);
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
            groups,
            read,
            through: context.state.through(context.op),
            watched,
            elsewhere: others.map(|shown| shown.order).max().unwrap_or(0),
        })
    }

    /// The next thing to do, the way this operation is worked.
    pub(super) fn next(&self) -> Option<Task> {
        match Style::of(self.planned) {
            Style::Stack => self.stack(),
            Style::PieceByPiece => self.piece_by_piece(),
            Style::ReadingsOnly => self.readings(),
            Style::ByHand => self.by_hand(),
        }
    }

    pub(super) fn members(&self, group: usize) -> Vec<&'a Piece> {
        if self.groups.is_empty() {
            return self.in_work.clone();
        }
        let own = self.in_work.iter().zip(&self.groups).filter(|(_, own)| **own == group);
        own.map(|(piece, _)| *piece).collect()
    }

    /// The pieces a setting names: none where it is for all.
    pub(super) fn named(&self, members: &[&Piece]) -> Vec<PieceId> {
        if self.groups.is_empty() { Vec::new() } else { ids(members) }
    }

    fn wants(&self, check: &PlannedCheck, piece: &Piece) -> bool {
        if self.watched.is_some_and(|watched| watched.place == piece.place) {
            return true;
        }
        let Some(at) = self.places.at(piece) else { return true };
        let count = self.places.count;
        // Where the first or last is set aside, its neighbour takes its place.
        check.pieces.wants(at, count)
            || (at == self.ends.0 && check.pieces.wants(1, count))
            || (at == self.ends.1 && check.pieces.wants(count, count))
    }

    /// Whether a check wants a piece, or the piece was measured without need.
    fn looks_at(&self, check: &PlannedCheck, piece: &Piece) -> bool {
        self.wants(check, piece)
            || self.context.verdict(&piece.id, check).is_some()
            || self.context.is_to_be_measured_again(&piece.id, check)
    }

    /// Whether a scale is still at that dial.
    pub(super) fn is_set_to(&self, setting: &str, dial: Dial) -> bool {
        self.was_set_to(setting, dial) || self.context.stands(setting, dial).is_some()
    }

    /// Whether a scale is still at that dial, set for this operation.
    fn was_set_to(&self, setting: &str, dial: Dial) -> bool {
        let in_force = self.context.setup().and_then(|setup| setup.scale_in_force(setting));
        in_force.is_some_and(|shown| shown.stored.dial == dial && shown.order >= self.elsewhere)
    }

    /// The same for a scale that the passes move: an earlier setting on it is gone,
    /// whatever its name.
    pub(super) fn pass_is_set_to(&self, outcome: &Outcome, setting: &str, dial: Dial) -> bool {
        let of_passes = |shown: &&ScaleCheck| {
            let mut named = outcome.settings.iter().filter(|named| named.by_passes);
            named.any(|named| named.name == shown.stored.setting)
        };
        let shown = self.context.setup().map(|setup| setup.shown.iter().rev());
        let last = shown.into_iter().flatten().filter(of_passes).find(|shown| shown.right);
        last.is_some_and(|last| last.stored.setting == setting) && self.is_set_to(setting, dial)
    }

    /// What is still to be added to a setting after a first piece.
    pub(super) fn moved(&self, setting: &str) -> Length {
        let setup = self.context.setup();
        setup.and_then(|setup| setup.moves.get(setting)).copied().unwrap_or(Length::ZERO)
    }

    pub(super) fn proven(&self) -> bool {
        self.context.setup().is_some_and(|setup| setup.first_piece.is_some())
    }

    /// One setting, then piece after piece; groups with their own dials in turn.
    fn piece_by_piece(&self) -> Option<Task> {
        for (n, group) in self.planned.groups.iter().enumerate() {
            let members = self.members(n);
            let Some(next) = members.iter().find(|piece| !self.settled(piece)) else {
                continue;
            };
            let fit = tool_change(self.context, self.planned.tool.as_deref());
            let asked = |named: &&NamedSetting| named.is_confirmed && !named.by_passes;
            for named in group.outcome.settings.iter().filter(asked) {
                let moved = self.moved(&named.name);
                let dial = Dial(named.setting.dial.0 + moved);
                // With another tool every scale is set again.
                if fit.is_some() || !self.is_set_to(&named.name, dial) {
                    return Some(Task::Set(SettingTask {
                        fit,
                        setting: named.name.clone(),
                        pass: None,
                        readout: named.readout,
                        target: named.setting.target,
                        dial,
                        takes: None,
                        moved,
                        pieces: self.named(&members),
                        tool: self.planned.tool.clone(),
                        presses: None,
                        before: None,
                    }));
                }
            }
            if let Some(change) = fit {
                return Some(Task::Tool(change));
            }
            let read = if self.proven() { self.reading_task(next) } else { self.prove(next) };
            return Some(read.unwrap_or_else(|| self.cut(&members, next)));
        }
        None
    }

    /// Whether a piece needs nothing more at a piece-by-piece operation.
    pub(super) fn settled(&self, piece: &Piece) -> bool {
        self.through.has(piece)
            && (self.has_nothing_open(piece) || self.reading_task(piece).is_none())
    }

    /// Whether it is seen at a glance that no check wants anything of a piece: each size
    /// was read once and is within limits, or nobody wants it. Most pieces are so, and
    /// all of them are gone over at each answer.
    fn has_nothing_open(&self, piece: &Piece) -> bool {
        let mut checks = self.planned.checks.iter().zip(&self.read);
        piece.decisions.is_empty()
            && checks.all(|(check, read)| match read {
                Some(read) if read.once_within.contains(piece.place) => true,
                Some(read) if read.any.contains(piece.place) => false,
                _ => !self.wants(check, piece),
            })
    }

    /// The first piece of a setup: every check on it, whatever the checks want.
    pub(super) fn prove(&self, piece: &Piece) -> Option<Task> {
        let mut checks = self.planned.checks.iter().enumerate();
        checks.find_map(|(n, check)| self.context.open_check(check, n, piece, true))
    }

    /// The first check that still wants something of this piece.
    pub(super) fn reading_task(&self, piece: &Piece) -> Option<Task> {
        if self.has_nothing_open(piece) {
            return None;
        }
        let checks = self.planned.checks.iter().enumerate();
        checks
            .filter(|(_, check)| self.looks_at(check, piece))
            .find_map(|(n, check)| self.context.open_check(check, n, piece, false))
    }

    /// Readings that checks still want, in cut order.
    pub(super) fn readings(&self) -> Option<Task> {
        self.in_work.iter().find_map(|piece| self.reading_task(piece)).or_else(|| self.by_hand())
    }

    fn by_hand(&self) -> Option<Task> {
        let left = self.in_work.iter().filter(|piece| !self.through.has(piece));
        let left: Vec<&Piece> = left.copied().collect();
        (!left.is_empty()).then(|| Task::Feed {
            pass: None,
            faces: Vec::new(),
            feeds: 1,
            kiss: false,
            alone: false,
            pieces: ids(&left),
            then: None,
        })
    }
}

/// The next piece to be cut, where it shows whether the setting is still right: others
/// proved it and whoever has the keys has measured nothing here, or a piece was set
/// aside here and nothing was measured since.
fn watched_piece<'a>(context: &WorkContext<'a>, in_work: &[&'a Piece]) -> Option<&'a Piece> {
    let who = context.who?;
    context.setup()?.first_piece.as_ref()?;
    // From the last one back: whoever works here has most often just read.
    let mut here =
        context.state.counting_readings().rev().filter(|held| held.taken.op == context.op);
    let last = here.next();
    let is_own = |held: &ReadingRecord| held.who.as_deref() == Some(who);
    let is_new = !last.into_iter().chain(here).any(is_own);
    let last = last.map_or(0, |held| held.order);
    let was_lost = context.setup()?.lost.is_some_and(|lost| lost > last);
    if !is_new && !was_lost {
        return None;
    }
    let through = context.state.through(context.op);
    in_work.iter().find(|piece| !through.has(piece)).copied()
}

impl WorkContext<'_> {
    /// Whether another check than this still wants something of a piece.
    pub(super) fn wants_more(&self, piece: &PieceId, but: usize, first: bool) -> bool {
        let (Some(planned), Some(piece)) = (self.planned(), self.state.piece(piece)) else {
            return false;
        };
        let checks = planned.checks.iter().enumerate().filter(|(n, _)| *n != but);
        let mut open = checks
            .filter(|(n, check)| self.open_check(check, *n, piece, first).is_some())
            .peekable();
        if first || open.peek().is_none() {
            return open.peek().is_some();
        }
        let sequence = Sequence::of(self);
        sequence.is_some_and(|sequence| open.any(|(_, check)| sequence.looks_at(check, piece)))
    }

    /// What a check still needs of a piece: a reading or a decision.
    fn open_check(
        &self,
        check: &PlannedCheck,
        n: usize,
        piece: &Piece,
        first: bool,
    ) -> Option<Task> {
        let (context, piece) = (self, &piece.id);
        let read = || {
            zeroing_task(context, &check.gauge).unwrap_or(Task::Read {
                piece: piece.clone(),
                check: n,
                why: if first { ReadReason::First } else { ReadReason::Check },
            })
        };
        // An older reading may be in force again: it isn't what was to be measured again.
        let held = context.state.reading_in_force(context.op, piece, &check.of);
        let held = held.filter(|_| !context.is_to_be_measured_again(piece, check));
        let Some(reading) = held else { return Some(read()) };
        // A reading from before the scale was last touched does not prove the setting.
        let set = context.setup().and_then(|setup| setup.shown.last()).map_or(0, |last| last.order);
        if first && reading.order < set {
            return Some(read());
        }
        if context.wants_a_third(piece, check) {
            let why = ReadReason::Third { first };
            let third = Task::Read { piece: piece.clone(), check: n, why };
            return Some(zeroing_task(context, &check.gauge).unwrap_or(third));
        }
        match (reading.taken.verdict(), context.state.decision_on(reading)) {
            // It is cut again, and the next reading replaces this one.
            (_, Some(Decision::Rework)) => Some(read()),
            (Verdict::In, _) | (_, Some(_)) => None,
            (verdict, None) => {
                Some(Task::Decide { piece: piece.clone(), check: n, verdict, first })
            }
        }
    }
}

pub(super) fn ids(pieces: &[&Piece]) -> Vec<PieceId> {
    pieces.iter().map(|piece| piece.id.clone()).collect()
}
