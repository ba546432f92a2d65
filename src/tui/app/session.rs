//! An open batch at one station: what is asked now, and what is looked at.

use std::cell::OnceCell;
use std::ops::Range;
use std::sync::Arc;

use chrono::{DateTime, FixedOffset, TimeDelta};

use super::entry::{EntryText, Prompt};
use super::key_timing::KeyTiming;
use super::view::SessionView;
use super::work_question::WorkQuestion;
use crate::journal::{BOARDS, Snapshot, TakenOnPaper};
use crate::prose::Message;
use crate::tui::clock::next_minute;
use crate::tui::machine_view::Shown;
use crate::tui::message::{Effect, Unread};
use crate::work::{
    InputKind, Remedy, Task, WorkContext, choices, matched, next_wake, ready, resumed, task,
};

/// What the last answer led to, beside the state itself.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(in crate::tui) enum Notice {
    /// Something to know.
    Said(String),
    /// Something is wrong and the work must wait.
    Wrong(String),
}

/// What is said where another station's lines changed what is asked.
pub(in crate::tui) const MOVED_ON: &str = "Another station moved on. This is what is asked now.";

/// What the program asks for now. It is worked out once for each message and
/// once more where that message changes it, never for each question about it.
#[derive(Debug)]
pub(super) struct Asked {
    pub(super) task: Task,
    pub(super) choices: Vec<Remedy>,
    pub(super) input: InputKind,
    pub(super) seen: Freshness,
    /// What the machine screen shows of it, once that was drawn.
    shown: OnceCell<Shown>,
    /// From when to when it was asked so: later another minute has begun, or a wait is
    /// over.
    stands: Range<DateTime<FixedOffset>>,
    /// What of it has no room in the window; none until it was drawn.
    pub(super) unread: Option<Unread>,
}

/// Whether what is asked is what the screen showed.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Freshness {
    /// The screen showed it.
    Shown,
    /// Another station's lines changed it since the screen was drawn: an Enter
    /// would answer what nobody here has read.
    ChangedElsewhere,
}

impl Asked {
    fn of(context: &WorkContext<'_>, seen: Freshness) -> Asked {
        let task = task(context);
        let choices = choices(context, &task);
        let input = task.input_kind(context);
        let minute = next_minute(context.now);
        let until = next_wake(context).map_or(minute, |wake| wake.min(minute));
        let stands = context.now..until;
        Asked { task, choices, input, seen, shown: OnceCell::new(), stands, unread: None }
    }
}

/// Whether events are on their way to the disk.
#[derive(Clone, Debug)]
pub(super) enum Recording {
    /// None: keys are taken.
    Idle,
    /// They are, and this task was answered with them, where one was.
    Answer(Option<Box<Task>>),
    /// They are: the answer in these words is undone.
    Undo(String),
    /// They are: what was undone is done again.
    Redo,
    /// They are, and the program ends once they are there.
    Farewell,
}

/// How a batch is looked back on in which nothing is recorded.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum LookingBack {
    /// Somebody looks.
    Looks,
    /// Somebody has seen enough.
    Leaves,
}

/// An answer that waits for a lead's PIN.
#[derive(Debug)]
pub(super) struct HeldAnswer {
    /// What is recorded then.
    pub(super) then: Effect,
    pub(super) recording: Recording,
    /// The question that was answered, where it wasn't the task.
    pub(super) behind: Option<Prompt<WorkQuestion>>,
}

/// How things stood when an answer was given, for what is said once it is recorded.
#[derive(Debug, Default)]
pub(super) struct BeforeAnswer {
    pub(super) remarks: usize,
    pub(super) readings: usize,
    /// The pieces that the answer counts as through beside the one it measures.
    pub(super) counted: usize,
    /// The operations that were closed.
    pub(super) closed: Vec<u32>,
    /// What is said of spares that take the place of a piece.
    pub(super) stood_in: Vec<String>,
}

