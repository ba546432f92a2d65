//! The one writer of a station's file: a line is on the disk before anyone hears it is recorded.
//! It must not know what the events mean, nor what time it is.

use std::fs::{self, File, OpenOptions, TryLockError};
use std::io::{self, ErrorKind, Write};
use std::path::{Path, PathBuf};

use chrono::{DateTime, FixedOffset};
use serde::Serialize;
use serde::de::IgnoredAny;

use super::disk::{
    StoreError, keeps_added_lines, read_start, refused, sync_data, sync_folder, write_new,
};
use super::folder::BatchFolder;
use super::line::{Damage, HIGHEST, JournalEntry, answer_lines, encode, scan};
use super::name::{objection, spelled_as_file};
use crate::prose::visible;

/// A station opened for writing. Nobody else can open it until this is dropped.
#[derive(Debug)]
pub struct Station {
    name: String,
    path: PathBuf,
    /// Open for its lock alone.
    lock: File,
    length: u64,
    next: u64,
    last_after: u64,
    in_doubt: bool,
    /// Waits until the disk has a line. A test puts a disk that fails here.
    sync: fn(&File) -> io::Result<()>,
}

/// What opening a station found.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct OpenReport {
    /// What is wrong in the file. What the events mean is not looked at here.
    pub damage: Vec<Damage>,
    /// Where a torn tail was put.
    pub kept_aside: Option<PathBuf>,
}

impl Station {
    /// Opens a station for writing. `holder` tells the next one who has it, in words.
    ///
    /// A torn tail is kept beside the file and cut off; every other damage is left as it is.
    pub fn open(
        folder: &BatchFolder,
        station: &str,
        holder: &str,
    ) -> Result<(Station, OpenReport), StoreError> {
        let name = spelled_as_file(station);
        if let Some(why) = objection(&name) {
            return Err(StoreError::BadName { what: "station", name: station.to_owned(), why });
        }
        let lock = lock(folder.path(), &name, holder)?;
        let path = folder.station_file(&name);
        if !path.exists() {
            if !keeps_added_lines(folder.path())
                .map_err(refused("try the disk at", folder.path()))?
            {
                return Err(StoreError::LosesLines { folder: folder.path().to_owned() });
            }
            write_new(&path, b"").map_err(refused("make", &path))?;
        }
        // Always, because whoever made the file may have stopped before its name was on the disk.
        sync_folder(folder.path()).map_err(refused("open", folder.path()))?;
        // Lost permission is better learned now than at the first reading.
        OpenOptions::new().append(true).open(&path).map_err(refused("open", &path))?;
        let bytes = fs::read(&path).map_err(refused("read", &path))?;
        let found = scan::<IgnoredAny>(&bytes, &name);
        let torn = &bytes[found.whole as usize..];
        let kept_aside = if torn.is_empty() {
            None
        } else {
            let aside = keep_aside(&path, found.whole, torn)
                .map_err(refused("set aside the torn end of", &path))?;
            cut(&path, found.whole).map_err(refused("cut the torn end off", &path))?;
            Some(aside)
        };
        let station = Station {
            name,
            path,
            lock,
            length: found.whole,
            next: found.next,
            last_after: found.entries.iter().map(|entry| entry.after).max().unwrap_or(0),
            in_doubt: false,
            sync: sync_data,
        };
        Ok((station, OpenReport { damage: found.damage, kept_aside }))
    }

    /// Returns the station as its lines and its file spell it.
    pub fn name(&self) -> &str {
        &self.name
    }

    /// Appends what one answer led to and returns it once it is on the disk: all of it, or none.
    ///
    /// `after` is [`next_after`](super::next_after) of everything read so far; it is raised where
    /// this station's own last line asks for more.
    pub fn append<E: Serialize>(
        &mut self,
        at: DateTime<FixedOffset>,
        after: u64,
        who: Option<String>,
        events: Vec<E>,
    ) -> Result<Vec<JournalEntry<E>>, StoreError> {
        if events.is_empty() {
            return Ok(Vec::new());
        }
        let (first, after) = self.numbers(after, events.len() as u64)?;
        let entries = answer_lines(&self.name, (first, after), at, who.as_deref(), events);
        let text: String = entries.iter().map(encode).collect();
        self.write(text.as_bytes())?;
        let last = entries.len() as u64 - 1;
        (self.next, self.last_after) = (first + last + 1, after + last);
        Ok(entries)
    }

