//! One folder a batch: making it, finding it, and reading all its stations at once.
//! Reading takes no lock and repairs nothing; it must not know what the events mean.

use std::fmt;
use std::fs;
use std::io::ErrorKind;
use std::path::{Path, PathBuf};
use std::time::Duration;

use serde::de::DeserializeOwned;

use super::disk::{StoreError, keeps_added_lines, refused, sync_folder, write_new};
use super::line::{Damage, JournalEntry, scan};
use super::merge::merge;
use super::name::objection;
use crate::prose::visible;

const ROUTE: &str = "route.json";
const SHOP: &str = "shop.json";
const STATION_ENDING: &str = ".jsonl";
const UNFINISHED: &str = ".new-";

/// A folder that was never finished is a leftover of a crash once one begun this much
/// later is there: nobody takes as long to begin a batch.
const LEFT_OVER: Duration = Duration::from_secs(3600);

/// The folder of archived batches, in the folder of all batches.
const ARCHIVE: &str = "archive";

/// The folder of a shop's own routes, in the folder of all batches.
pub(super) const ROUTES: &str = "routes";

/// Where batches live.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Home(PathBuf);

impl Home {
    /// Takes the folder somebody named, or else the one this system keeps for programs' data.
    pub fn locate(explicit: Option<PathBuf>) -> Result<Home, StoreError> {
        if let Some(named) = explicit.filter(|path| !path.as_os_str().is_empty()) {
            return Ok(Home(named));
        }
        let folders =
            directories::ProjectDirs::from("", "", "benchway").ok_or(StoreError::NoHome)?;
        Ok(Home(folders.data_dir().to_owned()))
    }

    /// Returns the folder itself, which need not exist yet.
    pub fn path(&self) -> &Path {
        &self.0
    }

    /// Returns every batch under way, by name. Folders that are no batch are passed
    /// over.
    pub fn batches(&self) -> Result<Vec<BatchFolder>, StoreError> {
        batches_in(&self.0)
    }

    /// The folder of archived batches, which need not exist.
    pub(super) fn archive(&self) -> PathBuf {
        self.0.join(ARCHIVE)
    }
}

/// Every batch in a folder, by name.
pub(super) fn batches_in(folder: &Path) -> Result<Vec<BatchFolder>, StoreError> {
    let list = match fs::read_dir(folder) {
        Err(why) if why.kind() == ErrorKind::NotFound => return Ok(Vec::new()),
        list => list.map_err(refused("list the batches in", folder))?,
    };
    let mut batches = Vec::new();
    for item in list {
        let item = item.map_err(refused("list the batches in", folder))?;
        let Ok(name) = item.file_name().into_string() else { continue };
        if objection(&name).is_none() && is_batch(&item.path()) {
            batches.push(BatchFolder { name, path: item.path() });
        }
    }
    batches.sort_by(|a, b| a.name.cmp(&b.name));
    Ok(batches)
}

/// The folder of one batch.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct BatchFolder {
    name: String,
    path: PathBuf,
}

/// All stations of a batch, read at one moment.
#[derive(Clone, Debug, PartialEq)]
pub struct Everything<E> {
    /// Every good line, merged into the one order.
    pub entries: Vec<JournalEntry<E>>,
    /// What is wrong, file by file.
    pub damage: Vec<FileDamage>,
    /// How far the files reached, to be compared with a later [`BatchFolder::fingerprint`].
    pub fingerprint: Fingerprint,
}

/// Something wrong in one station's file.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct FileDamage {
    /// The station whose file it is.
    pub station: String,
    /// What is wrong there.
    pub damage: Damage,
}

impl fmt::Display for FileDamage {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}{STATION_ENDING}: {}", visible(&self.station), self.damage)
    }
}

