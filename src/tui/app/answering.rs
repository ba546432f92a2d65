//! Keys and text at the machine, what they answer, and what is recorded.

use crossterm::event::{KeyCode, KeyEvent};

use super::entry::{EntryText, Prompt};
use super::session::{BeforeAnswer, Freshness, MOVED_ON, Notice, Recording, Session};
use super::view::SessionView;
use super::work_question::WorkQuestion;
use crate::journal::{Event, PieceId, PieceTally, Snapshot};
use crate::prose::{Message, visible};
use crate::tui::keys::Command;
use crate::tui::message::{Effect, Unread};
use crate::work::{
    InputKind, Remedy, SettingTask, Task, following, hand_keys, handle_input, last_answer, leave,
    redo, stood_in, void, wrong_scale,
};

impl Session {
    /// Whether Backspace has nothing to clear but what is recorded: at the rack, or
    /// where a gauge answers in words, with nothing typed yet.
    pub(super) fn is_at_an_empty_line(&self) -> bool {
        let is_work =
            matches!(self.asked.task, Task::Read { .. } | Task::Cut { .. } | Task::Feed { .. });
        self.prompt.is_none() && self.entry.is_empty() && (is_work || self.context().at_boards())
    }

    /// Whether a key counts for nothing: a gauge's second Enter, a Backspace
    /// held down, an answer to what another station changed meanwhile.
    pub(super) fn holds_back(
        &mut self,
        key: &KeyEvent,
        command: Option<Command>,
        is_at_machine: bool,
    ) -> bool {
        let at_work = is_at_machine && self.prompt.is_none();
        if command == Some(Command::Enter) && at_work {
            if self.entry.is_empty() {
                if self.timing.is_bounce(self.now) {
                    return true;
                }
            } else {
                self.timing.sent(self.now);
            }
        }
        if key.code == KeyCode::Backspace
            && self.timing.erase(self.now)
            && command == Some(Command::Undo)
        {
            self.refuse("A Backspace held down undoes nothing.", "let go, then press it again");
            return true;
        }
        if command != Some(Command::Enter) {
            self.timing.other_key();
        }
        if self.asked.seen == Freshness::ChangedElsewhere && at_work {
            self.notice = Some(Notice::Said(MOVED_ON.to_owned()));
            // What is typed may be meant for what stood here before, so the Enter after it
            // counts for nothing yet.
            let is_typed = command.is_none() && self.choice(key).is_none();
            if !is_typed {
                self.asked.seen = Freshness::Shown;
            }
            return command == Some(Command::Enter) || self.choice(key).is_some();
        }
        self.asked.seen = Freshness::Shown;
        false
    }

    /// The choice about a piece that a letter stands for, where nothing is typed.
    fn choice(&self, key: &KeyEvent) -> Option<Remedy> {
        let KeyCode::Char(letter) = key.code else { return None };
        let is_plain = self.prompt.is_none() && self.entry.is_empty() && key.modifiers.is_empty();
        let mut choices = self.asked.choices.iter().filter(|_| is_plain);
        choices.find(|choice| choice.key() == letter.to_ascii_lowercase()).copied()
    }

    /// Whether a letter decides about the piece that is asked about.
    pub(in crate::tui) fn is_choice(&self, letter: char) -> bool {
        let asks = self.view.is_machine() && self.prompt.is_none();
        asks && self.asked.choices.iter().any(|choice| choice.key() == letter)
    }

    /// A letter decides about a piece once Enter follows: a word that begins with it
    /// decides nothing.
    pub(super) fn choose(&mut self, key: &KeyEvent) -> bool {
        let Some(choice) = self.choice(key) else { return false };
        self.refusal = None;
        self.entry = EntryText::begin_with(&choice.key().to_string());
        true
    }

    /// Decides about a piece; accepting it needs initials after the letter.
    pub(super) fn remedy(&mut self, choice: Remedy) -> Vec<Effect> {
        if choice == Remedy::Accept {
            self.entry = EntryText::begin_with("a ");
            return Vec::new();
        }
        self.answer(&choice.key().to_string())
    }

    /// What a letter may not do by itself, for it may begin a word, or stand in one. At
    /// the machine it is typed, and counts once Enter follows; in a list it counts alone.
    pub(super) fn holds_back_a_letter(
        &mut self,
        key: &KeyEvent,
        command: Option<Command>,
        is_at_machine: bool,
    ) -> bool {
        let KeyCode::Char(letter) = key.code else {
            self.timing.is_in_a_word(false, self.now);
            return false;
        };
        let is_in_a_word = self.timing.is_in_a_word(true, self.now);
        match command {
            Some(Command::Undo) => self.ask_before_undo(),
            Some(Command::Redo) => self.ask_before_redo(),
            Some(Command::Aside | Command::OpenGate) if is_at_machine => {
                self.refusal = None;
                self.entry = EntryText::begin_with(&letter.to_string());
            }
            Some(Command::Aside | Command::Elsewhere | Command::Remake) if is_in_a_word => {
                let what = format!("The key {letter} counts only by itself.");
                self.refuse(&what, "wait a moment, then press it again");
            }
            _ => return false,
        }
        true
    }