    /// The numbers the next line takes, when there are enough left for so many.
    fn numbers(&self, after: u64, lines: u64) -> Result<(u64, u64), StoreError> {
        if self.in_doubt {
            return Err(StoreError::OpenAgain { path: self.path.clone() });
        }
        let (n, after) = (self.next, after.max(self.last_after + 1));
        if n.max(after) + lines > HIGHEST + 1 {
            return Err(StoreError::OutOfNumbers { path: self.path.clone() });
        }
        Ok((n, after))
    }

    fn write(&mut self, line: &[u8]) -> Result<(), StoreError> {
        let not_recorded =
            |path: &Path, why| StoreError::NotRecorded { path: path.to_owned(), why };
        // Opened anew for each line: a file replaced or a disk pulled out since the last one would
        // otherwise swallow lines nobody can ever read.
        let mut file = OpenOptions::new()
            .append(true)
            .open(&self.path)
            .map_err(|why| not_recorded(&self.path, why))?;
        let found = file.metadata().map_err(|why| not_recorded(&self.path, why))?.len();
        if found != self.length {
            self.in_doubt = true;
            return Err(StoreError::ChangedOutside {
                path: self.path.clone(),
                expected: self.length,
                found,
            });
        }
        // In one call, so that stopping half-way leaves at most one torn tail.
        if let Err(why) = file.write_all(line) {
            if cut(&self.path, self.length).is_ok() {
                return Err(not_recorded(&self.path, why));
            }
            self.in_doubt = true;
            return Err(StoreError::Unsure { path: self.path.clone(), why });
        }
        if let Err(why) = (self.sync)(&file) {
            // Syncing again would prove nothing: the system may already have forgotten the bytes.
            self.in_doubt = true;
            let _ = cut(&self.path, self.length);
            return Err(StoreError::Unsure { path: self.path.clone(), why });
        }
        self.length += line.len() as u64;
        Ok(())
    }
}

impl Drop for Station {
    fn drop(&mut self) {
        // Closing the file would leave it locked while a program started meanwhile still has a copy
        // of the handle. Should this fail, closing it is all that is left.
        let _ = self.lock.unlock();
    }
}

/// Takes the lock of a station, or says who has it.
///
/// The lock is a file of its own, which is never deleted: on some systems a locked file cannot be
/// read by others, and a deleted one could be locked twice.
fn lock(folder: &Path, station: &str, holder: &str) -> Result<File, StoreError> {
    let path = folder.join(format!("{station}.lock"));
    let opened = OpenOptions::new().create(true).truncate(false).write(true).open(&path);
    let mut lock = opened.map_err(refused("open", &path))?;
    match lock.try_lock() {
        Ok(()) => {}
        Err(TryLockError::WouldBlock) => {
            let by = visible(read_start(&path, 200).unwrap_or_default().trim());
            let by = if by.is_empty() { "in another terminal".to_owned() } else { by };
            return Err(StoreError::Held { station: station.to_owned(), by });
        }
        Err(TryLockError::Error(why)) => return Err(refused("lock", &path)(why)),
    }
    lock.set_len(0)
        .and_then(|()| lock.write_all(holder.as_bytes()))
        .map_err(refused("write", &path))?;
    Ok(lock)
}

/// Puts a torn tail into a file of its own, never over an earlier one.
fn keep_aside(path: &Path, offset: u64, torn: &[u8]) -> io::Result<PathBuf> {
    let folder = path.parent().expect("a station's file is in its batch's folder");
    let mut count = 1;
    loop {
        let mut aside = path.as_os_str().to_owned();
        aside.push(format!(".torn-{offset}"));
        if count > 1 {
            aside.push(format!("-{count}"));
        }
        let aside = PathBuf::from(aside);
        match write_new(&aside, torn) {
            Err(why) if why.kind() == ErrorKind::AlreadyExists => count += 1,
            Err(why) => {
                // Best effort: half a copy would only puzzle whoever finds it.
                let _ = fs::remove_file(&aside);
                return Err(why);
            }
            Ok(()) => {
                sync_folder(folder)?;
                return Ok(aside);
            }
        }
    }
}

