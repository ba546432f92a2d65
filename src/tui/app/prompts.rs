//! What is answered in place of the entry line while a batch is open.

use chrono::NaiveTime;

use super::session::{Recording, Session};
use super::work_question::WorkQuestion;
use crate::journal::PieceId;
use crate::tui::machine_view::in_hand;
use crate::tui::message::Effect;
use crate::work::{
    Task, note, open_gate, remake, set_aside, sign_off, taken_on_paper, use_elsewhere,
};

impl Session {
    /// Answers the question that is asked.
    pub(super) fn answer_prompt(&mut self) -> Vec<Effect> {
        let Some(prompt) = &self.prompt else { return Vec::new() };
        let (question, text) = (prompt.question.clone(), prompt.input.value().to_owned());
        self.answer_question(question, text.trim())
    }

    pub(super) fn answer_question(&mut self, question: WorkQuestion, text: &str) -> Vec<Effect> {
        match question {
            WorkQuestion::Bell => {
                self.set_bell(text);
                Vec::new()
            }
            WorkQuestion::OnPaper => {
                self.take_from_paper(text);
                Vec::new()
            }
            WorkQuestion::Note(_) if text.is_empty() => {
                self.forget_prompt();
                Vec::new()
            }
            WorkQuestion::Note(about) => {
                let event = note(&self.context(), about.map(|(piece, _)| piece), text);
                self.append(vec![event], Recording::Answer(None))
            }
            WorkQuestion::Gate => {
                let opened = open_gate(&self.context(), &self.asked.task, text);
                self.append_or_refuse(opened)
            }
            WorkQuestion::SignOff => {
                let signed = sign_off(&self.context(), text);
                self.append_or_refuse(signed)
            }
            WorkQuestion::SetAside(piece) => {
                let decided = set_aside(&self.context(), &piece, text);
                self.append_or_refuse(decided)
            }
            WorkQuestion::UseElsewhere(piece) => {
                let decided = use_elsewhere(&self.context(), &piece, text);
                self.append_or_refuse(decided)
            }
            WorkQuestion::Remake(piece) => {
                let decided = remake(&self.context(), &piece, text);
                self.append_or_refuse(decided)
            }
            WorkQuestion::Maker(question) => self.take_choice(question, text),
            WorkQuestion::Depart(article) => self.let_leave(article, text),
            WorkQuestion::Pin(lead) => self.prove(lead, text),
            WorkQuestion::Leave => self.record_leaving(text),
            WorkQuestion::Initials => self.hand_keys_to(text),
            WorkQuestion::Redo if text.eq_ignore_ascii_case("y") => self.redo(),
            WorkQuestion::Redo => {
                self.refuse("Nothing was done again.", "y does it, Esc leaves it");
                Vec::new()
            }
            WorkQuestion::UndoAt { .. } if text.eq_ignore_ascii_case("y") => self.void_last(),
            WorkQuestion::UndoAt { .. } => {
                self.refuse("Nothing was undone.", "y undoes it, Esc leaves it");
                Vec::new()
            }
        }
    }

    /// Drops the question that is asked; false where none is.
    pub(super) fn forget_prompt(&mut self) -> bool {
        self.refusal = None;
        self.forget_held() || self.prompt.take().is_some()
    }

    /// Esc at a question: clears what is typed, then drops the question; false where
    /// none is asked.
    pub(super) fn leave_prompt(&mut self) -> bool {
        if self.prompt.as_mut().is_some_and(|prompt| prompt.clear()) {
            self.refusal = None;
            return true;
        }
        self.forget_prompt()
    }

    /// When the bell rings, or that none does.
    fn set_bell(&mut self, text: &str) {
        let time = NaiveTime::parse_from_str(text, "%H:%M").ok();
        let at = time.and_then(|time| self.now.with_time(time).single());
        let at = at.filter(|at| *at > self.now);
        if at.is_none() && !text.is_empty() {
            self.refuse("Enter a time later today.", "such as 11:40, then Enter");
            return;
        }
        self.bell = at;
        self.forget_prompt();
        self.refresh();
    }

    /// From now on readings come from paper, or again from the gauge where nothing is typed.
    fn take_from_paper(&mut self, text: &str) {
        let taken = match text {
            "" => None,
            text => match taken_on_paper(&self.context(), text) {
                Ok(taken) => Some(taken),
                Err(refusal) => {
                    self.refusal = Some(refusal);
                    return;
                }
            },
        };
        self.on_paper = taken;
        self.forget_prompt();
        self.refresh();
    }

    /// Asks for the lead's word on the chosen piece.
    pub(super) fn ask_about_piece(&mut self, question: fn(PieceId) -> WorkQuestion) {
        if let Some(piece) = self.chosen_piece() {
            self.ask(question(piece));
        }
    }

    /// The pieces that are cut or measured now.
    pub(in crate::tui) fn in_hand(&self) -> &[PieceId] {
        match &self.asked.task {
            Task::Read { piece, .. } | Task::Decide { piece, .. } => std::slice::from_ref(piece),
            Task::Cut { pieces, .. } | Task::Feed { pieces, .. } => pieces.as_slice(),
            _ => &[],
        }
    }

    /// Asks for a note on the chosen piece, or on the one in hand; else on the
    /// operation.
    pub(super) fn ask_for_a_note(&mut self) {
        let at_machine = || in_hand(&self.asked.task).filter(|_| self.view.is_machine()).cloned();
        let piece = self.chosen_piece().or_else(at_machine);
        let named = piece.map(|piece| {
            let name = self.snapshot.state.name(&piece);
            (piece, name)
        });
        self.ask(WorkQuestion::Note(named));
    }

    /// The same for the piece in hand; of several in hand one is chosen first.
    pub(super) fn ask_to_set_aside(&mut self) {
        if !self.view.is_machine() {
            return self.ask_about_piece(WorkQuestion::SetAside);
        }
        match self.in_hand() {
            [piece] => {
                let piece = piece.clone();
                self.ask(WorkQuestion::SetAside(piece));
            }
            _ => self.show_pieces(),
        }
    }

    /// Asks why the lead opens this operation, where somebody can.
    pub(super) fn ask_to_open_gate(&mut self) {
        match self.asked.task {
            Task::Blocked { openable: true, .. } => self.ask(WorkQuestion::Gate),
            Task::Blocked { .. } => {
                self.refuse("Nobody can override a machine's own limit.", "see the lead");
            }
            _ => self.refuse("Nothing is blocked here.", "Enter goes on"),
        }
    }
}
