//! The one writer of a station's file: a line is on the disk before anyone hears it is recorded.
//! It must not know what the events mean, nor what time it is.

use std::fs::{File, TryLockError};
use std::io::{self, ErrorKind, Write};
use std::path::{Path, PathBuf};
use std::time::Duration;

use chrono::{DateTime, FixedOffset};
use serde::Serialize;
use serde::de::IgnoredAny;

use super::damage::Damage;
use super::disk::{Disk, read_start};
use super::folder::BatchFolder;
use super::line::{HIGHEST, JournalEntry, LineVersion, answer_lines, encode};
use super::merge::LinesSeen;
use super::name::{objection, spelled_as_file};
use super::scan::scan;
use super::store_error::{StoreError, refused};
use crate::prose::visible;

/// How long a look at a lock lasts at most.
const FOR_A_LOOK: Duration = Duration::from_millis(3);

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
    /// When the batch began, until a line has said so.
    begun: Option<DateTime<FixedOffset>>,
    disk: Disk,
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
        let disk = folder.disk.clone();
        let lock = lock(&disk, folder.path(), &name, holder)?;
        let path = folder.station_file(&name);
        if !path.exists() {
            if !disk
                .keeps_added_lines(folder.path())
                .map_err(refused("try the disk at", folder.path()))?
            {
                return Err(StoreError::LosesLines { folder: folder.path().to_owned() });
            }
            disk.write_new(&path, b"").map_err(refused("make", &path))?;
        }
        // Always, because whoever made the file may have stopped before its name was on the disk.
        disk.sync_folder(folder.path()).map_err(refused("open", folder.path()))?;
        // Lost permission is better learned now than at the first reading.
        disk.open_end(&path).map_err(refused("open", &path))?;
        let bytes = disk.read(&path).map_err(refused("read", &path))?;
        let found = scan::<IgnoredAny>(&bytes, &name);
        let torn = &bytes[found.whole as usize..];
        let kept_aside = if torn.is_empty() {
            None
        } else {
            let aside = keep_aside(&disk, &path, found.whole, torn)
                .map_err(refused("set aside the torn end of", &path))?;
            disk.cut(&path, found.whole).map_err(refused("cut the torn end off", &path))?;
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
            begun: None,
            disk,
        };
        Ok((station, OpenReport { damage: found.damage, kept_aside }))
    }

    /// Returns the station as its lines and its file spell it.
    pub fn name(&self) -> &str {
        &self.name
    }

    /// Leaves out the numbers up to this one: others had seen lines of this station that
    /// its file lacks, and no number ever means two lines.
    pub(super) fn leave_out(&mut self, last: u64) {
        self.next = self.next.max(last + 1);
    }

    /// Has the next line say when the batch began.
    pub(super) fn belongs_to(&mut self, begun: DateTime<FixedOffset>) {
        self.begun = Some(begun);
    }

    /// Appends what one answer led to and returns it once it is on the disk: all of it, or none.
    ///
    /// `seen` is everything read so far; a line never comes before this station's last one.
    pub fn append<E: Serialize + LineVersion>(
        &mut self,
        at: DateTime<FixedOffset>,
        seen: &LinesSeen,
        who: Option<&str>,
        events: Vec<E>,
    ) -> Result<Vec<JournalEntry<E>>, StoreError> {
        if events.is_empty() {
            return Ok(Vec::new());
        }
        if self.in_doubt {
            return Err(StoreError::OpenAgain { path: self.path.clone() });
        }
        if self.next + events.len() as u64 > HIGHEST + 1 {
            return Err(StoreError::OutOfNumbers { path: self.path.clone() });
        }
        let after = seen.next_place().max(self.last_after + 1);
        let others = seen.others(&self.name);
        let mut entries = answer_lines(&self.name, (self.next, after), &others, at, who, events);
        entries[0].begun = self.begun;
        let text: String = entries.iter().map(encode).collect();
        self.write(text.as_bytes())?;
        self.begun = None;
        self.next += entries.len() as u64;
        self.last_after = entries[entries.len() - 1].after;
        Ok(entries)
    }

    fn write(&mut self, lines: &[u8]) -> Result<(), StoreError> {
        let not_recorded =
            |path: &Path, why| StoreError::NotRecorded { path: path.to_owned(), why };
        // Opened anew for each answer: a file replaced or a disk pulled out since the last one
        // would otherwise swallow lines nobody can ever read.
        let mut file =
            self.disk.open_end(&self.path).map_err(|why| not_recorded(&self.path, why))?;
        let found = self.disk.length_of(&file).map_err(|why| not_recorded(&self.path, why))?;
        if found != self.length {
            self.in_doubt = true;
            return Err(StoreError::ChangedOutside {
                path: self.path.clone(),
                expected: self.length,
                found,
            });
        }
        // A sync that failed is never repeated: the system may already have forgotten the
        // bytes. But a file that was cut back to its old end holds none of them for certain.
        let written = self.disk.write(&mut file, lines).and_then(|()| self.disk.sync_data(&file));
        if let Err(why) = written {
            if self.disk.cut(&self.path, self.length).is_ok() {
                return Err(not_recorded(&self.path, why));
            }
            self.in_doubt = true;
            return Err(StoreError::Unsure { path: self.path.clone(), why });
        }
        self.length += lines.len() as u64;
        Ok(())
    }

    /// How far its file reaches by what it wrote.
    pub(super) fn length(&self) -> u64 {
        self.length
    }
}

