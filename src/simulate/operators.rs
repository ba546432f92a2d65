//! The people of an invented batch: they do each task and type what their gauges
//! read. They know the wood only through the gauges.

use std::collections::{BTreeMap, BTreeSet};

use chrono::Timelike;

use super::rng::SeededRng;
use super::station::{STATION, SimulatedStation};
use super::wood::{SimulatedWood, place, times};
use super::{CannotInvent, Settings};
use crate::journal::{Event, JournalLine, PieceId, State, initial_pieces};
use crate::measure::{Length, Readout, Reads, Rounds, ScaleOffset, Target, Unit};
use crate::plan::{Known, walk};
use crate::route::Route;
use crate::shop::Shop;
use crate::work::{
    ReadReason, Task, ToolChange, handle_input, leave, next_op, next_wake, open_gate, task,
};

/// From this hour on, the next operation waits for the next morning.
const EVENING: u32 = 16;
/// The people at work, with everything they remember of the batch.
pub(super) struct Operators<'a> {
    pub(super) station: SimulatedStation<'a>,
    pub(super) settings: &'a Settings,
    rng: SeededRng,
    pub(super) wood: SimulatedWood,
    /// Whoever cuts.
    hand: String,
    /// Whoever decides.
    pub(super) lead: String,
    /// How often a piece was measured at a check.
    readings: BTreeMap<(u32, PieceId, usize), u32>,
    /// How often the lead decided on a piece at a check.
    pub(super) tries: BTreeMap<(u32, PieceId, usize), u32>,
    /// How often the setting of an operation was moved.
    pub(super) moves: BTreeMap<u32, u32>,
    /// The overnight faults that have happened.
    nights: BTreeSet<usize>,
    /// The operations whose belt was changed.
    belts: BTreeSet<u32>,
    /// Pieces to be cut anew once the setting is moved.
    pub(super) moved: BTreeSet<PieceId>,
}

