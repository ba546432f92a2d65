//! The file of a station whose lines come from elsewhere: taken for a moment, and added to.

use std::fs::File;
use std::io::ErrorKind;

use super::disk::Disk;
use super::folder::BatchFolder;
use super::name::objection;
use super::station::lock;
use super::store_error::{StoreError, refused};

/// Who has the station meanwhile, for whoever wants to open it.
pub(super) const HOLDER: &str = "lines from the server are being written";

/// A station's file, which nobody else writes to while this lives.
pub(super) struct StationFile {
    path: std::path::PathBuf,
    disk: Disk,
    lock: File,
}

impl StationFile {
    /// Takes a station's file; none where somebody has the station open.
    pub(super) fn take(
        folder: &BatchFolder,
        station: &str,
    ) -> Result<Option<StationFile>, StoreError> {
        if let Some(why) = objection(station) {
            return Err(StoreError::BadName { what: "station", name: station.to_owned(), why });
        }
        let disk = folder.disk.clone();
        match lock(&disk, folder.path(), station, HOLDER) {
            Ok(lock) => Ok(Some(StationFile { path: folder.station_file(station), disk, lock })),
            Err(StoreError::Held { .. }) => Ok(None),
            Err(why) => Err(why),
        }
    }

    /// Puts lines behind this place, where the last whole line ends: what a crash left
    /// behind it goes, for it comes again.
    pub(super) fn add(&self, place: u64, lines: &[u8]) -> Result<(), StoreError> {
        let StationFile { path, disk, .. } = self;
        if lines.is_empty() {
            return Ok(());
        }
        // Somebody else's file behind a link would be cut and written to.
        if path.symlink_metadata().is_ok_and(|known| known.is_symlink()) {
            let why = std::io::Error::new(ErrorKind::InvalidInput, "it is a link to another file");
            return Err(refused("write lines to", path)(why));
        }
        match disk.write_new(path, b"") {
            Ok(()) => {
                let folder = path.parent().unwrap_or(path);
                disk.sync_folder(folder).map_err(refused("make", path))?;
            }
            Err(why) if why.kind() == ErrorKind::AlreadyExists => {}
            Err(why) => return Err(refused("make", path)(why)),
        }
        let length = disk.length(path).map_err(refused("look at", path))?;
        if length > place {
            disk.cut(path, place).map_err(refused("cut the torn end off", path))?;
        }
        let mut file = disk.open_end(path).map_err(refused("open", path))?;
        let written = disk.write(&mut file, lines).and_then(|()| disk.sync_data(&file));
        if let Err(why) = written {
            // What can't be cut off here is cut off when the lines come again.
            let _ = disk.cut(path, place);
            return Err(refused("write", path)(why));
        }
        Ok(())
    }
}

impl Drop for StationFile {
    fn drop(&mut self) {
        // Closing the file would leave it locked while a program started meanwhile still has
        // a copy of the handle.
        let _ = self.lock.unlock();
    }
}
