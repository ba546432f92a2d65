//! The fold: how each line changes the state. One function for each subject.

use std::collections::BTreeSet;
use std::sync::Arc;

use super::event::{Event, JournalLine};
use super::identity::PieceId;
use super::line::Reference;
use super::record::{
    AcceptedMade, BatchSeal, BlockCheck, GateOpening, ReadingPlace, ReadingRecord, RunningWait,
    ScaleCheck, SetupState, Zeroing,
};
use super::state::State;
use super::undo::{DoneAnswer, VoidedLines, note};
use crate::measure::Verdict;

impl State {
    /// Reads a merged journal from the top. A voided line counts as if it had
    /// never been written, except that a voided reading can still be seen.
    pub fn fold(lines: &[JournalLine]) -> State {
        let voided = VoidedLines::of(lines);
        let mut state = State::default();
        for (order, line) in lines.iter().enumerate() {
            state.apply(line, order, voided.contains(line));
            let own = state.readings.last_mut().filter(|reading| reading.order == order);
            if let Some(reading) = own {
                reading.to_measure_again = voided.is_to_be_measured_again(line);
            }
        }
        state
    }

    /// Takes in one more line, written after all before it, with the same result
    /// as reading the whole journal. False for a line that voids or restores an
    /// earlier one than the last: then only reading the whole journal will do.
    pub fn take_in(&mut self, line: &JournalLine, order: usize) -> bool {
        let is_told = match &line.event {
            Event::Voided { what, to_measure_again } => {
                self.void_last_reading(what, *to_measure_again)
            }
            Event::Restored { .. } => false,
            _ => true,
        };
        if is_told {
            self.apply(line, order, false);
        }
        is_told
    }

    fn apply(&mut self, line: &JournalLine, order: usize, voided: bool) {
        self.before_reading = self.before_reading(line).filter(|_| !voided);
        if self.is_undone(line, voided) {
            return;
        }
        self.boards.count(line);
        self.times.count(line, voided);
        self.keep_reading(line, order, voided);
        if voided {
            self.keep_piece_numbers(line);
            return;
        }
        if line.event.can_be_voided() {
            note(self.last_done.entry(line.station.clone()).or_default(), line);
            self.last_undone.remove(&line.station);
        }
        self.note_where(line);
        match &line.event {
            Event::Invented { .. } => self.invented = true,
            // Only the times of its station tell of it.
            Event::StationLeft {} => {}
            Event::Chosen { .. } | Event::Joined { .. } | Event::OwnerLeft { .. } => {
                self.fold_article(line);
            }
            Event::Started { .. }
            | Event::Split { .. }
            | Event::Decided { .. }
            | Event::Labelled { .. }
            | Event::Remade { .. } => self.fold_piece(line, order),
            Event::Tool { .. }
            | Event::Setting { .. }
            | Event::Moved { .. }
            | Event::FirstPiece { .. } => self.fold_setting(line, order),
            Event::Done { .. }
            | Event::GateOpened { .. }
            | Event::Closed { .. }
            | Event::Timer { .. } => self.fold_operation(line, order),
            Event::GaugeZeroed { .. }
            | Event::Reading(_)
            | Event::Made(_)
            | Event::Kept { .. }
            | Event::Accepted { .. } => self.fold_reading(line, order),
            Event::BegunWithErrors { .. }
            | Event::Sealed { .. }
            | Event::People { .. }
            | Event::CautionRead { .. }
            | Event::Left { .. }
            | Event::Note { .. }
            | Event::RepeatSkipped { .. }
            | Event::DriftLeft { .. }
            | Event::TypedUnasked { .. } => self.fold_people(line),
            Event::RouteAdopted { .. }
            | Event::ShopAdopted { .. }
            | Event::SignedOff(_)
            | Event::StandsIn { .. } => self.fold_adopted(line),
            Event::Voided { what, .. } => {
                self.last_undone.entry(line.station.clone()).or_default().push(what.clone());
            }
            Event::Restored { what } => {
                let undone = self.last_undone.entry(line.station.clone()).or_default();
                undone.retain(|voided| voided != what);
            }
            Event::LayoutAccepted { .. } => {
                self.boards.apply(line);
                // What led to an accepted layout can no longer be voided.
                let settled = self.boards.take_open();
                let open = |done: &Arc<DoneAnswer>| !settled.contains(&done.reference);
                self.last_done.values_mut().for_each(|done| done.retain(open));
            }
            Event::BoardListed { .. }
            | Event::BoardSaid { .. }
            | Event::FlawFound { .. }
            | Event::FlawRuled { .. }
            | Event::BoardAside { .. }
            | Event::LaidOut { .. }
            | Event::MarkDrawn { .. } => self.boards.apply(line),
        }
    }

