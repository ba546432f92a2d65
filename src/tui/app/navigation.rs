//! Moving between the screens of an open batch, and within them.

use super::session::{LookingBack, Session};
use super::view::SessionView;
use crate::journal::PieceId;
use crate::tui::message::Effect;
use crate::tui::review_state::{AttributedPiece, ReviewOrigin, ReviewScreen, ReviewState};
use crate::work::{Task, matched, ready};

impl Session {
    pub(super) fn show_machine(&mut self) {
        self.refusal = None;
        self.view = SessionView::MACHINE;
    }

    pub(super) fn show_route(&mut self) {
        self.refusal = None;
        let selected = self.operations().iter().position(|op| *op == self.op);
        self.view = SessionView::Route { selected: selected.unwrap_or(0) };
    }

    pub(super) fn show_pieces(&mut self) {
        self.refusal = None;
        let asked = match &self.asked.task {
            Task::Read { piece, .. } | Task::Decide { piece, .. } => Some(piece),
            Task::Cut { pieces, .. } | Task::Feed { pieces, .. } => pieces.first(),
            _ => None,
        };
        let mut pieces = self.snapshot.state.pieces.iter();
        let selected = asked.and_then(|asked| pieces.position(|piece| piece.id == *asked));
        self.view = SessionView::Pieces { selected: selected.unwrap_or(0) };
    }

    pub(super) fn show_ready(&mut self) {
        self.refusal = None;
        self.view = SessionView::Ready { selected: 0, lines: ready(&self.context()) };
    }

    pub(super) fn show_matched(&mut self) {
        self.refusal = None;
        let from = match self.view {
            SessionView::Pieces { selected } => selected,
            _ => 0,
        };
        self.view = SessionView::Matched { scrolled: 0, parts: matched(&self.context()), from };
    }

    /// Reads the journal and shows what went out. What is found is kept until
    /// the journal changes or the work goes on.
    pub(super) fn show_review(&mut self) {
        self.refusal = None;
        if let SessionView::Review(state) = &mut self.view {
            state.page = ReviewScreen::Findings;
        } else {
            self.view = SessionView::Review(Box::new(ReviewState::of(&self.snapshot)));
        }
    }

    pub(super) fn go_to_op(&mut self, op: Option<u32>) {
        if let Some(op) = op {
            self.op = op;
            self.notice = None;
            self.refusal = None;
            self.refresh();
        }
        self.show_machine();
    }

    /// One line up or down in a list or a text.
    pub(super) fn step(&mut self, is_down: bool) {
        let step = |line: usize| if is_down { line + 1 } else { line.saturating_sub(1) };
        let within = |line: usize, lines: usize| step(line).min(lines.saturating_sub(1));
        let operations = self.operations().len();
        let is_caution = matches!(self.asked.task, Task::Caution { .. });
        let is_at_end = is_caution && self.asked.unread.is_some_and(|unread| unread.below == 0);
        match &mut self.view {
            SessionView::Machine { .. } if is_down && is_at_end => {}
            SessionView::Machine { scrolled } | SessionView::Matched { scrolled, .. } => {
                *scrolled = step(*scrolled);
            }
            SessionView::Route { selected } => *selected = within(*selected, operations),
            SessionView::Pieces { selected } => {
                *selected = within(*selected, self.snapshot.state.pieces.len());
            }
            SessionView::Makers { selected } => {
                *selected = within(*selected, self.snapshot.state.article_count() as usize);
            }
            SessionView::Ready { selected, lines } => *selected = within(*selected, lines.len()),
            SessionView::Review(state) => match &mut state.page {
                ReviewScreen::Findings => state.row = within(state.row, state.rows.len()),
                ReviewScreen::Series { scrolled } => *scrolled = step(*scrolled),
                ReviewScreen::Attribution(held) => held.scrolled = step(held.scrolled),
            },
        }
    }

    /// To the reading before or after the chosen one.
    pub(super) fn step_reading(&mut self, is_after: bool) {
        if let SessionView::Review(state) = &mut self.view {
            state.step(is_after);
        }
    }

    /// Clears what is typed at the machine; elsewhere one screen back.
    pub(super) fn back(&mut self) {
        match &mut self.view {
            SessionView::Machine { .. } => self.entry.clear(),
            SessionView::Matched { from, .. } => {
                self.view = SessionView::Pieces { selected: *from };
            }
            SessionView::Route { .. }
            | SessionView::Pieces { .. }
            | SessionView::Makers { .. }
            | SessionView::Ready { .. } => match self.looking {
                Some(_) => self.show_review(),
                None => self.show_machine(),
            },
            SessionView::Review(state) => match &state.page {
                ReviewScreen::Findings => match &mut self.looking {
                    Some(looking) => *looking = LookingBack::Leaves,
                    None => self.show_machine(),
                },
                ReviewScreen::Series { .. } => state.page = ReviewScreen::Findings,
                ReviewScreen::Attribution(held) => match held.from {
                    ReviewOrigin::Pieces { selected } => {
                        self.view = SessionView::Pieces { selected }
                    }
                    ReviewOrigin::Findings => state.page = ReviewScreen::Findings,
                    ReviewOrigin::Series => state.page = ReviewScreen::Series { scrolled: 0 },
                },
            },
        }
    }

    /// What Enter does on every screen but the machine's.
    pub(super) fn open_line(&mut self) -> Vec<Effect> {
        match &mut self.view {
            SessionView::Machine { .. } => {}
            SessionView::Route { selected } => {
                let selected = *selected;
                let op = self.operations().get(selected).copied();
                self.go_to_op(op);
            }
            SessionView::Ready { selected, lines } => {
                let op = lines.get(*selected).map(|line| line.op);
                self.go_to_op(op);
            }
            SessionView::Pieces { selected } => {
                let selected = *selected;
                self.attribute_piece(selected);
            }
            SessionView::Makers { .. } => self.ask_what_is_chosen(),
            SessionView::Matched { .. } => self.show_machine(),
            SessionView::Review(state) => match &state.page {
                ReviewScreen::Findings => state.open_row(&self.snapshot),
                ReviewScreen::Series { .. } => state.attribute_chosen(&self.snapshot),
                ReviewScreen::Attribution(_) => self.back(),
            },
        }
        Vec::new()
    }

    /// What each operation added to the piece on this line.
    fn attribute_piece(&mut self, selected: usize) {
        let Some(piece) = self.piece_on_line(selected) else { return };
        let mut state = ReviewState::of(&self.snapshot);
        let from = ReviewOrigin::Pieces { selected };
        let held = AttributedPiece::of(&self.snapshot, piece, None, from);
        state.page = ReviewScreen::Attribution(held);
        self.view = SessionView::Review(Box::new(state));
    }

    fn piece_on_line(&self, line: usize) -> Option<PieceId> {
        self.snapshot.state.pieces.get(line).map(|piece| piece.id.clone())
    }

    /// The chosen piece of the pieces screen.
    pub(super) fn chosen_piece(&self) -> Option<PieceId> {
        let SessionView::Pieces { selected } = self.view else { return None };
        self.piece_on_line(selected)
    }
}
