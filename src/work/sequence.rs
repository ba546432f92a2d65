//! The pieces of an operation in cut order, and what each of them still needs.

use std::collections::HashMap;

use super::context::WorkContext;
use super::gate::{tool_task, zeroing_task};
use super::task::{ReadReason, SettingTask, Task};
use crate::journal::{Decision, Piece, PieceId, ScaleCheck};
use crate::measure::{Dial, Length, Verdict};
use crate::operation::Outcome;
use crate::plan::{PlannedCheck, PlannedOperation};
use crate::route::{PieceLabel, Role};

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
    context: &'a WorkContext<'a>,
    planned: &'a PlannedOperation,
    /// Those that go through: not the ones set aside.
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
    pub(super) fn of(context: &'a WorkContext<'a>) -> Option<Sequence<'a>> {
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

    /// The next thing to do, the way this operation is worked.
    pub(super) fn next(&self) -> Option<Task> {
        match Style::of(self.planned) {
            Style::Stack => self.stack(),
            Style::PieceByPiece => self.piece_by_piece(),
            Style::ReadingsOnly => self.readings(),
            Style::ByHand => self.by_hand(),
        }
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
        // Where the first or last is set aside, its neighbour takes its place.
        check.pieces.wants(at, count)
            || (at == self.ends.0 && check.pieces.wants(1, count))
            || (at == self.ends.1 && check.pieces.wants(count, count))
    }

    /// Whether a check wants a piece, or the piece was measured without need.
    fn looks_at(&self, check: &PlannedCheck, piece: &PieceId) -> bool {
        self.wants(check, piece) || self.context.verdict(piece, check).is_some()
    }

    /// Whether a scale is still at that dial, set for this operation.
    fn is_set_to(&self, setting: &str, dial: Dial) -> bool {
        let in_force = self.context.setup().and_then(|setup| setup.scale_in_force(setting));
        in_force.is_some_and(|shown| shown.stored.dial == dial && shown.order >= self.elsewhere)
    }

    /// The same for a scale that the passes move: an earlier setting on it is gone,
    /// whatever its name.
    fn pass_is_set_to(&self, outcome: &Outcome, setting: &str, dial: Dial) -> bool {
        let of_passes = |shown: &&ScaleCheck| {
            let mut named = outcome.settings.iter().filter(|named| named.by_passes);
            named.any(|named| named.name == shown.stored.setting)
        };
        let shown = self.context.setup().map(|setup| setup.shown.iter().rev());
        let last = shown.into_iter().flatten().filter(of_passes).find(|shown| shown.right);
        last.is_some_and(|last| last.stored.setting == setting) && self.is_set_to(setting, dial)
    }

    /// What is still to be added to a setting after a first piece.
    fn moved(&self, setting: &str) -> Length {
        let setup = self.context.setup();
        setup.and_then(|setup| setup.moves.get(setting)).copied().unwrap_or(Length::ZERO)
    }

    fn proven(&self) -> bool {
        self.context.setup().is_some_and(|setup| setup.first_piece.is_some())
    }

    /// The next step of a stack: every piece goes through each height.
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
            let feed = |pieces, alone| Task::Feed {
                pass: Some(pass.number),
                faces: pass.faces.clone(),
                feeds: pass.feeds,
                kiss: pass.kiss,
                alone,
                pieces,
            };
            if let Some(task) = tool_task(self.context, pass.tool.as_deref()) {
                return Some(task);
            }
            // All pieces go through this height before the next one, which would
            // otherwise cut the rest by two steps at once.
            if moved.is_negative() && !left.is_empty() {
                return Some(feed(ids(&left), false));
            }
            if pass.number == 1
                && let Some(task) = self.opening(outcome, members)
            {
                return Some(task);
            }
            let dial = Dial(pass.dial.0 + moved);
            if !pass.kiss && !self.pass_is_set_to(outcome, &setting, dial) {
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
            let untouched = left.len() == members.len();
            if untouched && self.is_looked_at_first() && members.len() > 1 {
                return Some(feed(ids(&members[..1]), true));
            }
            let sized = |check: &PlannedCheck| outcome.after.sizes.contains_key(&check.of);
            let shows = |check: &PlannedCheck| sized(check) || check.kind.is_form();
            // A piece that went first alone is through already.
            let is_there =
                if self.is_looked_at_first() { !left.contains(first) } else { untouched };
            if proves
                && is_there
                && !self.proven()
                && self.planned.checks.iter().any(shows)
                && let Some(task) = self.prove(&first.id)
            {
                return Some(task);
            }
            return Some(feed(ids(&left), false));
        }
        None
    }

    /// Whether the first piece goes through alone and is looked at: where an
    /// operation stops when the piece is clean.
    fn is_looked_at_first(&self) -> bool {
        let step = self.context.route.step(self.context.op);
        step.is_some_and(|step| step.what.stops_when_clean())
    }

    /// Settings of a stack that are made before its first pass.
    fn opening(&self, outcome: &Outcome, members: &[&Piece]) -> Option<Task> {
        let mut named = outcome.settings.iter().filter(|setting| !setting.by_passes);
        let named = named.find(|named| !self.is_set_to(&named.name, named.setting.dial))?;
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
                if !self.is_set_to(&named.name, dial) {
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

    /// Whether a piece needs nothing more at a piece-by-piece operation.
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
            alone: false,
            pieces: ids(&left),
        })
    }

    /// What a check still needs of a piece: a reading or a decision.
    fn open_check(
        &self,
        check: &PlannedCheck,
        n: usize,
        piece: &PieceId,
        first: bool,
    ) -> Option<Task> {
        let context = self.context;
        let read = || {
            zeroing_task(context, &check.gauge).unwrap_or(Task::Read {
                piece: piece.clone(),
                check: n,
                why: if first { ReadReason::First } else { ReadReason::Check },
            })
        };
        let Some(reading) = context.state.reading_in_force(context.op, piece, &check.of) else {
            return Some(read());
        };
        // A reading from before the scale was last touched does not prove the setting.
        let set = context.setup().and_then(|setup| setup.shown.last()).map_or(0, |last| last.order);
        if first && reading.order < set {
            return Some(read());
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

impl WorkContext<'_> {
    /// Whether a check wants this piece: setup pieces prove settings, so always.
    pub fn wants(&self, check: &PlannedCheck, piece: &PieceId) -> bool {
        Sequence::of(self).is_some_and(|sequence| sequence.wants(check, piece))
    }

    /// Whether another check than this still wants something of a piece.
    pub(super) fn wants_more(&self, piece: &PieceId, but: usize, first: bool) -> bool {
        let Some(sequence) = Sequence::of(self) else { return false };
        let mut checks = sequence.planned.checks.iter().enumerate().filter(|(n, _)| *n != but);
        checks.any(|(n, check)| {
            (first || sequence.looks_at(check, piece))
                && sequence.open_check(check, n, piece, first).is_some()
        })
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
