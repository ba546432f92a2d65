//! The pieces of an operation in cut order, and what each of them still needs.

use std::cell::OnceCell;

use bit_set::BitSet;
use rustc_hash::FxHashMap;

use super::context::WorkContext;
use super::cut_order::{CutOrder, common};
use super::gate::{tool_change, zeroing_task};
use super::task::{ReadReason, SettingTask, Task};
use crate::journal::{
    Decision, Piece, PieceId, PiecesThrough, ReadPlaces, ReadingRecord, ScaleCheck,
};
use crate::measure::{Dial, Length, Verdict};
use crate::operation::{NamedSetting, Outcome};
use crate::plan::{PlannedCheck, PlannedOperation};

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

/// The pieces of an operation in cut order, looked up once for one question.
pub(super) struct Sequence<'a> {
    pub(super) context: &'a WorkContext<'a>,
    pub(super) planned: &'a PlannedOperation,
    /// The pieces in cut order.
    pub(super) order: CutOrder<'a>,
    /// The group of each piece in work, by its place; empty where all are in one.
    groups: FxHashMap<usize, usize>,
    /// For each check, the pieces it was read of; none before its first reading.
    read: Vec<Option<&'a ReadPlaces>>,
    through: PiecesThrough<'a>,
    /// When the machine was last set for another operation.
    pub(super) elsewhere: usize,
    /// The next piece, where it is measured whatever the checks want.
    watched: Option<&'a Piece>,
    /// The pieces of which no check wants anything, as far as is seen at a glance.
    measured: OnceCell<BitSet>,
    /// Those of them that are through.
    passed_by: OnceCell<BitSet>,
}

impl<'a> Sequence<'a> {
    pub(super) fn of(context: &'a WorkContext<'a>) -> Option<Sequence<'a>> {
        let planned = context.planned()?;
        let order = CutOrder::of(context, planned);
        let mut groups = FxHashMap::default();
        if planned.groups.len() > 1 {
            let in_work: Vec<&Piece> = order.in_work().collect();
            let own = planned.group_indexes(in_work.iter().map(|piece| &piece.label));
            groups.extend(in_work.iter().map(|piece| piece.place).zip(own));
        }
        let of = planned.checks.iter().map(|check| &check.of);
        let read = of.map(|feature| context.state.read(context.op, feature)).collect();
        let watched = watched_piece(context, &order);
        let others = context
            .plan
            .operations
            .iter()
            .filter(|other| other.op != context.op && other.at.is_some() && other.at == planned.at)
            .filter_map(|other| context.state.setups.get(&other.op)?.shown.last());
        Some(Sequence {
            context,
            planned,
            order,
            groups,
            read,
            through: context.state.through(context.op),
            watched,
            elsewhere: others.map(|shown| shown.order).max().unwrap_or(0),
            measured: OnceCell::new(),
            passed_by: OnceCell::new(),
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

    /// The pieces of a group in cut order.
    pub(super) fn members(&self, group: usize) -> Vec<&'a Piece> {
        self.order.in_work().filter(|piece| self.is_in(group, piece)).collect()
    }

    pub(super) fn is_in(&self, group: usize, piece: &Piece) -> bool {
        self.groups.is_empty() || self.groups.get(&piece.place) == Some(&group)
    }

    /// The pieces that still want something at a piece-by-piece operation.
    pub(super) fn unsettled(&self) -> impl Iterator<Item = &'a Piece> {
        self.open().filter(|piece| !self.settled(piece))
    }

    /// Those that want something as far as is seen at a glance: all that do, and a few
    /// others.
    pub(super) fn open(&self) -> impl Iterator<Item = &'a Piece> {
        self.order.but(Some(self.passed_by()))
    }

    /// The pieces a setting names: none where it is for all.
    pub(super) fn named(&self, members: &[&Piece]) -> Vec<PieceId> {
        if self.groups.is_empty() { Vec::new() } else { ids(members) }
    }

    fn wants(&self, check: &PlannedCheck, piece: &Piece) -> bool {
        if self.watched.is_some_and(|watched| watched.place == piece.place) {
            return true;
        }
        let Some(at) = self.order.at(piece) else { return true };
        let count = self.order.count;
        // Where the first or last is set aside, its neighbour takes its place.
        check.pieces.wants(at, count)
            || (self.order.is_first(piece) && check.pieces.wants(1, count))
            || (self.order.is_last(piece) && check.pieces.wants(count, count))
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
            let Some(next) = self.unsettled().find(|piece| self.is_in(n, piece)) else {
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
                        pieces: self.named(&self.members(n)),
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
            return Some(read.unwrap_or_else(|| self.cut(n, next)));
        }
        None
    }

    /// Whether a piece needs nothing more at a piece-by-piece operation.
    pub(super) fn settled(&self, piece: &Piece) -> bool {
        self.through.has(piece)
            && (self.has_nothing_open(piece) || self.reading_task(piece).is_none())
    }

    /// Whether it is seen at a glance that no check wants anything of a piece: each size
    /// was read once and is within limits, or nobody wants it.
    fn has_nothing_open(&self, piece: &Piece) -> bool {
        let mut checks = self.planned.checks.iter().zip(&self.read);
        piece.decisions.is_empty()
            && checks.all(|(check, read)| match read {
                Some(read) if read.once_within.contains(piece.place) => true,
                Some(read) if read.any.contains(piece.place) => false,
                _ => !self.wants(check, piece),
            })
    }

    /// The pieces of which that is so, all at once. Most are, and each answer passes over
    /// them. One that anything sets apart is looked at by itself and isn't among them.
    fn measured(&self) -> &BitSet {
        self.measured.get_or_init(|| {
            let mut measured = self.order.alike();
            for (check, read) in self.planned.checks.iter().zip(&self.read) {
                let mut open = match check.pieces.every() {
                    Some(1) => measured.clone(),
                    every => self.order.one_in(every),
                };
                open.extend(self.watched.map(|watched| watched.place));
                if let Some(read) = read {
                    open.union_with(&read.any);
                    open.difference_with(&read.once_within);
                }
                measured.difference_with(&open);
            }
            measured
        })
    }

    fn passed_by(&self) -> &BitSet {
        self.passed_by.get_or_init(|| match self.through.places() {
            Some(through) => common(self.measured(), through),
            None => BitSet::new(),
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
        self.next_reading().or_else(|| self.by_hand())
    }

    /// What the next piece wants of which a check wants anything.
    pub(super) fn next_reading(&self) -> Option<Task> {
        self.order.but(Some(self.measured())).find_map(|piece| self.reading_task(piece))
    }

    fn by_hand(&self) -> Option<Task> {
        let left: Vec<&Piece> = self.order.not_through(self.through).collect();
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
fn watched_piece<'a>(context: &WorkContext<'a>, order: &CutOrder<'a>) -> Option<&'a Piece> {
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
    order.not_through(context.state.through(context.op)).next()
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

#[cfg(test)]
mod tests;
