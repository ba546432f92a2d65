//! A batch walked in memory: no disk, and a clock that only the test moves.
#![allow(dead_code, reason = "each test file uses the part it needs")]
#![allow(clippy::wrong_self_convention, reason = "`to` is where the walk goes, not a conversion")]

pub mod boards;
pub mod crew;

use std::collections::BTreeMap;
use std::sync::Arc;

use benchway::document::Document;
use benchway::journal::{
    AnswerLines, Event, GaugeSays, JournalLine, LinesSeen, PieceId, Snapshot, State, TakenReading,
    initial_pieces, merge,
};
use benchway::measure::{Length, SafeSide};
use benchway::plan::{Known, Plan, walk};
use benchway::prose::Message;
use benchway::route::{self, OwnedArticle, Route};
use benchway::shop::{self, Shop};
use benchway::work::{Task, WorkContext, handle_input, next_op, task, void};
use chrono::{DateTime, Duration, FixedOffset};

pub const STOOL: &str = include_str!("../../../routes/reading-stool.json");
/// A stool whose lengths and mortises are measured with calipers too, so that one gauge reads
/// at nearly every machine.
pub const STOOL_BY_CALIPERS: &str = include_str!("stool-by-calipers.json");
pub const SHOP: &str = include_str!("../../../routes/shop.json");

/// Walks at most this many answers: a batch of a test needs far fewer.
pub const MANY: usize = 3000;

pub struct Walker {
    pub route: Route,
    pub shop: Shop,
    pub lines: Vec<JournalLine>,
    pub state: State,
    pub plan: Plan,
    pub now: DateTime<FixedOffset>,
    pub station: String,
    pub who: Option<String>,
    pub bell: Option<DateTime<FixedOffset>>,
    pub op: u32,
}

pub fn read_route(text: &str) -> Route {
    let document = Document::read("route.json", text).expect("JSON");
    match route::read(&document) {
        Ok((route, _)) => route,
        Err(problems) => panic!("{problems:#?}"),
    }
}

pub fn read_shop(text: &str) -> Shop {
    let document = Document::read("shop.json", text).expect("JSON");
    shop::read(&document).expect("a good shop file")
}

/// The same batch after more lines; the plan is walked again only where something
/// else is known.
pub fn snapshot_after(before: &Snapshot, lines: &[JournalLine]) -> Snapshot {
    let state = State::fold(lines);
    let plan = before.plan.walk_again(&before.route, &before.shop, &state.known()).into();
    Snapshot { plan, state: state.into(), ..before.clone() }
}

/// A batch as the traveler at station `cart` sees it after those lines.
pub fn snapshot_of(
    name: &str,
    route: &Arc<Route>,
    shop: &Arc<Shop>,
    lines: &[JournalLine],
) -> Snapshot {
    let state = State::fold(lines);
    let plan = walk(route, shop, &state.known());
    Snapshot {
        name: name.to_owned(),
        station: "cart".to_owned(),
        route: Arc::clone(route),
        shop: Arc::clone(shop),
        plan: plan.into(),
        state: state.into(),
        damage: Vec::new(),
    }
}

pub fn lengths_in_thousandths(sizes: &[i64]) -> Vec<Length> {
    sizes.iter().map(|size| Length::thousandths(*size)).collect()
}

pub fn in_thousandths(length: Length) -> i64 {
    length.ratio(Length::thousandths(1)).round() as i64
}

pub fn th(thousandths: i64) -> Length {
    Length::thousandths(thousandths)
}

impl Walker {
    pub fn new(route: Route, shop: Shop, sets: u32) -> Walker {
        Walker::begun(route, shop, sets, &[])
    }

    /// A batch of makers who chose.
    pub fn of_makers(route: Route, makers: &[OwnedArticle]) -> Walker {
        Walker::begun(route, read_shop(SHOP), makers.len() as u32, makers)
    }

    fn begun(mut route: Route, shop: Shop, sets: u32, makers: &[OwnedArticle]) -> Walker {
        route.make_sets(sets).expect("a batch of that size");
        let articles = makers.iter().map(|maker| maker.chosen.clone()).collect();
        let plan = walk(&route, &shop, &Known { articles, ..Known::default() });
        let mut walker = Walker {
            op: route.steps[0].op,
            state: State::default(),
            lines: Vec::new(),
            now: "2026-11-25T08:00:00+01:00".parse().expect("a time with its zone"),
            station: "bench-a".to_owned(),
            who: Some("MB".to_owned()),
            bell: None,
            route,
            shop,
            plan,
        };
        let pieces = initial_pieces(&walker.route, &walker.plan, &walker.station);
        let (batch, route) = ("test".to_owned(), walker.route.name.clone());
        let mut events = vec![Event::Started { batch, route, sets, pieces, id: None }];
        events.extend((1..).zip(makers).map(|(article, maker)| Event::Chosen {
            article,
            owner: maker.owner.clone(),
            chosen: maker.chosen.clone(),
            pieces: Vec::new(),
        }));
        walker.push(events);
        walker
    }

    pub fn stool(sets: u32) -> Walker {
        Walker::new(read_route(STOOL), read_shop(SHOP), sets)
    }

    pub fn of(route: &str) -> Walker {
        let route = read_route(route);
        let sets = route.sets;
        Walker::new(route, read_shop(SHOP), sets)
    }

