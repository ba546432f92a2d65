//! How far a batch has come, in one line, for lists of what is under way, and what
//! waits there for whoever goes on.

use chrono::{DateTime, FixedOffset};
use serde::{Deserialize, Serialize};

use super::gate::at_words;
use super::progress::next_op;
use super::proposal::waits_for_the_lead;
use crate::journal::{
    BatchFolder, JournalLine, PieceTally, State, damage_words, read_route, without_beginning,
};
use crate::operation::decimal;
use crate::route::Route;

/// A batch, as lists show it.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct BatchRow {
    /// The name of the batch.
    pub name: String,
    /// The name of its route; empty where that cannot be read.
    pub route: String,
    /// How far it has come, or why that is unknown.
    pub standing: BatchStanding,
    /// `op 50 sand leg: 21 done, 1 set aside, 30 to go`, or why that is unknown.
    pub progress: String,
    /// When anything last happened to it, and whose initials the latest line has that
    /// has any.
    pub last: Option<(DateTime<FixedOffset>, Option<String>)>,
    /// Whether nobody cut or measured anything.
    pub is_invented: bool,
    /// What waits there for whoever goes on, each in a sentence.
    pub waits: Vec<String>,
    /// What the next operation waits for by the clock, or waited for.
    pub timed: Option<TimedWait>,
    /// What is wrong with its files, each in a sentence.
    pub damage: Vec<String>,
}

/// A wait that the next operation of a batch follows.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct TimedWait {
    /// The operation that can begin then.
    pub op: u32,
    /// The operation that is waited for.
    pub after: u32,
    /// What is waited for, in words.
    pub what: String,
    /// Until when.
    pub until: DateTime<FixedOffset>,
}

impl TimedWait {
    /// `Op 330, glue: not before 14:30.`, or that it is over.
    pub fn sentence(&self, now: DateTime<FixedOffset>) -> String {
        let TimedWait { op, after, what, until } = self;
        let at = at_words(*until, now);
        if *until > now {
            format!("Op {after}, {what}: not before {at}.")
        } else {
            format!("Op {after}, {what}: over since {at}. Op {op} can begin.")
        }
    }
}

impl BatchRow {
    /// Whether its files have to be looked at.
    pub fn is_damaged(&self) -> bool {
        !self.damage.is_empty() || matches!(self.standing, BatchStanding::Broken(_))
    }
}

/// How far a batch has come.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub enum BatchStanding {
    /// Something is to be done.
    UnderWay {
        /// `op 50 sand leg`.
        at: String,
        /// How much is done, in hundredths of all cuts; never all of them.
        percent: u8,
    },
    /// Every operation is finished.
    Finished,
    /// Its folder can't be read, and why.
    Broken(String),
    /// It wasn't read yet.
    Unread,
}

impl BatchRow {
    /// A batch of which only the name is known.
    pub fn unread(name: &str) -> BatchRow {
        BatchRow {
            name: name.to_owned(),
            route: String::new(),
            standing: BatchStanding::Unread,
            progress: String::new(),
            last: None,
            is_invented: false,
            waits: Vec::new(),
            timed: None,
            damage: Vec::new(),
        }
    }

    /// Reads the batch in a folder. It never fails: the row says what is wrong.
    pub fn of(folder: &BatchFolder) -> BatchRow {
        let broken = |why: String| BatchRow {
            standing: BatchStanding::Broken(why.clone()),
            progress: why,
            ..BatchRow::unread(folder.name())
        };
        let route = match folder.route_json() {
            Ok(text) => read_route(&text),
            Err(error) => return broken(error.to_string()),
        };
        let route = match route {
            Ok(route) => route,
            Err(error) => return broken(route_words(&error.to_string())),
        };
        match folder.journal() {
            Ok(everything) => {
                let state = State::fold(&everything.entries);
                if !state.is_started() {
                    return broken(without_beginning(folder.name()));
                }
                let damage = damage_words(&everything.damage);
                BatchRow::read(folder.name(), route, &state, &everything.entries, damage)
            }
            Err(error) => broken(error.to_string()),
        }
    }

