//! Which stations nobody has open: whoever was there went without leaving, or the power
//! did. Only the lock tells; trying it changes nothing.

use std::collections::BTreeSet;
use std::fs::{File, TryLockError};

use super::disk::read_start;
use super::folder::BatchFolder;
use super::shared_folder::locks_reach_others;
use super::station_file::HOLDER;

/// Stations that nobody has open, each with its batch.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct FreeStations(BTreeSet<(String, String)>);

impl FreeStations {
    /// Whether nobody has a station of a batch open.
    pub fn has(&self, batch: &str, station: &str) -> bool {
        self.0.contains(&(batch.to_owned(), station.to_owned()))
    }

    /// Notes that nobody has a station of a batch open.
    pub fn add(&mut self, batch: &str, station: &str) {
        self.0.insert((batch.to_owned(), station.to_owned()));
    }
}

impl BatchFolder {
    /// Whether it is certain that nobody has a station open. Where locks of other
    /// computers don't reach this one nothing is.
    pub fn is_free(&self, station: &str) -> bool {
        // Opened for reading alone, so that whoever waits for changes hears of none.
        let path = self.path().join(format!("{station}.lock"));
        let Ok(lock) = File::open(&path) else { return false };
        // Its lines came through a server, so the station is open at another terminal or not.
        if read_start(&path, 200).is_ok_and(|holder| holder == HOLDER) {
            return false;
        }
        // Shared and given back at once: it keeps nobody out but for a moment, and a
        // station that opens tries again.
        match lock.try_lock_shared() {
            Ok(()) => {
                let _ = lock.unlock();
                locks_reach_others(self.path())
            }
            Err(TryLockError::WouldBlock | TryLockError::Error(_)) => false,
        }
    }
}
