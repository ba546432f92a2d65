//! When to draw anew though no key is pressed.

use chrono::{DateTime, FixedOffset, TimeDelta, Timelike};

use super::{App, Session, Stage};
use crate::work::next_wake;

/// How long before the bell its minutes are counted.
const COUNTED: TimeDelta = TimeDelta::minutes(10);

impl App {
    /// When to wake without a key: at the next full minute where the window shows what
    /// time it is, and before that where a wait ends or the bell is near.
    pub(in crate::tui) fn wake(&self) -> Option<DateTime<FixedOffset>> {
        let due = self.session().and_then(Session::wake);
        let minute = self.has_clock.then(|| next_minute(self.now()));
        due.into_iter().chain(minute).min()
    }

    /// When the last message came that has a time.
    pub(in crate::tui) fn now(&self) -> DateTime<FixedOffset> {
        match &self.stage {
            Stage::Opening(opening) => opening.lists.now,
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

/// The next full minute.
fn next_minute(now: DateTime<FixedOffset>) -> DateTime<FixedOffset> {
    // A leap second counts as more than a thousand milliseconds.
    let past = i64::from(now.second()) * 1000 + i64::from(now.timestamp_subsec_millis());
    now + TimeDelta::milliseconds((60_000 - past).max(1))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_next_minute_is_full() {
        let next = |at: &str| next_minute(at.parse().expect("a time")).to_rfc3339();
        assert_eq!(next("2026-11-25T10:42:30+01:00"), "2026-11-25T10:43:00+01:00");
        assert_eq!(next("2026-11-25T23:59:59.250+01:00"), "2026-11-26T00:00:00+01:00");
        assert_eq!(next("2026-11-25T10:42:00+01:00"), "2026-11-25T10:43:00+01:00");
    }
}
