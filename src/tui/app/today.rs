//! What there is to do today over all batches, read again every now and then with no key
//! pressed.

use chrono::{DateTime, FixedOffset, TimeDelta, Timelike};

use crate::tui::message::{Effect, TodayRead, Unread};
use crate::work::{Today, today};

/// How often the batches are looked at though nothing was heard of a change, and a long
/// page turns.
const READ_EVERY: TimeDelta = TimeDelta::seconds(15);

/// Where nobody scrolls for so long, the page turns by itself.
const LEFT_ALONE: TimeDelta = TimeDelta::seconds(60);

/// What there is to do today.
#[derive(Debug)]
pub struct TodayScreen {
    /// What was read of the batches.
    pub(in crate::tui) read: TodayRead,
    /// What follows from it at this minute.
    pub(in crate::tui) today: Today,
    /// The lines that are scrolled past.
    pub(in crate::tui) scrolled: usize,
    /// When the clock last asked for the batches.
    asked: DateTime<FixedOffset>,
    /// When somebody last scrolled.
    scrolled_at: Option<DateTime<FixedOffset>>,
    /// What of it has no room in the window.
    unread: Unread,
}

impl TodayScreen {
    pub(super) fn of(read: TodayRead) -> TodayScreen {
        let (today, asked) = (today(&read.batches, &read.free, &read.bells, read.now), read.now);
        let unread = Unread::default();
        TodayScreen { read, today, scrolled: 0, asked, scrolled_at: None, unread }
    }

    /// Takes in what time it is: waits end and the bell comes nearer.
    pub(super) fn arrived(&mut self, now: DateTime<FixedOffset>) {
        let minute = |at: DateTime<FixedOffset>| (at.date_naive(), at.hour(), at.minute());
        if minute(now) != minute(self.today.now) {
            self.today = today(&self.read.batches, &self.read.free, &self.read.bells, now);
        }
    }

    /// When the batches are looked at again.
    pub(super) fn wake(&self) -> DateTime<FixedOffset> {
        self.asked + READ_EVERY
    }

    /// Asks for the batches where it is time to, and turns the page where nobody is at
    /// the keys.
    pub(super) fn woke(&mut self, now: DateTime<FixedOffset>) -> Vec<Effect> {
        // A clock that was put back must not stop it.
        if (self.asked..self.wake()).contains(&now) {
            return Vec::new();
        }
        self.asked = now;
        if self.scrolled_at.is_none_or(|at| now - at >= LEFT_ALONE) {
            let next = self.scrolled + self.unread.in_view.saturating_sub(1).max(1);
            self.scrolled = if self.unread.below > 0 { next } else { 0 };
        }
        vec![Effect::Today]
    }

    /// One line up or down.
    pub(super) fn step(&mut self, is_down: bool, now: DateTime<FixedOffset>) {
        self.scrolled_at = Some(now);
        self.scrolled = if is_down { self.scrolled + 1 } else { self.scrolled.saturating_sub(1) };
    }

    /// Stands where another one stood.
    pub(super) fn in_place_of(mut self, before: &TodayScreen) -> TodayScreen {
        (self.scrolled, self.scrolled_at) = (before.scrolled, before.scrolled_at);
        // What changes meanwhile is read at once and keeps no page from turning.
        self.asked = before.asked;
        self.unread = before.unread;
        self
    }

    /// So much of it has no room.
    pub(super) fn drawn(&mut self, unread: Unread) {
        self.scrolled = unread.first.unwrap_or(self.scrolled);
        self.unread = unread;
    }
}
