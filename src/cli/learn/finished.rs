//! The batches that are learned from: those that were named, or all of a shop.

use chrono::{DateTime, FixedOffset};

use super::super::named_batch::NamedBatch;
use super::super::{Ending, Failure};
use crate::journal::{Home, JournalLine};
use crate::learn::Journal;
use crate::prose::visible_lines;
use crate::shop::Shop;

/// A finished batch, with its own copy of the shop.
pub(super) struct FinishedBatch {
    pub(super) batch: NamedBatch,
    pub(super) shop: Shop,
    pub(super) shop_text: String,
}

impl FinishedBatch {
    pub(super) fn open(home: &Home, name: &str) -> Result<FinishedBatch, Failure> {
        FinishedBatch::of(NamedBatch::open(home, name)?)
    }

    fn of(batch: NamedBatch) -> Result<FinishedBatch, Failure> {
        let (shop, shop_text) = batch.shop()?;
        Ok(FinishedBatch { batch, shop, shop_text })
    }

    pub(super) fn name(&self) -> &str {
        self.batch.folder.name()
    }

    pub(super) fn journal(&self) -> Journal<'_> {
        let NamedBatch { route, lines, state, .. } = &self.batch;
        Journal { route, shop: &self.shop, lines, state }
    }

    fn begun(&self) -> Option<DateTime<FixedOffset>> {
        self.batch.lines.first().map(|line: &JournalLine| line.at)
    }
}

/// The batches to learn from.
pub(super) struct LearnedBatches {
    /// The last one holds the files that nobody named.
    pub(super) held: Vec<FinishedBatch>,
    /// How many invented ones were left out.
    pub(super) left_out: usize,
    /// Whether files of a batch have to be looked at.
    pub(super) ending: Ending,
}

impl LearnedBatches {
    /// The batches of these names, in this order.
    pub(super) fn named(home: &Home, names: &[String]) -> Result<LearnedBatches, Failure> {
        let held: Result<Vec<FinishedBatch>, Failure> =
            names.iter().map(|name| FinishedBatch::open(home, name)).collect();
        let held = held?;
        let ending = held.iter().fold(Ending::Fine, |ending, held| ending.and(held.batch.ending));
        Ok(LearnedBatches { held, left_out: 0, ending })
    }

    /// All batches of a folder, under way and archived, the one that began last at the end.
    /// Invented ones say nothing of real machines and are left out. One that can't be read
    /// keeps nobody from the others.
    pub(super) fn all(home: &Home) -> Result<LearnedBatches, Failure> {
        let mut folders = home.batches()?;
        folders.extend(home.archived()?);
        let mut all = LearnedBatches { held: Vec::new(), left_out: 0, ending: Ending::Fine };
        for folder in folders {
            match NamedBatch::of(folder).and_then(FinishedBatch::of) {
                Ok(held) if held.batch.state.invented => all.left_out += 1,
                Ok(held) => {
                    all.ending = all.ending.and(held.batch.ending);
                    all.held.push(held);
                }
                Err(why) => {
                    let why = why.to_string();
                    let why = why.strip_prefix("error: ").unwrap_or(&why);
                    eprintln!("warning: a batch is left out: {}", visible_lines(why));
                    all.ending = Ending::Findings;
                }
            }
        }
        all.held.sort_by(|a, b| (a.begun(), a.name()).cmp(&(b.begun(), b.name())));
        Ok(all)
    }

    pub(super) fn journals(&self) -> Vec<Journal<'_>> {
        self.held.iter().map(FinishedBatch::journal).collect()
    }
}
