//! The list of batches shows at once what is known of each. While nobody presses a key
//! the batches that no window shows at first are looked for, and then all are read.

use std::collections::VecDeque;

use chrono::{DateTime, FixedOffset};

use super::clock::now;
use super::message::{FoundRows, LooksFor, ReadRows};
use crate::journal::{BatchFolder, BatchSearch, Home, Summaries};
use crate::work::BatchRow;

/// More than a window shows. A list has so many batches at once, beside those that are
/// known.
const AT_ONCE: usize = 100;

/// The batches of a list that were found at once.
pub(super) struct ListedBatches {
    /// Those under way, by name.
    pub under_way: Vec<BatchFolder>,
    /// Those in the archive, by name.
    pub archived: Vec<BatchFolder>,
}

/// The folders that nobody looked into since the list was made, and the batches whose
/// files nobody looked at.
pub(super) struct Filling {
    under_way: Option<BatchSearch>,
    archived: Option<BatchSearch>,
    /// Whether the archived batches are read, and not only counted.
    is_archive_read: bool,
    left: VecDeque<BatchFolder>,
    summaries: Summaries<BatchRow>,
}

impl Filling {
    /// Begins with what is found at once in the folders of a home. A folder that can't be
    /// listed has no batches.
    pub(super) fn of(home: &Home, is_archive_read: bool) -> (ListedBatches, Filling) {
        let summaries = Summaries::of(home);
        let [mut under_way, mut archived] = summaries.searches(home).map(Result::ok);
        let listed =
            ListedBatches { under_way: at_once(&mut under_way), archived: at_once(&mut archived) };
        let read = listed.archived.iter().filter(|_| is_archive_read);
        let left = listed.under_way.iter().chain(read).cloned().collect();
        (listed, Filling { under_way, archived, is_archive_read, left, summaries })
    }

    /// What was known of a batch when it was read last, or its name alone.
    pub(super) fn row(&self, folder: &BatchFolder) -> BatchRow {
        let unread = || BatchRow::unread(folder.name());
        self.summaries.last(folder).cloned().unwrap_or_else(unread)
    }

    /// Where others are looked for.
    pub(super) fn looks(&self) -> LooksFor {
        LooksFor { under_way: self.under_way.is_some(), archived: self.archived.is_some() }
    }

    /// The names of folders that may be batches.
    pub(super) fn names_left(&self) -> impl Iterator<Item = &str> {
        let searches = self.under_way.iter().chain(&self.archived);
        searches.flat_map(BatchSearch::left).map(String::as_str)
    }

    /// Whether every folder was looked into and every batch was looked at.
    pub(super) fn is_done(&self) -> bool {
        self.looks() == LooksFor::default() && self.left.is_empty()
    }

    /// What was read where nothing was.
    pub(super) fn nothing(&self) -> ReadRows {
        let found = FoundRows { looks: self.looks(), ..FoundRows::default() };
        ReadRows { found, ..ReadRows::default() }
    }

    /// Looks for the next batches, then at the next ones, at least one, until so late; at
    /// all of them where there is no hurry.
    pub(super) fn next(&mut self, until: Option<DateTime<FixedOffset>>) -> ReadRows {
        let mut read = ReadRows::default();
        while self.find(&mut read.found) || self.read(&mut read) {
            if until.is_some_and(|until| now() >= until) {
                break;
            }
        }
        read.found.looks = self.looks();
        if self.is_done() {
            self.summaries.write();
        }
        read
    }

    /// Finds a batch that wasn't listed; false where there is none.
    fn find(&mut self, found: &mut FoundRows) -> bool {
        let (rows, is_read, folder) = match next_of(&mut self.under_way) {
            Some(folder) => (&mut found.batches, true, folder),
            None => match next_of(&mut self.archived) {
                Some(folder) => (&mut found.archived, self.is_archive_read, folder),
                None => return false,
            },
        };
        rows.push(BatchRow::unread(folder.name()));
        self.left.extend(is_read.then_some(folder));
        true
    }

    /// Looks at the next batch; false where none is left.
    fn read(&mut self, read: &mut ReadRows) -> bool {
        let Some(folder) = self.left.pop_front() else { return false };
        let row = self.look_at(&folder);
        let rows = if folder.is_archived() { &mut read.archived } else { &mut read.batches };
        rows.push(row);
        true
    }