/// An open batch at one station: who is there, and at which operation.
#[derive(Debug)]
pub struct Session {
    /// The batch as the journal has it.
    pub(in crate::tui) snapshot: Snapshot,
    /// The operation in hand.
    pub(super) op: u32,
    /// Who is here, by initials.
    pub(super) who: Option<String>,
    /// When the last message came.
    pub(super) now: DateTime<FixedOffset>,
    /// When the bell rings, where somebody said so.
    pub(super) bell: Option<DateTime<FixedOffset>>,
    /// When and by whom the readings were taken that are typed now, where they come from
    /// paper.
    pub(super) on_paper: Option<TakenOnPaper>,
    pub(super) asked: Asked,
    pub(super) view: SessionView,
    pub(super) entry: EntryText,
    pub(super) prompt: Option<Prompt<WorkQuestion>>,
    /// What waits for a lead's PIN.
    pub(super) held: Option<HeldAnswer>,
    pub(super) refusal: Option<Message>,
    pub(super) notice: Option<Notice>,
    pub(super) timing: KeyTiming,
    /// Whether a letter was typed that means nothing.
    pub(super) has_slipped: bool,
    /// When somebody last typed here.
    typed_at: DateTime<FixedOffset>,
    pub(super) recording: Recording,
    /// Set where it is only looked at, and no station was taken for it.
    pub(super) looking: Option<LookingBack>,
    pub(super) before: BeforeAnswer,
}

impl Session {
    pub(super) fn open(snapshot: Snapshot, now: DateTime<FixedOffset>) -> Session {
        let last = snapshot.route.steps.last().map_or(0, |step| step.op);
        let op = resumed(&snapshot.context(last, None, now)).unwrap_or(last);
        let notice =
            (!snapshot.damage.is_empty()).then(|| Notice::Wrong(snapshot.damage.join(" ")));
        let asked = Asked::of(&snapshot.context(op, None, now), Freshness::Shown);
        Session {
            snapshot,
            op,
            who: None,
            now,
            bell: None,
            on_paper: None,
            asked,
            view: SessionView::MACHINE,
            entry: EntryText::empty(),
            prompt: None,
            held: None,
            refusal: None,
            notice,
            timing: KeyTiming::default(),
            has_slipped: false,
            typed_at: now,
            recording: Recording::Idle,
            looking: None,
            before: BeforeAnswer::default(),
        }
    }

    /// Lets go of the state while an answer is recorded, so that the one who keeps it needn't
    /// copy it. A snapshot follows in any case.
    pub(super) fn hand_back(&mut self) {
        self.snapshot.state = Arc::default();
    }

