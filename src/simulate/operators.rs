//! The people of an invented batch: they do what is due and type what their
//! gauges say. Knows the wood only through the gauges, and nothing of files.

use std::collections::{BTreeMap, BTreeSet};

use chrono::{DateTime, Duration, FixedOffset, NaiveTime, Timelike};

use super::rng::SeededRng;
use super::wood::{SimulatedWood, place, times};
use super::{CannotInvent, Settings};
use crate::journal::{Event, JournalLine, PieceId, State, initial_pieces};
use crate::measure::{Length, Readout, Reads, Rounds, ScaleOffset, Target, Unit, Verdict};
use crate::plan::{Known, Plan, walk};
use crate::route::{Role, Route};
use crate::shop::Shop;
use crate::work::{
    ReadReason, Remedy, Task, WorkContext, choices, handle_input, leave, next_op, open_gate, task,
    wake_at,
};

/// What the station of an invented batch is called: its file says it too.
pub const STATION: &str = "invented";

/// Begun later in the day than this, an operation waits for the next morning.
const EVENING: u32 = 16;
/// How often one thing is tried before the lead lets it be.
const TRIES: u32 = 3;

pub(super) struct Operators<'a> {
    bench: SimulatedShop<'a>,
    settings: &'a Settings,
    rng: SeededRng,
    wood: SimulatedWood,
    /// Whoever cuts, and whoever decides.
    hand: String,
    lead: String,
    /// How often a piece was read at a check, and what was tried with it.
    readings: BTreeMap<(u32, PieceId, usize), u32>,
    tries: BTreeMap<(u32, PieceId, usize), u32>,
    moves: BTreeMap<u32, u32>,
    nights: BTreeSet<usize>,
    belts: BTreeSet<u32>,
    /// Pieces to be cut anew once the setting is moved.
    moved: BTreeSet<PieceId>,
}

/// Everything `task` and `answer` ask for, apart from the wood.
struct SimulatedShop<'a> {
    route: &'a Route,
    shop: &'a Shop,
    lines: Vec<JournalLine>,
    state: State,
    known: Known,
    plan: Plan,
    now: DateTime<FixedOffset>,
    who: Option<String>,
    op: u32,
}

impl SimulatedShop<'_> {
    fn context(&self) -> WorkContext<'_> {
        WorkContext {
            route: self.route,
            shop: self.shop,
            plan: &self.plan,
            state: &self.state,
            station: STATION,
            who: self.who.as_deref(),
            now: self.now,
            bell: None,
            op: self.op,
        }
    }

    /// Writes events as the one station there is.
    fn write(&mut self, events: Vec<Event>) {
        for event in events {
            let n = self.lines.len() as u64 + 1;
            let line = JournalLine {
                n,
                after: n,
                at: self.now,
                station: STATION.to_owned(),
                who: self.who.clone(),
                event,
            };
            let taken_in = self.state.take_in(&line, self.lines.len());
            self.lines.push(line);
            if !taken_in {
                self.state = State::fold(&self.lines);
            }
        }
        let known = self.state.known();
        if known != self.known {
            self.plan = walk(self.route, self.shop, &known);
            self.known = known;
        }
    }

    fn next_morning(&mut self) {
        let offset = *self.now.offset();
        let day = self.now.date_naive().succ_opt().unwrap_or(self.now.date_naive());
        let eight = NaiveTime::from_hms_opt(8, 0, 0).unwrap_or_default();
        if let Some(morning) = day.and_time(eight).and_local_timezone(offset).single() {
            self.now = morning;
        }
    }

    fn pass(&mut self, seconds: i64) {
        self.now += Duration::seconds(seconds);
    }
}

