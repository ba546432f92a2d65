//! The one station of an invented batch: its journal, its state and its clock.

use std::collections::BTreeMap;

use chrono::{DateTime, Duration, FixedOffset, NaiveTime};

use crate::journal::{AnswerLines, Event, JournalLine, State};
use crate::plan::Plan;
use crate::route::Route;
use crate::shop::Shop;
use crate::work::WorkContext;

/// The name of the one station of an invented batch; its file is named after it.
pub const STATION: &str = "invented";

/// The station: what a task and an answer depend on, apart from the wood.
pub(super) struct SimulatedStation<'a> {
    pub route: &'a Route,
    pub shop: &'a Shop,
    pub lines: Vec<JournalLine>,
    pub state: State,
    pub plan: Plan,
    pub now: DateTime<FixedOffset>,
    pub who: Option<String>,
    pub op: u32,
}

impl SimulatedStation<'_> {
    pub(super) fn context(&self) -> WorkContext<'_> {
        WorkContext {
            route: self.route,
            shop: self.shop,
            plan: &self.plan,
            state: &self.state,
            station: STATION,
            who: self.who.as_deref(),
            now: self.now,
            bell: None,
            on_paper: None,
            op: self.op,
        }
    }

    /// Writes events, and plans anew where a dimension was made.
    pub(super) fn write(&mut self, events: Vec<Event>) {
        let tells = events.iter().any(|event| self.state.tells_the_plan(event));
        let answer = AnswerLines::of(self.lines.len() as u64 + 1, events.len());
        for event in events {
            let n = self.lines.len() as u64 + 1;
            let line = JournalLine {
                n,
                after: n,
                at: self.now,
                station: STATION.to_owned(),
                who: self.who.clone(),
                answer,
                seen: BTreeMap::new(),
                begun: None,
                event,
            };
            let taken_in = self.state.take_in(&line, self.lines.len());
            self.lines.push(line);
            if !taken_in {
                self.state = State::fold(&self.lines);
            }
        }
        if !tells {
            return;
        }
        self.plan = self.plan.walk_again(self.route, self.shop, &self.state.known());
    }

    pub(super) fn next_morning(&mut self) {
        let offset = *self.now.offset();
        let day = self.now.date_naive().succ_opt().unwrap_or(self.now.date_naive());
        let eight = NaiveTime::from_hms_opt(8, 0, 0).unwrap_or_default();
        if let Some(morning) = day.and_time(eight).and_local_timezone(offset).single() {
            self.now = morning;
        }
    }

    pub(super) fn pass(&mut self, seconds: i64) {
        self.now += Duration::seconds(seconds);
    }
}