    /// What a task at this operation is worked out from.
    pub(in crate::tui) fn context(&self) -> WorkContext<'_> {
        self.at(self.op)
    }

    /// What a task at any operation is worked out from.
    pub(in crate::tui) fn at(&self, op: u32) -> WorkContext<'_> {
        let context = self.snapshot.context(op, self.who.as_deref(), self.now);
        WorkContext { bell: self.bell, on_paper: self.on_paper.as_ref(), ..context }
    }

    /// Whether somebody only looks back here, and nothing is recorded.
    pub(in crate::tui) fn only_looks(&self) -> bool {
        self.looking.is_some()
    }

    /// What is asked now.
    pub(in crate::tui) fn task(&self) -> &Task {
        &self.asked.task
    }

    /// What the machine screen shows of it.
    pub(in crate::tui) fn shown(&self) -> &Shown {
        self.asked.shown.get_or_init(|| Shown::of(&self.context(), &self.asked.task))
    }

    /// What is looked at.
    pub(in crate::tui) fn view(&self) -> &SessionView {
        &self.view
    }

    /// What the last answer led to.
    pub(in crate::tui) fn notice(&self) -> Option<&Notice> {
        self.notice.as_ref()
    }

    /// The operations of the route screen: the rack first, while boards
    /// can still be entered, or where they were.
    pub(in crate::tui) fn operations(&self) -> Vec<u32> {
        let Snapshot { route, state, .. } = &self.snapshot;
        let begun = state.setups.values().any(|setup| setup.begun.is_some());
        let rack = route.step(BOARDS).is_none() && (state.boards.is_begun() || !begun);
        rack.then_some(BOARDS).into_iter().chain(route.steps.iter().map(|step| step.op)).collect()
    }

    /// Takes in what time it is. What is asked changes with it where a minute or a wait is
    /// over, and where a clock was put back.
    pub(super) fn arrived(&mut self, now: DateTime<FixedOffset>) {
        self.now = now;
        if !self.asked.stands.contains(&now) {
            self.refresh();
        }
    }

    /// Works out what is asked, after the time or the batch changed.
    pub(super) fn refresh(&mut self) {
        let context = self.context();
        let mut asked = Asked::of(&context, self.asked.seen);
        asked.unread = self.asked.unread.filter(|_| asked.task == self.asked.task);
        let lines = matches!(self.view, SessionView::Ready { .. }).then(|| ready(&context));
        let parts = matches!(self.view, SessionView::Matched { .. }).then(|| matched(&context));
        self.asked = asked;
        match &mut self.view {
            SessionView::Ready { lines: held, .. } => *held = lines.unwrap_or_default(),
            SessionView::Matched { parts: held, .. } => *held = parts.unwrap_or_default(),
            _ => {}
        }
    }

    /// Whether a key comes after nobody typed for as long as the shop says: then it
    /// answers nothing, and who is here is asked anew.
    pub(super) fn is_back_after_a_break(&mut self) -> bool {
        let idle = self.now - std::mem::replace(&mut self.typed_at, self.now);
        let Some(minutes) = self.snapshot.shop.alone_minutes else { return false };
        if self.who.is_none() || idle < TimeDelta::minutes(minutes.into()) {
            return false;
        }
        self.who = None;
        (self.prompt, self.held) = (None, None);
        self.entry.clear();
        self.view = SessionView::MACHINE;
        let said = format!("Nobody typed here for {} minutes.", idle.num_minutes());
        self.notice = Some(Notice::Said(said));
        self.refresh();
        true
    }

    /// Takes in what other stations wrote.
    pub(super) fn refreshed(&mut self, snapshot: Snapshot) {
        let before = self.asked.task.clone();
        self.snapshot = snapshot;
        self.refresh();
        if self.asked.task != before {
            self.asked.seen = Freshness::ChangedElsewhere;
            self.notice = Some(Notice::Said(MOVED_ON.to_owned()));
            // It answered something else.
            self.forget_held();
        }
        self.review_again();
    }

    /// Reads the findings anew where someone looks back.
    pub(super) fn review_again(&mut self) {
        if let SessionView::Review(state) = &mut self.view {
            state.read_again(&self.snapshot);
        }
    }

    /// Whether letters belong to a text: where one is begun, or words are asked.
    pub(super) fn takes_text(&self, is_at_machine: bool) -> bool {
        self.prompt.is_some()
            || (is_at_machine && (!self.entry.is_empty() || self.asked.input == InputKind::Words))
    }

    /// Whether nothing is typed: no name, initials or number begins with `?`.
    pub(super) fn is_empty_line(&self) -> bool {
        self.prompt.as_ref().map_or(self.entry.is_empty(), |prompt| prompt.input.value().is_empty())
    }

    pub(super) fn refuse(&mut self, what: &str, help: &str) {
        self.refusal = Some(Message::error(what).help(help));
    }

    pub(super) fn ask(&mut self, question: WorkQuestion) {
        self.ask_offering(question, "");
    }

    /// Asks, and offers an answer that Enter takes.
    pub(super) fn ask_offering(&mut self, question: WorkQuestion, offered: &str) {
        self.refusal = None;
        self.held = None;
        self.prompt = Some(Prompt::new(question, offered));
    }
}