impl<'a> Operators<'a> {
    pub fn new(
        route: &'a Route,
        shop: &'a Shop,
        settings: &'a Settings,
        wood: SimulatedWood,
    ) -> Operators<'a> {
        let known = Known::default();
        let people = &shop.people;
        let lead = people.iter().find(|(_, person)| person.lead).map(|(name, _)| name.clone());
        let hand = people.keys().next().cloned();
        let mut crew = Operators {
            bench: SimulatedShop {
                route,
                shop,
                lines: Vec::new(),
                state: State::default(),
                plan: walk(route, shop, &known),
                known,
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
        let pieces = initial_pieces(route, &crew.bench.plan, STATION);
        crew.bench.write(vec![
            Event::Invented { seed: settings.seed, faults },
            Event::Started {
                batch: settings.batch.clone(),
                route: route.name.clone(),
                sets: route.sets,
                pieces,
            },
        ]);
        crew
    }

    /// Walks to the end, or as far as the settings say.
    pub fn walk(mut self) -> Result<Vec<JournalLine>, CannotInvent> {
        // Far more than any crew needs: each piece read, decided and cut again
        // a few times at each check of each operation.
        let pieces = self.bench.state.pieces.len() + 1;
        let checks: usize = self.bench.route.steps.iter().map(|s| s.checks.len() + 20).sum();
        for _ in 0..pieces * checks * 20 {
            let next = next_op(self.bench.route, &self.bench.state, STATION);
            let Some(op) = next.filter(|op| self.settings.until.is_none_or(|until| *op <= until))
            else {
                return Ok(self.bench.lines);
            };
            if op != self.bench.op {
                self.bench.op = op;
                if self.bench.now.hour() >= EVENING {
                    self.bench.next_morning();
                }
            }
            let task = task(&self.bench.context());
            if !self.night_falls(&task) {
                self.answer(task)?;
            }
        }
        Err(self.stuck("there is no end of it"))
    }

    fn stuck(&self, what: impl Into<String>) -> CannotInvent {
        CannotInvent::Stuck { op: self.bench.op, what: what.into() }
    }

    /// Answers what is due, as a shop would.
    fn answer(&mut self, task: Task) -> Result<(), CannotInvent> {
        let (text, seconds) = match &task {
            Task::Who => {
                let (hand, who) = (self.hand.clone(), self.hand.to_uppercase());
                self.bench.who = Some(who);
                (hand, 30)
            }
            Task::Caution { .. } => (String::new(), 60),
            Task::Zero { gauge, block } => (self.block(gauge, *block), 45),
            Task::Tool { .. } => (String::new(), 360),
            Task::Set(set) => (set.readout.shown(set.dial.0), 120),
            Task::Feed { pass, pieces, feeds, .. } => {
                return self.feed(&task, *pass, pieces, i64::from(*feeds));
            }
            Task::Tick { piece } => {
                self.wood.cut(&self.bench.context(), piece);
                (String::new(), 25)
            }
            Task::Read { piece, check, why } => (self.reading(piece, *check, *why)?, 40),
            Task::Decide { piece, check, verdict, .. } => {
                return self.decide(&task, piece, *check, *verdict);
            }
            Task::Close { .. } => (String::new(), 120),
            Task::Accept(proposal) if proposal.keeps.len() > 1 => (format!("1 {}", self.lead), 180),
            Task::Accept(_) => (self.lead.clone(), 180),
            Task::Blocked { openable, reasons } => return self.wait(&task, *openable, reasons),
            Task::Boards(_) => return Err(self.stuck("no invented crew buys boards")),
            Task::Finished => return Err(self.stuck("nothing is due, and it is not finished")),
        };
        self.enter(&task, &text, seconds)
    }

    fn enter(&mut self, task: &Task, text: &str, seconds: i64) -> Result<(), CannotInvent> {
        self.bench.pass(seconds);
        let events = handle_input(&self.bench.context(), task, text).map_err(|refusal| {
            let help = refusal.help.map_or_else(String::new, |help| format!(" ({help})"));
            self.stuck(format!("`{text}` is not taken: {}{help}", refusal.what))
        })?;
        // By hand or in a stack, pieces are cut by being done.
        for event in &events {
            if let Event::Done { pieces, through: true, .. } = event {
                for piece in pieces {
                    self.wood.cut(&self.bench.context(), piece);
                }
            }
        }
        self.bench.write(events);
        Ok(())
    }

    /// Glue and finish take their time; what else is shut the lead opens.
    fn wait(
        &mut self,
        task: &Task,
        openable: bool,
        reasons: &[String],
    ) -> Result<(), CannotInvent> {
        if !openable {
            return Err(self.stuck(reasons.join("; ")));
        }
        if let Some(at) = wake_at(&self.bench.context()) {
            self.bench.now = at;
            return Ok(());
        }
        let text = format!("{} it is good enough", self.lead);
        let events = open_gate(&self.bench.context(), task, &text)
            .map_err(|refusal| self.stuck(refusal.what))?;
        self.bench.write(events);
        Ok(())
    }

    /// A night in the middle of the pieces, where one is to fall here: people
    /// leave, the wood moves, and they come back in the morning.
    fn night_falls(&mut self, task: &Task) -> bool {
        let Some((night, placed)) = self.wood.night(self.bench.op) else { return false };
        let context = self.bench.context();
        let late = match task {
            Task::Tick { piece } | Task::Read { piece, why: ReadReason::Check, .. } => {
                place(&context, piece) > placed.last.div_ceil(2)
            }
            Task::Close { .. } => true,
            _ => false,
        };
        if !late || !self.nights.insert(night) {
            return false;
        }
        let left = leave(&context, "the rest tomorrow");
        self.wood.rest_overnight(&context, night);
        self.bench.write(vec![left]);
        self.bench.next_morning();
        true
    }

    /// The whole stack through, about ten seconds a feed; where the belt is
    /// changed in the middle, in two goes.
    fn feed(
        &mut self,
        task: &Task,
        pass: Option<u32>,
        pieces: &[PieceId],
        feeds: i64,
    ) -> Result<(), CannotInvent> {
        let seconds = |pieces: usize| 60 + 10 * feeds.max(1) * pieces as i64;
        let op = self.bench.op;
        let context = self.bench.context();
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
                return self.enter(&Task::Tool { machine, tool, was }, "", 360);
            }
            if let Task::Feed { faces, feeds, kiss, .. } = task {
                let count = before.len();
                let (faces, feeds, kiss) = (faces.clone(), *feeds, *kiss);
                let some = Task::Feed { pass, faces, feeds, kiss, pieces: before };
                return self.enter(&some, "", seconds(count));
            }
        }
        self.enter(task, "", seconds(pieces.len()))
    }

    /// The block as it reads on a gauge that shows nothing wrong.
    fn block(&self, gauge: &str, block: Option<Length>) -> String {
        let readout = block.and_then(|_| self.readout(gauge));
        let text = readout.zip(block).map(|(readout, block)| on_a_mark(readout, block));
        text.unwrap_or_default()
    }

    /// How a gauge shows what it reads; nothing for go and no-go.
    fn readout(&self, gauge: &str) -> Option<Readout> {
        match self.bench.shop.gauges.get(gauge)?.reads {
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
        let context = self.bench.context();
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
            what: format!("nothing is known of what {} measures", context.state.name(piece)),
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
        let about = (context.op, piece.0.as_str(), planned.of.as_str(), count);
        // The stated uncertainty is two standard deviations.
        let one = gauge.uncertainty().unwrap_or_default() / 2;
        let shaken = times(one, self.rng.normal("gauge", about) * self.settings.noise);
        let missed = match self.rng.happens(self.settings.misses, "miss", about) {
            Some(side) if why != ReadReason::First => gross(readout.unit) * side,
            _ => Length::ZERO,
        };
        let read = real + self.wood.zero(context.op, &gauge.name) + shaken + missed;
        Ok(on_a_mark(readout, read.max(Length::ZERO)))
    }

    /// What is done with a piece that is out, or too close to call.
    fn decide(
        &mut self,
        task: &Task,
        piece: &PieceId,
        check: usize,
        verdict: Verdict,
    ) -> Result<(), CannotInvent> {
        let op = self.bench.op;
        let tries = self.tries.get(&(op, piece.clone(), check)).copied().unwrap_or(0);
        let choice = self.choice(task, piece, check, verdict, tries);
        *self.tries.entry((op, piece.clone(), check)).or_default() += 1;
        if choice == Remedy::MoveTheSetting {
            *self.moves.entry(op).or_default() += 1;
        }
        let text = match choice {
            Remedy::Accept => format!("a {} good enough here", self.lead),
            other => other.key().to_string(),
        };
        self.enter(task, &text, 60)?;
        let context = self.bench.context();
        let gone = context.state.piece(piece).is_some_and(|piece| piece.aside.is_some());
        match choice {
            Remedy::CutAgain => {
                let checks = context.planned().map(|planned| &planned.checks);
                if let Some(check) = checks.and_then(|checks| checks.get(check)) {
                    self.wood.cut_to_size(&context, piece, &check.of);
                }
            }
            Remedy::MoveTheSetting if !gone => {
                self.moved.insert(piece.clone());
            }
            _ => {}
        }
        Ok(())
    }

    fn choice(
        &self,
        task: &Task,
        piece: &PieceId,
        check: usize,
        verdict: Verdict,
        tries: u32,
    ) -> Remedy {
        if self.settings.accepts_all {
            return Remedy::Accept;
        }
        let context = self.bench.context();
        let expected = choices(&context, task).first().copied().unwrap_or(Remedy::Accept);
        let moves = self.moves.get(&context.op).copied().unwrap_or(0);
        match expected {
            // So far out, it is read once more before wood is cut for it.
            _ if tries == 0 && self.is_far_out(piece, check) => Remedy::MeasureAgain,
            Remedy::MeasureAgain if tries < 2 => expected,
            // A first piece that can't be put back is lost with it.
            Remedy::MoveTheSetting
                if moves < TRIES && (is_again(verdict) || self.can_spare(piece)) =>
            {
                expected
            }
            Remedy::CutAgain if tries < TRIES => expected,
            Remedy::SetAside if self.can_spare(piece) && !self.others_too(check, verdict) => {
                expected
            }
            _ => Remedy::Accept,
        }
    }

    /// Beyond a limit by more than the whole band.
    fn is_far_out(&self, piece: &PieceId, check: usize) -> bool {
        let context = self.bench.context();
        let checks = context.planned().map(|planned| &planned.checks);
        let of = checks.and_then(|checks| checks.get(check)).map(|check| &check.of);
        let taken =
            of.and_then(|of| context.state.standing(context.op, piece, of)).map(|r| &r.taken);
        let Some((taken, size)) = taken.and_then(|taken| Some((taken, taken.size()?))) else {
            return false;
        };
        let Some(band) = taken.limits().band() else { return false };
        taken.high.is_some_and(|high| size - high > band)
            || taken.low.is_some_and(|low| low - size > band)
    }

    /// Whether enough pieces are left for the sets without this one.
    fn can_spare(&self, piece: &PieceId) -> bool {
        let context = self.bench.context();
        let Some(piece) = context.state.piece(piece) else { return false };
        let Some(part) = context.route.part(&piece.label.part) else { return false };
        let counts = |role| role != Role::Setup;
        let left: u32 = context
            .pieces()
            .iter()
            .filter(|held| held.aside.is_none() && counts(held.label.role))
            .map(|held| held.gang.max(1))
            .sum();
        !counts(piece.label.role) || left > part.per_set * context.route.sets
    }

    /// Whether two others came out on the same side: then the setting is what
    /// it is, and the lead takes them all.
    fn others_too(&self, check: usize, verdict: Verdict) -> bool {
        let context = self.bench.context();
        let checks = context.planned().map(|planned| &planned.checks);
        let Some(check) = checks.and_then(|checks| checks.get(check)) else { return false };
        let way = std::mem::discriminant(&verdict);
        let out = context.state.readings.iter().filter(|reading| {
            let taken = &reading.taken;
            !reading.voided && taken.op == context.op && taken.feature == check.of
        });
        out.filter(|reading| std::mem::discriminant(&reading.taken.verdict()) == way).count() > 2
    }
}

/// Whether a piece that is out can be cut again.
fn is_again(verdict: Verdict) -> bool {
    matches!(verdict, Verdict::TooBig { again: true, .. } | Verdict::TooSmall { again: true, .. })
}

/// A gross misreading: a sixteenth miscounted, a millimetre.
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