    /// Notes at which operation a station works.
    fn note_where(&mut self, line: &JournalLine) {
        let Some(op) = line.event.op() else { return };
        match self.working_at.get_mut(&line.station) {
            Some(at) => *at = op,
            None => _ = self.working_at.insert(line.station.clone(), op),
        }
    }

    /// Whether a line follows an answer that was undone, in batches begun before answers
    /// were told apart.
    fn is_undone(&mut self, line: &JournalLine, voided: bool) -> bool {
        if line.event.can_be_voided() {
            // Every line comes by here, so the name is copied once.
            match self.undone.get_mut(&line.station) {
                Some(undone) => *undone = voided,
                None => _ = self.undone.insert(line.station.clone(), voided),
            }
            return false;
        }
        line.answer.is_none()
            && line.event.follows()
            && self.undone.get(&line.station) == Some(&true)
    }

    /// A voided piece keeps its number, so that no name ever means two pieces.
    fn keep_piece_numbers(&mut self, line: &JournalLine) {
        match &line.event {
            Event::Split { into, .. } => self.use_piece_numbers(&line.station, into.len()),
            Event::Remade { .. } => self.use_piece_numbers(&line.station, 1),
            _ => {}
        }
    }

    fn fold_setting(&mut self, line: &JournalLine, order: usize) {
        match &line.event {
            Event::Tool { op, machine, tool } => {
                self.tools.insert(machine.clone(), tool.clone());
                let setup = self.setup(*op);
                setup.tool = Some(tool.clone());
                setup.first_piece = None;
                // Every scale was set with the other tool.
                setup.shown.iter_mut().for_each(|shown| shown.superseded = true);
            }
            Event::Setting { op, stored, pieces, tool, shown, right, .. } => {
                let made = self.made.len();
                let places = &self.places;
                let setup = Arc::make_mut(self.setups.entry(*op).or_default());
                setup.begun.get_or_insert(made);
                setup.left = None;
                // A setting that was touched needs a new first piece.
                setup.first_piece = None;
                if tool.is_some() {
                    setup.tool.clone_from(tool);
                }
                setup.shown.push(ScaleCheck {
                    stored: stored.clone(),
                    pieces: pieces.clone(),
                    tool: tool.clone().or_else(|| setup.tool.clone()),
                    shown: *shown,
                    right: *right,
                    superseded: false,
                    at: line.at,
                    order,
                });
                let moved = *right && setup.moves.remove(&stored.setting).is_some();
                // No piece has been through the height it moved to.
                if let Some(through) = stored.pass.and_then(|pass| setup.passes.get_mut(&pass))
                    && moved
                {
                    if pieces.is_empty() {
                        through.clear();
                    }
                    for place in pieces.iter().filter_map(|piece| places.get(piece)) {
                        through.remove(*place);
                    }
                }
            }
            Event::Moved { op, setting, by, .. } => {
                let setup = self.setup(*op);
                *setup.moves.entry(setting.clone()).or_default() += *by;
                setup.moved.push(order);
                setup.first_piece = None;
                let last = setup.shown.iter_mut().rev().find(|s| s.stored.setting == *setting);
                if let Some(last) = last {
                    last.superseded = true;
                }
            }
            Event::FirstPiece { op, piece } => {
                let setup = self.setup(*op);
                setup.first_piece = Some(piece.clone());
                setup.proved.get_or_insert(order);
            }
            _ => {}
        }
    }

    fn fold_operation(&mut self, line: &JournalLine, order: usize) {
        match &line.event {
            Event::Done { op, pieces, pass, through, .. } => {
                let made = self.made.len();
                let places = pieces.iter().filter_map(|piece| self.places.get(piece).copied());
                let places: Vec<usize> = places.collect();
                let setup = self.setup(*op);
                setup.begun.get_or_insert(made);
                setup.left = None;
                if let Some(pass) = pass {
                    setup.passes.entry(*pass).or_default().extend(places.iter().copied());
                }
                if *through {
                    let new = places.into_iter().filter(|place| setup.through.insert(*place));
                    let new: Vec<usize> = new.collect();
                    let new = new.iter().map(|place| self.pieces[*place].id.clone());
                    let new: Vec<PieceId> = new.collect();
                    self.setup(*op).done.extend(new);
                }
            }
            Event::GateOpened { op, by, why } => {
                let (by, why) = (by.clone(), why.clone());
                self.setup(*op).opened_early = Some(GateOpening { by, why, order });
            }
            Event::Closed { op, .. } => {
                let setup = self.setup(*op);
                setup.closed = true;
                // It may be torn down now, so a late piece needs every setting anew.
                setup.shown.iter_mut().for_each(|shown| shown.superseded = true);
                setup.first_piece = None;
            }
            Event::Timer { op, minutes, what } => self.waits.push(RunningWait {
                op: *op,
                until: line.at + chrono::Duration::minutes(i64::from(*minutes)),
                what: what.clone(),
                order,
            }),
            _ => {}
        }
    }