    /// A letter that was typed in place of an answer, and what it asks for.
    fn typed_command(&mut self, text: &str) -> bool {
        if self.asked.input == InputKind::Words || !self.asked.choices.is_empty() {
            return false;
        }
        match text.trim().to_lowercase().as_str() {
            "s" | "a" => self.ask_to_set_aside(),
            "o" => self.ask_to_open_gate(),
            _ => return false,
        }
        self.entry.clear();
        true
    }

    /// A key that is no command: text, or nothing.
    pub(super) fn type_key(&mut self, key: KeyEvent, is_at_machine: bool) {
        self.refusal = None;
        if let Some(prompt) = &mut self.prompt {
            prompt.press(key);
        } else if is_at_machine {
            match key.code {
                KeyCode::Char(letter) if letter.is_alphabetic() && self.wants_enter_only() => {
                    self.has_slipped = true;
                    self.refuse(
                        &format!("The key {letter} does nothing here."),
                        "? lists the keys",
                    );
                }
                _ => self.entry.press(key),
            }
        }
    }

    /// Whether a letter would mean nothing: Enter is all that is asked, and no
    /// text was begun.
    fn wants_enter_only(&self) -> bool {
        self.entry.is_empty() && self.asked.input == InputKind::EnterOnly
    }

    pub(super) fn insert(&mut self, letter: char, is_at_machine: bool) {
        if let Some(prompt) = &mut self.prompt {
            prompt.insert(letter);
        } else if is_at_machine {
            self.entry.insert(letter);
        }
    }

    /// Enter at the machine: puts what was typed to what is asked. Cautions are not
    /// accepted while part of them is out of view: then it shows the next of them.
    pub(super) fn answer_typed(&mut self) -> Vec<Effect> {
        if matches!(self.asked.task, Task::Caution { .. }) {
            match (self.asked.unread, &mut self.view) {
                (Some(Unread { below: 0, .. }), _) => {}
                (Some(Unread { below, in_view, .. }), SessionView::Machine { scrolled }) => {
                    // One line stays, so that the eye finds its place.
                    *scrolled += below.min(in_view.saturating_sub(1)).max(1);
                    return Vec::new();
                }
                _ => {
                    self.refuse("Read the cautions first.", "then Enter");
                    return Vec::new();
                }
            }
        }
        let text = self.entry.input().value().to_owned();
        // The Enter at the end of a word that means nothing is no answer.
        if std::mem::take(&mut self.has_slipped) && text.is_empty() {
            self.refuse("What was typed means nothing here.", "Enter once more answers");
            return Vec::new();
        }
        if self.typed_command(&text) {
            return Vec::new();
        }
        self.answer(&text)
    }

    pub(super) fn answer(&mut self, text: &str) -> Vec<Effect> {
        if self.asked.task == Task::Finished && text.trim().is_empty() {
            self.entry.clear();
            self.next_operation();
            return Vec::new();
        }
        match handle_input(&self.context(), &self.asked.task, text) {
            Ok(events) => {
                let answered = Some(Box::new(self.asked.task.clone()));
                self.append(events, Recording::Answer(answered))
            }
            Err(refusal) => {
                self.refusal = Some(refusal);
                self.entry.refuse();
                Vec::new()
            }
        }
    }

    pub(super) fn append(&mut self, events: Vec<Event>, recording: Recording) -> Vec<Effect> {
        self.recording = recording;
        self.refusal = None;
        self.before = self.before(&events);
        vec![Effect::Append { who: self.who.clone(), events }]
    }

    /// What is compared with afterwards.
    fn before(&self, events: &[Event]) -> BeforeAnswer {
        let Snapshot { route, state, .. } = &self.snapshot;
        let all = route.steps.iter().map(|step| step.op);
        BeforeAnswer {
            remarks: state.remarks.len(),
            readings: state.readings.len(),
            counted: counted(events),
            closed: all.filter(|op| state.is_closed(*op)).collect(),
            stood_in: stood_in(state, events),
        }
    }

    /// Records a decision, or shows why it was refused.
    pub(super) fn append_or_refuse(&mut self, decided: Result<Vec<Event>, Message>) -> Vec<Effect> {
        self.record(decided, Recording::Answer(None))
    }

    fn record(
        &mut self,
        decided: Result<Vec<Event>, Message>,
        recording: Recording,
    ) -> Vec<Effect> {
        match decided {
            Ok(events) => self.append(events, recording),
            Err(refusal) => {
                self.refusal = Some(refusal);
                Vec::new()
            }
        }
    }

