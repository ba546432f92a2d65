//! The folder of one batch: finding it, and reading all its stations at once. Reading
//! takes no lock and repairs nothing.

use std::collections::BTreeMap;
use std::fs;
use std::path::{Path, PathBuf};

use serde::de::DeserializeOwned;

use super::beginning::{lost_beginning, only_of_this_batch, work_out};
use super::damage::FileDamage;
use super::disk::Disk;
use super::event::Event;
use super::frozen::{read_route, read_shop};
use super::gathered::{AddedLines, Gathered, ReadSoFar, gather, gather_more};
use super::line::JournalEntry;
use super::seal::StationSeal;
use super::store_error::{StoreError, refused, system_words};

pub(super) const ROUTE: &str = "route.json";
pub(super) const SHOP: &str = "shop.json";
pub(super) const STATION_ENDING: &str = ".jsonl";
/// The folder of one batch.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct BatchFolder {
    pub(super) name: String,
    pub(super) path: PathBuf,
    pub(super) disk: Disk,
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
    /// How far each file was read.
    pub(super) reached: BTreeMap<String, ReadSoFar>,
}

/// How far each station's file reaches: differs as soon as any station adds a line. A
/// file that can't be looked at reaches nowhere.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Fingerprint(pub(super) Vec<(String, Option<u64>)>);

impl Fingerprint {
    /// How far the file of a station reaches.
    pub(super) fn length(&self, station: &str) -> Option<u64> {
        let mut held = self.0.iter();
        held.find(|(held, _)| held == station).and_then(|(_, length)| *length)
    }

    /// Notes that the file of a station reaches this far now.
    pub(super) fn reaches(&mut self, station: &str, length: u64) {
        match self.0.iter_mut().find(|(held, _)| held == station) {
            Some((_, held)) => *held = Some(length),
            None => {
                self.0.push((station.to_owned(), Some(length)));
                self.0.sort();
            }
        }
    }
}

impl BatchFolder {
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
        let names = self.disk.names(&self.path);
        let names = names.map_err(refused("list the stations in", &self.path))?;
        let mut stations: Vec<String> = names
            .into_iter()
            .filter_map(|name| {
                name.into_string().ok()?.strip_suffix(STATION_ENDING).map(str::to_owned)
            })
            .filter(|station| !self.station_file(station).is_dir())
            .collect();
        stations.sort();
        Ok(stations)
    }

    /// Returns how far each station's file reaches now, without reading any.
    pub fn fingerprint(&self) -> Result<Fingerprint, StoreError> {
        let length = |station: String| {
            let length = self.disk.length(&self.station_file(&station)).ok();
            (station, length)
        };
        Ok(Fingerprint(self.stations()?.into_iter().map(length).collect()))
    }

    /// Reads every station and merges their lines. A file that can't be read doesn't keep
    /// anybody from the others.
    pub fn read_all<E: DeserializeOwned + PartialEq>(&self) -> Result<Everything<E>, StoreError> {
        let (gathered, fingerprint) = self.gather()?;
        let Gathered { entries, damage, reached, .. } = gathered;
        Ok(Everything { entries, damage, fingerprint, reached })
    }

    /// Reads the journal: the lines of this batch, with what its first line held worked out
    /// where it can't be read.
    pub fn journal(&self) -> Result<Everything<Event>, StoreError> {
        let (mut gathered, fingerprint) = self.gather::<Event>()?;
        only_of_this_batch(&mut gathered);
        if let Some(station) = lost_beginning(&gathered) {
            let route = self.route_json().ok().and_then(|text| read_route(&text).ok());
            let shop = self.shop_json().ok().and_then(|text| read_shop(&text).ok());
            if let (Some(route), Some(shop)) = (route, shop) {
                work_out(&mut gathered, &self.name, &station, &route, &shop);
            }
        }
        let Gathered { entries, damage, reached, .. } = gathered;
        Ok(Everything { entries, damage, fingerprint, reached })
    }

    /// A seal over what every station has written until now.
    pub fn seal(&self) -> Result<Vec<StationSeal>, StoreError> {
        let sealed = |station: String| {
            let path = self.station_file(&station);
            let bytes = self.disk.read(&path).map_err(refused("read", &path))?;
            Ok(StationSeal::of(&station, &bytes))
        };
        self.stations()?.into_iter().map(sealed).collect()
    }

    /// The stations whose sealed lines aren't as they were.
    pub fn changed_since(&self, stations: &[StationSeal]) -> Vec<String> {
        let changed = stations.iter().filter(|seal| {
            let bytes = self.disk.read(&self.station_file(&seal.station));
            !bytes.is_ok_and(|bytes| seal.holds(&bytes))
        });
        changed.map(|seal| seal.station.clone()).collect()
    }

    /// The lines behind what was read; none where anything is wrong
    /// with them, so that everything has to be read again.
    pub(super) fn journal_since(
        &self,
        now: &Fingerprint,
        reached: &BTreeMap<String, ReadSoFar>,
    ) -> Option<AddedLines<Event>> {
        let mut files = BTreeMap::new();
        for (station, length) in &now.0 {
            let whole = reached.get(station).map_or(0, |reached| reached.whole);
            if (*length)? != whole {
                let more = self.disk.read_from(&self.station_file(station), whole).ok()?;
                files.insert(station.clone(), more);
            }
        }
        gather_more(files, reached)
    }

    fn gather<E: DeserializeOwned + PartialEq>(
        &self,
    ) -> Result<(Gathered<E>, Fingerprint), StoreError> {
        const TRIES: usize = 3;
        let mut fingerprint = self.fingerprint()?;
        for _ in 1..TRIES {
            let gathered = self.gather_once(&fingerprint);
            let now = self.fingerprint()?;
            if now == fingerprint {
                return Ok((gathered, fingerprint));
            }
            // A line added meanwhile may refer to one in a file already read, so read again.
            fingerprint = now;
        }
        Ok((self.gather_once(&fingerprint), fingerprint))
    }

    fn gather_once<E: DeserializeOwned + PartialEq>(&self, found: &Fingerprint) -> Gathered<E> {
        let read = |(station, _): &(String, Option<u64>)| {
            let text = self.disk.read(&self.station_file(station));
            (station.clone(), text.map_err(|why| system_words(&why)))
        };
        gather(found.0.iter().map(read).collect())
    }

    pub(super) fn station_file(&self, station: &str) -> PathBuf {
        self.path.join(format!("{station}{STATION_ENDING}"))
    }
}
