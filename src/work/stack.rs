//! The heights of a stack in turn: every piece goes through each of them before
//! the next one.

use bit_set::BitSet;

use super::gate::tool_change;
use super::next_number::could_be_a_count;
use super::sequence::{Sequence, ids};
use super::task::{NextNumber, ReadReason, SettingTask, Task};
use crate::journal::Piece;
use crate::measure::{Dial, Length, Unit};
use crate::operation::{NamedSetting, Outcome, Pass, THICKNESS};
use crate::plan::PlannedCheck;

/// One height of a ladder, and where it stands in it.
struct Height<'a> {
    outcome: &'a Outcome,
    index: usize,
    pass: &'a Pass,
    /// The setting it leads to, by its name.
    setting: String,
    /// Whether a first piece proves it, and moves it.
    proves: bool,
    /// Whether people type what its scale shows.
    is_confirmed: bool,
}

impl<'a> Height<'a> {
    fn all(outcome: &'a Outcome) -> impl Iterator<Item = Height<'a>> {
        outcome.passes.iter().enumerate().map(move |(index, pass)| {
            let named = pass_setting(outcome, index);
            Height {
                outcome,
                index,
                pass,
                setting: named.map_or_else(String::new, |named| named.name.clone()),
                proves: !pass.kiss && outcome.passes[index + 1..].iter().all(|pass| pass.kiss),
                is_confirmed: !pass.kiss && named.is_none_or(|named| named.is_confirmed),
            }
        })
    }

    /// Whether the heights are a way down to one thickness, so that each later one
    /// cuts the surface of those before it again.
    fn is_cut_again(&self) -> bool {
        let mut moved = self.outcome.settings.iter().filter(|setting| setting.by_passes);
        let only = moved.next().filter(|_| moved.next().is_none());
        only.is_some_and(|only| only.sizes.as_deref() == Some(THICKNESS))
    }

    /// What the scale may show at a height on the way, beside its own mark. One mark
    /// or 1/64 in more is no matter there, as long as the next bite gets no bigger
    /// than the biggest of the ladder. Less would add to a height before that was
    /// more, and the last bite stays as light as it is planned.
    fn takes(&self) -> Option<(Length, Length)> {
        if !self.is_cut_again() {
            return None;
        }
        let passes = &self.outcome.passes;
        let next = Height::all(self.outcome).nth(self.index + 1)?;
        if next.proves || next.pass.kiss {
            return None;
        }
        let bites = passes.windows(2).map(|pair| pair[0].dial.0 - pair[1].dial.0);
        let biggest = bites.max()?;
        let free = match self.pass.readout.unit {
            Unit::Inch => Length::inch_fraction(1, 64),
            Unit::Millimetre => Length::MILLIMETRE * 2 / 5,
        }
        .max(self.pass.readout.step);
        let dial = self.pass.dial.0;
        let high = (dial + free).min(next.pass.dial.0 + biggest);
        (dial < high).then_some((dial, high))
    }
}

impl Sequence<'_> {
    /// The next step of a stack: every piece goes through each height.
    pub(super) fn stack(&self) -> Option<Task> {
        let groups = &self.planned.groups;
        groups
            .iter()
            .enumerate()
            .find_map(|(n, group)| {
                let is_last = n + 1 == groups.len();
                let members = self.is_left(&group.outcome, n).then(|| self.members(n))?;
                self.heights(&group.outcome, &members, is_last)
            })
            .or_else(|| self.readings())
    }

    /// Whether any height of a group still has pieces before it, or its scale moves.
    fn is_left(&self, outcome: &Outcome, group: usize) -> bool {
        let is_moved =
            |height: &Height<'_>| height.proves && !self.moved(&height.setting).is_zero();
        Height::all(outcome).any(|height| {
            let mut left = self.order.but(self.through_pass(height.pass));
            is_moved(&height) || left.any(|piece| self.is_in(group, piece))
        })
    }

