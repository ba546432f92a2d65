//! The text on the entry line, and a question that takes its place.

use crossterm::event::{Event as TerminalEvent, KeyCode, KeyEvent};
use tui_input::backend::crossterm::EventHandler;
use tui_input::{Input, InputRequest};

/// The text on the entry line.
#[derive(Debug)]
pub(super) enum EntryText {
    /// Being typed, or empty.
    Open(Input),
    /// Refused: it stays to be seen and edited, and the next character typed
    /// begins a new text.
    Refused(Input),
}

impl EntryText {
    pub(super) fn empty() -> EntryText {
        EntryText::Open(Input::default())
    }

    pub(super) fn begin_with(text: &str) -> EntryText {
        EntryText::Open(Input::new(text.to_owned()))
    }

    pub(super) fn input(&self) -> &Input {
        match self {
            EntryText::Open(input) | EntryText::Refused(input) => input,
        }
    }

    pub(super) fn is_empty(&self) -> bool {
        self.input().value().is_empty()
    }

    pub(super) fn refuse(&mut self) {
        *self = EntryText::Refused(self.input().clone());
    }

    pub(super) fn clear(&mut self) {
        *self = EntryText::empty();
    }

    /// The text to edit: a new one where a character follows a refusal.
    fn edited(&mut self, is_character: bool) -> &mut Input {
        if let EntryText::Refused(input) = self {
            let kept = if is_character { Input::default() } else { input.clone() };
            *self = EntryText::Open(kept);
        }
        let (EntryText::Open(input) | EntryText::Refused(input)) = self;
        input
    }

    pub(super) fn press(&mut self, key: KeyEvent) {
        let is_character = matches!(key.code, KeyCode::Char(_));
        self.edited(is_character).handle_event(&TerminalEvent::Key(key));
    }

    pub(super) fn insert(&mut self, letter: char) {
        self.edited(true).handle(InputRequest::InsertChar(letter));
    }
}

/// A question asked in place of the entry line, which it leaves as it is.
#[derive(Debug)]
pub(super) struct Prompt<Q> {
    pub(super) question: Q,
    pub(super) input: Input,
    /// Whether the text is the one that was offered: the first character typed
    /// begins a new one.
    is_offered: bool,
}

impl<Q> Prompt<Q> {
    pub(super) fn new(question: Q, start: &str) -> Prompt<Q> {
        Prompt { question, input: Input::new(start.to_owned()), is_offered: !start.is_empty() }
    }

    pub(super) fn press(&mut self, key: KeyEvent) {
        self.begin(matches!(key.code, KeyCode::Char(_)));
        self.input.handle_event(&TerminalEvent::Key(key));
    }

    pub(super) fn insert(&mut self, letter: char) {
        self.begin(true);
        self.input.handle(InputRequest::InsertChar(letter));
    }

    /// What is shown of the text: as many stars as letters where it is a secret.
    pub(super) fn shown(&self, is_secret: bool) -> Input {
        if !is_secret {
            return self.input.clone();
        }
        let stars = "*".repeat(self.input.value().chars().count());
        Input::new(stars).with_cursor(self.input.cursor())
    }

    /// A character in place of what was offered; any other key edits it.
    fn begin(&mut self, is_character: bool) {
        if std::mem::take(&mut self.is_offered) && is_character {
            self.input.reset();
        }
    }

    /// Clears what is typed; false where nothing was.
    pub(super) fn clear(&mut self) -> bool {
        let is_typed = !self.is_offered && !self.input.value().is_empty();
        self.input.reset();
        is_typed
    }
}
