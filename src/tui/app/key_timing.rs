//! Which keys count by when they were pressed: a gauge may bounce, and a key
//! may be held down.

use chrono::{DateTime, Duration, FixedOffset};

/// A second Enter within this long of the first is the gauge bouncing: nobody
/// reads the next question and answers it as fast.
pub(in crate::tui) const BOUNCE: Duration = Duration::milliseconds(200);

/// A Backspace within this long of the last one is the same key held down:
/// longer than the delay before a keyboard repeats, about half a second.
const HELD: Duration = Duration::milliseconds(700);

/// A letter within this long of the last one belongs to a word that somebody types.
const IN_A_WORD: Duration = Duration::milliseconds(2000);

/// When the keys that may repeat were last pressed.
#[derive(Debug, Default)]
pub(super) struct KeyTiming {
    /// When Enter last sent something typed.
    entered: Option<DateTime<FixedOffset>>,
    /// When Backspace was last pressed.
    erased: Option<DateTime<FixedOffset>>,
    /// When a letter was last pressed that is no text.
    lettered: Option<DateTime<FixedOffset>>,
}

impl KeyTiming {
    /// Notes that typed text was sent, or has just been recorded.
    pub(super) fn sent(&mut self, now: DateTime<FixedOffset>) {
        self.entered = Some(now);
    }

    /// Whether an Enter with nothing typed is a gauge's second one.
    pub(super) fn is_bounce(&self, now: DateTime<FixedOffset>) -> bool {
        self.entered.is_some_and(|at| now - at < BOUNCE)
    }

    /// After another key a second Enter is meant.
    pub(super) fn other_key(&mut self) {
        self.entered = None;
    }

    /// Notes a key that is no text, and answers whether it is a letter in a word.
    pub(super) fn is_in_a_word(&mut self, is_letter: bool, now: DateTime<FixedOffset>) -> bool {
        let before = std::mem::replace(&mut self.lettered, is_letter.then_some(now));
        is_letter && before.is_some_and(|at| now - at < IN_A_WORD)
    }

    /// Notes a Backspace, and answers whether it is the last one held down:
    /// held to clear a text, it must not go on into the record.
    pub(super) fn erase(&mut self, now: DateTime<FixedOffset>) -> bool {
        let is_held = self.erased.is_some_and(|at| now - at < HELD);
        self.erased = Some(now);
        is_held
    }
}
