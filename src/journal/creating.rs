//! Making the folder of a new batch: whole, with its first lines, or not at all.

use std::fs;
use std::io::ErrorKind;
use std::path::Path;
use std::time::Duration;

use tempfile::TempDir;

use super::folder::{BatchFolder, ROUTE, SHOP, STATION_ENDING};
use super::home::{ARCHIVE, Home, PAGES, ROUTES, SHOPS, archived_path, path_of};
use super::shop_journal::SHOP_JOURNAL;
use super::store_error::{StoreError, refused};

const UNFINISHED: &str = ".new-";

/// A folder that was never finished is a leftover of a crash once one begun this much
/// later is there: nobody takes as long to begin a batch.
const LEFT_OVER: Duration = Duration::from_secs(3600);

impl BatchFolder {
    /// Makes the folder of a new batch, with its route and shop frozen in it.
    ///
    /// The folder appears whole or not at all, and never in place of another.
    pub fn create(
        home: &Home,
        name: &str,
        route_json: &str,
        shop_json: &str,
    ) -> Result<BatchFolder, StoreError> {
        BatchFolder::create_begun(home, name, (route_json, shop_json), None)
    }

    /// The same with the file of the station that begins it, and its first lines in it: no
    /// moment leaves a batch that has a folder and no beginning.
    pub(super) fn create_begun(
        home: &Home,
        name: &str,
        (route_json, shop_json): (&str, &str),
        first: Option<(&str, &str)>,
    ) -> Result<BatchFolder, StoreError> {
        let path = path_of(home, name)?;
        if [ARCHIVE, PAGES, ROUTES, SHOPS, SHOP, SHOP_JOURNAL]
            .iter()
            .any(|kept| name.eq_ignore_ascii_case(kept))
        {
            let why = "the program keeps that name for something else".to_owned();
            return Err(StoreError::BadName { what: "batch", name: name.to_owned(), why });
        }
        // An archived batch keeps its name, or it could never come back.
        for path in [&path, &archived_path(home, name)?] {
            if path.symlink_metadata().is_ok() {
                return Err(StoreError::Exists { path: path.clone() });
            }
        }
        let refused_home = || refused("make a batch in", home.path());
        home.disk().make_folder(home.path()).map_err(refused_home())?;
        let mut builder = tempfile::Builder::new();
        builder.prefix(UNFINISHED);
        // Otherwise nobody but its maker could ever open the batch; the user's mask still applies.
        #[cfg(unix)]
        builder.permissions(std::os::unix::fs::PermissionsExt::from_mode(0o777));
        let unfinished =
            home.disk().make_unfinished(&builder, home.path()).map_err(refused_home())?;
        remove_leftovers(home.path(), unfinished.path());
        for (file, text) in [(ROUTE, route_json), (SHOP, shop_json)] {
            let file = unfinished.path().join(file);
            home.disk().write_new(&file, text.as_bytes()).map_err(refused("write", &file))?;
        }
        if let Some((station, lines)) = first {
            if !home.disk().keeps_added_lines(unfinished.path()).map_err(refused_home())? {
                return Err(StoreError::LosesLines { folder: home.path().to_owned() });
            }
            let file = unfinished.path().join(format!("{station}{STATION_ENDING}"));
            home.disk().write_new(&file, lines.as_bytes()).map_err(refused("write", &file))?;
        }
        home.disk().sync_folder(unfinished.path()).map_err(refused_home())?;
        named(home, unfinished, &path)?;
        Ok(home.folder(name, path))
    }
}

/// Gives the finished folder its name. Where nobody can tell that the name will last, it
/// is taken back: a batch that was refused isn't there.
fn named(home: &Home, unfinished: TempDir, path: &Path) -> Result<(), StoreError> {
    let (disk, from) = (home.disk(), unfinished.path().to_owned());
    // A batch is never an empty folder, and only an empty folder can be renamed over.
    let renamed = disk.rename(&from, path);
    if let Err(why) = renamed
        && (from.exists() || !path.exists())
    {
        return Err(match why.kind() {
            ErrorKind::AlreadyExists | ErrorKind::DirectoryNotEmpty => {
                StoreError::Exists { path: path.to_owned() }
            }
            _ => refused("make the batch folder", path)(why),
        });
    }
    match disk.sync_folder(home.path()) {
        Ok(()) => {
            let _ = unfinished.keep();
            Ok(())
        }
        Err(why) => match disk.rename(path, &from) {
            Ok(()) => Err(refused("make a batch in", home.path())(why)),
            Err(_) => {
                let _ = unfinished.keep();
                Err(StoreError::Unsure { path: path.to_owned(), why })
            }
        },
    }
}

/// Removes what crashes left of batches that never began. A failure only leaves it there.
fn remove_leftovers(home: &Path, newest: &Path) {
    let made = |path: &Path| path.metadata().and_then(|known| known.modified());
    let (Ok(now), Ok(list)) = (made(newest), fs::read_dir(home)) else { return };
    for item in list.flatten() {
        let is_unfinished = item.file_name().to_string_lossy().starts_with(UNFINISHED);
        let age = made(&item.path()).ok().and_then(|made| now.duration_since(made).ok());
        if is_unfinished && age.is_some_and(|age| age > LEFT_OVER) {
            let _ = fs::remove_dir_all(item.path());
        }
    }
}
