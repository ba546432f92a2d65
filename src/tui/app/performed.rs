//! What was performed for the app, and what it makes of it.

use chrono::{DateTime, FixedOffset};

use super::opening::StartQuestion;
use super::session::{LookingBack, Notice, Recording, Session};
use super::{App, ShopScreen, Stage};
use crate::journal::Snapshot;
use crate::prose::Message;
use crate::tui::message::{Effect, OpeningLists, ReadRows, ShopListing, Unread};
use crate::work::{AdaptedRoute, ShopChange};

impl App {
    /// Lets go of the state of the batch until the next snapshot, which follows at once: so
    /// that what is recorded is added to it, and not to a copy.
    pub fn hand_back(&mut self) {
        if let Stage::Session(session) = &mut self.stage {
            session.hand_back();
        }
    }

    pub(super) fn drawn(&mut self, unread: Unread) -> Vec<Effect> {
        self.in_view = unread.in_view;
        let is_covered = self.help.is_some();
        if !is_covered && self.menu.is_none() {
            self.today_drawn(unread);
        }
        // Nothing is scrolled past its end, or going back up would begin late.
        if let (Some(scrolled), Some(first)) = (&mut self.help, unread.first) {
            *scrolled = first;
        }
        if let Stage::Session(session) = &mut self.stage {
            if let Some(first) = unread.first.filter(|_| !is_covered) {
                session.view.scroll_to(first);
            }
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

    /// Batches of the list were read, which is kept while something else is looked at.
    pub(super) fn read_on(&mut self, read: ReadRows) -> Vec<Effect> {
        let opening = match &mut self.stage {
            Stage::Opening(opening) => Some(opening),
            _ => self.opened_from.as_mut(),
        };
        if let Some(opening) = opening {
            opening.read(read);
        }
        Vec::new()
    }

    /// Batches of the list changed elsewhere. While something is asked about a line the
    /// lines stay as they are.
    pub(super) fn changed_elsewhere(&mut self, rows: ReadRows, is_list: bool) -> Vec<Effect> {
        match &mut self.stage {
            Stage::Opening(opening) => opening.changed_elsewhere(rows, is_list),
            Stage::Session(_) | Stage::Shop(_) => Vec::new(),
        }
    }

    /// A route file was read and is the first of all routes: it is begun.
    pub(super) fn route_read(&mut self, lists: OpeningLists) -> Vec<Effect> {
        if let Stage::Opening(opening) = &mut self.stage {
            opening.route_read(lists);
        }
        Vec::new()
    }

    /// The sizes of a route were read, to be adapted.
    pub(super) fn sizes_read(&mut self, route: usize, adapted: AdaptedRoute) -> Vec<Effect> {
        if let Stage::Opening(opening) = &mut self.stage {
            opening.sizes_read(route, adapted);
        }
        Vec::new()
    }

    pub(super) fn told(&mut self, words: String) -> Vec<Effect> {
        match &mut self.stage {
            Stage::Opening(opening) => opening.said = Some(words),
            Stage::Shop(shop) => shop.said = Some(words),
            Stage::Session(session) => session.notice = Some(Notice::Said(words)),
        }
        Vec::new()
    }

    pub(super) fn opened(&mut self, snapshot: Snapshot, now: DateTime<FixedOffset>) -> Vec<Effect> {
        let mut session = Session::open(snapshot, now);
        // Whoever gave up that batch and opened another meant the other.
        if let Some(code) = self.scanned.take().filter(|code| session.is_of(code)) {
            session.scanned(&code);
        }
        self.stage = Stage::Session(Box::new(session));
        self.help = None;
        Vec::new()
    }

    /// A batch in which nothing is recorded; the list it was chosen from is kept.
    pub(super) fn looked_at(
        &mut self,
        snapshot: Snapshot,
        now: DateTime<FixedOffset>,
    ) -> Vec<Effect> {
        let mut session = Session::open(snapshot, now);
        session.show_review();
        session.looking = Some(LookingBack::Looks);
        let before = std::mem::replace(&mut self.stage, Stage::Session(Box::new(session)));
        if let Stage::Opening(opening) = before {
            self.opened_from = Some(opening);
        }
        self.help = None;
        Vec::new()
    }

    /// Whoever has looked back and goes on is at the list again, and from there opens the
    /// batch to work in it.
    pub(super) fn done_looking(&mut self) -> Vec<Effect> {
        let Stage::Session(session) = &self.stage else { return Vec::new() };
        let is_at_work = session.view.is_machine();
        let leaves = session.looking == Some(LookingBack::Leaves);
        if session.looking.is_none() || !(is_at_work || leaves) {
            return Vec::new();
        }
        let name = session.snapshot.name.clone();
        self.stage = Stage::Opening(self.opened_from.take().unwrap_or_default());
        if leaves { Vec::new() } else { vec![Effect::Open { name, station: None }] }
    }

    /// The shop was read: it is looked at, and the list is kept.
    pub(super) fn shop_opened(&mut self, listing: ShopListing) -> Vec<Effect> {
        let mut shop = ShopScreen::new(listing);
        if let Stage::Opening(opening) = &mut self.stage {
            shop.said = opening.said.take();
        }
        let shop = Stage::Shop(Box::new(shop));
        if let Stage::Opening(opening) = std::mem::replace(&mut self.stage, shop) {
            self.opened_from = Some(opening);
        }
        self.help = None;
        Vec::new()
    }

    pub(super) fn shop_changed(
        &mut self,
        listing: ShopListing,
        change: &ShopChange,
        said: String,
    ) -> Vec<Effect> {
        if let Stage::Shop(shop) = &mut self.stage {
            shop.changed(listing, change, said);
        }
        Vec::new()
    }

    /// Back to the list, which is made anew: the shop may have another name.
    pub(super) fn leave_shop(&mut self) -> Vec<Effect> {
        self.stage = Stage::Opening(self.opened_from.take().unwrap_or_default());
        vec![Effect::List { archive: false }]
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
        self.scanned = None;
        let refusal = Some(Message::error(why));
        match &mut self.stage {
            Stage::Shop(shop) => refusal.into_iter().for_each(|why| shop.failed(why)),
            Stage::Opening(opening) => {
                opening.forget_pin_typed();
                opening.refusal = refusal;
            }
            Stage::Session(session) => {
                session.recording = Recording::Idle;
                if session.asks_for_a_pin()
                    && let Some(prompt) = &mut session.prompt
                {
                    prompt.clear();
                }
                session.refusal = refusal;
            }
        }
        Vec::new()
    }
}