/// How far each station's file reaches: differs as soon as any station adds a line.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Fingerprint(Vec<(String, u64)>);

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
        if [ARCHIVE, ROUTES].iter().any(|kept| name.eq_ignore_ascii_case(kept)) {
            let why = "the program keeps that folder for something else".to_owned();
            return Err(StoreError::BadName { what: "batch", name: name.to_owned(), why });
        }
        // An archived batch keeps its name, or it could never come back.
        for path in [&path, &archived_path(home, name)?] {
            if path.symlink_metadata().is_ok() {
                return Err(StoreError::Exists { path: path.clone() });
            }
        }
        let refused_home = || refused("make a batch in", &home.0);
        fs::create_dir_all(&home.0).map_err(refused_home())?;
        let mut builder = tempfile::Builder::new();
        builder.prefix(UNFINISHED);
        // Otherwise nobody but its maker could ever open the batch; the user's mask still applies.
        #[cfg(unix)]
        builder.permissions(std::os::unix::fs::PermissionsExt::from_mode(0o777));
        let unfinished = builder.tempdir_in(&home.0).map_err(refused_home())?;
        remove_leftovers(&home.0, unfinished.path());
        for (file, text) in [(ROUTE, route_json), (SHOP, shop_json)] {
            let file = unfinished.path().join(file);
            write_new(&file, text.as_bytes()).map_err(refused("write", &file))?;
        }
        if let Some((station, lines)) = first {
            if !keeps_added_lines(unfinished.path()).map_err(refused_home())? {
                return Err(StoreError::LosesLines { folder: home.0.clone() });
            }
            let file = unfinished.path().join(format!("{station}{STATION_ENDING}"));
            write_new(&file, lines.as_bytes()).map_err(refused("write", &file))?;
        }
        sync_folder(unfinished.path()).map_err(refused_home())?;
        // A batch is never an empty folder, and only an empty folder can be renamed over.
        match fs::rename(unfinished.path(), &path) {
            Err(why)
                if matches!(
                    why.kind(),
                    ErrorKind::AlreadyExists | ErrorKind::DirectoryNotEmpty
                ) =>
            {
                return Err(StoreError::Exists { path });
            }
            done => done.map_err(refused("make the batch folder", &path))?,
        }
        let _ = unfinished.keep();
        sync_folder(&home.0).map_err(refused_home())?;
        Ok(BatchFolder { name: name.to_owned(), path })
    }

    /// Finds a batch by its name.
    pub fn open(home: &Home, name: &str) -> Result<BatchFolder, StoreError> {
        let path = path_of(home, name)?;
        if is_batch(&path) {
            return Ok(BatchFolder { name: name.to_owned(), path });
        }
        let name = name.to_owned();
        Err(if is_batch(&archived_path(home, &name)?) {
            StoreError::Archived { name }
        } else {
            StoreError::NoSuchBatch { name, home: home.0.clone() }
        })
    }

    /// Finds a batch by its name, to read it: under way, or else archived.
    pub fn find(home: &Home, name: &str) -> Result<BatchFolder, StoreError> {
        match BatchFolder::open(home, name) {
            Err(StoreError::Archived { name }) => {
                let path = archived_path(home, &name)?;
                Ok(BatchFolder { name, path })
            }
            found => found,
        }
    }

    /// Whether it is in the archive.
    pub fn is_archived(&self) -> bool {
        let parent = self.path.parent().and_then(Path::file_name);
        parent.is_some_and(|parent| parent == ARCHIVE)
    }

    /// Returns the name of the batch.
    pub fn name(&self) -> &str {
        &self.name
    }

    /// Returns the folder itself.
    pub fn path(&self) -> &Path {
        &self.path
    }

    /// Reads the route as it was when the batch started.
    pub fn route_json(&self) -> Result<String, StoreError> {
        self.frozen(ROUTE)
    }

    /// Reads the shop as it was when the batch started.
    pub fn shop_json(&self) -> Result<String, StoreError> {
        self.frozen(SHOP)
    }

    fn frozen(&self, file: &str) -> Result<String, StoreError> {
        let path = self.path.join(file);
        fs::read_to_string(&path).map_err(refused("read", &path))
    }

    /// Returns the stations that have written here, by name.
    pub fn stations(&self) -> Result<Vec<String>, StoreError> {
        let mut stations = Vec::new();
        for item in fs::read_dir(&self.path).map_err(refused("list the stations in", &self.path))? {
            let item = item.map_err(refused("list the stations in", &self.path))?;
            let Ok(file) = item.file_name().into_string() else { continue };
            if let Some(station) = file.strip_suffix(STATION_ENDING)
                && item.path().is_file()
            {
                stations.push(station.to_owned());
            }
        }
        stations.sort();
        Ok(stations)
    }

    /// Returns how far each station's file reaches now, without reading any.
    pub fn fingerprint(&self) -> Result<Fingerprint, StoreError> {
        let mut lengths = Vec::new();
        for station in self.stations()? {
            let path = self.station_file(&station);
            let length = path.metadata().map_err(refused("look at", &path))?.len();
            lengths.push((station, length));
        }
        Ok(Fingerprint(lengths))
    }

    /// Reads every station and merges their lines.
    pub fn read_all<E: DeserializeOwned>(&self) -> Result<Everything<E>, StoreError> {
        const TRIES: usize = 3;
        let mut fingerprint = self.fingerprint()?;
        for _ in 1..TRIES {
            let everything = self.read_once(fingerprint.clone())?;
            let now = self.fingerprint()?;
            if now == fingerprint {
                return Ok(everything);
            }
            // A line added meanwhile may refer to one in a file already read, so read again.
            fingerprint = now;
        }
        self.read_once(fingerprint)
    }

    fn read_once<E: DeserializeOwned>(
        &self,
        fingerprint: Fingerprint,
    ) -> Result<Everything<E>, StoreError> {
        let mut stations = Vec::new();
        let mut damage = Vec::new();
        for (station, _) in &fingerprint.0 {
            let path = self.station_file(station);
            let bytes = fs::read(&path).map_err(refused("read", &path))?;
            let found = scan::<E>(&bytes, station);
            stations.push(found.entries);
            damage.extend(
                found
                    .damage
                    .into_iter()
                    .map(|damage| FileDamage { station: station.clone(), damage }),
            );
        }
        Ok(Everything { entries: merge(stations), damage, fingerprint })
    }

    pub(super) fn station_file(&self, station: &str) -> PathBuf {
        self.path.join(format!("{station}{STATION_ENDING}"))
    }
}

pub(super) fn path_of(home: &Home, name: &str) -> Result<PathBuf, StoreError> {
    match objection(name) {
        Some(why) => Err(StoreError::BadName { what: "batch", name: name.to_owned(), why }),
        None => Ok(home.0.join(name)),
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

/// Where a batch of this name is, once it is archived.
pub(super) fn archived_path(home: &Home, name: &str) -> Result<PathBuf, StoreError> {
    path_of(home, name).map(|_| home.archive().join(name))
}

pub(super) fn is_batch(path: &Path) -> bool {
    path.join(ROUTE).is_file()
}
