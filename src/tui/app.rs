//! The app's state and how messages change it. Knows no terminal, no disk and
//! no clock: time arrives in messages, and what is to be done leaves as effects.

use chrono::{DateTime, Duration, FixedOffset, NaiveTime};
use crossterm::event::{Event as TerminalEvent, KeyCode, KeyEvent};
use tui_input::backend::crossterm::EventHandler;
use tui_input::{Input, InputRequest};

use super::keys::{Command, command};
use super::message::{AppMessage, Effect, RouteRow};
use super::review_state::{ReviewRow, ReviewState};
use super::theme::Theme;
use crate::journal::{BOARDS, Event, PieceId, Snapshot};
use crate::operation::FeatureName;
use crate::plan::shared_setups;
use crate::prose::Message;
use crate::work::{
    self, BatchRow, KEPT_ASIDE, Matched, NextOperation, Remedy, SettingTask, Task, WorkContext,
    choices, handle_input, leave, matched, next_op, open_gate, ready, remake, set_aside, task,
    use_elsewhere, void, wake_at, wrong_scale,
};

/// The screens.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Screen {
    Opening,
    Machine,
    Route,
    Pieces,
    /// What can start now.
    Ready,
    /// Which pieces go together.
    Matched,
    /// What went out, and why.
    Review,
    /// The readings of one check in cut order, with their story.
    Series,
    /// What each operation added to a piece.
    Attribution,
    Help,
}

/// A text asked for beside the entry line, which it leaves alone.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Ask {
    /// How many sets a new batch makes; then its name.
    Sets {
        route: usize,
    },
    Name {
        route: usize,
        sets: u32,
    },
    Note,
    Gate,
    /// When the bell rings today.
    Bell,
    /// How it stands, before leaving in the middle.
    Leave,
    /// The lead's word on a piece away from the machine.
    Aside(PieceId),
    Elsewhere(PieceId),
    Remake(PieceId),
}

/// What the last answer led to, beside the state itself.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Notice {
    /// Something to know.
    Said(String),
    /// Something is wrong and the work must wait.
    Wrong(String),
}

/// An open batch and where someone stands in it.
#[derive(Debug)]
pub struct Here {
    pub snapshot: Snapshot,
    pub op: u32,
    pub who: Option<String>,
    /// What was due when the answer now being recorded was typed.
    asked: Option<Task>,
}

impl Here {
    /// The operations of the route screen: the rack first, as long as boards
    /// can still be told or were.
    pub fn operations(&self) -> Vec<u32> {
        let Snapshot { route, state, .. } = &self.snapshot;
        let begun = state.setups.values().any(|setup| setup.begun.is_some());
        let rack = route.step(BOARDS).is_none() && (state.boards.is_begun() || !begun);
        rack.then_some(BOARDS).into_iter().chain(route.steps.iter().map(|step| step.op)).collect()
    }
}

#[derive(Debug)]
pub struct App {
    pub theme: Theme,
    pub screen: Screen,
    /// Where help and lists go back to.
    pub before: Screen,
    pub batches: Vec<BatchRow>,
    pub routes: Vec<RouteRow>,
    pub here: Option<Here>,
    /// What looking back shows, while someone does.
    pub look: Option<ReviewState>,
    /// The line selected on the opening, route and pieces screens.
    pub selected: usize,
    /// The lines of the machine screen's text that are scrolled past.
    pub scrolled: usize,
    pub entry: Input,
    pub ask: Option<(Ask, Input)>,
    pub refusal: Option<Message>,
    /// The text on the entry line was refused: it stays to be seen and edited,
    /// and the next figure typed begins a new one.
    refused: bool,
    pub notice: Option<Notice>,
    pub now: DateTime<FixedOffset>,
    /// When the bell rings, where somebody said so.
    pub bell: Option<DateTime<FixedOffset>>,
    /// When Enter last sent something typed, so that a bouncing gauge counts once.
    entered: Option<DateTime<FixedOffset>>,
    /// When Backspace was last pressed: held down to clear a text, it must not
    /// go on into what is recorded.
    erased: Option<DateTime<FixedOffset>>,
    /// Another station's lines changed what is due since it was last shown: an
    /// Enter would answer what nobody here has read.
    unseen: bool,
    /// Events on their way to the disk.
    recording: bool,
    leaving: bool,
}