    /// Reads a batch, unless its files look as they did when it was read last.
    fn look_at(&mut self, folder: &BatchFolder) -> BatchRow {
        // Before it is read: what is written meanwhile makes the summary old.
        let looks = folder.looks();
        if let Some(known) = looks.as_ref().and_then(|looks| self.summaries.known(folder, looks)) {
            return known.clone();
        }
        let row = BatchRow::of(folder);
        // What is wrong may be mended without a file that looks different.
        if let Some(looks) = looks.filter(|_| !row.is_damaged()) {
            self.summaries.keep(folder, looks, row.clone());
        }
        row
    }
}

/// What a list has at once.
fn at_once(search: &mut Option<BatchSearch>) -> Vec<BatchFolder> {
    let batches = search.as_mut().map_or_else(Vec::new, |search| search.at_once(AT_ONCE));
    search.take_if(|search| search.left().is_empty());
    batches
}

/// The next batch that is found. A search that is over keeps no folder open.
fn next_of(search: &mut Option<BatchSearch>) -> Option<BatchFolder> {
    let found = search.as_mut().and_then(Iterator::next);
    search.take_if(|search| search.left().is_empty());
    found
}

/// Whoever goes on before all is read keeps what was.
impl Drop for Filling {
    fn drop(&mut self) {
        self.summaries.write();
    }
}

#[cfg(test)]
mod tests {
    use std::fs;

    use super::*;

    /// A long list has its first batches at once, says that others are looked for,
    /// and has every batch in the end; a folder that is no batch is never one of them.
    #[test]
    fn a_long_list_is_found_bit_by_bit() {
        let folder = tempfile::tempdir().expect("a folder");
        let home = Home::locate(Some(folder.path().to_owned())).expect("a folder was named");
        let make = |under: &str, many: usize| {
            for n in 0..many {
                let batch = folder.path().join(under).join(format!("batch {n:03}"));
                fs::create_dir_all(&batch).expect("made");
                fs::write(batch.join("route.json"), "{}").expect("written");
            }
        };
        make("", AT_ONCE + 30);
        make("archive", AT_ONCE + 2);
        fs::create_dir(folder.path().join("a folder of ours")).expect("made");
        let (listed, mut filling) = Filling::of(&home, false);
        let names: Vec<&str> = listed.under_way.iter().map(BatchFolder::name).collect();
        assert_eq!((names[0], names[AT_ONCE - 1]), ("batch 000", "batch 099"));
        assert_eq!((names.len(), listed.archived.len()), (AT_ONCE, AT_ONCE));
        assert_eq!(filling.looks(), LooksFor { under_way: true, archived: true });
        assert_eq!(filling.names_left().count(), 32);

        // However little time there is, one is found.
        let read = filling.next(Some(now()));
        let found: Vec<&str> = read.found.batches.iter().map(|row| row.name.as_str()).collect();
        assert_eq!(found, ["batch 100"]);
        assert!(read.found.looks.under_way && !filling.is_done());

        let read = filling.next(None);
        assert_eq!((read.found.batches.len(), read.found.archived.len()), (29, 2));
        assert_eq!((read.batches.len(), read.archived.len()), (AT_ONCE + 30, 0));
        assert_eq!(read.found.looks, LooksFor::default());
        assert!(filling.is_done());
    }

    /// A list that is short is whole at once.
    #[test]
    fn a_short_list_is_whole_at_once() {
        let folder = tempfile::tempdir().expect("a folder");
        let home = Home::locate(Some(folder.path().to_owned())).expect("a folder was named");
        for name in ["a", "b", "no batch"] {
            fs::create_dir(folder.path().join(name)).expect("made");
        }
        for name in ["a", "b"] {
            fs::write(folder.path().join(name).join("route.json"), "{}").expect("written");
        }
        let (listed, filling) = Filling::of(&home, false);
        assert_eq!((listed.under_way.len(), filling.looks()), (2, LooksFor::default()));
        let (none, filling) = Filling::of(
            &Home::locate(Some(folder.path().join("nowhere"))).expect("a folder was named"),
            true,
        );
        assert!(none.under_way.is_empty() && none.archived.is_empty() && filling.is_done());
    }
}