impl<'a> Operators<'a> {
    pub(super) fn new(
        route: &'a Route,
        shop: &'a Shop,
        settings: &'a Settings,
        wood: SimulatedWood,
    ) -> Operators<'a> {
        let people = &shop.people;
        let lead = people.iter().find(|(_, person)| person.lead).map(|(name, _)| name.clone());
        let hand = people.keys().next().cloned();
        let mut operators = Operators {
            station: SimulatedStation {
                route,
                shop,
                lines: Vec::new(),
                state: State::default(),
                plan: walk(route, shop, &Known::default()),
                now: settings.begins,
                who: None,
                op: route.steps.first().map_or(0, |step| step.op),
            },
            settings,
            rng: SeededRng(settings.seed),
            wood,
            hand: hand.unwrap_or_else(|| "CREW".to_owned()),
            lead: lead.unwrap_or_else(|| "LEAD".to_owned()),
            readings: BTreeMap::new(),
            tries: BTreeMap::new(),
            moves: BTreeMap::new(),
            nights: BTreeSet::new(),
            belts: BTreeSet::new(),
            moved: BTreeSet::new(),
        };
        let faults = settings.faults.iter().map(|fault| fault.written(route.unit)).collect();
        let pieces = initial_pieces(route, &operators.station.plan, STATION);
        operators.station.write(vec![
            Event::Invented { seed: settings.seed, faults },
            Event::Started {
                batch: settings.batch.clone(),
                route: route.name.clone(),
                sets: route.sets,
                pieces,
                id: None,
            },
        ]);
        operators
    }

    /// Walks to the end, or as far as the settings say, and returns the journal. An
    /// error where the route can't be walked.
    pub(super) fn walk(mut self) -> Result<Vec<JournalLine>, CannotInvent> {
        // Far more than any batch needs: each piece is measured, decided and cut
        // again a few times at each check of each operation.
        let pieces = self.station.state.pieces.len() + 1;
        let checks: usize = self.station.route.steps.iter().map(|s| s.checks.len() + 20).sum();
        for _ in 0..pieces * checks * 20 {
            let next = next_op(self.station.route, &self.station.state, STATION);
            let Some(op) = next.filter(|op| self.settings.until.is_none_or(|until| *op <= until))
            else {
                return Ok(self.station.lines);
            };
            if op != self.station.op {
                self.station.op = op;
                if self.station.now.hour() >= EVENING {
                    self.station.next_morning();
                }
            }
            let task = task(&self.station.context());
            if !self.night_falls(&task) {
                self.answer(task)?;
            }
        }
        Err(self.stuck("it never ends"))
    }

    fn stuck(&self, what: impl Into<String>) -> CannotInvent {
        CannotInvent::Stuck { op: self.station.op, what: what.into() }
    }

    /// Answers a task as a shop would.
    fn answer(&mut self, task: Task) -> Result<(), CannotInvent> {
        let (text, seconds) = match &task {
            Task::Who => {
                let (hand, who) = (self.hand.clone(), self.hand.to_uppercase());
                self.station.who = Some(who);
                (hand, 30)
            }
            Task::Caution { .. } => (String::new(), 60),
            Task::Zero { gauge, block } => (self.block(gauge, *block), 45),
            Task::Tool(_) => (String::new(), 360),
            Task::Set(set) => {
                let fitting = if set.fit.is_some() { 360 } else { 0 };
                (set.readout.shown(set.dial.0), fitting + 120)
            }
            Task::Feed { pass, pieces, feeds, .. } => {
                return self.feed(&task, *pass, pieces, i64::from(*feeds));
            }
            // One piece at a time, for a fault may begin between any two.
            Task::Cut { .. } => ("1".to_owned(), 25),
            Task::Read { piece, check, why } => (self.reading(piece, *check, *why)?, 40),
            Task::Decide { piece, check, verdict, .. } => {
                return self.decide(&task, piece, *check, *verdict);
            }
            Task::Close { .. } => (String::new(), 120),
            Task::Accept(proposal) if proposal.keeps.len() > 1 => (format!("1 {}", self.lead), 180),
            Task::Accept(_) => (self.lead.clone(), 180),
            Task::Blocked { openable, reasons } => return self.wait(&task, *openable, reasons),
            Task::Boards(_) => return Err(self.stuck("invented batches don't buy boards")),
            Task::Finished => return Err(self.stuck("there is no task, and it is not finished")),
        };
        self.enter(&task, &text, seconds)
    }

    pub(super) fn enter(
        &mut self,
        task: &Task,
        text: &str,
        seconds: i64,
    ) -> Result<(), CannotInvent> {
        self.station.pass(seconds);
        let events = handle_input(&self.station.context(), task, text).map_err(|refusal| {
            let help = refusal.help.map_or_else(String::new, |help| format!(" ({help})"));
            self.stuck(format!("`{text}` is refused: {}{help}", refusal.what))
        })?;
        // Pieces worked by hand or fed in a stack are cut when they are done.
        for event in &events {
            if let Event::Done { pieces, through: true, .. } = event {
                for piece in pieces {
                    self.wood.cut(&self.station.context(), piece);
                }
            }
        }
        self.station.write(events);
        Ok(())
    }

    /// Waits for glue and finish; the lead opens every other stop.
    fn wait(
        &mut self,
        task: &Task,
        openable: bool,
        reasons: &[String],
    ) -> Result<(), CannotInvent> {
        if !openable {
            return Err(self.stuck(reasons.join("; ")));
        }
        if let Some(at) = next_wake(&self.station.context()) {
            self.station.now = at;
            return Ok(());
        }
        let text = format!("{} it is good enough", self.lead);
        let events = open_gate(&self.station.context(), task, &text)
            .map_err(|refusal| self.stuck(refusal.what))?;
        self.station.write(events);
        Ok(())
    }

    /// Lets a night fall in the middle of the pieces, where a fault asks for one:
    /// people leave, the wood moves, and they come back in the morning.
    fn night_falls(&mut self, task: &Task) -> bool {
        let Some((night, placed)) = self.wood.night(self.station.op) else { return false };
        let context = self.station.context();
        let is_late = |piece: &PieceId| place(&context, piece) > placed.last.div_ceil(2);
        let late = match task {
            Task::Cut { pieces, .. } => pieces.first().is_some_and(is_late),
            Task::Read { piece, why: ReadReason::Check, .. } => is_late(piece),
            Task::Close { .. } => true,
            _ => false,
        };
        if !late || !self.nights.insert(night) {
            return false;
        }
        let left = leave(&context, "the rest tomorrow");
        self.wood.rest_overnight(&context, night);
        self.station.write(vec![left]);
        self.station.next_morning();
        true
    }

    /// Feeds the whole stack, about ten seconds a feed; in two parts where the belt
    /// is changed in the middle.
    fn feed(
        &mut self,
        task: &Task,
        pass: Option<u32>,
        pieces: &[PieceId],
        feeds: i64,
    ) -> Result<(), CannotInvent> {
        let seconds = |pieces: usize| 60 + 10 * feeds.max(1) * pieces as i64;
        let op = self.station.op;
        let context = self.station.context();
        let group = pieces.first().and_then(|piece| context.group_of(piece));
        let last = group.and_then(|group| group.outcome.passes.last());
        let change = last.filter(|last| pass == Some(last.number));
        let change = change.and_then(|last| Some((self.wood.belt_change(op)?, last.tool.clone()?)));
        let machine = context.planned().and_then(|planned| planned.at.clone());
        if let (Some((after, tool)), Some(machine)) = (change, machine)
            && !self.belts.contains(&op)
        {
            let before: Vec<PieceId> =
                pieces.iter().filter(|piece| place(&context, piece) <= after).cloned().collect();
            if before.is_empty() {
                self.belts.insert(op);
                let was = Some(tool.clone());
                return self.enter(&Task::Tool(ToolChange { machine, tool, was }), "", 360);
            }
            let count = before.len();
            return self.enter(task, &count.to_string(), seconds(count));
        }
        self.enter(task, "", seconds(pieces.len()))
    }

    /// The block as a gauge with a true zero reads it.
    fn block(&self, gauge: &str, block: Option<Length>) -> String {
        let readout = block.and_then(|_| self.readout(gauge));
        let text = readout.zip(block).map(|(readout, block)| on_a_mark(readout, block));
        text.unwrap_or_default()
    }

    /// How a gauge shows its readings; `None` for go and no-go gauges.
    fn readout(&self, gauge: &str) -> Option<Readout> {
        match self.station.shop.gauges.get(gauge)?.reads {
            Reads::Number { unit, step, shows, .. } => Some(Readout { unit, step, shows }),
            Reads::GoNoGo => None,
        }
    }

    /// What is typed for a piece at a check.
    fn reading(
        &mut self,
        piece: &PieceId,
        check: usize,
        why: ReadReason,
    ) -> Result<String, CannotInvent> {
        let context = self.station.context();
        if self.moved.remove(piece) {
            self.wood.cut_anew(&context, piece);
        } else {
            self.wood.cut(&context, piece);
        }
        let count = self.readings.entry((context.op, piece.clone(), check)).or_default();
        *count += 1;
        let count = *count;
        let nothing = || CannotInvent::Stuck {
            op: context.op,
            what: format!("the size of {} is not known", context.state.name(piece)),
        };
        let planned = context.planned().and_then(|planned| planned.checks.get(check));
        let planned = planned.ok_or_else(nothing)?;
        let gauge = context.gauge(planned).ok_or_else(nothing)?;
        let real = self.wood.size(&context, piece, &planned.of).ok_or_else(nothing)?;
        let Some(readout) = self.readout(&gauge.name) else {
            let limits = context.limits(piece, check).map(|held| held.limits);
            let limits = limits.ok_or_else(nothing)?;
            let big = limits.high.is_some_and(|high| real > high);
            let small = limits.low.is_some_and(|low| real < low);
            return Ok(if big {
                "big"
            } else if small {
                "small"
            } else {
                "in"
            }
            .to_owned());
        };
        let about = (context.op, &*piece.0, planned.of.as_str(), count);
        // The stated uncertainty has k = 2.
        let one = gauge.uncertainty().unwrap_or_default() / 2;
        let shaken = times(one, self.rng.normal("gauge", about) * self.settings.noise);
        let missed = match self.rng.happens(self.settings.misses, "miss", about) {
            Some(side) if why != ReadReason::First => gross(readout.unit) * side,
            _ => Length::ZERO,
        };
        let read = real + self.wood.zero(context.op, &gauge.name) + shaken + missed;
        Ok(on_a_mark(readout, read.max(Length::ZERO)))
    }
}

/// A gross misreading: a sixteenth miscounted, or a millimetre.
fn gross(unit: Unit) -> Length {
    match unit {
        Unit::Inch => Length::inch_fraction(1, 16),
        Unit::Millimetre => Length::MILLIMETRE,
    }
}

/// A size as the nearest mark of a scale.
fn on_a_mark(readout: Readout, size: Length) -> String {
    let nothing = ScaleOffset(Length::ZERO);
    let mark = readout.dial(Target(size), Length::ZERO, nothing, Rounds::Nearest).dial.0;
    readout.shown(mark)
}
