//! The shop journal on the disk: one file for each station, in a folder of its own beside
//! the batches. The same lines as in a batch, with the same checksums, in the same order.

use chrono::{DateTime, FixedOffset};

use super::damage_words::damage_words;
use super::folder::{BatchFolder, Everything};
use super::home::Home;
use super::merge::LinesSeen;
use super::shop_event::ShopEvent;
use super::shop_record::ShopRecord;
use super::station::{Station, holder};
use super::store_error::{StoreError, refused};

/// The folder of the shop journal, in the folder of all batches.
pub(super) const SHOP_JOURNAL: &str = "shop-journal";

/// The journal of a shop.
#[derive(Clone, Debug)]
pub struct ShopJournal {
    folder: BatchFolder,
}

impl ShopJournal {
    /// The one beside the batches; its folder need not exist.
    pub fn of(home: &Home) -> ShopJournal {
        ShopJournal { folder: home.folder(SHOP_JOURNAL, home.path().join(SHOP_JOURNAL)) }
    }

    /// What it says, and what is wrong with its files, in words.
    pub fn read(&self) -> Result<(ShopRecord, Vec<String>), StoreError> {
        let Some(Everything { entries, damage, .. }) = self.everything()? else {
            return Ok((ShopRecord::default(), Vec::new()));
        };
        Ok((ShopRecord::fold(&entries), damage_words(&damage)))
    }

    fn everything(&self) -> Result<Option<Everything<ShopEvent>>, StoreError> {
        self.folder.path().is_dir().then(|| self.folder.read_all()).transpose()
    }

    /// Adds what one answer led to: all of it is on the disk, or none of it. The station is
    /// opened for this alone.
    pub fn append(
        &self,
        station: &str,
        at: DateTime<FixedOffset>,
        who: &str,
        events: Vec<ShopEvent>,
    ) -> Result<(), StoreError> {
        let path = self.folder.path();
        self.folder.disk.make_folder(path).map_err(refused("make", path))?;
        let (mut station, _) = Station::open(&self.folder, station, &holder(at))?;
        let entries = self.everything()?.map(|held| held.entries).unwrap_or_default();
        station.append(at, &LinesSeen::of(&entries), Some(who), events)?;
        Ok(())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn changed(tool: &str) -> ShopEvent {
        let (machine, by) = ("cabinet saw".to_owned(), "MB".to_owned());
        ShopEvent::ToolChanged { machine, tool: tool.to_owned(), feet: None, by }
    }

    /// Two stations write in turn, and each sees what the other wrote. A torn last line is
    /// cut off and said, and the rest counts.
    #[test]
    fn what_is_added_is_read_back() {
        let place = tempfile::tempdir().expect("a folder");
        let home = Home::locate(Some(place.path().join("new"))).expect("a folder was named");
        let journal = ShopJournal::of(&home);
        assert_eq!(journal.read().expect("nothing yet"), (ShopRecord::default(), Vec::new()));
        let at = "2026-11-25T08:00:00Z".parse().expect("a time");
        journal.append("cart", at, "MB", vec![changed("rip blade")]).expect("recorded");
        journal.append("Planer", at, "MB", vec![changed("knives")]).expect("recorded");
        let (record, damage) = journal.read().expect("read");
        assert_eq!((record.changes.len(), damage), (2, Vec::new()));
        let file = journal.folder.path().join("planer.jsonl");
        let text = std::fs::read_to_string(&file).expect("read");
        assert!(text.contains("\"after\":2") && text.contains("\"crc\":\""), "{text}");
        std::fs::write(&file, &text[..text.len() - 9]).expect("written");
        let (record, damage) = journal.read().expect("read");
        assert_eq!((record.changes.len(), damage.len()), (1, 1));
        journal.append("planer", at, "MB", vec![changed("knives")]).expect("recorded");
        let (record, _) = journal.read().expect("read");
        assert_eq!(record.changes.len(), 2);
        // Its folder is no batch.
        assert!(home.batches().expect("listed").is_empty());
    }
}
