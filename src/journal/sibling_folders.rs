//! Which folders are batches: those with a route. There may be thousands, so each
//! is looked into by its name alone where the system can: a whole path takes it longer.

use std::path::{Path, PathBuf};

use super::folder::ROUTE;

/// Whether the folder at a path is a batch.
pub(super) fn is_batch(path: &Path) -> bool {
    path.join(ROUTE).is_file()
}

/// A folder whose folders are looked into.
#[derive(Debug)]
pub(super) struct SiblingFolders {
    parent: PathBuf,
    /// The same folder, where the system can begin a path there.
    #[cfg(unix)]
    open: Option<std::fs::File>,
}

impl SiblingFolders {
    pub(super) fn of(parent: &Path) -> SiblingFolders {
        SiblingFolders {
            parent: parent.to_owned(),
            #[cfg(unix)]
            open: std::fs::File::open(parent).ok(),
        }
    }

    /// Where the folder of this name is.
    pub(super) fn path(&self, name: &str) -> PathBuf {
        self.parent.join(name)
    }

    /// Whether the folder of this name is a batch.
    pub(super) fn has_batch(&self, name: &str) -> bool {
        #[cfg(unix)]
        if let Some(open) = &self.open {
            return has_route(open, name);
        }
        is_batch(&self.path(name))
    }
}

/// What [`is_batch`] says of a name in an open folder.
#[cfg(unix)]
fn has_route(open: &std::fs::File, name: &str) -> bool {
    use rustix::fs::{AtFlags, FileType, statat};
    let route = [name, "/", ROUTE].concat();
    let seen = statat(open, route, AtFlags::empty());
    seen.is_ok_and(|seen| FileType::from_raw_mode(seen.st_mode) == FileType::RegularFile)
}