    /// Only now is the entry cleared: what is not on the disk stays to be seen.
    pub(super) fn recorded(&mut self, snapshot: Snapshot) -> Vec<Effect> {
        self.snapshot = snapshot;
        let before = std::mem::take(&mut self.before);
        let remarks = before.remarks;
        let was_closed = before.closed.contains(&self.op);
        self.refusal = None;
        if let SessionView::Machine { scrolled } = &mut self.view {
            *scrolled = 0;
        }
        let prompt = self.prompt.take();
        let answered = self.held.take().map_or(prompt, |held| held.behind);
        if answered.is_none() {
            self.entry.clear();
        }
        let recording = std::mem::replace(&mut self.recording, Recording::Idle);
        let mut said = None;
        let answered = match recording {
            Recording::Farewell => return vec![Effect::LeaveStation, Effect::Quit],
            Recording::Answer(answered) => answered.map(|task| *task),
            Recording::Undo(words) => {
                // What is undone is done again where it belongs.
                let reopened = |op: &u32| !self.snapshot.state.is_closed(*op);
                self.op = before.closed.iter().copied().find(reopened).unwrap_or(self.op);
                said = Some(format!("Undone: {words}. z redoes it."));
                None
            }
            Recording::Redo => {
                let redone = last_answer(&self.context()).map(|(_, words)| words);
                said = Some(format!("Done again: {}.", redone.unwrap_or_default()));
                None
            }
            Recording::Idle => None,
        };
        let is_acceptance = matches!(answered, Some(Task::Accept(_)));
        if answered == Some(Task::Who) {
            let present = self.snapshot.state.people.get(&self.snapshot.station);
            self.who = present.and_then(|present| present.first().cloned());
        }
        self.notice = match answered {
            Some(Task::Set(set)) => self.after_setting(&set),
            Some(Task::Tool { .. } | Task::Feed { .. } | Task::Cut { .. } | Task::Close { .. }) => {
                self.kept_as_a_note(remarks)
            }
            _ => said.map(Notice::Said),
        };
        if self.notice.is_none() {
            self.notice = self.noted(remarks).or_else(|| self.counted_through(&before));
        }
        if let Some(words) = self.read_twice(before.readings) {
            self.notice = Some(Notice::Wrong(words));
        }
        if !before.stood_in.is_empty() {
            self.notice = Some(Notice::Said(before.stood_in.join(" ")));
        }
        self.refresh();
        self.review_again();
        let is_closed = self.snapshot.state.is_closed(self.op) && !was_closed;
        if (is_closed || is_acceptance) && self.asked.task == Task::Finished {
            self.go_on_after_closing();
        }
        Vec::new()
    }

    /// Says that another station read the same piece in the same minute: one of the two
    /// meant another piece, or both are right.
    fn read_twice(&self, readings_before: usize) -> Option<String> {
        let Snapshot { station, state, .. } = &self.snapshot;
        let new = state.readings.iter().skip(readings_before);
        let mut own = new.filter(|reading| reading.reference.station == *station);
        let (here, there) =
            own.find_map(|here| state.read_elsewhere(here).map(|there| (here, there)))?;
        Some(format!(
            "{} was read at {} too, just now: {} there, {} here. Both are kept. Undo the one \
             that belongs to another piece.",
            state.name(&here.taken.piece),
            visible(&there.reference.station),
            visible(&there.taken.typed),
            here.taken.typed,
        ))
    }

    /// An operation that is finished gives way to the next one, and says so there.
    fn go_on_after_closing(&mut self) {
        let op = self.op;
        let Some(step) = self.snapshot.route.step(op) else { return };
        let PieceTally { done, aside, .. } = self.snapshot.state.tally(&step.part, op);
        let is_set = self.context().setup().is_some_and(|setup| !setup.shown.is_empty());
        let aside = if aside > 0 { format!(", {aside} set aside") } else { String::new() };
        let until = if is_set { " Leave the setting until the count agrees." } else { "" };
        self.next_operation();
        if self.op != op {
            let said = format!("Op {op} is finished: {done} done{aside}.{until}");
            self.notice = Some(Notice::Said(said));
        }
    }

    fn after_setting(&self, set: &SettingTask) -> Option<Notice> {
        let last = self.context().setup()?.shown.last()?;
        (!last.right).then(|| Notice::Wrong(wrong_scale(set, last.shown)))
    }

    /// Says that a note is saved: it stands at its operation, not at every screen.
    fn noted(&self, remarks_before: usize) -> Option<Notice> {
        let remarks = &self.snapshot.state.remarks;
        let last = remarks.last().filter(|_| remarks.len() > remarks_before)?;
        let named = last.piece.as_ref().map(|piece| self.snapshot.state.name(piece));
        let on = named.map_or_else(String::new, |name| format!(" on {name}"));
        (!last.is_unasked).then(|| Notice::Said(format!("Saved as a note{on}.")))
    }