/// Shortens a file, through a handle that may: one opened for appending may not on Windows.
fn cut(path: &Path, length: u64) -> io::Result<()> {
    let file = OpenOptions::new().write(true).open(path)?;
    file.set_len(length)?;
    file.sync_all()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::journal::Home;

    /// A line that the disk may not have is not acknowledged, is cut off again,
    /// and nothing more is written until the station is opened anew.
    #[test]
    fn a_line_the_disk_may_not_have_is_not_acknowledged() {
        let place = tempfile::tempdir().expect("a folder for the test");
        let home = Home::locate(Some(place.path().to_owned())).expect("a folder was named");
        let folder = BatchFolder::create(&home, "ferry bench", "{}", "{}").expect("created");
        let at = "2026-11-25T08:00:00Z".parse().expect("a time with its zone");
        let (mut station, _) = Station::open(&folder, "saw", "the test").expect("opened");
        station.append(at, 1, None, vec!["first"]).expect("recorded");
        let before = fs::read(&station.path).expect("readable");
        station.sync = |_| Err(ErrorKind::StorageFull.into());
        let refused = station.append(at, 2, None, vec!["second"]).expect_err("the disk refuses");
        assert!(matches!(refused, StoreError::Unsure { .. }), "{refused}");
        assert_eq!(fs::read(&station.path).expect("readable"), before);
        station.sync = sync_data;
        let refused = station.append(at, 2, None, vec!["second"]).expect_err("it is in doubt");
        assert!(matches!(refused, StoreError::OpenAgain { .. }), "{refused}");
        drop(station);
        let (mut station, _) = Station::open(&folder, "saw", "the test").expect("opened");
        assert_eq!(station.append(at, 2, None, vec!["second"]).expect("recorded")[0].n, 2);
    }

    /// Several lines at once are numbered on from the last, and so is their place in
    /// the order of all stations.
    #[test]
    fn lines_are_numbered_on() {
        let place = tempfile::tempdir().expect("a folder for the test");
        let home = Home::locate(Some(place.path().to_owned())).expect("a folder was named");
        let folder = BatchFolder::create(&home, "ferry bench", "{}", "{}").expect("created");
        let at = "2026-11-25T08:00:00Z".parse().expect("a time with its zone");
        let (mut station, _) = Station::open(&folder, "saw", "the test").expect("opened");
        let mut append = |after, events: Vec<&'static str>| {
            let entries = station.append(at, after, None, events).expect("recorded");
            entries.iter().map(|entry| (entry.n, entry.after)).collect::<Vec<(u64, u64)>>()
        };
        assert_eq!(append(5, vec!["a", "b", "c"]), [(1, 5), (2, 6), (3, 7)]);
        assert_eq!(append(8, vec!["d"]), [(4, 8)]);
        // The others are further on by now.
        assert_eq!(append(20, vec!["e", "f"]), [(5, 20), (6, 21)]);
    }

    /// Each torn tail has a file of its own.
    #[test]
    fn torn_tails_are_kept_beside_one_another() {
        let place = tempfile::tempdir().expect("a folder for the test");
        let path = place.path().join("saw.jsonl");
        let aside = |torn: &[u8]| {
            let kept = keep_aside(&path, 17, torn).expect("kept");
            kept.file_name().expect("a name").to_string_lossy().into_owned()
        };
        let named = [aside(b"first"), aside(b"second"), aside(b"third")];
        assert_eq!(named, ["saw.jsonl.torn-17", "saw.jsonl.torn-17-2", "saw.jsonl.torn-17-3"]);
        let second = place.path().join("saw.jsonl.torn-17-2");
        assert_eq!(fs::read(second).expect("read"), b"second");
    }
}
