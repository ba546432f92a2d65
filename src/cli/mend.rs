//! `mend`: takes in what copies of a batch's files hold.

use std::io::Write;
use std::path::Path;

use chrono::Local;
use clap::Args;

use super::named_batch::home_to_read;
use super::{Ending, Failure};
use crate::journal::{BatchFolder, CopyBrings, FoundCopy, holder};
use crate::prose::{counted, visible};

/// Take in what copies of a batch's files hold
///
/// A program that shares folders may leave a station's file twice, and each may have lines
/// that the other lacks. Without --apply shows what each copy would bring. With it, lines
/// that only go on take the place of the shorter file; lines that went another way become
/// the file of a station of their own. Nothing is deleted: the copy and the shorter file
/// keep their lines under names that end in `.taken-in` and `.before`.
///
/// Exits with 1 when a copy is there that isn't taken in.
#[derive(Debug, Args)]
#[command(after_help = "Example:  benchway mend \"spring stools\" --apply")]
pub(super) struct MendArguments {
    /// Batch under way
    #[arg(value_name = "BATCH")]
    batch: String,

    /// Take in what is shown; no terminal may have the stations open
    #[arg(long)]
    apply: bool,
}

impl MendArguments {
    pub(super) fn run(&self, home: Option<&Path>, out: &mut dyn Write) -> Result<Ending, Failure> {
        let home = home_to_read(home)?;
        let folder = BatchFolder::open(&home, &self.batch)?;
        let copies = folder.copies()?;
        if copies.is_empty() {
            writeln!(out, "There is no copy in this batch.")?;
        }
        let holder = holder(Local::now().fixed_offset());
        let mut ending = Ending::Fine;
        for copy in &copies {
            writeln!(out, "{}", visible(&words(copy)))?;
            if self.apply && !matches!(copy.brings, CopyBrings::Cannot { .. }) {
                folder.take_in(copy, &holder)?;
            } else {
                ending = Ending::Findings;
            }
        }
        if !copies.is_empty() {
            let done =
                if self.apply { "Taken in." } else { "Nothing was written. --apply takes it in." };
            writeln!(out, "{done}")?;
        }
        Ok(ending)
    }
}

fn words(copy: &FoundCopy) -> String {
    let FoundCopy { name, of, brings } = copy;
    match brings {
        CopyBrings::Nothing => format!("{name}: nothing that {of}.jsonl hasn't"),
        CopyBrings::TheRest { lines } => {
            format!(
                "{name}: {} more than {of}.jsonl, whose place it takes",
                counted(*lines, "line")
            )
        }
        CopyBrings::AnotherWay { station, lines } => format!(
            "{name}: {} that went another way than {of}.jsonl; they become {station}.jsonl",
            counted(lines.len(), "line")
        ),
        CopyBrings::Cannot { why } => format!("{name}: can't be taken in, because {why}"),
    }
}
