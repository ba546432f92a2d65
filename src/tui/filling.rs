//! The list of batches shows at once what is known of each, and is filled in batch by
//! batch while nobody presses a key.

use chrono::{DateTime, FixedOffset};

use super::clock::now;
use super::message::ReadRows;
use crate::journal::{BatchFolder, Summaries};
use crate::work::BatchRow;

/// The batches whose files have not been looked at since the list was made.
pub(super) struct Filling {
    left: Vec<BatchFolder>,
    summaries: Summaries<BatchRow>,
}

impl Filling {
    /// Begins with these batches, the first of them first.
    pub(super) fn of(summaries: Summaries<BatchRow>, mut left: Vec<BatchFolder>) -> Filling {
        left.reverse();
        Filling { left, summaries }
    }

    /// What was known of a batch when it was read last, or its name alone.
    pub(super) fn row(&self, folder: &BatchFolder) -> BatchRow {
        let unread = || BatchRow::unread(folder.name());
        self.summaries.last(folder).cloned().unwrap_or_else(unread)
    }

    /// Whether every batch was looked at.
    pub(super) fn is_done(&self) -> bool {
        self.left.is_empty()
    }

    /// Looks at the next batches, at least one, until so late; at all of them where
    /// there is no hurry.
    pub(super) fn next(&mut self, until: Option<DateTime<FixedOffset>>) -> ReadRows {
        let mut read = ReadRows::default();
        while let Some(folder) = self.left.pop() {
            let row = self.look_at(&folder);
            let rows = if folder.is_archived() { &mut read.archived } else { &mut read.batches };
            rows.push(row);
            if until.is_some_and(|until| now() >= until) {
                break;
            }
        }
        if self.is_done() {
            self.summaries.write();
        }
        read
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

/// Whoever goes on before all is read keeps what was.
impl Drop for Filling {
    fn drop(&mut self) {
        self.summaries.write();
    }
}
