//! Wakes whoever waits for the terminal, from another thread: something outside has news.
//! What the news is, whoever is woken looks up.

use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};

/// A handle that any thread may keep.
#[derive(Clone)]
pub(super) struct Waker {
    /// Whether a word is on its way that nobody heard yet: one is enough.
    is_on_its_way: Arc<AtomicBool>,
    hand_on: Arc<dyn Fn() -> bool + Send + Sync>,
}

impl Waker {
    /// Hands the word on as told; that says whether it could.
    pub(super) fn new(hand_on: impl Fn() -> bool + Send + Sync + 'static) -> Waker {
        Waker { is_on_its_way: Arc::default(), hand_on: Arc::new(hand_on) }
    }

    /// Says that there is news.
    pub(super) fn wake(&self) {
        let is_said = self.is_on_its_way.swap(true, Ordering::SeqCst);
        if !is_said && !(self.hand_on)() {
            self.is_on_its_way.store(false, Ordering::SeqCst);
        }
    }

    /// The word was heard: what happens from here on is said anew.
    pub(super) fn is_heard(&self) {
        self.is_on_its_way.store(false, Ordering::SeqCst);
    }
}

#[cfg(test)]
mod tests {
    use std::sync::mpsc;

    use super::*;

    #[test]
    fn one_word_is_enough_until_it_is_heard() {
        let (sender, arrived) = mpsc::channel();
        let waker = Waker::new(move || sender.send(()).is_ok());
        let other = waker.clone();
        waker.wake();
        other.wake();
        assert_eq!(arrived.try_iter().count(), 1);
        waker.is_heard();
        other.wake();
        assert_eq!(arrived.try_iter().count(), 1);
        // What could not be handed on is said again.
        drop(arrived);
        waker.is_heard();
        waker.wake();
        assert!(!waker.is_on_its_way.load(Ordering::SeqCst));
    }
}
