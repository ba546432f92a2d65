//! The names behind people's initials, beside the batches and in none of them: a name that
//! is erased here is nowhere else. Initials stay wherever they were written.

use std::collections::BTreeMap;
use std::io::{self, ErrorKind};
use std::path::PathBuf;

use super::disk::Disk;
use super::home::Home;
use super::store_error::{StoreError, refused};

/// The file of people's names by their initials.
#[derive(Clone, Debug)]
pub struct Names {
    path: PathBuf,
    disk: Disk,
}

impl Names {
    /// Those beside the batches.
    pub fn of(home: &Home) -> Names {
        Names { path: home.path().join("names.json"), disk: home.disk().clone() }
    }

    /// All names, by initials.
    pub fn all(&self) -> Result<BTreeMap<String, String>, StoreError> {
        let read = match self.disk.read(&self.path) {
            Err(why) if why.kind() == ErrorKind::NotFound => return Ok(BTreeMap::new()),
            read => read.map_err(refused("read", &self.path))?,
        };
        let damaged = |_| io::Error::from(ErrorKind::InvalidData);
        serde_json::from_slice(&read).map_err(damaged).map_err(refused("read", &self.path))
    }

    /// Keeps a name, in place of the one before.
    pub fn set(&self, who: &str, name: &str) -> Result<(), StoreError> {
        let mut all = self.all()?;
        all.insert(who.to_uppercase(), name.to_owned());
        self.write(&all)
    }

    /// Erases a name; false where there was none.
    pub fn erase(&self, who: &str) -> Result<bool, StoreError> {
        let mut all = self.all()?;
        let had = all.remove(&who.to_uppercase()).is_some();
        if had {
            self.write(&all)?;
        }
        Ok(had)
    }

    /// Writes the whole file or nothing.
    fn write(&self, all: &BTreeMap<String, String>) -> Result<(), StoreError> {
        let folder = self.path.parent().unwrap_or(&self.path);
        let text = serde_json::to_string_pretty(all).expect("texts by texts are plain data") + "\n";
        self.disk.make_folder(folder).map_err(refused("make", folder))?;
        self.disk.replace(&self.path, text.as_bytes()).map_err(refused("write", &self.path))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_name_is_kept_and_erased() {
        let place = tempfile::tempdir().expect("a folder");
        let home = Home::locate(Some(place.path().join("new"))).expect("a folder was named");
        let names = Names::of(&home);
        assert!(names.all().expect("none yet").is_empty());
        names.set("jt", "Jo of the Tuesday group").expect("written");
        names.set("MB", "the lead").expect("written");
        assert_eq!(names.all().expect("read")["JT"], "Jo of the Tuesday group");
        assert!(names.erase("Jt").expect("written") && !names.erase("JT").expect("none"));
        let text = std::fs::read_to_string(&names.path).expect("read");
        assert!(!text.contains("Tuesday") && text.contains("the lead"), "{text}");
        std::fs::write(&names.path, "[").expect("written");
        assert!(names.set("JT", "somebody").is_err(), "a damaged file is not written over");
    }
}
