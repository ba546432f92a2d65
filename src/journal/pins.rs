//! The PINs of leads, beside the batches and in none of them: a copy of a batch tells
//! nobody's PIN.
//!
//! A PIN keeps a lead's initials the lead's. Whoever can write to the folder can take it
//! away, as they can change a journal: it keeps honest people honest. So the file is one
//! that a person can read, and no lock holds it.

use std::collections::BTreeMap;
use std::io::{self, ErrorKind};
use std::path::PathBuf;

use argon2::Argon2;
use argon2::password_hash::phc::PasswordHash;
use argon2::password_hash::{PasswordHasher, PasswordVerifier};

use super::disk::Disk;
use super::home::Home;
use crate::prose::visible;

/// A shorter PIN is guessed in minutes, as slowly as tries go. Chosen, not measured.
pub const SHORTEST_PIN: usize = 4;

/// Why a PIN can't be kept or compared.
#[derive(Debug, thiserror::Error)]
pub enum PinError {
    /// It has too few characters.
    #[error("a PIN has at least {SHORTEST_PIN} characters")]
    TooShort,
    /// The file of PINs can't be read or written.
    #[error("the PINs in {} can't be {doing}: {why}", visible(&.path.display().to_string()))]
    Disk {
        /// `read` or `written`.
        doing: &'static str,
        /// The file.
        path: PathBuf,
        /// What the system said.
        why: io::Error,
    },
    /// The file of PINs isn't as it was written.
    #[error(
        "the PINs in {} can't be read; remove the file, and set them again with `benchway pin`",
        visible(&.path.display().to_string())
    )]
    Damaged {
        /// The file.
        path: PathBuf,
    },
}

/// The file of the leads' PINs: a salted hash for each of their initials.
#[derive(Clone, Debug)]
pub struct Pins {
    path: PathBuf,
    disk: Disk,
}

impl Pins {
    /// Those beside the batches.
    pub fn of(home: &Home) -> Pins {
        Pins { path: home.path().join("pins.json"), disk: home.disk().clone() }
    }

    /// Whether a lead has a PIN.
    pub fn has(&self, lead: &str) -> Result<bool, PinError> {
        Ok(self.read()?.contains_key(&lead.to_uppercase()))
    }

    /// Whether a PIN is the lead's.
    pub fn fits(&self, lead: &str, pin: &str) -> Result<bool, PinError> {
        let held = self.read()?;
        let Some(held) = held.get(&lead.to_uppercase()) else { return Ok(false) };
        let hash = PasswordHash::new(held).map_err(|_| self.damaged())?;
        Ok(Argon2::default().verify_password(pin.trim().as_bytes(), &hash).is_ok())
    }

    /// Gives a lead a PIN, in place of the one before.
    pub fn set(&self, lead: &str, pin: &str) -> Result<(), PinError> {
        let pin = pin.trim();
        if pin.chars().count() < SHORTEST_PIN {
            return Err(PinError::TooShort);
        }
        let hash = Argon2::default().hash_password(pin.as_bytes());
        let hash =
            hash.map_err(|why| self.refused("written")(io::Error::other(why.to_string())))?;
        let mut all = self.read()?;
        all.insert(lead.to_uppercase(), hash.to_string());
        self.write(&all)
    }

    /// Takes a lead's PIN away; false where there was none.
    pub fn remove(&self, lead: &str) -> Result<bool, PinError> {
        let mut all = self.read()?;
        let had = all.remove(&lead.to_uppercase()).is_some();
        if had {
            self.write(&all)?;
        }
        Ok(had)
    }

    fn read(&self) -> Result<BTreeMap<String, String>, PinError> {
        match self.disk.read(&self.path) {
            Ok(bytes) => serde_json::from_slice(&bytes).map_err(|_| self.damaged()),
            Err(why) if why.kind() == ErrorKind::NotFound => Ok(BTreeMap::new()),
            Err(why) => Err(self.refused("read")(why)),
        }
    }