    fn heights(&self, outcome: &Outcome, members: &[&Piece], is_last: bool) -> Option<Task> {
        let mut before = None;
        for height in Height::all(outcome) {
            let pass = height.pass;
            let left = self.left_at(pass, members);
            let moved = if height.proves { self.moved(&height.setting) } else { Length::ZERO };
            if left.is_empty() && moved.is_zero() {
                before = Some(pass.dial.0);
                continue;
            }
            let feed = |pieces, alone, then| Task::Feed {
                pass: Some(pass.number),
                faces: pass.faces.clone(),
                feeds: pass.feeds,
                kiss: pass.kiss,
                alone,
                pieces,
                then,
            };
            let fit = tool_change(self.context, pass.tool.as_deref());
            // All pieces go through this height before the next one, which would
            // otherwise cut the rest by two steps at once.
            if fit.is_none() && moved.is_negative() && !left.is_empty() {
                return Some(feed(ids(&left), false, None));
            }
            let set = self.due_setting(&height, members, (moved, before), fit.is_some());
            if let Some(set) = set {
                return Some(Task::Set(SettingTask { fit, ..set }));
            }
            if let Some(change) = fit {
                return Some(Task::Tool(change));
            }
            let untouched = left.len() == members.len();
            if untouched && self.is_looked_at_first() && members.len() > 1 {
                let then = self.alone(&height, members, (1, None));
                return Some(feed(ids(&members[..1]), true, then));
            }
            return Some(self.first_piece(&height, &left, members).unwrap_or_else(|| {
                let then = self.after_feeding(&height, &left, members, is_last);
                feed(ids(&left), false, then)
            }));
        }
        None
    }

    /// What has to be set before pieces go through a height.
    fn due_setting(
        &self,
        height: &Height<'_>,
        members: &[&Piece],
        (moved, before): (Length, Option<Length>),
        is_refitted: bool,
    ) -> Option<SettingTask> {
        if height.pass.number == 1
            && let Some(set) = self.opening(height.outcome, members, is_refitted)
        {
            return Some(set);
        }
        let dial = Dial(height.pass.dial.0 + moved);
        let stands = !is_refitted && self.pass_is_set_to(height.outcome, &height.setting, dial);
        let is_due = height.is_confirmed && !stands;
        is_due.then(|| self.height_setting(height, members, moved, before))
    }

    /// The reading of the first piece, which goes through the last height alone.
    fn alone(
        &self,
        height: &Height<'_>,
        members: &[&Piece],
        counted: (usize, Option<u32>),
    ) -> Option<NextNumber> {
        let first = members.first().filter(|_| height.proves && !self.proven())?;
        match self.prove(first)? {
            Task::Read { piece, check, why } => self.number_of(piece, check, why, counted),
            _ => None,
        }
    }