    /// Says how many pieces a number counted as through: it answered what was asked of
    /// the piece after them.
    fn counted_through(&self, before: &BeforeAnswer) -> Option<Notice> {
        let is_number = self.snapshot.state.readings.len() > before.readings;
        let others = Some(before.counted).filter(|others| is_number && *others > 0)?;
        Some(Notice::Said(format!("{others} before it counted as done.")))
    }

    /// Says that a number sent while none was asked became a note.
    fn kept_as_a_note(&self, remarks_before: usize) -> Option<Notice> {
        let remarks = &self.snapshot.state.remarks;
        let last = remarks.last().filter(|_| remarks.len() > remarks_before)?;
        let typed = last.is_unasked.then_some(&last.text)?;
        Some(Notice::Said(format!("{typed} was saved as a note: no number was asked for.")))
    }

    /// Goes on to the next operation: what the machine is set up for already
    /// comes first, then the same part, then any.
    fn next_operation(&mut self) {
        match following(&self.context()) {
            Some(op) => {
                self.op = op;
                self.notice = None;
                self.refresh();
            }
            None => self.show_route(),
        }
    }

    fn ask_before_redo(&mut self) {
        match redo(&self.context()) {
            Ok(_) => self.ask(WorkQuestion::Redo),
            Err(refusal) => self.refusal = Some(refusal),
        }
    }

    /// Undoes the last answer of this station. Where it belongs to another operation,
    /// somebody has to mean it.
    pub(super) fn undo(&mut self) -> Vec<Effect> {
        match last_answer(&self.context()) {
            Some((Some(op), words)) if op != self.op => {
                self.ask(WorkQuestion::UndoAt { op, words });
                Vec::new()
            }
            _ => self.void_last(),
        }
    }

    pub(super) fn void_last(&mut self) -> Vec<Effect> {
        let words = last_answer(&self.context()).map(|(_, words)| words).unwrap_or_default();
        let voided = void(&self.context()).map(|event| vec![event]);
        self.record(voided, Recording::Undo(words))
    }

    /// Asks who comes. Of two people the other is offered.
    pub(super) fn hand_over_keys(&mut self) -> Vec<Effect> {
        let present = self.snapshot.state.people.get(&self.snapshot.station);
        let other = match present.map(Vec::as_slice) {
            Some([_, other]) => other.clone(),
            _ => String::new(),
        };
        self.refusal = None;
        self.prompt = Some(Prompt::new(WorkQuestion::Initials, &other));
        Vec::new()
    }

    /// Puts somebody first among those who are here.
    pub(super) fn hand_keys_to(&mut self, typed: &str) -> Vec<Effect> {
        match hand_keys(&self.context(), typed) {
            Ok(people) => self.append(vec![people], Recording::Answer(Some(Box::new(Task::Who)))),
            Err(refusal) => {
                self.refusal = Some(refusal);
                Vec::new()
            }
        }
    }

    /// Redoes what was undone just now.
    pub(super) fn redo(&mut self) -> Vec<Effect> {
        let restored = redo(&self.context()).map(|event| vec![event]);
        self.record(restored, Recording::Redo)
    }

    /// Leaves at once where nothing is half done; otherwise asks for a word to
    /// whoever comes next. Asking twice leaves all the same.
    pub(super) fn leave(&mut self) -> Vec<Effect> {
        if self.looking.is_some() {
            return vec![Effect::Quit];
        }
        let setup = self.context().setup();
        let half_done = setup
            .is_some_and(|setup| setup.begun.is_some() && !setup.closed && setup.left.is_none());
        let is_asked = self.prompt.as_ref().is_some_and(|p| p.question == WorkQuestion::Leave);
        if half_done && !is_asked {
            self.show_machine();
            self.ask(WorkQuestion::Leave);
            return Vec::new();
        }
        vec![Effect::LeaveStation, Effect::Quit]
    }

    /// Records how far the operation is, and then ends.
    pub(super) fn record_leaving(&mut self, note: &str) -> Vec<Effect> {
        let event = leave(&self.context(), note);
        self.append(vec![event], Recording::Farewell)
    }
}

/// How many pieces an answer counts as through, without the piece that it measures.
fn counted(events: &[Event]) -> usize {
    let measured = |piece: &PieceId| {
        events.iter().any(|event| matches!(event, Event::Reading(taken) if taken.piece == *piece))
    };
    let through = events.iter().flat_map(|event| match event {
        Event::Done { pieces, through: true, .. } => pieces.as_slice(),
        _ => &[],
    });
    through.filter(|piece| !measured(piece)).count()
}
