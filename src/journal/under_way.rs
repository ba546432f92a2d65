//! Every batch under way at one moment, for whoever looks at all of them again and again:
//! a batch is read anew only where its files look different.

use std::collections::BTreeMap;

use super::folder::BatchFolder;
use super::free_stations::FreeStations;
use super::home::Home;
use super::open::{OpenBatch, Snapshot};
use super::store_error::StoreError;
use super::summaries::FolderLooks;

/// A batch that can't be read, and why.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct UnreadBatch {
    /// Its name.
    pub batch: String,
    /// Why, in words.
    pub why: String,
}

/// Every batch under way, as it was read.
#[derive(Clone, Debug, Default)]
pub struct ReadBatches {
    /// The batches, by name. Invented ones are left out: nobody works in them.
    pub batches: Vec<Snapshot>,
    /// Those that can't be read.
    pub unread: Vec<UnreadBatch>,
    /// The stations where people are by the journal and which nobody has open.
    pub free: FreeStations,
}

/// A batch as it was read, or why it can't be.
type ReadBatch = Result<Snapshot, UnreadBatch>;

/// The batches as they were last read.
#[derive(Debug, Default)]
pub struct UnderWay {
    read: BTreeMap<String, (Option<FolderLooks>, ReadBatch)>,
}

impl UnderWay {
    /// Every batch under way, and who of those who should be there isn't.
    ///
    /// # Errors
    ///
    /// Where the folder of the batches can't be listed.
    pub fn read(&mut self, home: &Home) -> Result<ReadBatches, StoreError> {
        let folders = home.batches()?;
        self.read.retain(|name, _| folders.iter().any(|folder| folder.name() == name));
        let mut read = ReadBatches::default();
        for folder in &folders {
            match self.look_at(home, folder) {
                Ok(snapshot) if snapshot.state.invented => {}
                Ok(snapshot) => {
                    // Each time: a program that was killed writes nothing.
                    for station in snapshot.state.times.stations_in_use() {
                        if folder.is_free(station) {
                            read.free.add(&snapshot.name, station);
                        } else if folder.is_distant(station) {
                            read.free.add_distant(&snapshot.name, station);
                        }
                    }
                    read.batches.push(snapshot.clone());
                }
                Err(why) => read.unread.push(why.clone()),
            }
        }
        Ok(read)
    }

    fn look_at(&mut self, home: &Home, folder: &BatchFolder) -> &ReadBatch {
        // Before it is read: what is written meanwhile makes it old.
        let looks = folder.looks();
        let name = folder.name().to_owned();
        let is_known =
            self.read.get(&name).is_some_and(|(held, _)| looks.is_some() && *held == looks);
        if !is_known {
            let read = OpenBatch::look_at(home, &name, "")
                .map_err(|why| UnreadBatch { batch: name.clone(), why: why.to_string() });
            self.read.insert(name.clone(), (looks, read));
        }
        &self.read[&name].1
    }
}
