//! Which stations nobody has open: whoever was there went without leaving, or the power
//! did. Only the lock tells; trying it changes nothing. A station whose lines come through a
//! server has no lock here: the server knows whether it is connected.

use std::collections::BTreeSet;
use std::fs::{File, TryLockError};
use std::io::ErrorKind;

use super::disk::read_start;
use super::folder::BatchFolder;
use super::shared_folder::locks_reach_others;
use super::station_file::HOLDER;

/// Stations that nobody has open, each with its batch, and those out of reach.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct FreeStations {
    free: BTreeSet<(String, String)>,
    /// Those whose lines come through a server.
    distant: BTreeSet<(String, String)>,
    /// Those that the server has no connection with.
    unconnected: BTreeSet<String>,
}

impl FreeStations {
    /// Whether nobody has a station of a batch open.
    pub fn has(&self, batch: &str, station: &str) -> bool {
        self.free.contains(&(batch.to_owned(), station.to_owned()))
    }

    /// Notes that nobody has a station of a batch open.
    pub fn add(&mut self, batch: &str, station: &str) {
        self.free.insert((batch.to_owned(), station.to_owned()));
    }

    /// Notes that the lines of a station of a batch come through a server.
    pub fn add_distant(&mut self, batch: &str, station: &str) {
        self.distant.insert((batch.to_owned(), station.to_owned()));
    }

    /// Notes which stations the server has no connection with.
    pub fn unconnected(&mut self, stations: BTreeSet<String>) {
        self.unconnected = stations;
    }

    /// Whether a station of a batch is at another terminal which the server doesn't reach.
    pub fn is_out_of_reach(&self, batch: &str, station: &str) -> bool {
        self.unconnected.contains(station)
            && self.distant.contains(&(batch.to_owned(), station.to_owned()))
    }
}

impl BatchFolder {
    /// Whether the lines of a station come through a server: nobody ever opened it here, or
    /// somebody else's lines were written since.
    pub fn is_distant(&self, station: &str) -> bool {
        let path = self.path().join(format!("{station}.lock"));
        match read_start(&path, 200) {
            Ok(holder) => holder == HOLDER,
            Err(why) => why.kind() == ErrorKind::NotFound,
        }
    }

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