impl Drop for Station {
    fn drop(&mut self) {
        // Closing the file would leave it locked while a program started meanwhile still has a copy
        // of the handle. Should this fail, closing it is all that is left.
        let _ = self.lock.unlock();
    }
}

/// Who has a station open, in words: this program, since that time.
pub fn holder(since: DateTime<FixedOffset>) -> String {
    format!("process {} since {}", std::process::id(), since.format("%H:%M"))
}

/// Takes the lock of a station, or says who has it.
///
/// The lock is a file of its own, which is never deleted: on some systems a locked file cannot be
/// read by others, and a deleted one could be locked twice.
pub(super) fn lock(
    disk: &Disk,
    folder: &Path,
    station: &str,
    holder: &str,
) -> Result<File, StoreError> {
    let path = folder.join(format!("{station}.lock"));
    let mut lock = disk.open_lock(&path).map_err(refused("open", &path))?;
    match locked(&lock) {
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

/// Takes a lock. Whoever only looks whether a station is open has it for a moment, so it
/// is tried a few times.
fn locked(lock: &File) -> Result<(), TryLockError> {
    const TRIES: usize = 5;
    for _ in 1..TRIES {
        match lock.try_lock() {
            Err(TryLockError::WouldBlock) => std::thread::sleep(FOR_A_LOOK),
            tried => return tried,
        }
    }
    lock.try_lock()
}

/// Puts a torn tail into a file of its own, never over an earlier one.
fn keep_aside(disk: &Disk, path: &Path, offset: u64, torn: &[u8]) -> io::Result<PathBuf> {
    let folder = path.parent().expect("a station's file is in its batch's folder");
    let mut count = 1;
    loop {
        let mut aside = path.as_os_str().to_owned();
        aside.push(format!(".torn-{offset}"));
        if count > 1 {
            aside.push(format!("-{count}"));
        }
        let aside = PathBuf::from(aside);
        match disk.write_new(&aside, torn) {
            Err(why) if why.kind() == ErrorKind::AlreadyExists => count += 1,
            Err(why) => return Err(why),
            Ok(()) => {
                disk.sync_folder(folder)?;
                return Ok(aside);
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use std::collections::BTreeMap;
    use std::fs;
    use std::sync::{Arc, Mutex};

    use super::*;
    use crate::journal::{DiskCall, DiskFault, DiskFaults, Home};

    /// Makes the next calls of these kinds fail.
    #[derive(Debug, Default)]
    struct FailsNext(Mutex<Vec<(DiskCall, DiskFault)>>);

    impl DiskFaults for FailsNext {
        fn fault(&self, call: DiskCall) -> Option<DiskFault> {
            let mut next = self.0.lock().expect("one thread");
            let at = next.iter().position(|(fails, _)| *fails == call)?;
            Some(next.remove(at).1)
        }
    }

    /// Somebody who has seen a line of another station at this place in the order.
    fn seen(after: u64) -> LinesSeen {
        LinesSeen::of(&[JournalEntry {
            n: 1,
            after,
            at: at(),
            station: "planer".to_owned(),
            who: None,
            answer: None,
            seen: BTreeMap::new(),
            begun: None,
            event: "",
        }])
    }

    fn at() -> DateTime<FixedOffset> {
        "2026-11-25T08:00:00Z".parse().expect("a time with its zone")
    }

    /// A batch of the test's own on a disk that fails when told.
    fn batch(place: &tempfile::TempDir) -> (BatchFolder, Arc<FailsNext>) {
        let faults = Arc::new(FailsNext::default());
        let home = Home::locate(Some(place.path().to_owned())).expect("a folder was named");
        let home = home.on(Disk::failing(faults.clone()));
        (BatchFolder::create(&home, "ferry bench", "{}", "{}").expect("created"), faults)
    }

    /// A line that the disk may not have is cut off again: then it is not recorded, and
    /// may be tried again.
    #[test]
    fn a_line_the_disk_may_not_have_is_not_acknowledged() {
        let place = tempfile::tempdir().expect("a folder for the test");
        let (folder, faults) = batch(&place);
        let (mut station, _) = Station::open(&folder, "saw", "the test").expect("opened");
        station.append(at(), &seen(0), None, vec!["first"]).expect("recorded");
        let before = fs::read(&station.path).expect("readable");
        for fault in [
            (DiskCall::Sync, DiskFault::Before(ErrorKind::StorageFull)),
            (DiskCall::Sync, DiskFault::After(ErrorKind::StorageFull)),
            (DiskCall::Write, DiskFault::Half(ErrorKind::StorageFull)),
            (DiskCall::Write, DiskFault::After(ErrorKind::StorageFull)),
        ] {
            faults.0.lock().expect("one thread").push(fault);
            let refused = station.append(at(), &seen(1), None, vec!["second"]);
            let refused = refused.expect_err("the disk refuses");
            assert!(matches!(refused, StoreError::NotRecorded { .. }), "{fault:?}: {refused}");
            assert_eq!(fs::read(&station.path).expect("readable"), before, "{fault:?}");
        }
        assert_eq!(station.append(at(), &seen(1), None, vec!["second"]).expect("recorded")[0].n, 2);
    }

    /// Where it can't even be cut off, nobody can tell, and nothing more is written
    /// until the station is opened anew.
    #[test]
    fn what_cannot_be_told_is_looked_at_first() {
        let place = tempfile::tempdir().expect("a folder for the test");
        let (folder, faults) = batch(&place);
        let (mut station, _) = Station::open(&folder, "saw", "the test").expect("opened");
        faults.0.lock().expect("one thread").extend([
            (DiskCall::Sync, DiskFault::Before(ErrorKind::StorageFull)),
            (DiskCall::Cut, DiskFault::Before(ErrorKind::StorageFull)),
        ]);
        let refused = station.append(at(), &seen(0), None, vec!["first"]).expect_err("refused");
        assert!(matches!(refused, StoreError::Unsure { .. }), "{refused}");
        let refused = station.append(at(), &seen(0), None, vec!["first"]).expect_err("in doubt");
        assert!(matches!(refused, StoreError::OpenAgain { .. }), "{refused}");
        drop(station);
        let (mut station, _) = Station::open(&folder, "saw", "the test").expect("opened");
        assert_eq!(station.append(at(), &seen(1), None, vec!["second"]).expect("recorded")[0].n, 2);
    }

    /// Several lines at once are numbered on from the last, and so is their place in
    /// the order of all stations.
    #[test]
    fn lines_are_numbered_on() {
        let place = tempfile::tempdir().expect("a folder for the test");
        let (folder, _) = batch(&place);
        let (mut station, _) = Station::open(&folder, "saw", "the test").expect("opened");
        let mut append = |after: u64, events: Vec<&'static str>| {
            let entries = station.append(at(), &seen(after - 1), None, events).expect("recorded");
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
            let kept = keep_aside(&Disk::default(), &path, 17, torn).expect("kept");
            kept.file_name().expect("a name").to_string_lossy().into_owned()
        };
        let named = [aside(b"first"), aside(b"second"), aside(b"third")];
        assert_eq!(named, ["saw.jsonl.torn-17", "saw.jsonl.torn-17-2", "saw.jsonl.torn-17-3"]);
        let second = place.path().join("saw.jsonl.torn-17-2");
        assert_eq!(fs::read(second).expect("read"), b"second");
    }
}
