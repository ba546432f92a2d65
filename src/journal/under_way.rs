//! Every batch under way at one moment, for whoever looks at all of them again and again:
//! a batch is read anew only where its files look different.

use std::collections::BTreeMap;

use super::folder::BatchFolder;
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

/// A batch as it was read, or why it can't be.
type ReadBatch = Result<Snapshot, UnreadBatch>;

/// The batches as they were last read.
#[derive(Debug, Default)]
pub struct UnderWay {
    read: BTreeMap<String, (Option<FolderLooks>, ReadBatch)>,
}

impl UnderWay {
    /// Every batch under way, by name, with those that can't be read after them. Invented
    /// ones are left out: nobody works in them.
    ///
    /// # Errors
    ///
    /// Where the folder of the batches can't be listed.
    pub fn read(&mut self, home: &Home) -> Result<(Vec<Snapshot>, Vec<UnreadBatch>), StoreError> {
        let folders = home.batches()?;
        self.read.retain(|name, _| folders.iter().any(|folder| folder.name() == name));
        let (mut snapshots, mut unread) = (Vec::new(), Vec::new());
        for folder in &folders {
            match self.look_at(home, folder) {
                Ok(snapshot) if snapshot.state.invented => {}
                Ok(snapshot) => snapshots.push(snapshot.clone()),
                Err(why) => unread.push(why.clone()),
            }
        }
        Ok((snapshots, unread))
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
