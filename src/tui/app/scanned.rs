//! A code on paper that a scanner types: to its batch, its operation, its piece.

use crossterm::event::{KeyCode, KeyEvent};

use super::session::Session;
use super::view::SessionView;
use super::{App, Stage};
use crate::prose::Message;
use crate::tui::message::Effect;
use crate::work::PaperCode;

/// What every code begins with, and no answer and no command.
const BEGINS: char = '#';

impl App {
    /// Goes to where a code can be typed, whatever is looked at: letters mean something else
    /// on most screens. A question keeps what is typed.
    pub(super) fn make_room_for_a_code(&mut self, key: &KeyEvent) {
        if key.code != KeyCode::Char(BEGINS) || self.prompt().is_some() {
            return;
        }
        (self.help, self.menu) = (None, None);
        self.leave_shop_for_a_code();
        match &mut self.stage {
            Stage::Session(session) if session.looking.is_none() => session.show_machine(),
            Stage::Opening(opening) => opening.show_list(),
            Stage::Session(_) | Stage::Shop(_) => {}
        }
    }

    /// The list as it was before the shop is enough to open a batch from.
    fn leave_shop_for_a_code(&mut self) {
        if matches!(self.stage, Stage::Shop(_)) {
            let _ = self.leave_shop();
        }
    }

    /// Goes to what a code names, unless a question is asked.
    pub(super) fn scanned(&mut self, code: PaperCode) -> Vec<Effect> {
        if self.prompt().is_some() {
            self.refuse_a_code();
            return Vec::new();
        }
        self.leave_shop_for_a_code();
        match &mut self.stage {
            Stage::Session(session) => {
                session.entry.clear();
                session.scanned(&code);
                Vec::new()
            }
            Stage::Shop(_) => Vec::new(),
            Stage::Opening(opening) => {
                opening.show_list();
                let batch = code.batch.clone();
                self.scanned = Some(code);
                vec![Effect::OpenScanned { batch }]
            }
        }
    }

    /// The code that is typed, if only where an answer is asked for.
    pub(super) fn typed_code(&self) -> Option<PaperCode> {
        if self.help.is_some() || self.menu.is_some() {
            return None;
        }
        let typed = match &self.stage {
            Stage::Session(session) => session
                .prompt
                .as_ref()
                .map_or(session.entry.input(), |prompt| &prompt.input)
                .value(),
            Stage::Opening(opening) => {
                opening.prompt.as_ref().map_or(opening.filter(), |prompt| prompt.input.value())
            }
            Stage::Shop(shop) => shop.prompt.as_ref()?.input.value(),
        };
        typed.parse().ok()
    }

    /// Says that a code answers no question.
    fn refuse_a_code(&mut self) {
        let why = Message::error("That is a code from paper, and no answer.");
        let refusal = Some(why.help("leave the question, then scan it again"));
        match &mut self.stage {
            Stage::Session(session) => session.refusal = refusal,
            Stage::Opening(opening) => opening.refusal = refusal,
            Stage::Shop(shop) => shop.refusal = refusal,
        }
    }
}

impl Session {
    /// Whether a code names this batch.
    pub(super) fn is_of(&self, code: &PaperCode) -> bool {
        let own = self.snapshot.state.id.map(|id| id.to_string());
        own.as_ref() == Some(&code.batch) || self.snapshot.name == code.batch
    }

    /// Goes to the operation of a code, or to its piece in the list where it names none.
    pub(super) fn scanned(&mut self, code: &PaperCode) {
        if !self.is_of(code) {
            let what = "That code is of another batch.";
            return self.refuse(what, "leave this one with F9, then scan it again");
        }
        let state = &self.snapshot.state;
        let piece =
            code.piece.as_ref().map(|id| state.pieces.iter().position(|piece| *piece.id.0 == **id));
        match (code.op, piece) {
            (_, Some(None)) => {
                self.refuse("That piece is not in this batch.", "p lists its pieces")
            }
            (Some(op), _) if !self.operations().contains(&op) => {
                let what = format!("There is no operation {op} in this batch.");
                self.refusal = Some(Message::error(what).help("r lists its operations"));
            }
            (Some(op), _) => self.go_to_op(Some(op)),
            (None, Some(Some(selected))) => self.view = SessionView::Pieces { selected },
            (None, None) => self.show_machine(),
        }
    }
}
