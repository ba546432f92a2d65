//! What the last answer led to: the number read back in words, so that a slip is
//! heard, and what follows from it.

use std::sync::Arc;

use chrono::{DateTime, FixedOffset};

use super::machine::count;
use super::phrase::line;
use crate::journal::{BoardQuestion, Snapshot, State};
use crate::measure::{Entry, spoken};
use crate::tui::app::{Notice, Session};
use crate::tui::machine_view::{MachineView, echo};
use crate::tui::maker_words::maker_words;
use crate::work::{BoardsTask, NextNumber, Task, WorkContext};

/// How things stood before a line was answered.
pub(super) struct Before {
    state: Arc<State>,
    op: u32,
    task: Task,
    who: Option<String>,
    bell: Option<DateTime<FixedOffset>>,
    notice: Option<Notice>,
}

impl Before {
    pub(super) fn of(session: &Session) -> Before {
        let context = session.context();
        Before {
            state: Arc::clone(&session.snapshot.state),
            op: context.op,
            task: session.task().clone(),
            who: context.who.map(str::to_owned),
            bell: context.bell,
            notice: session.notice().cloned(),
        }
    }

    /// Whether a setting was recorded since.
    pub(super) fn is_set_since(&self, session: &Session) -> bool {
        shown(&self.state, self.op) < shown(&session.snapshot.state, self.op)
    }

    /// What is to be said now that `text` was answered.
    pub(super) fn news(&self, session: &Session, text: &str) -> Vec<String> {
        let context = session.context();
        let is_recorded = !Arc::ptr_eq(&self.state, &session.snapshot.state);
        let mut lines = Vec::new();
        if is_recorded {
            lines.extend(self.read_back(session, text));
        }
        if let Some(who) = context.who
            && self.who.as_deref() != context.who
            && self.who.is_some()
        {
            lines.push(line(&format!("{who} has the keys")));
        }
        if self.bell != context.bell {
            lines.push(match context.bell {
                Some(bell) => format!("The bell rings at {}.", bell.format("%H:%M")),
                None => "No bell is set.".to_owned(),
            });
        }
        if is_recorded || session.notice() != self.notice.as_ref() {
            lines.extend(session.notice().map(|notice| match notice {
                Notice::Said(text) | Notice::Wrong(text) => line(text),
            }));
        }
        lines
    }

    fn read_back(&self, session: &Session, text: &str) -> Vec<String> {
        let Snapshot { state, .. } = &session.snapshot;
        let now = session.context();
        let there = WorkContext { op: self.op, ..now };
        if self.state.readings.len() < state.readings.len() {
            return reading(session, &there);
        }
        let changed = (1..=state.article_count()).filter(|article| {
            let record = |state: &State| state.articles.get(*article as usize - 1).cloned();
            record(&self.state) != record(state)
        });
        let changed: Vec<String> =
            changed.map(|article| line(&maker_words(session, article))).collect();
        // Whoever chooses first gives every article a record.
        if self.state.articles.len() == state.articles.len() && !changed.is_empty() {
            return changed;
        }
        if state.articles.len() > self.state.articles.len() {
            let named = |words: &String| !words.contains("nobody's yet");
            return changed.into_iter().filter(named).collect();
        }
        if self.is_set_since(session) {
            let setup = there.setup();
            let is_right = setup.and_then(|setup| setup.shown.last()).is_some_and(|it| it.right);
            let said = entry_of(&self.task).and_then(|entry| spoken(text, &entry));
            let said = said.unwrap_or_else(|| text.to_owned());
            let verdict = if is_right { ": as wanted" } else { "" };
            return vec![line(&format!("{said}{verdict}"))];
        }
        if let Some(said) = self.of_gauge_or_board(&there, text) {
            return vec![line(&said)];
        }
        let counts = matches!(self.task, Task::Cut { .. } | Task::Feed { .. });
        // Where the operation is finished, that is said with its count.
        if counts
            && now.op == self.op
            && self.done_here(&self.state, &now) < self.done_here(state, &now)
        {
            return vec![line(&count(&MachineView::of(&there, &self.task)))];
        }
        Vec::new()
    }

    /// How many pieces are through the operation.
    fn done_here(&self, state: &State, context: &WorkContext<'_>) -> usize {
        let part = context.route.step(self.op).map_or("", |step| step.part.as_str());
        state.tally(part, self.op).done
    }

    /// A gauge on its block, or a size of a board.
    fn of_gauge_or_board(&self, context: &WorkContext<'_>, text: &str) -> Option<String> {
        match &self.task {
            Task::Zero { gauge, block: Some(_) } => {
                let entry = context.shop.gauges.get(gauge)?.entry()?;
                Some(format!("{}: {gauge} at zero", spoken(text, &entry)?))
            }
            Task::Boards(BoardsTask::Tell { asks, .. }) => {
                let bare = context.route.unit;
                match asks {
                    BoardQuestion::Name | BoardQuestion::Species | BoardQuestion::Flaws => None,
                    _ => spoken(text, &Entry { bare, mark: None }),
                }
            }
            _ => None,
        }
    }
}

/// The newest reading in words and its verdict; what to do next where nothing is
/// decided about it.
fn reading(session: &Session, there: &WorkContext<'_>) -> Vec<String> {
    let Some(reading) = there.state.readings.last() else { return Vec::new() };
    let (said, advice) = echo(there, reading);
    if matches!(session.task(), Task::Decide { .. }) {
        return if said.is_empty() { Vec::new() } else { vec![line(&said)] };
    }
    let Some(advice) = advice else { return vec![line(&said)] };
    let verdict = match said.is_empty() {
        true => advice.headline,
        false => format!("{said}: {}", advice.headline),
    };
    std::iter::once(line(&verdict)).chain(advice.next.iter().map(|text| line(text))).collect()
}

/// How the number that a task asks for is written on its scale.
fn entry_of(task: &Task) -> Option<Entry> {
    let readout = match task {
        Task::Set(set) => set.readout,
        Task::Cut { then: Some(NextNumber::Set(sets)), .. }
        | Task::Feed { then: Some(NextNumber::Set(sets)), .. } => sets.first()?.readout,
        _ => return None,
    };
    Some(readout.entry())
}

fn shown(state: &State, op: u32) -> usize {
    state.setups.get(&op).map_or(0, |setup| setup.shown.len())
}
