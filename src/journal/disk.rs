//! The disk as the journal uses it, call by call. A test can make any call fail.

use std::ffi::OsString;
use std::fmt;
use std::fs::{self, File, OpenOptions};
use std::io::{self, ErrorKind, Read, Seek, SeekFrom, Write};
use std::panic::panic_any;
use std::path::Path;
use std::sync::Arc;

/// What a call on the disk does.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum DiskCall {
    /// Lists a folder.
    List,
    /// Looks how long a file is.
    Look,
    /// Reads a file.
    Read,
    /// Opens a file.
    Open,
    /// Makes a file or a folder.
    Make,
    /// Writes to a file.
    Write,
    /// Waits until a file or a name is on the disk.
    Sync,
    /// Shortens a file.
    Cut,
    /// Renames a folder or a file.
    Rename,
}

/// How a call goes wrong.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum DiskFault {
    /// Nothing is done.
    Before(ErrorKind),
    /// A part of what is written arrives; any other call does nothing.
    Half(ErrorKind),
    /// All of it is done, and an error is returned all the same.
    After(ErrorKind),
    /// The program dies before the call.
    Dies,
    /// The program dies when a part of what it writes has arrived.
    DiesHalf,
}

/// Decides which calls go wrong.
pub trait DiskFaults: fmt::Debug + Send + Sync {
    /// Asked before each call; none lets it be made.
    fn fault(&self, call: DiskCall) -> Option<DiskFault>;
}

/// What a test catches where the program dies at a call.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Died;

/// A disk, which works as the system's does unless a test says otherwise.
#[derive(Clone, Debug, Default)]
pub struct Disk {
    faults: Option<Arc<dyn DiskFaults>>,
}

/// Two places are the same on whatever disk they are.
impl PartialEq for Disk {
    fn eq(&self, _: &Disk) -> bool {
        true
    }
}

impl Eq for Disk {}

impl Disk {
    /// A disk whose calls fail as it is told.
    pub fn failing(faults: Arc<dyn DiskFaults>) -> Disk {
        Disk { faults: Some(faults) }
    }

    fn call<T>(&self, call: DiskCall, make: impl FnOnce() -> io::Result<T>) -> io::Result<T> {
        let Some(faults) = &self.faults else { return make() };
        match faults.fault(call) {
            None => make(),
            Some(DiskFault::Before(why) | DiskFault::Half(why)) => Err(why.into()),
            Some(DiskFault::After(why)) => make().and(Err(why.into())),
            Some(DiskFault::Dies | DiskFault::DiesHalf) => panic_any(Died),
        }
    }

    /// The names in a folder.
    pub(super) fn names(&self, folder: &Path) -> io::Result<Vec<OsString>> {
        let list = || fs::read_dir(folder)?.map(|item| item.map(|item| item.file_name())).collect();
        self.call(DiskCall::List, list)
    }

    /// How many bytes a file has.
    pub(super) fn length(&self, path: &Path) -> io::Result<u64> {
        self.call(DiskCall::Look, || path.metadata().map(|known| known.len()))
    }

    /// How many bytes an open file has.
    pub(super) fn length_of(&self, file: &File) -> io::Result<u64> {
        self.call(DiskCall::Look, || file.metadata().map(|known| known.len()))
    }

    /// All bytes of a file.
    pub(super) fn read(&self, path: &Path) -> io::Result<Vec<u8>> {
        self.call(DiskCall::Read, || fs::read(path))
    }

    /// All bytes of a file from a place on.
    pub(super) fn read_from(&self, path: &Path, place: u64) -> io::Result<Vec<u8>> {
        self.call(DiskCall::Read, || {
            let mut file = File::open(path)?;
            file.seek(SeekFrom::Start(place))?;
            let mut bytes = Vec::new();
            file.read_to_end(&mut bytes)?;
            Ok(bytes)
        })
    }

