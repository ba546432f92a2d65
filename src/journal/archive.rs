//! Batches that are done are moved out of the way: whole, by renaming their folder
//! into one beside them, and back the same way. Nothing in them changes.

use std::fs::TryLockError;
use std::io::ErrorKind;
use std::path::Path;

use super::disk::{Disk, read_start};
use super::folder::BatchFolder;
use super::home::{Home, archived_path, path_of};
use super::search::BatchSearch;
use super::sibling_folders::is_batch;
use super::store_error::{StoreError, refused};
use crate::prose::visible;

impl Home {
    /// Returns every archived batch, by name.
    pub fn archived(&self) -> Result<Vec<BatchFolder>, StoreError> {
        BatchSearch::of(self.disk(), &self.archive(), |_| false).map(BatchSearch::all)
    }

    /// Moves a batch into the archive.
    ///
    /// # Errors
    ///
    /// A batch that a station has open stays where it is, and so does one whose name
    /// is taken in the archive.
    pub fn archive_batch(&self, name: &str) -> Result<(), StoreError> {
        let folder = BatchFolder::open(self, name)?;
        let archive = self.archive();
        self.disk().make_folder(&archive).map_err(refused("make", &archive))?;
        self.moved(folder.path(), &archive.join(name))
    }

    /// Moves a batch from the archive back among those under way.
    ///
    /// # Errors
    ///
    /// It stays where it is where its name is taken.
    pub fn bring_back(&self, name: &str) -> Result<(), StoreError> {
        let from = archived_path(self, name)?;
        if !is_batch(&from) {
            return Err(StoreError::NoSuchBatch { name: name.to_owned(), home: self.archive() });
        }
        self.moved(&from, &path_of(self, name)?)
    }

    /// Renames the folder of a batch that nobody has open.
    fn moved(&self, from: &Path, to: &Path) -> Result<(), StoreError> {
        let disk = self.disk();
        if to.symlink_metadata().is_ok() {
            return Err(StoreError::Exists { path: to.to_owned() });
        }
        nobody_is_in(disk, from)?;
        disk.rename(from, to).map_err(refused("move the batch folder", from))?;
        // A station opened between the two would write to a folder that is gone.
        if let Err(held) = nobody_is_in(disk, to) {
            disk.rename(to, from).map_err(refused("move back the batch folder", to))?;
            return Err(held);
        }
        for path in [from, to] {
            if let Some(folder) = path.parent() {
                disk.sync_folder(folder).map_err(refused("move the batch folder", path))?;
            }
        }
        Ok(())
    }
}

/// Refuses a batch that a station has open, here or at another terminal.
fn nobody_is_in(disk: &Disk, folder: &Path) -> Result<(), StoreError> {
    for name in disk.names(folder).map_err(refused("look at", folder))? {
        let path = folder.join(name);
        let station = path.file_stem().and_then(|stem| stem.to_str()).unwrap_or_default();
        if path.extension().is_none_or(|ending| ending != "lock") || station.is_empty() {
            continue;
        }
        let lock = disk.open_lock(&path).map_err(refused("open", &path))?;
        match lock.try_lock() {
            Ok(()) => {}
            Err(TryLockError::WouldBlock) => {
                let by = visible(read_start(&path, 200).unwrap_or_default().trim());
                let batch = folder.file_name().unwrap_or_default().to_string_lossy().into_owned();
                return Err(StoreError::InUse { batch, station: station.to_owned(), by });
            }
            // Where files can't be locked nobody holds one.
            Err(TryLockError::Error(why)) if why.kind() == ErrorKind::Unsupported => {}
            Err(TryLockError::Error(why)) => return Err(refused("lock", &path)(why)),
        }
    }
    Ok(())
}