    /// Writes the whole file or nothing.
    fn write(&self, all: &BTreeMap<String, String>) -> Result<(), PinError> {
        let refused = self.refused("written");
        let text = serde_json::to_string_pretty(all).map_err(|why| refused(why.into()))? + "\n";
        let folder = self.path.parent().unwrap_or(&self.path);
        self.disk.make_folder(folder).map_err(&refused)?;
        self.disk.replace(&self.path, text.as_bytes()).map_err(&refused)
    }

    fn refused(&self, doing: &'static str) -> impl Fn(io::Error) -> PinError {
        let path = self.path.clone();
        move |why| PinError::Disk { doing, path: path.clone(), why }
    }

    fn damaged(&self) -> PinError {
        PinError::Damaged { path: self.path.clone() }
    }
}

#[cfg(test)]
mod tests {
    use std::fs;

    use super::*;

    fn pins() -> (tempfile::TempDir, Pins) {
        let folder = tempfile::tempdir().expect("a folder");
        let home = Home::locate(Some(folder.path().join("new"))).expect("a folder was named");
        (folder, Pins::of(&home))
    }

    #[test]
    fn a_pin_is_set_compared_and_taken_away() {
        let (_folder, pins) = pins();
        assert!(!pins.has("MB").unwrap() && !pins.fits("MB", "").unwrap());
        pins.set("mb", " 4711\n").unwrap();
        assert!(pins.has("MB").unwrap() && pins.has("mb").unwrap() && !pins.has("ST").unwrap());
        assert!(pins.fits("MB", "4711").unwrap() && pins.fits("mb", "4711 ").unwrap());
        assert!(!pins.fits("MB", "4712").unwrap() && !pins.fits("ST", "4711").unwrap());
        pins.set("ST", "four words of mine").unwrap();
        pins.set("MB", "0815").unwrap();
        assert!(pins.fits("MB", "0815").unwrap() && !pins.fits("MB", "4711").unwrap());
        assert!(pins.remove("mb").unwrap() && !pins.remove("MB").unwrap());
        assert!(!pins.has("MB").unwrap() && pins.fits("ST", "four words of mine").unwrap());
        assert!(matches!(pins.set("MB", " 123 "), Err(PinError::TooShort)));
    }

    /// The file holds no PIN, and two people with one PIN have two hashes. Nobody else reads
    /// it.
    #[test]
    fn the_file_tells_no_pin() {
        let (folder, pins) = pins();
        pins.set("MB", "4711").unwrap();
        pins.set("ST", "4711").unwrap();
        let text = fs::read_to_string(&pins.path).unwrap();
        assert!(!text.contains("4711"));
        let hashes: BTreeMap<String, String> = serde_json::from_str(&text).unwrap();
        assert_ne!(hashes["MB"], hashes["ST"]);
        assert!(hashes.values().all(|hash| hash.starts_with("$argon2id$v=19$")), "{text}");
        let files = fs::read_dir(folder.path().join("new")).unwrap().count();
        assert_eq!(files, 1, "nothing is left beside it");
        #[cfg(unix)]
        {
            use std::os::unix::fs::MetadataExt;
            assert_eq!(fs::metadata(&pins.path).unwrap().mode() & 0o777, 0o600);
        }
    }

    /// What can't be read lets nobody through.
    #[test]
    fn a_damaged_file_is_said() {
        let (_folder, pins) = pins();
        pins.set("MB", "4711").unwrap();
        for text in ["", "{", "[]", "{\"MB\": 4711}"] {
            fs::write(&pins.path, text).unwrap();
            assert!(matches!(pins.has("MB"), Err(PinError::Damaged { .. })), "{text}");
            assert!(matches!(pins.set("MB", "4711"), Err(PinError::Damaged { .. })), "{text}");
        }
        fs::write(&pins.path, "{\"MB\": \"4711\"}").unwrap();
        let said = pins.fits("MB", "4711").unwrap_err().to_string();
        assert!(said.contains("remove the file, and set them again"), "{said}");
    }
}
