//! What the disk can refuse, in words for whoever is at the machine: what to do first, the
//! place last, because a narrow screen cuts off the end.

use std::io::{self, ErrorKind};
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
    #[error("{} already exists; choose another name for the batch", shown(path))]
    Exists {
        /// The folder.
        path: PathBuf,
    },
    /// No batch has the name.
    #[error(
        "there is no batch {name:?} in {}; `benchway batches` lists those there are",
        shown(home)
    )]
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
    #[error(
        "the disk at {} loses lines added to a file; keep batches on another disk (--home DIR)",
        shown(folder)
    )]
    LosesLines {
        /// The folder of the batch.
        folder: PathBuf,
    },
    /// The disk refused something other than a new line.
    #[error("cannot {doing} {}: {}", shown(path), system_words(why))]
    Disk {
        /// What was being done.
        doing: &'static str,
        /// The file.
        path: PathBuf,
        /// What the system said.
        why: io::Error,
    },
    /// The disk refused a line and nothing of it remains; it may be tried again.
    #[error("Not recorded: {}. Then enter it again. ({})", system_words(why), shown(path))]
    NotRecorded {
        /// The file.
        path: PathBuf,
        /// What the system said.
        why: io::Error,
    },
    /// The disk refused a line and it cannot be told whether it remains.
    #[error(
        "Can't tell whether this was recorded. Open the station again and look before you enter it again. {}. ({})",
        sentence(why),
        shown(path)
    )]
    Unsure {
        /// The file.
        path: PathBuf,
        /// What the system said.
        why: io::Error,
    },
    /// Something else wrote to the file, or cut it.
    #[error(
        "Not recorded: open the station again. Something else changed its file, which has {found} bytes where this \
         station left {expected}. ({})",
        shown(path)
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
    #[error(
        "Not recorded: open the station again. Its file is in doubt since an earlier failure. ({})",
        shown(path)
    )]
    OpenAgain {
        /// The file.
        path: PathBuf,
    },
    /// The next number would be larger than a line may carry.
    #[error(
        "Not recorded: work as another station, for the line numbers of this one have run out. ({})",
        shown(path)
    )]
    OutOfNumbers {
        /// The file.
        path: PathBuf,
    },
    /// A file of the lead's that somebody saved between its reading and its writing.
    #[error("{} was changed while this ran, and stays as it is; do the same again", shown(path))]
    ChangedMeanwhile {
        /// The file.
        path: PathBuf,
    },
    /// The home folder has a shop file already.
    #[error("this shop has its shop file already: {}; it stays as it is", shown(path))]
    ShopExists {
        /// The file.
        path: PathBuf,
    },
    /// A newer version of the program has written in this batch.
    #[error(
        "Not recorded: bring this terminal up to date. A newer version of benchway has written in this batch, and \
         this one can only look at it"
    )]
    Newer,
}

impl StoreError {
    /// The same error where it came before anything was written.
    pub(super) fn before_writing(self) -> StoreError {
        match self {
            StoreError::Disk { path, why, .. } => StoreError::NotRecorded { path, why },
            other => other,
        }
    }
}

/// The reason and, where there is one, the remedy.
pub(super) fn system_words(why: &io::Error) -> String {
    match why.kind() {
        ErrorKind::StorageFull => "the disk is full; make room".to_owned(),
        ErrorKind::QuotaExceeded => "your share of the disk is used up; make room".to_owned(),
        ErrorKind::FileTooLarge => "the file may not grow any larger; raise the limit".to_owned(),
        ErrorKind::PermissionDenied => {
            "writing or reading there is not permitted; have the permission restored".to_owned()
        }
        ErrorKind::ReadOnlyFilesystem => "the disk is read-only; make it writable".to_owned(),
        ErrorKind::NotFound => {
            "its file is not there any more; put the folder or the disk back".to_owned()
        }
        ErrorKind::InvalidData => "it is not text; restore it from a copy".to_owned(),
        _ => format!("the system says \"{why}\"; see to the disk"),
    }
}

/// The same as a sentence of its own.
fn sentence(why: &io::Error) -> String {
    let words = system_words(why);
    let mut letters = words.chars();
    letters.next().map_or_else(String::new, |first| first.to_uppercase().chain(letters).collect())
}

/// A path without anything that would steer the terminal.
fn shown(path: &Path) -> String {
    visible(&path.to_string_lossy())
}

/// Names what was being done, for an error that is not about a new line.
pub(super) fn refused(doing: &'static str, path: &Path) -> impl FnOnce(io::Error) -> StoreError {
    move |why| StoreError::Disk { doing, path: path.to_owned(), why }
}
