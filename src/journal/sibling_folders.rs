//! Which folders are batches: those with a route. There may be thousands, so each
//! is looked into by its name alone where the system can: a whole path takes it longer.

use std::path::Path;

use super::folder::ROUTE;

/// Whether the folder at a path is a batch.
pub(super) fn is_batch(path: &Path) -> bool {
    path.join(ROUTE).is_file()
}

/// A folder whose folders are looked into.
pub(super) struct SiblingFolders<'a> {
    parent: &'a Path,
    /// The same folder, where the system can begin a path there.
    #[cfg(unix)]
    open: Option<std::fs::File>,
}

impl<'a> SiblingFolders<'a> {
    pub(super) fn of(parent: &'a Path) -> SiblingFolders<'a> {
        SiblingFolders {
            parent,
            #[cfg(unix)]
            open: std::fs::File::open(parent).ok(),
        }
    }

    /// Whether the folder of this name is a batch.
    pub(super) fn has_batch(&self, name: &str) -> bool {
        #[cfg(unix)]
        if let Some(open) = &self.open {
            return has_route(open, name);
        }
        is_batch(&self.parent.join(name))
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
