//! The state of a batch: nothing but its journal, read from the top.
//! Knows nothing of plans, screens or files.

use std::collections::{BTreeMap, BTreeSet, HashMap};

use chrono::{DateTime, FixedOffset, NaiveDate};

use super::boards::{BOARDS, BatchBoards};
use super::event::{
    Decision, Event, JournalLine, MadeDimension, NewPiece, PieceId, StoredSetting, TakenReading,
};
use super::line::Reference;
use crate::measure::Length;
use crate::route::{PieceLabel, Role};

/// A piece, alive or come apart.
#[derive(Clone, Debug, PartialEq)]
pub struct Piece {
    pub id: PieceId,
    pub label: PieceLabel,
    pub gang: u32,
    pub from: Option<PieceId>,
    /// The piece it takes the place of.
    pub instead_of: Option<PieceId>,
    /// The operation it joins the others at, when it came late.
    pub joins: Option<u32>,
    /// False once it came apart into others.
    pub whole: bool,
    /// Where it was set aside, and why.
    pub aside: Option<(u32, String)>,
    pub decisions: Vec<DecisionRecord>,
}

/// What was decided about a piece, and when in the merged journal.
#[derive(Clone, Debug, PartialEq)]
pub struct DecisionRecord {
    pub op: u32,
    pub decision: Decision,
    pub why: String,
    pub order: usize,
}

/// A reading as it stands on record.
#[derive(Clone, Debug, PartialEq)]
pub struct ReadingRecord {
    pub reference: Reference,
    pub at: DateTime<FixedOffset>,
    pub who: Option<String>,
    pub taken: TakenReading,
    pub voided: bool,
    /// Its place in the merged journal.
    pub order: usize,
}

/// A scale that was set, and what it showed.
#[derive(Clone, Debug, PartialEq)]
pub struct ScaleCheck {
    pub stored: StoredSetting,
    pub pieces: Vec<PieceId>,
    /// What was in the machine then, where it was said.
    pub tool: Option<String>,
    pub shown: Length,
    pub right: bool,
    /// Moved away from since.
    pub superseded: bool,
    /// Its place in the merged journal.
    pub order: usize,
}

/// How far an operation has come.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct SetupState {
    /// How many dimensions had been made when it began; `None` until then.
    pub begun: Option<usize>,
    /// Everything the scales were set to, right or not, oldest first.
    pub shown: Vec<ScaleCheck>,
    /// What is still to be added to a setting's dial after a first piece.
    pub moves: BTreeMap<String, Length>,
    pub tool: Option<String>,
    /// The piece that proved the settings, until one is set anew or the tool changed.
    pub first_piece: Option<PieceId>,
    /// When the first of its first pieces was good, by the merged journal.
    pub proved: Option<usize>,
    /// Which pieces went through which pass.
    pub passes: BTreeMap<u32, BTreeSet<PieceId>>,
    /// Pieces through the operation, in cut order.
    pub done: Vec<PieceId>,
    /// The same pieces, to be found fast.
    through: BTreeSet<PieceId>,
    pub closed: bool,
    /// What was said when people left in the middle.
    pub left: Option<String>,
    /// The last piece measured before they left: measured again by whoever
    /// goes on, it tells one gauge and person from another.
    pub bridge: Option<PieceId>,
    pub opened_early: Option<GateOpening>,
}

/// A lead let an operation begin though something was to be waited for.
#[derive(Clone, Debug, PartialEq)]
pub struct GateOpening {
    pub why: String,
    /// Its place in the merged journal.
    pub order: usize,
}

/// A dimension made from readings, as it was accepted.
#[derive(Clone, Debug, PartialEq)]
pub struct AcceptedMade {
    pub made: MadeDimension,
    pub reference: Reference,
    pub order: usize,
}

/// When a gauge was last known to be right at a station.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Zeroing {
    pub at: DateTime<FixedOffset>,
    pub readings_since: u32,
}

/// What a gauge read on its check block, less what the block is.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct BlockCheck {
    pub station: String,
    pub gauge: String,
    pub at: DateTime<FixedOffset>,
    pub off: Length,
    /// Its place in the merged journal.
    pub order: usize,
}

/// A line people wrote.
#[derive(Clone, Debug, PartialEq)]
pub struct Remark {
    pub at: DateTime<FixedOffset>,
    pub who: Option<String>,
    pub op: Option<u32>,
    pub text: String,
}

