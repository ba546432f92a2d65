//! Whole lines and commands named in words, where lines are read in place of
//! keys. An answer means what it means when it is typed key by key.

use super::commands::session_command;
use super::entry::EntryText;
use super::opening::OpeningScreen;
use super::session::{Notice, Session};
use super::view::SessionView;
use super::work_question::WorkQuestion;
use super::{App, Stage, route_file};
use crate::prose::quoted;
use crate::tui::keys::Command;
use crate::tui::message::Effect;
use crate::work::{InputKind, NextNumber, Task, last_answer};

impl App {
    /// Answers the question that is asked, or does the task, with a whole line.
    pub(super) fn line(&mut self, text: &str) -> Vec<Effect> {
        if self.is_recording() {
            return Vec::new();
        }
        if let Ok(code) = text.parse() {
            return self.scanned(code);
        }
        match &mut self.stage {
            Stage::Opening(opening) => opening.line(text),
            Stage::Shop(shop) => shop.line(text),
            Stage::Session(session) => session.line(text),
        }
    }

    /// Does what a command says. What followed it answers what the command asks.
    pub(super) fn named(&mut self, command: Command, argument: &str) -> Vec<Effect> {
        if self.is_recording() {
            return Vec::new();
        }
        if let Stage::Session(session) = &mut self.stage {
            session.refusal = None;
            match command {
                Command::Undo => session.ask_before_undo(),
                Command::Switch if !argument.is_empty() => return session.hand_keys_to(argument),
                Command::Leave
                | Command::Enter
                | Command::Back
                | Command::Help
                | Command::Print => {
                    return self.command(command);
                }
                command => {
                    let effects = session_command(session, command);
                    if !effects.is_empty() {
                        return effects;
                    }
                }
            }
            let answers = session.prompt.is_some() && !argument.is_empty();
            return if answers { session.line(argument) } else { Vec::new() };
        }
        self.command(command)
    }

    /// Chooses a line of the list in sight.
    pub(super) fn choose_line(&mut self, line: usize) {
        match &mut self.stage {
            Stage::Opening(opening) => opening.choose(line),
            Stage::Shop(shop) => shop.choose(line),
            Stage::Session(session) => match &mut session.view {
                SessionView::Route { selected }
                | SessionView::Pieces { selected }
                | SessionView::Makers { selected }
                | SessionView::Ready { selected, .. } => *selected = line,
                SessionView::Review(state) => state.choose(line),
                SessionView::Machine { .. } | SessionView::Matched { .. } => {}
            },
        }
    }
}

impl OpeningScreen {
    /// Answers what is asked: an empty line takes what is offered.
    fn line(&mut self, text: &str) -> Vec<Effect> {
        self.refusal = None;
        let Some(prompt) = &self.prompt else {
            let path = route_file(text);
            return path.map(|path| Effect::ReadRoute { path }).into_iter().collect();
        };
        let question = prompt.question.clone();
        let offered = prompt.input.value().to_owned();
        let text = if text.trim().is_empty() { offered } else { text.to_owned() };
        self.answer(question, text.trim())
    }
}

impl Session {
    fn line(&mut self, text: &str) -> Vec<Effect> {
        self.refusal = None;
        if let Some(prompt) = &self.prompt {
            let question = prompt.question.clone();
            if matches!(question, WorkQuestion::UndoAt { .. }) && !text.eq_ignore_ascii_case("y") {
                self.forget_prompt();
                self.notice = Some(Notice::Said("Nothing was undone.".to_owned()));
                return Vec::new();
            }
            return self.answer_question(question, text.trim());
        }
        if !self.view.is_machine() {
            return Vec::new();
        }
        if text.starts_with(char::is_alphabetic) && self.takes_no_words() {
            self.refuse(&format!("{} means nothing here.", quoted(text)), "? lists the words");
            return Vec::new();
        }
        self.entry = EntryText::begin_with(text);
        self.answer_typed()
    }

    /// Whether a word can only be a slip: a number sent while none is asked becomes
    /// a note, and a mistyped command must not.
    fn takes_no_words(&self) -> bool {
        match &self.asked.task {
            Task::Cut { then, .. } | Task::Feed { then, .. } => {
                !matches!(then, Some(NextNumber::Read { .. }))
            }
            _ => self.asked.input == InputKind::EnterOnly,
        }
    }

    /// Says what would be undone, wherever it was answered: a word is sooner
    /// mistyped than a key is pressed.
    pub(super) fn ask_before_undo(&mut self) {
        match last_answer(&self.context()) {
            Some((op, words)) => {
                let op = op.unwrap_or(self.op);
                self.ask(WorkQuestion::UndoAt { op, words });
            }
            None => {
                self.void_last();
            }
        }
    }
}
