//! Where batches live: the folder of all batches, and a batch in it by its name.

use std::fs;
use std::io::ErrorKind;
use std::path::{Path, PathBuf};

use super::disk::Disk;
use super::folder::BatchFolder;
use super::name::objection;
use super::search::BatchSearch;
use super::sibling_folders::is_batch;
use super::store_error::{StoreError, refused};

/// The folder of archived batches, in the folder of all batches.
pub(super) const ARCHIVE: &str = "archive";

/// The folder of a shop's own routes, in the folder of all batches.
pub(super) const ROUTES: &str = "routes";

/// The folder of the shops that a reader of several reads, in the folder of all batches.
pub(super) const SHOPS: &str = "shops";

/// The folder of pages for paper that the traveler wrote, in the folder of all batches.
pub const PAGES: &str = "pages";

/// Where batches live.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Home {
    path: PathBuf,
    disk: Disk,
}

impl Home {
    /// Takes the folder somebody named, or else the one this system keeps for programs' data.
    pub fn locate(explicit: Option<PathBuf>) -> Result<Home, StoreError> {
        if let Some(named) = explicit.filter(|path| !path.as_os_str().is_empty()) {
            return Ok(Home::at(named));
        }
        let folders =
            directories::ProjectDirs::from("", "", "benchway").ok_or(StoreError::NoHome)?;
        Ok(Home::at(folders.data_dir().to_owned()))
    }

    fn at(path: PathBuf) -> Home {
        Home { path, disk: Disk::default() }
    }

    /// The same place on another disk.
    pub fn on(self, disk: Disk) -> Home {
        Home { disk, ..self }
    }

    /// Its disk.
    pub(super) fn disk(&self) -> &Disk {
        &self.disk
    }

    /// The folder of a batch that is at this path.
    pub(super) fn folder(&self, name: &str, path: PathBuf) -> BatchFolder {
        BatchFolder { name: name.to_owned(), path, disk: self.disk.clone() }
    }

    /// Returns the folder itself, which need not exist yet.
    pub fn path(&self) -> &Path {
        &self.path
    }

    /// Returns every batch under way, by name. Folders that are no batch are passed
    /// over.
    pub fn batches(&self) -> Result<Vec<BatchFolder>, StoreError> {
        BatchSearch::of(&self.disk, &self.path, |_| false).map(BatchSearch::all)
    }

    /// The folder of one of several shops, for whoever reads them all.
    ///
    /// # Errors
    ///
    /// Where the name can't be one of a folder.
    pub fn of_shop(&self, shop: &str) -> Result<Home, StoreError> {
        match objection(shop) {
            Some(why) => Err(StoreError::BadName { what: "shop", name: shop.to_owned(), why }),
            None => {
                let path = self.path.join(SHOPS).join(shop);
                Ok(Home { path, disk: self.disk.clone() })
            }
        }
    }

    /// The shops whose batches are in a folder of their own here, by name: a reader of several
    /// shops has them.
    pub fn shops(&self) -> Result<Vec<(String, Home)>, StoreError> {
        let folder = self.path.join(SHOPS);
        let list = match fs::read_dir(&folder) {
            Err(why) if why.kind() == ErrorKind::NotFound => return Ok(Vec::new()),
            list => list.map_err(refused("list the shops in", &folder))?,
        };
        let mut shops = Vec::new();
        for item in list {
            let item = item.map_err(refused("list the shops in", &folder))?;
            let Ok(name) = item.file_name().into_string() else { continue };
            if item.path().is_dir() && objection(&name).is_none() {
                let home = self.of_shop(&name)?;
                shops.push((name, home));
            }
        }
        shops.sort_unstable_by(|a, b| a.0.cmp(&b.0));
        Ok(shops)
    }

    /// The folder of archived batches, which need not exist.
    pub(super) fn archive(&self) -> PathBuf {
        self.path.join(ARCHIVE)
    }
}

impl BatchFolder {
    /// Finds a batch by its name.
    pub fn open(home: &Home, name: &str) -> Result<BatchFolder, StoreError> {
        let path = path_of(home, name)?;
        if is_batch(&path) {
            return Ok(home.folder(name, path));
        }
        let name = name.to_owned();
        Err(if is_batch(&archived_path(home, &name)?) {
            StoreError::Archived { name }
        } else {
            StoreError::NoSuchBatch { name, home: home.path().to_owned() }
        })
    }

    /// Finds a batch by its name, to read it: under way, or else archived.
    pub fn find(home: &Home, name: &str) -> Result<BatchFolder, StoreError> {
        match BatchFolder::open(home, name) {
            Err(StoreError::Archived { name }) => {
                let path = archived_path(home, &name)?;
                Ok(home.folder(&name, path))
            }
            found => found,
        }
    }

    /// Whether it is in the archive.
    pub fn is_archived(&self) -> bool {
        let parent = self.path.parent().and_then(Path::file_name);
        parent.is_some_and(|parent| parent == ARCHIVE)
    }
}

pub(super) fn path_of(home: &Home, name: &str) -> Result<PathBuf, StoreError> {
    match objection(name) {
        Some(why) => Err(StoreError::BadName { what: "batch", name: name.to_owned(), why }),
        None => Ok(home.path.join(name)),
    }
}

/// Where a batch of this name is, once it is archived.
pub(super) fn archived_path(home: &Home, name: &str) -> Result<PathBuf, StoreError> {
    path_of(home, name).map(|_| home.archive().join(name))
}