    /// Opens a file to write at its end.
    pub(super) fn open_end(&self, path: &Path) -> io::Result<File> {
        self.call(DiskCall::Open, || OpenOptions::new().append(true).open(path))
    }

    /// Opens a file for its lock. No link is followed: what it leads to would be written over.
    pub(super) fn open_lock(&self, path: &Path) -> io::Result<File> {
        let mut options = OpenOptions::new();
        options.create(true).truncate(false).write(true);
        #[cfg(unix)]
        {
            use std::os::unix::fs::OpenOptionsExt;
            options.custom_flags(rustix::fs::OFlags::NOFOLLOW.bits() as i32);
        }
        self.call(DiskCall::Open, || options.open(path))
    }

    /// Writes bytes in one call, so that stopping half-way leaves at most one torn tail.
    pub(super) fn write(&self, file: &mut File, bytes: &[u8]) -> io::Result<()> {
        let half = &bytes[..bytes.len() / 2];
        match self.faults.as_ref().and_then(|faults| faults.fault(DiskCall::Write)) {
            None => file.write_all(bytes),
            Some(DiskFault::Before(why)) => Err(why.into()),
            Some(DiskFault::Half(why)) => file.write_all(half).and(Err(why.into())),
            Some(DiskFault::After(why)) => file.write_all(bytes).and(Err(why.into())),
            Some(DiskFault::Dies) => panic_any(Died),
            Some(DiskFault::DiesHalf) => {
                let _ = file.write_all(half);
                panic_any(Died)
            }
        }
    }

    /// Waits until the disk has what was written to a file.
    pub(super) fn sync_data(&self, file: &File) -> io::Result<()> {
        self.call(DiskCall::Sync, || file.sync_data())
    }

    /// Waits until the names in a folder are on the disk. Windows has no such call.
    pub(super) fn sync_folder(&self, folder: &Path) -> io::Result<()> {
        self.call(DiskCall::Sync, || {
            #[cfg(unix)]
            File::open(folder)?.sync_all()?;
            #[cfg(not(unix))]
            let _ = folder;
            Ok(())
        })
    }

    /// Writes a file that must not exist yet, and waits until the disk has it. Where it
    /// can't, nothing of it stays.
    pub(super) fn write_new(&self, path: &Path, bytes: &[u8]) -> io::Result<()> {
        let mut file = self.call(DiskCall::Make, || File::create_new(path))?;
        let written = self
            .write(&mut file, bytes)
            .and_then(|()| self.call(DiskCall::Sync, || file.sync_all()));
        if written.is_err() {
            // Best effort: half a file would only puzzle whoever finds it.
            let _ = fs::remove_file(path);
        }
        written
    }

    /// Writes a whole file in place of the one before, or nothing. It is its owner's alone.
    pub(super) fn replace(&self, path: &Path, bytes: &[u8]) -> io::Result<()> {
        let folder = path.parent().unwrap_or(path);
        let mut beside = self.call(DiskCall::Make, || tempfile::NamedTempFile::new_in(folder))?;
        self.write(beside.as_file_mut(), bytes)?;
        self.call(DiskCall::Sync, || beside.as_file().sync_all())?;
        self.call(DiskCall::Rename, || Ok(beside.persist(path).map(drop)?))?;
        self.sync_folder(folder)
    }

    /// Shortens a file, through a handle that may: one opened for appending may not on Windows.
    pub(super) fn cut(&self, path: &Path, length: u64) -> io::Result<()> {
        self.call(DiskCall::Cut, || {
            let file = OpenOptions::new().write(true).open(path)?;
            file.set_len(length)?;
            file.sync_all()
        })
    }

    /// Makes a folder and those above it.
    pub(super) fn make_folder(&self, path: &Path) -> io::Result<()> {
        self.call(DiskCall::Make, || fs::create_dir_all(path))
    }