/// How many pieces are through an operation, out of it, and still to go.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct PieceTally {
    pub done: usize,
    pub aside: usize,
    pub to_go: usize,
}

/// Something waited for.
#[derive(Clone, Debug, PartialEq)]
pub struct RunningWait {
    pub op: u32,
    pub until: DateTime<FixedOffset>,
    pub what: String,
    /// Its place in the merged journal.
    pub order: usize,
}

/// The note by which people leave out measuring the last piece once more.
pub(crate) const NOT_AGAIN: &str = "went on without measuring the last piece again";

#[derive(Clone, Debug, Default, PartialEq)]
pub struct State {
    /// Made up for practice: nobody cut or measured anything.
    pub invented: bool,
    pub batch: String,
    pub route: String,
    pub sets: u32,
    /// In the order they were born, which is the cut order.
    pub pieces: Vec<Piece>,
    pub setups: BTreeMap<u32, SetupState>,
    pub readings: Vec<ReadingRecord>,
    pub made: Vec<AcceptedMade>,
    /// Which end of a chain the lead keeps.
    pub keep: Option<String>,
    /// Operations whose made values the lead accepted, with how many values there were.
    pub accepted: BTreeSet<u32>,
    pub people: BTreeMap<String, Vec<String>>,
    pub cautions_read: BTreeSet<(String, String, Option<String>, NaiveDate)>,
    pub zeroed: BTreeMap<(String, String), Zeroing>,
    /// Every time a gauge was tried on its block, oldest first.
    pub tried: Vec<BlockCheck>,
    /// The tool last put into each machine.
    pub tools: BTreeMap<String, String>,
    pub remarks: Vec<Remark>,
    pub waits: Vec<RunningWait>,
    /// The boards the pieces come from, where anybody told of them.
    pub boards: BatchBoards,
    /// The operation each station last worked at.
    pub working_at: BTreeMap<String, u32>,
    /// What each station did last that can be taken back.
    pub last_done: BTreeMap<String, Vec<Reference>>,
    piece_numbers: BTreeMap<String, u64>,
    /// Pieces that came late: made again, or used as another part.
    late: Vec<PieceId>,
    /// Where each piece stands in `pieces`.
    places: HashMap<PieceId, usize>,
    /// Where the readings of each piece that are not struck stand in `readings`.
    readings_of: HashMap<PieceId, Vec<usize>>,
    /// Whether what each station did last, struck or not, was struck.
    undone: BTreeMap<String, bool>,
}

impl State {
    /// Reads a merged journal from the top. What was taken back counts as
    /// never having happened, but a struck reading stays to be seen.
    pub fn fold(lines: &[JournalLine]) -> State {
        let voided = voided(lines);
        let mut state = State::default();
        for (order, line) in lines.iter().enumerate() {
            // A line can name anything as taken back; most of it stands all the same.
            let voided = line.event.can_be_voided() && voided.contains(&line.reference());
            state.apply(line, order, voided);
        }
        state
    }

    /// Takes in one more line, written after all before it, as reading the
    /// whole journal would; false where only that will do, for the line strikes
    /// out an earlier one.
    pub fn take_in(&mut self, line: &JournalLine, order: usize) -> bool {
        let strikes = matches!(line.event, Event::Voided { .. });
        if !strikes {
            self.apply(line, order, false);
        }
        !strikes
    }

