//! What the clock brings while nobody types: the bell, and the end of a wait. Each is
//! said once, when it comes.

use chrono::{DateTime, FixedOffset, TimeDelta};

use super::phrase::line;
use crate::journal::RunningWait;

/// From one moment, not with it, to another.
#[derive(Clone, Copy, Debug)]
pub(super) struct Elapsed {
    pub(super) from: DateTime<FixedOffset>,
    pub(super) to: DateTime<FixedOffset>,
}

impl Elapsed {
    fn has(self, at: DateTime<FixedOffset>) -> bool {
        self.from < at && at <= self.to
    }

    /// What the bell says: the last of what came due.
    pub(super) fn bell(self, bell: DateTime<FixedOffset>) -> Option<String> {
        let before = |minutes| self.has(bell - TimeDelta::minutes(minutes));
        let said = if before(0) {
            "BELL: finish this piece, then close up and type q."
        } else if before(5) {
            "The bell rings in 5 minutes: finish this piece, then type q."
        } else if before(10) {
            "The bell rings in 10 minutes."
        } else {
            return None;
        };
        Some(said.to_owned())
    }

    /// The waits that ended.
    pub(super) fn waits(self, waits: &[RunningWait]) -> Vec<String> {
        let ended = waits.iter().filter(|wait| self.has(wait.until));
        ended
            .map(|wait| line(&format!("op {}, {}: the wait is over", wait.op, wait.what)))
            .collect()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn at(time: &str) -> DateTime<FixedOffset> {
        format!("2026-11-25T{time}+01:00").parse().expect("a time")
    }

    fn elapsed(from: &str, to: &str) -> Elapsed {
        Elapsed { from: at(from), to: at(to) }
    }

    #[test]
    fn the_bell_is_said_as_each_of_its_times_comes() {
        let bell = at("11:50:00");
        let said = |from, to| elapsed(from, to).bell(bell).unwrap_or_default();
        assert_eq!(said("11:39:00", "11:39:59"), "");
        assert_eq!(said("11:39:59", "11:40:00"), "The bell rings in 10 minutes.");
        assert_eq!(said("11:40:00", "11:44:59"), "");
        assert!(said("11:44:00", "11:45:00").starts_with("The bell rings in 5 minutes"));
        assert!(said("11:49:00", "11:50:00").starts_with("BELL"));
        // A machine that slept says the last of them.
        assert!(said("11:00:00", "12:00:00").starts_with("BELL"));
        assert_eq!(said("11:50:00", "12:00:00"), "");
    }

    #[test]
    fn the_end_of_a_wait_is_said_once() {
        let glue =
            RunningWait { op: 330, until: at("10:30:00"), what: "glue".to_owned(), order: 7 };
        let waits = [glue];
        assert_eq!(elapsed("10:00:00", "10:29:59").waits(&waits), Vec::<String>::new());
        let over = ["Op 330, glue: the wait is over."];
        assert_eq!(elapsed("10:29:59", "10:30:00").waits(&waits), over);
        assert_eq!(elapsed("10:30:00", "10:31:00").waits(&waits), Vec::<String>::new());
    }
}