    pub fn context(&self) -> WorkContext<'_> {
        WorkContext {
            route: &self.route,
            shop: &self.shop,
            plan: &self.plan,
            state: &self.state,
            station: &self.station,
            who: self.who.as_deref(),
            now: self.now,
            bell: self.bell,
            on_paper: None,
            op: self.op,
        }
    }

    pub fn task(&self) -> Task {
        task(&self.context())
    }

    /// Appends as the writer of this station does. As in the program, a line is
    /// taken in on top of those before it, and the plan is walked anew only where
    /// something else is known.
    pub fn push(&mut self, events: Vec<Event>) {
        let tells = events.iter().any(|event| self.state.tells_the_plan(event));
        let mut taken_in = true;
        let own = self.lines.iter().filter(|line| line.station == self.station);
        let last = own.map(|line| line.n).max().unwrap_or(0);
        let answer = AnswerLines::of(last + 1, events.len());
        for event in events {
            let own = self.lines.iter().filter(|line| line.station == self.station);
            let n = own.map(|line| line.n).max().unwrap_or(0) + 1;
            let seen = LinesSeen::of(&self.lines);
            let line = JournalLine {
                n,
                after: seen.next_place(),
                at: self.now,
                station: self.station.clone(),
                who: self.who.clone(),
                answer,
                seen: BTreeMap::new(),
                begun: None,
                event,
            };
            taken_in &= self.state.take_in(&line, self.lines.len());
            self.lines.push(line);
        }
        if !taken_in {
            self.state = State::fold(&self.lines);
        }
        if tells {
            self.plan = self.plan.walk_again(&self.route, &self.shop, &self.state.known());
        }
    }

    /// Merges, folds and plans everything anew, after a test changed something
    /// beside the journal.
    pub fn settle(&mut self) {
        self.lines = merge(vec![std::mem::take(&mut self.lines)]);
        self.state = State::fold(&self.lines);
        self.plan = walk(&self.route, &self.shop, &self.state.known());
    }

    pub fn try_enter(&mut self, text: &str) -> Result<Vec<Event>, Message> {
        let task = self.task();
        let events = handle_input(&self.context(), &task, text)?;
        self.push(events.clone());
        Ok(events)
    }

    pub fn enter(&mut self, text: &str) -> Vec<Event> {
        let task = self.task();
        self.try_enter(text).unwrap_or_else(|refused| panic!("{text:?} to {task:?}: {refused:?}"))
    }

    pub fn void(&mut self) {
        let event = void(&self.context()).expect("something to undo");
        self.push(vec![event]);
    }

    pub fn pass_time(&mut self, minutes: i64) {
        self.now += Duration::minutes(minutes);
    }

    /// Answers a plain task the expected way; false for a task that needs a decision.
    pub fn plainly(&mut self) -> bool {
        let Some(text) = crew::plainly(&self.context(), &self.task()) else { return false };
        self.enter(&text);
        true
    }

    /// Goes on until a task needs a decision, and returns it.
    pub fn on(&mut self) -> Task {
        for _ in 0..MANY {
            if !self.plainly() {
                return self.task();
            }
        }
        panic!("still not through: {:?}", self.task());
    }

    /// Goes on to the end of the operation, which the last answer closes by itself,
    /// with so many pieces through and none set aside.
    #[track_caller]
    pub fn is_closed_with(&mut self, done: usize) {
        let task = self.on();
        assert!(matches!(task, Task::Finished | Task::Accept(_)), "{task:?}");
        let part = self.context().planned().expect("the operation due").part.clone();
        let tally = self.state.tally(&part, self.op);
        assert_eq!((tally.done, tally.aside), (done, 0));
    }

    /// Goes on until a scale is to be set.
    pub fn to_set(&mut self) -> benchway::work::SettingTask {
        for _ in 0..MANY {
            if let Task::Set(set) = self.task() {
                return set;
            }
            assert!(self.plainly(), "{:?}", self.task());
        }
        panic!("no setting");
    }

    pub fn name(&self, piece: &benchway::journal::PieceId) -> String {
        self.state.name(piece)
    }

    /// What a check wants of a piece.
    pub fn target(&self, piece: &benchway::journal::PieceId, check: usize) -> Length {
        self.context().limits(piece, check).and_then(|held| held.target).unwrap_or_default()
    }

    /// Walks the operation to its close, every reading as `size` gives it.
    pub fn through(&mut self, op: u32, size: &mut dyn FnMut(&str, Length) -> String) {
        self.op = op;
        for _ in 0..MANY {
            match self.on() {
                Task::Read { piece, check, .. } => {
                    let text = size(&self.name(&piece), self.target(&piece, check));
                    self.enter(&text);
                }
                Task::Close { .. } => {
                    self.enter("");
                    return;
                }
                Task::Finished | Task::Accept(_) => return,
                other => panic!("op {op}: {other:?}"),
            }
        }
    }

    /// Walks the operation to its close, everything to size.
    pub fn to_size(&mut self, op: u32) {
        self.through(op, &mut |_, target| target.decimal(benchway::measure::Unit::Inch, 4));
    }

    pub fn next_op(&self) -> Option<u32> {
        next_op(&self.route, &self.state, &self.station)
    }
}

/// A reading of calipers that are off by up to 0.003, within `band` of what is wanted or
/// not.
pub fn by_calipers(
    op: u32,
    piece: &PieceId,
    feature: &str,
    size: Length,
    (wanted, band): (Length, Length),
) -> Event {
    Event::Reading(TakenReading {
        op,
        piece: piece.clone(),
        feature: feature.into(),
        says: GaugeSays::Size(size),
        typed: String::new(),
        gauge: "calipers".to_owned(),
        uncertainty: th(3),
        target: Some(wanted),
        low: Some(wanted - band),
        high: Some(wanted + band),
        safe: SafeSide::Big,
        on_paper: None,
    })
}

/// The piece of that name.
pub fn named(walker: &Walker, name: &str) -> PieceId {
    let piece = walker.state.pieces.iter().find(|piece| piece.label.to_string() == name);
    piece.unwrap_or_else(|| panic!("no {name}")).id.clone()
}
