//! What waits for a lead's PIN. A PIN is never shown, and it stands in no record: it
//! only lets through what was answered before.

use super::session::{HeldAnswer, Recording, Session};
use super::work_question::WorkQuestion;
use super::{App, Stage};
use crate::tui::message::Effect;

impl App {
    /// Asks for the PIN, and keeps what was answered until it comes.
    pub(super) fn pin_asked(&mut self, lead: String, then: Effect) -> Vec<Effect> {
        // What was pasted behind the answer must not become a PIN.
        self.pasted.clear();
        match &mut self.stage {
            Stage::Opening(opening) => opening.ask_for_a_pin(lead, then),
            Stage::Shop(shop) => shop.ask_for_a_pin(lead, then),
            Stage::Session(session) => {
                let recording = std::mem::replace(&mut session.recording, Recording::Idle);
                let behind = session.prompt.take();
                session.ask(WorkQuestion::Pin(lead));
                session.held = Some(HeldAnswer { then, recording, behind });
            }
        }
        Vec::new()
    }

    /// Whether a PIN is asked for, so that nothing of what is typed is shown.
    pub(in crate::tui) fn asks_for_a_pin(&self) -> bool {
        match &self.stage {
            Stage::Opening(opening) => opening.asks_for_a_pin(),
            Stage::Shop(shop) => shop.asks_for_a_pin(),
            Stage::Session(session) => session.asks_for_a_pin(),
        }
    }
}

impl Session {
    pub(super) fn asks_for_a_pin(&self) -> bool {
        self.prompt.as_ref().is_some_and(|prompt| matches!(prompt.question, WorkQuestion::Pin(_)))
    }

    /// Puts the PIN to whoever can compare it.
    pub(super) fn prove(&mut self, lead: String, pin: &str) -> Vec<Effect> {
        let Some(held) = self.held.as_ref().filter(|_| !pin.is_empty()) else {
            self.forget_held();
            self.refuse("Nothing was recorded: the PIN is missing.", "the lead types it");
            return Vec::new();
        };
        self.recording = held.recording.clone();
        let then = Box::new(held.then.clone());
        vec![Effect::Prove { lead, pin: pin.to_owned(), then }]
    }

    /// Goes back to what was answered, which stays to be seen; false where nothing waits
    /// for a PIN.
    pub(super) fn forget_held(&mut self) -> bool {
        let Some(held) = self.held.take() else { return false };
        self.prompt = held.behind;
        true
    }
}
