//! The watch over the folder of all batches, for a command that sleeps until somebody
//! has written there.

use std::sync::mpsc::{Receiver, channel};
use std::time::Duration;

use super::waker::Waker;
use super::watching::{Watch, Watched};
use crate::journal::Home;

/// A watch, until it is dropped.
pub struct HomeWatch {
    watch: Watch,
    waker: Waker,
    heard: Receiver<()>,
}

impl HomeWatch {
    /// Begins to watch.
    pub fn begin(home: Home) -> HomeWatch {
        let (sender, heard) = channel();
        let waker = Waker::new(move || sender.send(()).is_ok());
        let of = Watched::Home(home);
        let means = of.means();
        HomeWatch { watch: Watch::begin(of, &waker, means), waker, heard }
    }

    /// Sleeps until somebody has written in the folder, or for so long at most.
    pub fn wait(&self, most: Duration) {
        if self.heard.recv_timeout(most).is_ok() {
            self.waker.is_heard();
            self.watch.take();
        }
    }
}
