//! `batches`: the batches under way, or those that are archived.

use std::io::Write;
use std::path::Path;

use clap::Args;

use super::named_batch::home_to_read;
use super::{Ending, Failure};
use crate::prose::visible;
use crate::work::BatchRow;

/// List the batches under way
///
/// For each: its route, the current operation, and the pieces done, set aside and
/// still to go. What is wrong with its files follows, and the command ends with 1 then.
/// With --archived lists those that were moved out of the way. review,
/// export and learn read an archived batch too; to go on with one, or to archive
/// one, choose it in `benchway` and press F6.
#[derive(Debug, Args)]
#[command(after_help = "Example:  benchway batches")]
pub(super) struct BatchesArguments {
    /// List the archived batches instead
    #[arg(long)]
    archived: bool,
}

impl BatchesArguments {
    /// Whether the archived ones are listed.
    #[cfg(feature = "meet")]
    pub(super) fn is_archived(&self) -> bool {
        self.archived
    }

    pub(super) fn run(&self, home: Option<&Path>, out: &mut dyn Write) -> Result<Ending, Failure> {
        let home = home_to_read(home)?;
        let folders = if self.archived { home.archived()? } else { home.batches()? };
        match (folders.is_empty(), self.archived) {
            (true, true) => writeln!(out, "No batch is archived.")?,
            (true, false) => {
                writeln!(out, "No batch is under way. Begin one:  benchway walk reading-stool")?;
            }
            (false, _) => {}
        }
        let mut ending = Ending::Fine;
        for folder in &folders {
            let row = BatchRow::of(folder);
            let line = format!("{}  {}  {}", row.name, row.route, row.progress);
            writeln!(out, "{}", visible(&line))?;
            for said in &row.damage {
                writeln!(out, "  {}", visible(said))?;
            }
            ending = ending.and(Ending::found(row.is_damaged()));
        }
        Ok(ending)
    }
}
