//! `batches`: the batches under way.

use std::io::Write;
use std::path::Path;

use clap::Args;

use super::{Ending, Failure};
use crate::journal::Home;
use crate::prose::visible;
use crate::work::BatchRow;

/// List the batches under way
///
/// For each: its route, the current operation, and the pieces done, set aside and
/// still to go.
#[derive(Debug, Args)]
#[command(after_help = "Example:  benchway batches")]
pub(super) struct BatchesArguments {}

impl BatchesArguments {
    pub(super) fn run(&self, home: Option<&Path>, out: &mut dyn Write) -> Result<Ending, Failure> {
        let home = Home::locate(home.map(Path::to_owned))?;
        let folders = home.batches()?;
        if folders.is_empty() {
            writeln!(out, "No batch is under way. Begin one:  benchway walk reading-stool")?;
        }
        for folder in &folders {
            let row = BatchRow::of(folder);
            writeln!(out, "{}  {}  {}", visible(&row.name), visible(&row.route), row.progress)?;
        }
        Ok(Ending::Fine)
    }
}
