//! How a terminal hears of new lines: by word of the server while little happens, and by
//! looking for itself while lines come one after the other, so that nobody has to be woken for
//! each. Pure.

use std::time::Duration;

/// Word that comes so soon after the last round is one of a row.
const SOON: Duration = Duration::from_secs(1);

/// So long a row, and the terminal looks for itself.
const A_ROW: u32 = 2;

/// So many rounds with nothing in them, and it waits for word again.
const QUIET: u32 = 2;

/// How a terminal hears of new lines at the moment.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Pace {
    /// It waits for word, and so often word came soon.
    Waits { soon: u32 },
    /// It looks for itself, and so many rounds had nothing in them.
    Looks { quiet: u32 },
}

impl Pace {
    /// Of a new connection: the server knows of nobody who waits.
    pub(super) fn of_a_new_connection() -> Pace {
        Pace::Looks { quiet: QUIET }
    }

    pub(super) fn waits(self) -> bool {
        matches!(self, Pace::Waits { .. })
    }

    /// What the server is to hear before the next round: whether the terminal waits for word
    /// from then on; none where that stays as it is.
    pub(super) fn to_say(self) -> Option<bool> {
        match self {
            Pace::Waits { soon } => (soon >= A_ROW).then_some(false),
            Pace::Looks { quiet } => (quiet >= QUIET).then_some(true),
        }
    }

    /// The server was asked for word. Where it didn't promise any, it is asked again.
    pub(super) fn asked_for_word(&mut self, is_promised: bool) {
        if is_promised {
            *self = Pace::Waits { soon: 0 };
        }
    }

    /// The server was told that no word is needed.
    pub(super) fn needs_no_word(&mut self) {
        *self = Pace::Looks { quiet: 0 };
    }

    /// Word came so long after the last round.
    pub(super) fn word_came(&mut self, after: Duration) {
        if let Pace::Waits { soon } = self {
            *soon = if after < SOON { *soon + 1 } else { 0 };
        }
    }

    /// A round came to its end.
    pub(super) fn round_was(&mut self, empty: bool) {
        if let Pace::Looks { quiet } = self {
            *quiet = if empty { *quiet + 1 } else { 0 };
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A terminal that begins asks for word; in a busy shop it looks for itself until nothing
    /// comes any more.
    #[test]
    fn a_busy_terminal_looks_for_itself() {
        let mut pace = Pace::of_a_new_connection();
        assert_eq!(pace.to_say(), Some(true));
        pace.asked_for_word(true);
        pace.round_was(false);
        assert!(pace.waits() && pace.to_say().is_none());
        for _ in 0..A_ROW {
            assert_eq!(pace.to_say(), None);
            pace.word_came(SOON / 2);
        }
        assert_eq!(pace.to_say(), Some(false));
        pace.needs_no_word();
        for empty in [false, true, false, true] {
            pace.round_was(empty);
            assert!(!pace.waits() && pace.to_say().is_none());
        }
        pace.round_was(true);
        assert_eq!(pace.to_say(), Some(true));
    }

    #[test]
    fn word_now_and_then_is_waited_for() {
        let mut pace = Pace::Waits { soon: A_ROW - 1 };
        pace.word_came(SOON);
        assert_eq!(pace, Pace::Waits { soon: 0 });
    }

    /// A terminal that got no promise of word looks for itself.
    #[test]
    fn without_a_promise_it_looks() {
        let mut pace = Pace::of_a_new_connection();
        pace.asked_for_word(false);
        assert!(!pace.waits());
        assert_eq!(pace.to_say(), Some(true));
    }
}