/// A decision of the lead's about a piece, from what was typed.
type Decide = fn(&WorkContext<'_>, &PieceId, &str) -> Result<Vec<Event>, Message>;

/// A Backspace within this long of the last one is the same key held down, or
/// the same text being cleared.
const HELD: Duration = Duration::milliseconds(700);

/// A second Enter within this long of the first is the gauge bouncing.
const BOUNCE: Duration = Duration::milliseconds(200);

impl App {
    pub fn new(theme: Theme, now: DateTime<FixedOffset>) -> App {
        App {
            theme,
            screen: Screen::Opening,
            before: Screen::Opening,
            batches: Vec::new(),
            routes: Vec::new(),
            here: None,
            look: None,
            selected: 0,
            scrolled: 0,
            entry: Input::default(),
            ask: None,
            refusal: None,
            refused: false,
            notice: None,
            now,
            bell: None,
            entered: None,
            erased: None,
            unseen: false,
            recording: false,
            leaving: false,
        }
    }

    /// Where someone stands, when a batch is open.
    pub fn context(&self) -> Option<WorkContext<'_>> {
        let here = self.here.as_ref()?;
        let mut context = here.snapshot.context(here.op, here.who.as_deref(), self.now);
        context.bell = self.bell;
        Some(context)
    }

    /// Whether the batch that is open is invented.
    pub fn is_invented(&self) -> bool {
        self.here.as_ref().is_some_and(|here| here.snapshot.state.invented)
    }

    pub fn task(&self) -> Option<Task> {
        self.context().map(|context| task(&context))
    }

    /// When to wake without a key: the next thing due by the clock.
    pub fn wake(&self) -> Option<DateTime<FixedOffset>> {
        self.context().and_then(|context| wake_at(&context))
    }

    /// Takes a message in; answers with what is to be done.
    pub fn update(&mut self, message: AppMessage) -> Vec<Effect> {
        match message {
            AppMessage::Key(key, now) => {
                self.now = now;
                self.key(key)
            }
            AppMessage::Pasted(text, now) => {
                self.now = now;
                self.pasted(&text)
            }
            AppMessage::Woke(now) => {
                self.now = now;
                Vec::new()
            }
            AppMessage::Resized => vec![Effect::Repaint],
            AppMessage::Listed(batches, routes) => {
                (self.batches, self.routes) = (batches, routes);
                self.selected = self.selected.min(self.lines().saturating_sub(1));
                Vec::new()
            }
            AppMessage::Opened(snapshot, now) => {
                self.now = now;
                self.opened(*snapshot);
                Vec::new()
            }
            AppMessage::Recorded(snapshot, now) => {
                // A slow disk doesn't make two Enters out of a bounce.
                (self.now, self.entered) = (now, Some(now));
                self.recorded(*snapshot)
            }
            AppMessage::Refreshed(snapshot) => {
                let seen = self.task();
                if let Some(here) = &mut self.here {
                    here.snapshot = *snapshot;
                }
                self.unseen |= self.task() != seen;
                self.look_again();
                Vec::new()
            }
            AppMessage::Failed(why) => {
                (self.recording, self.leaving) = (false, false);
                self.refusal = Some(Message::error(why));
                Vec::new()
            }
        }
    }

    fn opened(&mut self, snapshot: Snapshot) {
        let op = next_op(&snapshot.route, &snapshot.state, &snapshot.station);
        let last = snapshot.route.steps.last().map_or(0, |step| step.op);
        self.notice =
            (!snapshot.damage.is_empty()).then(|| Notice::Wrong(snapshot.damage.join(" ")));
        self.look = None;
        self.here = Some(Here { op: op.unwrap_or(last), who: None, snapshot, asked: None });
        (self.screen, self.selected) = (Screen::Machine, 0);
        (self.entry, self.ask, self.refusal) = (Input::default(), None, None);
    }

    /// Only now is the entry cleared: what is not on the disk stays to be seen.
    fn recorded(&mut self, snapshot: Snapshot) -> Vec<Effect> {
        self.recording = false;
        (self.refusal, self.refused, self.scrolled) = (None, false, 0);
        let Some(here) = &mut self.here else { return Vec::new() };
        let remarks = here.snapshot.state.remarks.len();
        here.snapshot = snapshot;
        // Nothing is recorded from the screens that look back.
        self.look = None;
        let asked = here.asked.take();
        if self.ask.take().is_none() {
            self.entry.reset();
        }
        self.notice = None;
        match asked {
            Some(Task::Who) => {
                let present = here.snapshot.state.people.get(&here.snapshot.station);
                here.who = present.and_then(|present| present.first().cloned());
            }
            Some(Task::Set(set)) => self.notice = self.after_setting(&set),
            Some(
                Task::Tool { .. } | Task::Feed { .. } | Task::Tick { .. } | Task::Close { .. },
            ) => {
                let aside = here.snapshot.state.remarks.last();
                let aside = aside.and_then(|remark| remark.text.strip_prefix(KEPT_ASIDE));
                let fresh = here.snapshot.state.remarks.len() > remarks;
                self.notice = aside.filter(|_| fresh).map(|typed| {
                    Notice::Said(format!("{typed} is kept as a note: no number was asked."))
                });
            }
            _ => {}
        }
        if self.leaving {
            return vec![Effect::Quit];
        }
        Vec::new()
    }

    fn after_setting(&self, set: &SettingTask) -> Option<Notice> {
        let setup = self.context()?.setup()?;
        let last = setup.shown.last()?;
        (!last.right).then(|| Notice::Wrong(wrong_scale(set, last.shown)))
    }

    /// Whether what is due is answered in words, so that letters are text.
    pub fn takes_words(&self) -> bool {
        self.screen == Screen::Machine
            && match self.task() {
                Some(Task::Who | Task::Accept(_)) => true,
                Some(Task::Boards(task)) => task.takes_words(),
                Some(Task::Finished) => self.context().is_some_and(|context| context.at_boards()),
                _ => false,
            }
    }

    /// Whether a letter would mean nothing: Enter is all that is due, and no
    /// text was begun.
    fn wants_enter_only(&self) -> bool {
        let begun = !self.entry.value().is_empty();
        let plain = self.screen == Screen::Machine && self.ask.is_none() && !begun;
        let plain = plain && !self.takes_words();
        plain
            && matches!(
                self.task(),
                Some(
                    Task::Caution { .. }
                        | Task::Tool { .. }
                        | Task::Feed { .. }
                        | Task::Close { .. }
                        | Task::Blocked { .. }
                        | Task::Finished
                )
            )
    }

    /// Whether nothing is typed yet of the words that are due at the rack: then
    /// Backspace has nothing to clear but what is recorded.
    fn at_an_empty_line(&self) -> bool {
        let empty = self.ask.is_none() && self.entry.value().is_empty();
        empty
            && self.screen == Screen::Machine
            && self.context().is_some_and(|context| context.at_boards())
    }

    /// Whether the entry line holds a text that was refused.
    pub fn is_refused(&self) -> bool {
        self.refused && self.screen == Screen::Machine
    }

    /// Whether letters belong to a text just now.
    fn typing(&self) -> bool {
        let begun = self.screen == Screen::Machine && !self.entry.value().is_empty();
        self.ask.is_some() || begun || self.takes_words()
    }

    fn key(&mut self, key: KeyEvent) -> Vec<Effect> {
        if !key.is_press() || self.recording {
            return Vec::new();
        }
        let typing = self.typing() && !(key.code == KeyCode::Backspace && self.at_an_empty_line());
        let command = command(self.screen, &key, typing);
        if command == Some(Command::Enter) && self.bounced() {
            return Vec::new();
        }
        if key.code == KeyCode::Backspace {
            let held = self.erased.is_some_and(|at| self.now - at < HELD);
            self.erased = Some(self.now);
            if held && command == Some(Command::TakeBack) {
                return Vec::new();
            }
        }
        if command != Some(Command::Enter) {
            // With another key between them, the second Enter is meant.
            self.entered = None;
        }
        let at_work = self.screen == Screen::Machine && self.ask.is_none();
        if std::mem::take(&mut self.unseen) && at_work {
            self.notice =
                Some(Notice::Said("Another station went on: now this is due.".to_owned()));
            if command == Some(Command::Enter) {
                return Vec::new();
            }
        } else if let Some(effects) = self.choose(&key) {
            return effects;
        }
        match command {
            Some(command) => self.command(command),
            None => {
                self.type_key(key);
                Vec::new()
            }
        }
    }

    /// Whether this Enter is a gauge's second one: right after a reading, with
    /// nothing typed in between.
    fn bounced(&mut self) -> bool {
        let at_work = self.screen == Screen::Machine && self.ask.is_none();
        if !at_work {
            return false;
        }
        if self.entry.value().is_empty() {
            return self.entered.is_some_and(|at| self.now - at < BOUNCE);
        }
        self.entered = Some(self.now);
        false
    }

    /// One letter decides about a piece; accepting wants initials after it.
    fn choose(&mut self, key: &KeyEvent) -> Option<Vec<Effect>> {
        let KeyCode::Char(letter) = key.code else { return None };
        let context = self.context()?;
        let task = task(&context);
        let plain = self.screen == Screen::Machine && self.ask.is_none();
        if !plain || !self.entry.value().is_empty() || !key.modifiers.is_empty() {
            return None;
        }
        let choice = choices(&context, &task)
            .into_iter()
            .find(|choice| choice.key() == letter.to_ascii_lowercase())?;
        if choice == Remedy::Accept {
            self.entry = Input::new("a ".to_owned());
            return Some(Vec::new());
        }
        Some(self.answer(&choice.key().to_string()))
    }

    fn type_key(&mut self, key: KeyEvent) {
        self.refusal = None;
        if let KeyCode::Char(letter) = key.code
            && letter.is_alphabetic()
            && self.wants_enter_only()
        {
            self.refuse(&format!("No key here is called {letter}."), "? lists the keys");
            return;
        }
        let fresh = matches!(key.code, KeyCode::Char(_));
        if std::mem::take(&mut self.refused) && fresh && self.ask.is_none() {
            self.entry.reset();
        }
        let event = TerminalEvent::Key(key);
        match &mut self.ask {
            Some((_, input)) => input.handle_event(&event),
            None if self.screen == Screen::Machine => self.entry.handle_event(&event),
            None => None,
        };
    }

    fn pasted(&mut self, text: &str) -> Vec<Effect> {
        let mut effects = Vec::new();
        for letter in text.chars().take(500) {
            // One paste answers one thing.
            if self.recording {
                break;
            }
            if matches!(letter, '\n' | '\r' | '\t') {
                let key = KeyEvent::new(KeyCode::Enter, crossterm::event::KeyModifiers::NONE);
                effects.extend(self.key(key));
            } else if let Some((_, input)) = &mut self.ask {
                input.handle(InputRequest::InsertChar(letter));
            } else if self.screen == Screen::Machine {
                if std::mem::take(&mut self.refused) {
                    self.entry.reset();
                }
                self.entry.handle(InputRequest::InsertChar(letter));
            }
        }
        effects
    }

    fn command(&mut self, command: Command) -> Vec<Effect> {
        match command {
            Command::Enter => self.enter(),
            Command::Back => self.back(),
            Command::Up => self.select(self.line().saturating_sub(1)),
            Command::Down => self.select(self.line() + 1),
            Command::Machine => self.show(Screen::Machine),
            Command::Route => self.show(Screen::Route),
            Command::Pieces => self.show(Screen::Pieces),
            Command::Help => self.show(Screen::Help),
            Command::Ready => self.show(Screen::Ready),
            Command::Matched => self.show(Screen::Matched),
            Command::LookBack => self.look_back(),
            Command::Before | Command::After => {
                if let Some(look) = &mut self.look {
                    look.step(command == Command::After);
                }
                Vec::new()
            }
            Command::Bell => self.ask(Ask::Bell, ""),
            Command::Aside => self.ask_about_piece(Ask::Aside),
            Command::Elsewhere => self.ask_about_piece(Ask::Elsewhere),
            Command::Remake => self.ask_about_piece(Ask::Remake),
            Command::TakeBack => self.void(),
            Command::Note => self.ask(Ask::Note, ""),
            Command::OpenGate => match self.task() {
                Some(Task::Blocked { openable: true, .. }) => self.ask(Ask::Gate, ""),
                Some(Task::Blocked { .. }) => {
                    self.refuse("A machine's own limit can't be opened by anybody.", "see the lead")
                }
                _ => self.refuse("Nothing is shut here.", "Enter goes on"),
            },
            Command::Leave => self.leave(),
            Command::Light => {
                self.theme.colour = !self.theme.colour;
                Vec::new()
            }
            Command::Repaint => vec![Effect::Repaint],
            Command::Suspend => vec![Effect::Suspend],
        }
    }

    fn refuse(&mut self, what: &str, help: &str) -> Vec<Effect> {
        self.refusal = Some(Message::error(what).help(help));
        Vec::new()
    }

    fn ask(&mut self, ask: Ask, start: &str) -> Vec<Effect> {
        self.refusal = None;
        self.ask = Some((ask, Input::new(start.to_owned())));
        Vec::new()
    }

    fn ask_about_piece(&mut self, ask: fn(PieceId) -> Ask) -> Vec<Effect> {
        let here = self.here.as_ref();
        let piece = here.and_then(|here| here.snapshot.state.pieces.get(self.selected));
        match piece.map(|piece| piece.id.clone()) {
            Some(piece) => self.ask(ask(piece), ""),
            None => Vec::new(),
        }
    }

    fn show(&mut self, screen: Screen) -> Vec<Effect> {
        if self.here.is_none() && screen != Screen::Help {
            return Vec::new();
        }
        if self.screen != Screen::Help {
            self.before = self.screen;
        }
        if !matches!(screen, Screen::Help | Screen::Review) {
            self.look = None;
        }
        self.screen = screen;
        self.scrolled = 0;
        self.selected = match screen {
            // Whoever only wanted to know a key comes back to the same line.
            Screen::Help => self.selected,
            Screen::Route => self.line_of_op(),
            Screen::Pieces => self.line_of_piece(),
            _ => 0,
        };
        Vec::new()
    }

    /// Reads the journal as it stands and shows what went out. What is found
    /// is kept until the journal changes or the work goes on.
    fn look_back(&mut self) -> Vec<Effect> {
        if self.look.is_none() {
            self.look = self.here.as_ref().map(|here| ReviewState::back(&here.snapshot));
        }
        self.show(Screen::Review)
    }

    /// The way back of a piece, from the screen it was chosen on.
    fn way_back(&mut self, piece: PieceId, first: Option<(u32, FeatureName)>) -> Vec<Effect> {
        let Some(here) = &self.here else { return Vec::new() };
        let look = self.look.get_or_insert_with(|| ReviewState::back(&here.snapshot));
        look.open_piece(&here.snapshot, piece, first, self.screen);
        (self.screen, self.scrolled) = (Screen::Attribution, 0);
        Vec::new()
    }

    fn open_row(&mut self) -> Vec<Effect> {
        let Some(look) = &mut self.look else { return Vec::new() };
        let Some(row) = look.rows.get(look.row).copied() else { return Vec::new() };
        let check = match row {
            ReviewRow::Out(_) | ReviewRow::Wood(_) => None,
            ReviewRow::Together(n) => {
                look.findings.out.get(n).map(|out| (out.op, out.feature.clone()))
            }
            ReviewRow::Gauge(n) => {
                let op = look.findings.gauges.get(n).and_then(|moved| moved.ops.first().copied());
                let found = look.findings.checks.iter().find(|held| Some(held.series.op) == op);
                found.map(|held| (held.series.op, held.series.feature.clone()))
            }
            ReviewRow::Day(n) => {
                let again = look.findings.moved_repeats().nth(n);
                again.map(|again| (again.op, again.feature.clone()))
            }
            ReviewRow::Check(n) => look
                .findings
                .checks
                .get(n)
                .map(|held| (held.series.op, held.series.feature.clone())),
        };
        if let Some((op, feature)) = check
            && look.open_check(op, &feature)
        {
            return self.series();
        }
        // A piece alone, or a setup piece, which is in no series.
        let (ReviewRow::Out(n) | ReviewRow::Together(n)) = row else { return Vec::new() };
        let out = look.findings.out.get(n);
        match out.map(|out| (out.piece.clone(), (out.op, out.feature.clone()))) {
            Some((piece, first)) => self.way_back(piece, Some(first)),
            None => Vec::new(),
        }
    }

    fn series(&mut self) -> Vec<Effect> {
        (self.screen, self.scrolled) = (Screen::Series, 0);
        Vec::new()
    }

    /// Looks again when the journal changed, and stays at what was chosen.
    fn look_again(&mut self) {
        if let (Some(look), Some(here)) = (self.look.take(), &self.here) {
            self.look = Some(look.again(&here.snapshot));
        }
    }

    fn line_of_op(&self) -> usize {
        let Some(here) = &self.here else { return 0 };
        here.operations().iter().position(|op| *op == here.op).unwrap_or(0)
    }

    fn line_of_piece(&self) -> usize {
        let piece = match self.task() {
            Some(Task::Read { piece, .. } | Task::Tick { piece } | Task::Decide { piece, .. }) => {
                piece
            }
            _ => return 0,
        };
        let Some(here) = &self.here else { return 0 };
        here.snapshot.state.pieces.iter().position(|held| held.id == piece).unwrap_or(0)
    }

    /// The line a list or a text is at.
    fn line(&self) -> usize {
        match self.screen {
            Screen::Machine
            | Screen::Matched
            | Screen::Series
            | Screen::Attribution
            | Screen::Help => self.scrolled,
            Screen::Review => self.look.as_ref().map_or(0, |look| look.row),
            _ => self.selected,
        }
    }

    /// Which pieces go together, for their screen.
    pub fn matched(&self) -> Vec<Matched> {
        self.context().map(|context| matched(&context)).unwrap_or_default()
    }

    /// What can start now, for the ready screen.
    pub fn ready_lines(&self) -> Vec<NextOperation> {
        self.context().map(|context| ready(&context)).unwrap_or_default()
    }

    fn lines(&self) -> usize {
        match (self.screen, &self.here) {
            (Screen::Opening, _) => self.batches.len() + self.routes.len(),
            (Screen::Route, Some(here)) => here.operations().len(),
            (Screen::Pieces, Some(here)) => here.snapshot.state.pieces.len(),
            (Screen::Ready, Some(_)) => self.ready_lines().len(),
            _ => 0,
        }
    }

    fn select(&mut self, line: usize) -> Vec<Effect> {
        let is_text = matches!(
            self.screen,
            Screen::Machine | Screen::Matched | Screen::Series | Screen::Attribution | Screen::Help
        );
        if is_text {
            self.scrolled = line;
            return Vec::new();
        }
        if let (Screen::Review, Some(look)) = (self.screen, &mut self.look) {
            look.row = line.min(look.rows.len().saturating_sub(1));
            return Vec::new();
        }
        self.selected = line.min(self.lines().saturating_sub(1));
        Vec::new()
    }

    fn back(&mut self) -> Vec<Effect> {
        self.refusal = None;
        if self.ask.take().is_some() {
            return Vec::new();
        }
        match self.screen {
            Screen::Help => self.screen = self.before,
            Screen::Route | Screen::Pieces | Screen::Ready | Screen::Matched | Screen::Review => {
                (self.screen, self.look) = (Screen::Machine, None);
            }
            Screen::Series => (self.screen, self.scrolled) = (Screen::Review, 0),
            Screen::Attribution => {
                let from = self.look.as_ref().and_then(|look| look.piece.as_ref());
                self.screen = from.map_or(Screen::Machine, |piece| piece.from);
                self.scrolled = 0;
                if self.screen == Screen::Pieces {
                    self.look = None;
                }
            }
            // What was refused is recorded nowhere and only stands in the way
            // of a plain Enter.
            Screen::Machine if std::mem::take(&mut self.refused) => self.entry.reset(),
            Screen::Machine | Screen::Opening => {}
        }
        Vec::new()
    }

    fn enter(&mut self) -> Vec<Effect> {
        if let Some((ask, input)) = self.ask.clone() {
            return self.asked(ask, input.value());
        }
        match self.screen {
            Screen::Help => self.back(),
            Screen::Opening => self.open(),
            Screen::Route => {
                let ops = self.here.as_ref().map(Here::operations).unwrap_or_default();
                self.go_to_op(ops.get(self.selected).copied())
            }
            Screen::Ready => {
                let op = self.ready_lines().get(self.selected).map(|line| line.op);
                self.go_to_op(op)
            }
            Screen::Pieces => {
                let here = self.here.as_ref();
                let piece = here.and_then(|here| here.snapshot.state.pieces.get(self.selected));
                match piece.map(|piece| piece.id.clone()) {
                    Some(piece) => self.way_back(piece, None),
                    None => Vec::new(),
                }
            }
            Screen::Review => self.open_row(),
            Screen::Series => match self.look.as_ref().and_then(ReviewState::chosen) {
                Some((piece, first)) => self.way_back(piece, Some(first)),
                None => Vec::new(),
            },
            Screen::Attribution => self.back(),
            Screen::Matched => self.show(Screen::Machine),
            Screen::Machine => {
                let text = self.entry.value().to_owned();
                self.answer(&text)
            }
        }
    }

    fn open(&mut self) -> Vec<Effect> {
        if let Some(batch) = self.batches.get(self.selected) {
            return vec![Effect::Open { name: batch.name.clone() }];
        }
        let route = self.selected - self.batches.len();
        match self.routes.get(route).map(|row| row.sets.to_string()) {
            Some(sets) => self.ask(Ask::Sets { route }, &sets),
            None => Vec::new(),
        }
    }

    fn go_to_op(&mut self, op: Option<u32>) -> Vec<Effect> {
        if let (Some(here), Some(op)) = (&mut self.here, op) {
            here.op = op;
            self.notice = None;
            self.refusal = None;
        }
        self.show(Screen::Machine)
    }

    fn asked(&mut self, ask: Ask, text: &str) -> Vec<Effect> {
        let text = text.trim();
        match ask {
            Ask::Sets { route } => match text.parse() {
                Ok(sets @ 1..=1000) => {
                    let name = self.routes.get(route).map(|row| row.suggested.clone());
                    self.ask(Ask::Name { route, sets }, &name.unwrap_or_default())
                }
                _ => self.refuse("Sets are a whole number, 1 to 1000.", "such as 6, then Enter"),
            },
            Ask::Name { route, sets } => {
                if text.is_empty() {
                    return self
                        .refuse("The batch needs a name.", "such as spring stools, then Enter");
                }
                vec![Effect::Start { route, name: text.to_owned(), sets }]
            }
            Ask::Bell if text.is_empty() => {
                self.bell = None;
                self.back()
            }
            Ask::Bell => {
                let time = NaiveTime::parse_from_str(text, "%H:%M").ok();
                let at = time.and_then(|time| self.now.with_time(time).single());
                match at.filter(|at| *at > self.now) {
                    Some(at) => {
                        self.bell = Some(at);
                        self.back()
                    }
                    None => self.refuse("A time still to come today.", "such as 11:40, then Enter"),
                }
            }
            Ask::Note if text.is_empty() => self.back(),
            Ask::Note => {
                let op = self.here.as_ref().map(|here| here.op);
                self.append(vec![Event::Note { op, text: text.to_owned() }], None)
            }
            Ask::Gate => {
                let (Some(context), Some(task)) = (self.context(), self.task()) else {
                    return Vec::new();
                };
                match open_gate(&context, &task, text) {
                    Ok(events) => self.append(events, None),
                    Err(refusal) => {
                        self.refusal = Some(refusal);
                        Vec::new()
                    }
                }
            }
            Ask::Aside(piece) => self.decide(&piece, text, set_aside),
            Ask::Elsewhere(piece) => self.decide(&piece, text, use_elsewhere),
            Ask::Remake(piece) => self.decide(&piece, text, remake),
            Ask::Leave => {
                let Some(context) = self.context() else { return vec![Effect::Quit] };
                let event = leave(&context, text);
                self.leaving = true;
                self.append(vec![event], None)
            }
        }
    }

    fn decide(&mut self, piece: &PieceId, text: &str, decision: Decide) -> Vec<Effect> {
        let Some(context) = self.context() else { return Vec::new() };
        match decision(&context, piece, text) {
            Ok(events) => self.append(events, None),
            Err(refusal) => {
                self.refusal = Some(refusal);
                Vec::new()
            }
        }
    }

    /// Puts what was typed to what is due.
    fn answer(&mut self, text: &str) -> Vec<Effect> {
        let Some(task) = self.task() else { return Vec::new() };
        if task == Task::Finished && text.trim().is_empty() {
            self.entry.reset();
            return self.next_operation();
        }
        let Some(context) = self.context() else { return Vec::new() };
        match handle_input(&context, &task, text) {
            Ok(events) => self.append(events, Some(task)),
            Err(refusal) => {
                self.refusal = Some(refusal);
                self.refused = true;
                Vec::new()
            }
        }
    }

    fn append(&mut self, events: Vec<Event>, asked: Option<Task>) -> Vec<Effect> {
        let Some(here) = &mut self.here else { return Vec::new() };
        here.asked = asked;
        self.recording = true;
        self.refusal = None;
        vec![Effect::Append { who: here.who.clone(), events }]
    }

    fn next_operation(&mut self) -> Vec<Effect> {
        let Some(here) = &mut self.here else { return Vec::new() };
        let (route, state) = (&here.snapshot.route, &here.snapshot.state);
        let open = |op: u32| !work::is_finished(route, state, op);
        let own = route.step(here.op).map(|step| step.part.clone());
        let later = route.steps.iter().filter(|step| step.op > here.op && open(step.op));
        // What the machine already stands at is walked first.
        let shared = shared_setups(&here.snapshot.plan);
        let group = shared.iter().find(|setup| setup.operations.contains(&here.op));
        let ready = |op: u32| {
            let context = here.snapshot.context(op, here.who.as_deref(), self.now);
            !matches!(task(&context), Task::Blocked { .. })
        };
        let together = group
            .into_iter()
            .flat_map(|setup| &setup.operations)
            .find(|op| open(**op) && ready(**op))
            .and_then(|op| route.step(*op));
        let same = together.or_else(|| later.clone().find(|step| Some(&step.part) == own.as_ref()));
        let any = route.steps.iter().find(|step| open(step.op));
        match same.or(any).map(|step| step.op) {
            Some(op) => {
                here.op = op;
                self.notice = None;
                Vec::new()
            }
            None => self.show(Screen::Route),
        }
    }

    fn void(&mut self) -> Vec<Effect> {
        let Some(context) = self.context() else { return Vec::new() };
        match void(&context) {
            Ok(event) => self.append(vec![event], None),
            Err(refusal) => {
                self.refusal = Some(refusal);
                Vec::new()
            }
        }
    }

    /// Leaves at once where nothing is half done; otherwise asks for a word
    /// to whoever comes next. Asking twice leaves all the same.
    fn leave(&mut self) -> Vec<Effect> {
        let half_done = self.context().is_some_and(|context| {
            let begun = context.setup().is_some_and(|setup| setup.begun.is_some() && !setup.closed);
            begun && context.setup().is_some_and(|setup| setup.left.is_none())
        });
        if half_done && !matches!(self.ask, Some((Ask::Leave, _))) {
            self.screen = Screen::Machine;
            return self.ask(Ask::Leave, "");
        }
        vec![Effect::Quit]
    }
}