    /// The pieces that still go through a pass.
    fn left_at<'p>(&self, pass: &Pass, members: &[&'p Piece]) -> Vec<&'p Piece> {
        let through = self.through_pass(pass);
        let left = |piece: &&&Piece| through.is_none_or(|through| !through.contains(piece.place));
        members.iter().filter(left).copied().collect()
    }

    /// The pieces that went through a pass; none before the first of them.
    fn through_pass(&self, pass: &Pass) -> Option<&BitSet> {
        self.context.setup()?.passes.get(&pass.number)
    }

    /// Whether the scale was set last, and wrong.
    fn stands_wrong(&self) -> bool {
        let last = self.context.setup().and_then(|setup| setup.shown.last());
        last.is_some_and(|last| !last.right)
    }

    fn height_setting(
        &self,
        height: &Height<'_>,
        members: &[&Piece],
        moved: Length,
        before: Option<Length>,
    ) -> SettingTask {
        let pass = height.pass;
        SettingTask {
            fit: None,
            setting: height.setting.clone(),
            pass: Some(pass.number),
            readout: pass.readout,
            target: pass.target,
            dial: Dial(pass.dial.0 + moved),
            takes: height.takes(),
            moved,
            pieces: self.named(members),
            tool: pass.tool.clone(),
            // They count from the height before, and a wrong setting stands elsewhere.
            presses: pass.presses.filter(|_| moved.is_zero() && !self.stands_wrong()),
            before: if moved.is_zero() { before } else { Some(pass.dial.0) },
        }
    }

    /// Whether the first piece goes through alone and is looked at: where an
    /// operation stops when the piece is clean.
    fn is_looked_at_first(&self) -> bool {
        let step = self.context.route.step(self.context.op);
        step.is_some_and(|step| step.what.stops_when_clean())
    }

    /// The first piece goes through the last height alone and is measured.
    fn first_piece(
        &self,
        height: &Height<'_>,
        left: &[&Piece],
        members: &[&Piece],
    ) -> Option<Task> {
        let sizes = &height.outcome.after.sizes;
        let shows = |check: &PlannedCheck| sizes.contains_key(&check.of) || check.kind.is_form();
        let first = *members.first()?;
        // A piece that went first alone is through already.
        let is_there = if self.is_looked_at_first() {
            !left.iter().any(|piece| piece.id == first.id)
        } else {
            left.len() == members.len()
        };
        let is_due =
            height.proves && is_there && !self.proven() && self.planned.checks.iter().any(shows);
        if is_due { self.prove(first) } else { None }
    }

    /// What a number says, typed while a stack is fed: the scale at one of the next
    /// heights, or the first reading after the last height.
    fn after_feeding(
        &self,
        height: &Height<'_>,
        left: &[&Piece],
        members: &[&Piece],
        is_last: bool,
    ) -> Option<NextNumber> {
        let outcome = height.outcome;
        if height.index + 1 == outcome.passes.len() {
            return self.reading_after(left.len()).filter(|_| is_last && height.proves);
        }
        let next = Height::all(outcome).nth(height.index + 1)?;
        let is_looked_at = self.is_looked_at_first() && members.len() > 1;
        if is_looked_at && !next.is_confirmed && next.pass.tool == height.pass.tool {
            return self.alone(&next, members, (left.len(), Some(next.pass.number)));
        }
        let mut settings: Vec<SettingTask> = Vec::new();
        let mut before = height.pass.dial.0;
        for next in Height::all(outcome).skip(height.index + 1) {
            let is_skipped = !settings.is_empty() && !height.is_cut_again();
            // A tool is changed before its own height, never passed over.
            let is_refitted = next.pass.tool != height.pass.tool;
            if !next.is_confirmed || is_skipped || (is_refitted && !settings.is_empty()) {
                break;
            }
            let fit = tool_change(self.context, next.pass.tool.as_deref());
            let moved = if next.proves { self.moved(&next.setting) } else { Length::ZERO };
            let setting = self.height_setting(&next, members, moved, Some(before));
            before = next.pass.dial.0;
            if could_be_a_count(setting.dial.0, setting.readout.entry(), left.len()) {
                break;
            }
            settings.push(SettingTask { fit, ..setting });
            if is_refitted {
                break;
            }
        }
        (!settings.is_empty()).then_some(NextNumber::Set(settings))
    }

    /// The first reading that follows when all pieces are fed.
    fn reading_after(&self, fed: usize) -> Option<NextNumber> {
        match self.next_reading()? {
            Task::Read { piece, check, why: why @ ReadReason::Check } => {
                self.number_of(piece, check, why, (fed, None))
            }
            _ => None,
        }
    }

    /// Settings of a stack that are made before its first pass.
    fn opening(
        &self,
        outcome: &Outcome,
        members: &[&Piece],
        is_refitted: bool,
    ) -> Option<SettingTask> {
        let asked = |named: &&NamedSetting| named.is_confirmed && !named.by_passes;
        let mut named = outcome.settings.iter().filter(asked);
        let named =
            named.find(|named| is_refitted || !self.is_set_to(&named.name, named.setting.dial))?;
        Some(SettingTask {
            fit: None,
            setting: named.name.clone(),
            pass: None,
            readout: named.readout,
            target: named.setting.target,
            dial: named.setting.dial,
            takes: None,
            moved: Length::ZERO,
            pieces: self.named(members),
            tool: None,
            presses: None,
            before: None,
        })
    }
}

/// The setting a pass leads to: one of its own, or the one all passes share.
fn pass_setting(outcome: &Outcome, pass: usize) -> Option<&NamedSetting> {
    let named: Vec<_> = outcome.settings.iter().filter(|named| named.by_passes).collect();
    let own = if named.len() == outcome.passes.len() { pass } else { 0 };
    named.get(own).copied()
}
