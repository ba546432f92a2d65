//! What a person looks at in an open batch, and where in it they are.

use crate::tui::review_state::{ReviewScreen, ReviewState};
use crate::tui::screen::Screen;
use crate::work::{Matched, NextOperation};

/// What fills the window while a batch is open. Each holds where in it one is,
/// so that no screen has a place left over from another.
#[derive(Debug)]
pub(in crate::tui) enum SessionView {
    /// What is asked at the machine.
    Machine {
        /// The lines of its text that are scrolled past.
        scrolled: usize,
    },
    /// Every operation of the route.
    Route {
        /// The chosen line.
        selected: usize,
    },
    /// Every piece of the batch.
    Pieces {
        /// The chosen line.
        selected: usize,
    },
    /// Whose each article is, and what was chosen.
    Makers {
        /// The chosen line.
        selected: usize,
    },
    /// What can start now.
    Ready {
        /// The chosen line.
        selected: usize,
        /// One line for each part that is not finished.
        lines: Vec<NextOperation>,
    },
    /// Which pieces go together.
    Matched {
        /// The lines that are scrolled past.
        scrolled: usize,
        /// The matched groups of each part.
        parts: Vec<Matched>,
        /// The chosen line of the pieces, which it was opened from.
        from: usize,
    },
    /// Looking back on what was measured.
    Review(Box<ReviewState>),
}

impl SessionView {
    /// The machine screen from its top.
    pub(super) const MACHINE: SessionView = SessionView::Machine { scrolled: 0 };

    /// Begins the text in sight at a line.
    pub(super) fn scroll_to(&mut self, line: usize) {
        match self {
            SessionView::Machine { scrolled } | SessionView::Matched { scrolled, .. } => {
                *scrolled = line;
            }
            SessionView::Review(state) => match &mut state.page {
                ReviewScreen::Series { scrolled } => *scrolled = line,
                ReviewScreen::Attribution(held) => held.scrolled = line,
                ReviewScreen::Findings => {}
            },
            _ => {}
        }
    }

    pub(super) fn screen(&self) -> Screen {
        match self {
            SessionView::Machine { .. } => Screen::Machine,
            SessionView::Route { .. } => Screen::Route,
            SessionView::Pieces { .. } => Screen::Pieces,
            SessionView::Makers { .. } => Screen::Makers,
            SessionView::Ready { .. } => Screen::Ready,
            SessionView::Matched { .. } => Screen::Matched,
            SessionView::Review(state) => match state.page {
                ReviewScreen::Findings => Screen::Review,
                ReviewScreen::Series { .. } => Screen::Series,
                ReviewScreen::Attribution(_) => Screen::Attribution,
            },
        }
    }

    pub(in crate::tui) fn is_machine(&self) -> bool {
        matches!(self, SessionView::Machine { .. })
    }
}
