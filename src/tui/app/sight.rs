//! What is in sight: which screen, what is chosen, typed and asked there. It changes
//! nothing.

use tui_input::Input;

use super::{App, ReviewState, Session, SessionView, Stage};
use crate::prose::Message;
use crate::tui::exchanging::ExchangeWords;
use crate::tui::menu::{MenuLine, menu};
use crate::tui::screen::Screen;
use crate::work::InputKind;

/// Said once, where people ask what a screen shows.
const LOOKS_EACH_SECOND: &str =
    "This folder gives no word of changes, so benchway looks once a second.";

impl App {
    /// The batch that is open.
    pub fn session(&self) -> Option<&Session> {
        match &self.stage {
            Stage::Opening(_) | Stage::Shop(_) => None,
            Stage::Session(session) => Some(session),
        }
    }

    pub(in crate::tui) fn stage(&self) -> &Stage {
        &self.stage
    }

    /// What is said of a folder that gives no word of changes.
    pub(in crate::tui) fn looks_each_second(&self) -> Option<&'static str> {
        self.is_looking.then_some(LOOKS_EACH_SECOND)
    }

    /// What the exchange with other terminals says; nothing while all is well.
    pub(in crate::tui) fn exchange(&self) -> Option<&ExchangeWords> {
        self.exchange.as_ref()
    }

    /// The lines of help that are scrolled past, where help is shown.
    pub(in crate::tui) fn help(&self) -> Option<usize> {
        self.help
    }

    /// What fills the window.
    pub fn screen(&self) -> Screen {
        match (self.help, self.menu) {
            (Some(_), _) => Screen::Help,
            (None, Some(_)) => Screen::Menu,
            (None, None) => self.beneath(),
        }
    }

    /// The chosen line of the menu, where it is shown.
    pub(in crate::tui) fn menu(&self) -> Option<usize> {
        self.menu
    }

    /// Everything that can be done on the screen beneath.
    pub(in crate::tui) fn menu_lines(&self) -> Vec<MenuLine> {
        let asked =
            self.session().map(|session| (&session.asked.task, session.asked.choices.as_slice()));
        menu(self.beneath(), asked)
    }

    /// The screen that help or the menu lies over.
    pub(in crate::tui) fn beneath(&self) -> Screen {
        match &self.stage {
            Stage::Opening(opening) => opening.screen(),
            Stage::Shop(_) => Screen::Shop,
            Stage::Session(session) => session.view.screen(),
        }
    }

    /// The chosen line of a list; none where a text is shown.
    pub fn selected(&self) -> Option<usize> {
        match &self.stage {
            Stage::Opening(opening) => Some(opening.chosen_line()),
            Stage::Shop(shop) => Some(shop.selected()),
            Stage::Session(session) => match &session.view {
                SessionView::Route { selected }
                | SessionView::Pieces { selected }
                | SessionView::Makers { selected }
                | SessionView::Ready { selected, .. } => Some(*selected),
                SessionView::Review(state) => Some(state.row),
                SessionView::Machine { .. } | SessionView::Matched { .. } => None,
            },
        }
    }

    /// What is typed on the entry line.
    pub fn typed(&self) -> &str {
        match &self.stage {
            Stage::Opening(opening) => opening.filter.value(),
            Stage::Shop(_) => "",
            Stage::Session(session) => session.entry.input().value(),
        }
    }

    /// How many characters of it stand before the cursor.
    pub(in crate::tui) fn cursor(&self) -> usize {
        match &self.stage {
            Stage::Opening(opening) => opening.filter.cursor(),
            Stage::Shop(_) => 0,
            Stage::Session(session) => session.entry.input().cursor(),
        }
    }

    /// What looking back found, while someone looks back.
    pub fn review(&self) -> Option<&ReviewState> {
        match &self.session()?.view {
            SessionView::Review(state) => Some(state),
            _ => None,
        }
    }

    /// The question that takes the entry line's place, and what is typed there.
    pub(in crate::tui) fn prompt(&self) -> Option<(String, Input)> {
        match &self.stage {
            Stage::Opening(opening) => opening.prompt_words(),
            Stage::Shop(shop) => shop.prompt_words(),
            Stage::Session(session) => {
                let prompt = session.prompt.as_ref()?;
                Some((prompt.question.words(), prompt.shown(session.asks_for_a_pin())))
            }
        }
    }

    /// Whether only y is an answer to the question that is asked.
    pub(in crate::tui) fn wants_a_yes(&self) -> bool {
        let prompt = self.session().and_then(|session| session.prompt.as_ref());
        prompt.is_some_and(|prompt| prompt.question.wants_a_yes())
    }

    /// Why the last answer was refused.
    pub(in crate::tui) fn refusal(&self) -> Option<&Message> {
        match &self.stage {
            Stage::Opening(opening) => opening.refusal.as_ref(),
            Stage::Shop(shop) => shop.refusal.as_ref(),
            Stage::Session(session) => session.refusal.as_ref(),
        }
    }

    /// Whether what is asked is answered in words, so that letters are text.
    pub(in crate::tui) fn takes_words(&self) -> bool {
        let words = |session: &Session| session.asked.input == InputKind::Words;
        self.is_at_machine() && self.session().is_some_and(words)
    }

    /// Whether the batch that is open is invented.
    pub(in crate::tui) fn is_invented(&self) -> bool {
        self.session().is_some_and(|session| session.snapshot.state.invented)
    }

    pub(super) fn is_at_machine(&self) -> bool {
        self.screen() == Screen::Machine
    }
}
