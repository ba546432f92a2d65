//! What was performed for the app, and what it makes of it.

use chrono::{DateTime, FixedOffset};

use super::opening::{OpensTo, StartQuestion};
use super::session::{Notice, Recording, Session};
use super::{App, Stage};
use crate::journal::Snapshot;
use crate::prose::Message;
use crate::tui::message::{Effect, OpeningLists, Unread};

impl App {
    pub(super) fn drawn(&mut self, unread: Unread) -> Vec<Effect> {
        if let Stage::Session(session) = &mut self.stage {
            session.asked.unread = Some(unread);
        }
        Vec::new()
    }

    pub(super) fn listed(&mut self, lists: OpeningLists) -> Vec<Effect> {
        if let Stage::Opening(opening) = &mut self.stage {
            opening.listed(lists);
        }
        Vec::new()
    }

    pub(super) fn told(&mut self, words: String) -> Vec<Effect> {
        match &mut self.stage {
            Stage::Opening(opening) => opening.said = Some(words),
            Stage::Session(session) => session.notice = Some(Notice::Said(words)),
        }
        Vec::new()
    }

    pub(super) fn opened(&mut self, snapshot: Snapshot, now: DateTime<FixedOffset>) -> Vec<Effect> {
        let looks_back = match &self.stage {
            Stage::Opening(opening) => opening.opens_to == OpensTo::LookBack,
            Stage::Session(_) => false,
        };
        let mut session = Session::open(snapshot, now);
        if looks_back {
            session.show_review();
        }
        self.stage = Stage::Session(Box::new(session));
        self.help = None;
        Vec::new()
    }

    pub(super) fn busy(&mut self, batch: String, what: &str, free: &str) -> Vec<Effect> {
        if let Stage::Opening(opening) = &mut self.stage {
            opening.busy(batch, what, free);
        }
        Vec::new()
    }

    pub(super) fn recorded(
        &mut self,
        snapshot: Snapshot,
        now: DateTime<FixedOffset>,
    ) -> Vec<Effect> {
        let Stage::Session(session) = &mut self.stage else { return Vec::new() };
        session.now = now;
        // A slow disk doesn't make two Enters out of a bounce.
        session.timing.sent(now);
        let mut effects = session.recorded(snapshot);
        let rest = std::mem::take(&mut self.pasted);
        effects.extend(self.pasted(&rest));
        effects
    }

    pub(super) fn refreshed(&mut self, snapshot: Snapshot) -> Vec<Effect> {
        if let Stage::Session(session) = &mut self.stage {
            session.refreshed(snapshot);
        }
        Vec::new()
    }

    pub(super) fn faulty(&mut self, what: &str, question: StartQuestion) -> Vec<Effect> {
        if let Stage::Opening(opening) = &mut self.stage {
            opening.faulty(what, question);
        }
        Vec::new()
    }

    pub(super) fn failed(&mut self, why: String) -> Vec<Effect> {
        self.pasted.clear();
        let refusal = Some(Message::error(why));
        match &mut self.stage {
            Stage::Opening(opening) => opening.refusal = refusal,
            Stage::Session(session) => {
                session.recording = Recording::Idle;
                session.refusal = refusal;
            }
        }
        Vec::new()
    }
}