    fn read(
        name: &str,
        begun: Route,
        state: &State,
        lines: &[JournalLine],
        damage: Vec<String>,
    ) -> BatchRow {
        let adopted = state.adopted_route.as_deref().and_then(|text| read_route(text).ok());
        let route = &adopted.unwrap_or(begun);
        let mut progress = progress(route, state);
        if state.invented {
            progress = format!("invented; {progress}");
        }
        let who = lines.iter().rev().find_map(|line| line.who.clone());
        BatchRow {
            name: name.to_owned(),
            route: route.name.clone(),
            standing: standing(route, state),
            progress,
            last: lines.last().map(|line| (line.at, who)),
            is_invented: state.invented,
            waits: waits(route, state),
            timed: timed(route, state),
            damage,
        }
    }
}

/// The last wait before the next operation, where that has not begun.
fn timed(route: &Route, state: &State) -> Option<TimedWait> {
    let op = next_op(route, state, "")?;
    let is_begun = state.setups.get(&op).is_some_and(|setup| setup.begun.is_some());
    let step = route.step(op).filter(|_| !is_begun)?;
    let before: Vec<u32> = route.before(step).map(|before| before.op).collect();
    let waits = state.waits.iter().filter(|wait| before.contains(&wait.op));
    let last = waits.max_by_key(|wait| wait.until)?;
    Some(TimedWait { op, after: last.op, what: last.what.clone(), until: last.until })
}

/// Why a route can't be read, on one line: only the first problem fits there.
fn route_words(problems: &str) -> String {
    let first = problems.lines().next().unwrap_or_default();
    format!("its route can't be read: {}", first.strip_prefix("error: ").unwrap_or(first))
}

fn standing(route: &Route, state: &State) -> BatchStanding {
    let Some(op) = next_op(route, state, "") else { return BatchStanding::Finished };
    let at = match route.step(op) {
        Some(step) => format!("op {op} {} {}", step.kind, step.part),
        None => format!("op {op} boards"),
    };
    let tallies = route.steps.iter().map(|step| state.tally(&step.part, step.op));
    let (done, all) = tallies
        .fold((0, 0), |(done, all), tally| (done + tally.done, all + tally.done + tally.to_go));
    let percent = (100 * done).checked_div(all).unwrap_or(0).min(99) as u8;
    BatchStanding::UnderWay { at, percent }
}

fn progress(route: &Route, state: &State) -> String {
    let Some(op) = next_op(route, state, "") else { return "finished".to_owned() };
    let Some(step) = route.step(op) else {
        return format!("op {op} boards: {}", state.boards.progress());
    };
    let PieceTally { done, aside, to_go } = state.tally(&step.part, op);
    format!("op {op} {} {}: {done} done, {aside} set aside, {to_go} to go", step.kind, step.part)
}

/// Pieces to be decided, sizes to be accepted, and what people said when they left.
fn waits(route: &Route, state: &State) -> Vec<String> {
    let mut waits = Vec::new();
    for reading in state.readings.iter().filter(|reading| !reading.voided) {
        let taken = &reading.taken;
        let is_last = state
            .reading_in_force(taken.op, &taken.piece, &taken.feature)
            .is_some_and(|last| last.order == reading.order);
        let piece = state.piece(&taken.piece).filter(|piece| piece.aside.is_none() && piece.whole);
        let open = !state.is_closed(taken.op) && state.decision_on(reading).is_none();
        if let Some(piece) = piece.filter(|_| is_last && open && taken.verdict().is_out()) {
            let read = taken.size().map(|size| decimal(size, route.unit));
            let read = read.unwrap_or_else(|| taken.typed.clone());
            waits.push(format!("{} read {read} and waits for a decision.", piece.label));
        }
    }
    for step in &route.steps {
        if waits_for_the_lead(route, state, step.op) {
            waits.push(format!("Op {} waits for the lead to accept its sizes.", step.op));
        }
        let left = state.setups.get(&step.op).and_then(|setup| setup.left.as_ref());
        match left.filter(|_| !state.is_closed(step.op)).map(|note| note.trim()) {
            None => {}
            Some("") => waits.push(format!("Op {} was left half done.", step.op)),
            Some(note) => waits.push(format!("Op {} was left half done: \"{note}\".", step.op)),
        }
    }
    waits
}
