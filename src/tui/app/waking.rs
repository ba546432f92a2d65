//! When to draw anew though no key is pressed.

use chrono::{DateTime, FixedOffset, TimeDelta};

use super::{App, Session, Stage, TodayScreen};
use crate::tui::clock::next_minute;
use crate::work::next_wake;

/// How long before the bell its minutes are counted.
const COUNTED: TimeDelta = TimeDelta::minutes(10);

impl App {
    /// When to wake without a key: at the next full minute where the window shows what
    /// time it is, and before that where a wait ends or the bell is near.
    pub(in crate::tui) fn wake(&self) -> Option<DateTime<FixedOffset>> {
        let due = self.session().and_then(Session::wake);
        let minute = self.has_clock.then(|| next_minute(self.now()));
        let again = match &self.stage {
            Stage::Opening(opening) => opening.today().map(TodayScreen::wake),
            _ => None,
        };
        due.into_iter().chain(minute).chain(again).min()
    }

    /// When the last message came that has a time.
    pub(in crate::tui) fn now(&self) -> DateTime<FixedOffset> {
        match &self.stage {
            Stage::Opening(opening) => opening.lists.now,
            Stage::Shop(shop) => shop.listing.now,
            Stage::Session(session) => session.now,
        }
    }
}

impl Session {
    /// The end of the next wait, or when the minutes to the bell change.
    fn wake(&self) -> Option<DateTime<FixedOffset>> {
        let bell = self.bell.filter(|bell| *bell > self.now);
        let bell = bell.map(|bell| (bell - COUNTED).max(next_minute(self.now)));
        next_wake(&self.context()).into_iter().chain(bell).min()
    }
}