    /// Makes a folder under a new name, which goes away unless it is kept.
    pub(super) fn make_unfinished(
        &self,
        builder: &tempfile::Builder<'_, '_>,
        within: &Path,
    ) -> io::Result<tempfile::TempDir> {
        self.call(DiskCall::Make, || builder.tempdir_in(within))
    }

    /// Gives a folder its name.
    pub(super) fn rename(&self, from: &Path, to: &Path) -> io::Result<()> {
        self.call(DiskCall::Rename, || fs::rename(from, to))
    }

    /// Tests in a file of its own whether lines added through two handles in turn all arrive.
    pub(super) fn keeps_added_lines(&self, folder: &Path) -> io::Result<bool> {
        self.call(DiskCall::Make, || {
            let trial = tempfile::Builder::new().prefix(".trial-").tempfile_in(folder)?;
            let mut one = OpenOptions::new().append(true).open(trial.path())?;
            let mut other = OpenOptions::new().append(true).open(trial.path())?;
            one.write_all(b"first\n")?;
            other.write_all(b"second\n")?;
            one.write_all(b"third\n")?;
            one.sync_data()?;
            Ok(fs::read(trial.path())? == b"first\nsecond\nthird\n")
        })
    }
}

/// Reads at most so many bytes of a file, taking what is not text as unknown characters.
pub(super) fn read_start(path: &Path, most: u64) -> io::Result<String> {
    let mut bytes = Vec::new();
    File::open(path)?.take(most).read_to_end(&mut bytes)?;
    Ok(String::from_utf8_lossy(&bytes).into_owned())
}

#[cfg(all(test, target_os = "linux"))]
mod tests {
    use super::*;

    /// Always: A line is acknowledged only after the disk has it.
    ///
    /// The system's own folder of processes is on no disk, and the system
    /// refuses to wait for one: so the calls are really made.
    #[test]
    fn the_system_is_asked_to_wait_for_the_disk() {
        let on_no_disk = Path::new("/proc");
        let refused = Disk::default().sync_folder(on_no_disk).expect_err("it is on no disk");
        assert_eq!(refused.kind(), io::ErrorKind::InvalidInput);
        let file = fs::File::open(on_no_disk.join("version")).expect("the system's version");
        let refused = Disk::default().sync_data(&file).expect_err("it is on no disk");
        assert_eq!(refused.kind(), io::ErrorKind::InvalidInput);
    }

    /// No more of a file than was asked for, and signs that are no text are replaced.
    #[test]
    fn the_start_of_a_file_is_read() {
        let place = tempfile::tempdir().expect("a folder for the test");
        let path = place.path().join("bench.jsonl");
        fs::write(&path, b"first\nsecond\xff").expect("written");
        assert_eq!(read_start(&path, 5).expect("read"), "first");
        assert_eq!(read_start(&path, 99).expect("read"), "first\nsecond\u{fffd}");
        assert!(read_start(&place.path().join("none"), 5).is_err());
    }

    /// The folder itself is tried, and nothing of the trial stays in it.
    #[test]
    fn added_lines_are_tried_where_the_journal_is() {
        let place = tempfile::tempdir().expect("a folder for the test");
        let disk = Disk::default();
        assert!(disk.keeps_added_lines(place.path()).expect("tried"));
        assert!(disk.names(place.path()).expect("listed").is_empty());
        let refused = disk.keeps_added_lines(&place.path().join("none")).expect_err("no folder");
        assert_eq!(refused.kind(), io::ErrorKind::NotFound);
    }

    /// What is there already is never written over.
    #[test]
    fn a_new_file_is_new() {
        let place = tempfile::tempdir().expect("a folder for the test");
        let path = place.path().join("bench.jsonl");
        Disk::default().write_new(&path, b"first").expect("written");
        let refused = Disk::default().write_new(&path, b"second").expect_err("it is there");
        assert_eq!(refused.kind(), io::ErrorKind::AlreadyExists);
        assert_eq!(fs::read(&path).expect("read"), b"first");
    }
}
