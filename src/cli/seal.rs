//! `seal`: a seal over a batch, so that a later change of its files is noticed.

use std::io::Write;
use std::path::Path;

use chrono::Local;
use clap::Args;

use super::named_batch::{NamedBatch, home_to_read};
use super::pin::prove;
use super::{Ending, Failure};
use crate::journal::{BatchFolder, Event, OpenBatch, holder, short_form};
use crate::prose::Message;

/// Seal a batch, so that a later change of its files is noticed
///
/// The seal holds how many lines each station had written, and a hash of them. It stands
/// in the journal; lines that are added later don't break it. `review` compares it, and
/// both print a short form to keep on paper: whoever may write the folder of the batch
/// may write another seal too, but not on your paper.
#[derive(Debug, Args)]
#[command(after_help = "Example:  benchway seal \"spring stools\" --by MB")]
pub(super) struct SealArguments {
    /// Batch under way
    #[arg(value_name = "BATCH")]
    batch: String,

    /// The lead's initials
    #[arg(long, value_name = "INITIALS")]
    by: String,

    /// Name under which it is written; no terminal may have it open
    #[arg(long, value_name = "NAME", default_value = "lead")]
    station: String,
}

impl SealArguments {
    pub(super) fn run(&self, home: Option<&Path>, out: &mut dyn Write) -> Result<Ending, Failure> {
        let home = home_to_read(home)?;
        let now = Local::now().fixed_offset();
        let batch = NamedBatch::open(&home, &self.batch)?;
        let (shop, _) = batch.shop()?;
        let by = self.by.trim().to_uppercase();
        if by.is_empty() || !shop.may_lead(&by, now.date_naive()) {
            let why = Message::error("these aren't the initials of a lead of this shop");
            return Err(Failure::Option { option: "--by", given: self.by.clone(), why });
        }
        let mut open = OpenBatch::resume(&home, &self.batch, &self.station, &holder(now))?;
        prove(&home, &by)?;
        let stations = BatchFolder::open(&home, &self.batch)?.seal()?;
        let short = short_form(&stations);
        open.append(None, now, vec![Event::Sealed { by, stations }])?;
        writeln!(out, "Sealed. Keep this on paper:  {short}")?;
        Ok(batch.ending)
    }
}