    fn fold_reading(&mut self, line: &JournalLine, order: usize) {
        match &line.event {
            Event::GaugeZeroed { gauge, read, block, .. } => {
                if let (Some(read), Some(block)) = (read, block) {
                    self.block_checks.push(BlockCheck {
                        station: line.station.clone(),
                        gauge: gauge.clone(),
                        at: line.at,
                        off: *read - *block,
                        order,
                    });
                }
                let key = (line.station.clone(), gauge.clone());
                self.zeroed.insert(key, Zeroing { at: line.at, readings_since: 0 });
            }
            Event::Reading(taken) => {
                let key = (line.station.clone(), taken.gauge.clone());
                if let Some(zeroing) = self.zeroed.get_mut(&key) {
                    zeroing.readings_since += 1;
                }
                self.setup(taken.op).bridge = None;
                if self.accepted.contains(&taken.op) {
                    self.read_again.insert(taken.op);
                }
            }
            Event::Made(made) => self.made.push(AcceptedMade {
                made: made.clone(),
                reference: line.reference(),
                order,
            }),
            Event::Kept { keep } => self.keep = Some(keep.clone()),
            Event::Accepted { op, .. } => {
                self.accepted.insert(*op);
                self.read_again.remove(op);
                // What was made from a reading that is voided is asked about again.
                let made = self.made.iter().filter(|made| made.made.op == *op);
                let from: BTreeSet<&Reference> = made.flat_map(|made| &made.made.from).collect();
                let of_op = self.readings.iter().filter(|reading| reading.taken.op == *op);
                if of_op.into_iter().any(|r| r.voided && from.contains(&r.reference)) {
                    self.read_again.insert(*op);
                }
            }
            _ => {}
        }
    }

    fn fold_people(&mut self, line: &JournalLine) {
        match &line.event {
            Event::People { present } => {
                self.people.insert(line.station.clone(), present.clone());
            }
            Event::CautionRead { machine, tool, .. } => {
                let who = line.who.clone().unwrap_or_default();
                let day = line.at.date_naive();
                self.cautions_read.insert((who, machine.clone(), tool.clone(), day));
            }
            Event::Left { op, done, to_go, note } => {
                let last = self.readings.iter().rev().find(|r| !r.voided && r.taken.op == *op);
                let bridge = last.map(|reading| reading.taken.piece.clone());
                let setup = self.setup(*op);
                setup.left = Some(format!("{done} done, {to_go} to go. {note}"));
                setup.bridge = bridge;
                self.remark(line, Some(*op), note, false);
            }
            Event::BegunWithErrors { by, why, errors } => {
                let text = format!("{by} began it with errors ({why}): {}", errors.join("; "));
                self.remark(line, None, &text, false);
            }
            Event::Sealed { by, stations } => self.seals.push(BatchSeal {
                by: by.clone(),
                at: line.at,
                stations: stations.clone(),
            }),
            Event::Note { op, piece, text } => {
                self.remark_about(line, (*op, piece.as_ref()), text, false);
            }
            Event::RepeatSkipped { op } => {
                self.setup(*op).bridge = None;
                self.remark(line, Some(*op), "skipped measuring the last piece again", false);
            }
            Event::DriftLeft { op, feature } => {
                self.setup(*op).drifts_left.insert(feature.clone());
                let text = format!("{feature} differs from first to last and stays so");
                self.remark(line, Some(*op), &text, false);
            }
            Event::TypedUnasked { op, typed } => self.remark(line, Some(*op), typed, true),
            _ => {}
        }
    }

    fn keep_reading(&mut self, line: &JournalLine, order: usize, voided: bool) {
        let Event::Reading(taken) = &line.event else { return };
        if let Some(place) = self.places.get(&taken.piece).copied() {
            self.places_of_readings[place].push(ReadingPlace { at: self.readings.len(), order });
            let of_op = self.read.entry(taken.op).or_default();
            let read = of_op.entry(taken.feature.clone()).or_default();
            if !read.any.insert(place) {
                read.once_within.remove(place);
            } else if !voided && taken.verdict() == Verdict::In {
                read.once_within.insert(place);
            }
        }
        // It counts from when the gauge showed it, not from when it was typed.
        let (at, who) = match &taken.on_paper {
            Some(paper) => (paper.at, Some(paper.by.clone())),
            None => (line.at, line.who.clone()),
        };
        self.readings.push(ReadingRecord {
            reference: line.reference(),
            at,
            who,
            taken: taken.clone(),
            voided,
            to_measure_again: false,
            order,
        });
    }

    pub(super) fn setup(&mut self, op: u32) -> &mut SetupState {
        Arc::make_mut(self.setups.entry(op).or_default())
    }
}