    fn apply(&mut self, line: &JournalLine, order: usize, voided: bool) {
        if line.event.can_be_voided() {
            self.undone.insert(line.station.clone(), voided);
        } else if line.event.follows() && self.undone.get(&line.station) == Some(&true) {
            return;
        }
        self.boards.count(line);
        if let Event::Reading(taken) = &line.event {
            if !voided {
                let own = self.readings_of.entry(taken.piece.clone()).or_default();
                own.push(self.readings.len());
            }
            self.readings.push(ReadingRecord {
                reference: line.reference(),
                at: line.at,
                who: line.who.clone(),
                taken: taken.clone(),
                voided,
                order,
            });
        }
        if voided {
            return;
        }
        if line.event.can_be_voided() {
            self.last_done.entry(line.station.clone()).or_default().push(line.reference());
        }
        if let Some(op) = line.event.op() {
            self.working_at.insert(line.station.clone(), op);
        }
        match &line.event {
            Event::Invented { .. } => self.invented = true,
            Event::Started { batch, route, sets, pieces } => {
                self.use_piece_numbers(&line.station, pieces.len());
                // Two stations may not both begin it; the first one counts.
                if self.pieces.is_empty() {
                    self.batch.clone_from(batch);
                    self.route.clone_from(route);
                    self.sets = *sets;
                    pieces.iter().for_each(|piece| self.create_piece(piece, None));
                }
            }
            Event::People { present } => {
                self.people.insert(line.station.clone(), present.clone());
            }
            Event::CautionRead { machine, tool, .. } => {
                let who = line.who.clone().unwrap_or_default();
                let day = line.at.date_naive();
                self.cautions_read.insert((who, machine.clone(), tool.clone(), day));
            }
            Event::GaugeZeroed { gauge, read, block, .. } => {
                if let (Some(read), Some(block)) = (read, block) {
                    self.tried.push(BlockCheck {
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
            Event::Tool { op, machine, tool } => {
                self.tools.insert(machine.clone(), tool.clone());
                let setup = self.setup(*op);
                setup.tool = Some(tool.clone());
                setup.first_piece = None;
                // Whatever stood on the scales was set with the other tool.
                setup.shown.iter_mut().for_each(|shown| shown.superseded = true);
            }
            Event::Setting { op, stored, pieces, tool, shown, right, .. } => {
                let made = self.made.len();
                let setup = self.setup(*op);
                setup.begun.get_or_insert(made);
                setup.left = None;
                // A scale that was touched is proved again.
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
                    order,
                });
                let moved = *right && setup.moves.remove(&stored.setting).is_some();
                // Nobody has been through the height it moved to.
                if let Some(through) = stored.pass.and_then(|pass| setup.passes.get_mut(&pass))
                    && moved
                {
                    through.retain(|piece| !pieces.is_empty() && !pieces.contains(piece));
                }
            }
            Event::Moved { op, setting, by, .. } => {
                let setup = self.setup(*op);
                *setup.moves.entry(setting.clone()).or_default() += *by;
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
            Event::Reading(taken) => {
                let key = (line.station.clone(), taken.gauge.clone());
                if let Some(zeroing) = self.zeroed.get_mut(&key) {
                    zeroing.readings_since += 1;
                }
                self.setup(taken.op).bridge = None;
            }
            Event::Done { op, pieces, pass, through, .. } => {
                let made = self.made.len();
                let setup = self.setup(*op);
                setup.begun.get_or_insert(made);
                setup.left = None;
                if let Some(pass) = pass {
                    setup.passes.entry(*pass).or_default().extend(pieces.iter().cloned());
                }
                if *through {
                    for piece in pieces {
                        if setup.through.insert(piece.clone()) {
                            setup.done.push(piece.clone());
                        }
                    }
                }
            }
            Event::Split { from, into, .. } => {
                self.use_piece_numbers(&line.station, into.len());
                // Two stations may not both part it; the first one counts.
                if let Some(blank) = self.piece_mut(from)
                    && blank.whole
                {
                    blank.whole = false;
                    into.iter().for_each(|new| self.create_piece(new, Some(from.clone())));
                }
            }
            Event::Decided { op, piece, decision, why } => {
                let (op, decision) = (*op, *decision);
                if let Some(piece) = self.piece_mut(piece) {
                    piece.decisions.push(DecisionRecord { op, decision, why: why.clone(), order });
                    piece.aside = match decision {
                        Decision::Accept | Decision::Rework => None,
                        // Whatever else becomes of it, it is out of this walk.
                        Decision::SetAside | Decision::UseElsewhere | Decision::Remake => {
                            Some((op, why.clone()))
                        }
                    };
                }
            }
            Event::Labelled { piece, label, joins } => {
                if let Some(piece) = self.piece_mut(piece) {
                    piece.label = label.clone();
                    piece.joins = Some(*joins);
                    piece.aside = None;
                    let id = piece.id.clone();
                    self.late.push(id);
                }
            }
            Event::Remade { of, piece: new } => {
                self.use_piece_numbers(&line.station, 1);
                self.create_piece(new, None);
                if let Some(piece) = self.pieces.last_mut() {
                    piece.instead_of = Some(of.clone());
                    piece.joins = Some(0);
                    self.late.push(new.id.clone());
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
            }
            Event::GateOpened { op, why } => {
                self.setup(*op).opened_early = Some(GateOpening { why: why.clone(), order });
            }
            Event::Closed { op, .. } => {
                let setup = self.setup(*op);
                setup.closed = true;
                // It may be torn down now: whoever comes late sets it anew.
                setup.shown.iter_mut().for_each(|shown| shown.superseded = true);
                setup.first_piece = None;
            }
            Event::Left { op, done, to_go, note } => {
                let last = self.readings.iter().rev().find(|r| !r.voided && r.taken.op == *op);
                let bridge = last.map(|reading| reading.taken.piece.clone());
                let setup = self.setup(*op);
                setup.left = Some(format!("{done} done, {to_go} to go. {note}"));
                setup.bridge = bridge;
                self.remark(line, Some(*op), note);
            }
            Event::Note { op, text } => {
                self.remark(line, *op, text);
                if let Some(op) = op.filter(|_| text == NOT_AGAIN) {
                    self.setup(op).bridge = None;
                }
            }
            Event::Timer { op, minutes, what } => self.waits.push(RunningWait {
                op: *op,
                until: line.at + chrono::Duration::minutes(i64::from(*minutes)),
                what: what.clone(),
                order,
            }),
            Event::Voided { .. } => {}
            Event::LayoutAccepted { .. } => {
                self.boards.apply(line);
                let settled = self.boards.settled();
                let stands = |told: &Reference| !settled.contains(told);
                self.last_done.values_mut().for_each(|done| done.retain(stands));
            }
            _ => self.boards.apply(line),
        }
    }

    fn remark(&mut self, line: &JournalLine, op: Option<u32>, text: &str) {
        if !text.trim().is_empty() {
            let (at, who) = (line.at, line.who.clone());
            self.remarks.push(Remark { at, who, op, text: text.to_owned() });
        }
    }

    fn setup(&mut self, op: u32) -> &mut SetupState {
        self.setups.entry(op).or_default()
    }

    /// Numbers are used up even where the new pieces don't count, so that no
    /// name ever means two pieces.
    fn use_piece_numbers(&mut self, station: &str, count: usize) {
        *self.piece_numbers.entry(station.to_owned()).or_default() += count as u64;
    }

    fn create_piece(&mut self, new: &NewPiece, from: Option<PieceId>) {
        self.places.entry(new.id.clone()).or_insert(self.pieces.len());
        self.pieces.push(Piece {
            id: new.id.clone(),
            label: new.label.clone(),
            gang: new.gang,
            from,
            instead_of: None,
            joins: None,
            whole: true,
            aside: None,
            decisions: Vec::new(),
        });
    }

    fn piece_mut(&mut self, id: &PieceId) -> Option<&mut Piece> {
        let place = *self.places.get(id)?;
        self.pieces.get_mut(place)
    }

    /// The number the next piece born at a station takes.
    pub fn next_piece_number(&self, station: &str) -> u64 {
        self.piece_numbers.get(station).copied().unwrap_or(0) + 1
    }

    pub fn piece(&self, id: &PieceId) -> Option<&Piece> {
        self.pieces.get(*self.places.get(id)?)
    }

    /// What a piece is called, for screens.
    pub fn name(&self, id: &PieceId) -> String {
        self.piece(id).map_or_else(|| id.0.clone(), |piece| piece.label.to_string())
    }

    /// The pieces of a part that go into an operation, in cut order: whole,
    /// and not set aside before it.
    pub fn pieces_into<'a>(&'a self, part: &'a str, op: u32) -> impl Iterator<Item = &'a Piece> {
        self.pieces.iter().filter(move |piece| {
            piece.whole
                && piece.label.part == part
                && piece.aside.as_ref().is_none_or(|(at, _)| *at >= op)
                && self.has_come(piece, op)
        })
    }

    /// Whether a piece has come as far as this operation: one that came late
    /// first goes through what the others of its part are done with.
    fn has_come(&self, piece: &Piece, op: u32) -> bool {
        let Some(joins) = piece.joins else { return true };
        joins <= op
            && self.setups.range(joins..op).all(|(before, setup)| {
                !setup.closed
                    || self.part_of(setup) != Some(&piece.label.part)
                    || self.is_done(*before, &piece.id)
            })
    }

    /// The part an operation is done on, told by a piece that is through it.
    fn part_of(&self, setup: &SetupState) -> Option<&str> {
        let mut through = setup.done.iter().filter_map(|id| self.piece(id));
        through.find(|piece| piece.joins.is_none()).map(|piece| piece.label.part.as_str())
    }

    /// How an operation stands: every piece that went into it, once.
    pub fn tally(&self, part: &str, op: u32) -> PieceTally {
        let mut tally = PieceTally::default();
        for piece in self.pieces_into(part, op) {
            // Set aside later on, it went through here all the same.
            match (self.is_done(op, &piece.id), &piece.aside) {
                (true, Some((at, _))) if *at == op => tally.aside += 1,
                (true, _) => tally.done += 1,
                (false, Some(_)) => tally.aside += 1,
                (false, None) => tally.to_go += 1,
            }
        }
        tally
    }

    /// Whether a piece, or the blank it came from, is through an operation.
    pub fn is_done(&self, op: u32, piece: &PieceId) -> bool {
        let Some(setup) = self.setups.get(&op) else { return false };
        let from = self.piece(piece).and_then(|piece| piece.from.as_ref());
        setup.through.contains(piece) || from.is_some_and(|blank| setup.through.contains(blank))
    }

    /// Whether every piece that came so far is through, and people said so.
    pub fn is_closed(&self, op: u32) -> bool {
        let Some(setup) = self.setups.get(&op).filter(|setup| setup.closed) else { return false };
        let waiting = |id: &PieceId| {
            self.piece(id).is_some_and(|piece| {
                piece.aside.is_none()
                    && piece.whole
                    && self.part_of(setup) == Some(&piece.label.part)
                    && self.has_come(piece, op)
                    && !self.is_done(op, id)
            })
        };
        !self.late.iter().any(waiting)
    }

    /// The reading that stands for a piece and feature: the latest not struck.
    pub fn standing(&self, op: u32, piece: &PieceId, feature: &str) -> Option<&ReadingRecord> {
        let own = self.readings_of.get(piece)?.iter().rev().map(|place| &self.readings[*place]);
        own.into_iter().find(|reading| reading.taken.op == op && reading.taken.feature == feature)
    }

    /// Spares whole and through an operation: what can still step in.
    pub fn spares_through(&self, part: &str, op: u32) -> usize {
        self.pieces_into(part, op)
            .filter(|piece| piece.label.role == Role::Spare && piece.aside.is_none())
            .filter(|piece| self.is_done(op, &piece.id))
            .count()
    }

    /// What was decided about a piece at an operation after this reading of it.
    pub fn decision_on(&self, reading: &ReadingRecord) -> Option<Decision> {
        let piece = self.piece(&reading.taken.piece)?;
        let mut rulings = piece.decisions.iter().rev().take_while(|r| r.order > reading.order);
        rulings.find(|ruling| ruling.op == reading.taken.op).map(|ruling| ruling.decision)
    }
}

/// The events that were taken back.
fn voided(lines: &[JournalLine]) -> BTreeSet<Reference> {
    lines
        .iter()
        .filter_map(|line| match &line.event {
            Event::Voided { what } => Some(what.clone()),
            _ => None,
        })
        .collect()
}

impl Event {
    /// The operation it belongs to.
    pub fn op(&self) -> Option<u32> {
        match self {
            Event::Tool { op, .. }
            | Event::Setting { op, .. }
            | Event::Moved { op, .. }
            | Event::FirstPiece { op, .. }
            | Event::Done { op, .. }
            | Event::Split { op, .. }
            | Event::Decided { op, .. }
            | Event::GateOpened { op, .. }
            | Event::Closed { op, .. }
            | Event::Left { op, .. } => Some(*op),
            Event::Reading(taken) => Some(taken.op),
            Event::BoardListed { .. }
            | Event::BoardSaid { .. }
            | Event::FlawFound { .. }
            | Event::FlawRuled { .. }
            | Event::BoardAside { .. }
            | Event::LaidOut { .. }
            | Event::LayoutAccepted { .. }
            | Event::MarkDrawn { .. } => Some(BOARDS),
            _ => None,
        }
    }

    /// Whether one key strikes it out again. What the lead accepted, and what
    /// people said, stands.
    pub fn can_be_voided(&self) -> bool {
        match self {
            Event::Reading(_)
            | Event::Setting { .. }
            | Event::Decided { .. }
            | Event::Closed { .. }
            | Event::BoardSaid { .. }
            | Event::FlawFound { .. }
            | Event::FlawRuled { .. }
            | Event::BoardAside { .. }
            | Event::LaidOut { .. }
            | Event::MarkDrawn { .. } => true,
            Event::Done { by_reading, .. } => !by_reading,
            _ => false,
        }
    }

    /// Whether it is only what an answer led to: it stands and falls with the
    /// event its station wrote before it.
    fn follows(&self) -> bool {
        matches!(
            self,
            Event::FirstPiece { .. }
                | Event::Moved { .. }
                | Event::Done { by_reading: true, .. }
                | Event::Timer { .. }
        )
    }
}
