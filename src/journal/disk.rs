//! What the disk can refuse, in words for whoever is at the machine, and how a
//! new name is made to last.

use std::fs::{self, OpenOptions};
use std::io::{self, ErrorKind, Read, Write};
use std::path::{Path, PathBuf};

use crate::prose::visible;

/// Why a batch could not be read or written, and what to do about it.
#[derive(Debug, thiserror::Error)]
pub enum StoreError {
    /// The system names no home folder.
    #[error(
        "cannot tell where batches live on this system; say so with --home DIR or BENCHWAY_HOME"
    )]
    NoHome,
    /// The name cannot be a file or folder name on every disk.
    #[error(
        "{name:?} cannot name a {what}: {why}; choose a name of plain letters, digits and spaces"
    )]
    BadName {
        /// `batch` or `station`.
        what: &'static str,
        /// The name.
        name: String,
        /// Why it cannot be one.
        why: String,
    },
    /// A batch, or something else, already has the name.
    #[error("{} already exists; choose another name for the batch", path.display())]
    Exists {
        /// The folder.
        path: PathBuf,
    },
    /// No batch has the name.
    #[error("there is no batch {name:?} in {}; `benchway batches` lists those there are", home.display())]
    NoSuchBatch {
        /// The name.
        name: String,
        /// The folder of all batches.
        home: PathBuf,
    },
    /// The batch of that name is archived.
    #[error(
        "{} is archived; bring it back first: choose it in `benchway` and press F6",
        visible(name)
    )]
    Archived {
        /// The name.
        name: String,
    },
    /// A station has the batch open, so that it can't be moved.
    #[error(
        "{} is open at the station {}: {by}; close it there first",
        visible(batch),
        visible(station)
    )]
    InUse {
        /// The batch.
        batch: String,
        /// The station.
        station: String,
        /// Who has it, in words.
        by: String,
    },
    /// Someone else has the station open.
    #[error(
        "{station} is already open: {by}; close it there first, or work as another station (--station bench)"
    )]
    Held {
        /// The station.
        station: String,
        /// Who has it, in words.
        by: String,
    },
    /// Lines written at the end of a file did not arrive there.
    #[error("the disk at {} loses lines added to a file; keep batches on another disk (--home DIR)", folder.display())]
    LosesLines {
        /// The folder of the batch.
        folder: PathBuf,
    },
    /// The disk refused something other than a new line.
    #[error("cannot {doing} {}: {}", path.display(), in_words(why))]
    Disk {
        /// What was being done.
        doing: &'static str,
        /// The file.
        path: PathBuf,
        /// What the system said.
        why: io::Error,
    },
    /// The disk refused a line and nothing of it remains; it may be tried again.
    #[error("nothing was recorded in {}: {}; then enter it again", path.display(), in_words(why))]
    NotRecorded {
        /// The file.
        path: PathBuf,
        /// What the system said.
        why: io::Error,
    },
    /// The disk refused a line and it cannot be told whether it remains.
    #[error(
        "cannot tell whether this was recorded in {}: {}; open the station again and look before entering it again",
        path.display(), in_words(why)
    )]
    Unsure {
        /// The file.
        path: PathBuf,
        /// What the system said.
        why: io::Error,
    },
    /// Something else wrote to the file, or cut it.
    #[error(
        "nothing was recorded: {} has {found} bytes where this station left {expected}, so something else changed it; \
         open the station again",
        path.display()
    )]
    ChangedOutside {
        /// The file.
        path: PathBuf,
        /// The length this station left, in bytes.
        expected: u64,
        /// The length found, in bytes.
        found: u64,
    },
    /// An earlier failure left the file in doubt.
    #[error("nothing was recorded: {} is in doubt since an earlier failure; open the station again", path.display())]
    OpenAgain {
        /// The file.
        path: PathBuf,
    },
    /// The next number would be larger than a line may carry.
    #[error("nothing was recorded: the line numbers in {} have run out; work as another station", path.display())]
    OutOfNumbers {
        /// The file.
        path: PathBuf,
    },
}

/// The reason and, where there is one, the remedy.
fn in_words(why: &io::Error) -> String {
    match why.kind() {
        ErrorKind::StorageFull => "the disk is full; make room".to_owned(),
        ErrorKind::QuotaExceeded => "your share of the disk is used up; make room".to_owned(),
        ErrorKind::FileTooLarge => "the file may not grow any larger; raise the limit".to_owned(),
        ErrorKind::PermissionDenied => {
            "writing or reading there is not permitted; have the permission restored".to_owned()
        }
        ErrorKind::ReadOnlyFilesystem => "the disk is read-only; make it writable".to_owned(),
        ErrorKind::NotFound => {
            "it is not there any more; put the folder or the disk back".to_owned()
        }
        ErrorKind::InvalidData => "it is not text; restore it from a copy".to_owned(),
        _ => format!("the system says \"{why}\"; see to the disk"),
    }
}

/// Names what was being done, for an error that is not about a new line.
pub(super) fn refused(doing: &'static str, path: &Path) -> impl FnOnce(io::Error) -> StoreError {
    move |why| StoreError::Disk { doing, path: path.to_owned(), why }
}

/// Writes a file that must not exist yet, and waits until the disk has it.
pub(super) fn write_new(path: &Path, bytes: &[u8]) -> io::Result<()> {
    let mut file = fs::File::create_new(path)?;
    file.write_all(bytes)?;
    file.sync_all()
}

/// Waits until the disk has what was written to a file.
pub(super) fn sync_data(file: &fs::File) -> io::Result<()> {
    file.sync_data()
}

/// Waits until the names in a folder are on the disk. Windows has no such call.
pub(super) fn sync_folder(folder: &Path) -> io::Result<()> {
    #[cfg(unix)]
    fs::File::open(folder)?.sync_all()?;
    #[cfg(not(unix))]
    let _ = folder;
    Ok(())
}

/// Reads at most so many bytes of a file, taking what is not text as unknown characters.
pub(super) fn read_start(path: &Path, most: u64) -> io::Result<String> {
    let mut bytes = Vec::new();
    fs::File::open(path)?.take(most).read_to_end(&mut bytes)?;
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
        let refused = sync_folder(on_no_disk).expect_err("it is on no disk");
        assert_eq!(refused.kind(), io::ErrorKind::InvalidInput);
        let file = fs::File::open(on_no_disk.join("version")).expect("the system's version");
        let refused = sync_data(&file).expect_err("it is on no disk");
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

    /// What is there already is never written over.
    #[test]
    fn a_new_file_is_new() {
        let place = tempfile::tempdir().expect("a folder for the test");
        let path = place.path().join("bench.jsonl");
        write_new(&path, b"first").expect("written");
        let refused = write_new(&path, b"second").expect_err("it is there");
        assert_eq!(refused.kind(), io::ErrorKind::AlreadyExists);
        assert_eq!(fs::read(&path).expect("read"), b"first");
    }
}

/// Tests in a file of its own whether lines added through two handles in turn all arrive.
pub(super) fn keeps_added_lines(folder: &Path) -> io::Result<bool> {
    let trial = tempfile::Builder::new().prefix(".trial-").tempfile_in(folder)?;
    let mut one = OpenOptions::new().append(true).open(trial.path())?;
    let mut other = OpenOptions::new().append(true).open(trial.path())?;
    one.write_all(b"first\n")?;
    other.write_all(b"second\n")?;
    one.write_all(b"third\n")?;
    one.sync_data()?;
    Ok(fs::read(trial.path())? == b"first\nsecond\nthird\n")
}
