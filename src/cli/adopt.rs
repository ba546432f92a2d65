//! `adopt`: a corrected route for a batch under way.

use std::io::Write;
use std::path::{Path, PathBuf};
use std::sync::Arc;

use chrono::Local;
use clap::Args;

use super::named_batch::{NamedBatch, home_to_read};
use super::pin::prove;
use super::source::SourceText;
use super::{Ending, Failure};
use crate::journal::{OpenBatch, Snapshot, holder};
use crate::plan::walk;
use crate::prose::{counted, visible};
use crate::route::with_sets;
use crate::work::{Adoption, adopt, adoption, lead_named};

/// Give a batch under way a corrected route
///
/// Shows what the corrected route would change. It can't change what is begun: an
/// operation somebody set, cut or measured stays as it is, and so does the number of
/// pieces. With --word the lead adopts it for everything that isn't cut yet. The
/// journal keeps both routes, who adopted the new one, and why; terminals at work
/// take it in at their next key.
///
/// Exits with 1 when the route can't be adopted.
#[derive(Debug, Args)]
#[command(after_help = "Examples:
  benchway adopt \"spring stools\" stool-corrected.json
  benchway adopt \"spring stools\" stool-corrected.json --word \"MB rail was 1/2 short\"")]
pub(super) struct AdoptArguments {
    /// Batch under way
    #[arg(value_name = "BATCH")]
    batch: String,

    /// Corrected route file
    #[arg(value_name = "ROUTE")]
    route: PathBuf,

    /// The lead's initials and the reason; without them nothing is written
    #[arg(long, value_name = "INITIALS WHY")]
    word: Option<String>,

    /// Name under which it is written; no terminal may have it open
    #[arg(long, value_name = "NAME", default_value = "lead")]
    station: String,
}

impl AdoptArguments {
    pub(super) fn run(&self, home: Option<&Path>, out: &mut dyn Write) -> Result<Ending, Failure> {
        let home = home_to_read(home)?;
        let now = Local::now().fixed_offset();
        let batch = NamedBatch::open(&home, &self.batch)?;
        let ending = batch.ending;
        let source = SourceText::open(&self.route)?;
        source.route()?;
        let text = with_sets(&source.text, batch.state.sets);
        let corrected = SourceText { name: source.name, text: text.clone() }.route()?;
        let (shop, _) = batch.shop()?;
        let snapshot = Snapshot {
            name: self.batch.clone(),
            station: self.station.clone(),
            plan: Arc::new(walk(&batch.route, &shop, &batch.state.known())),
            route: Arc::new(batch.route),
            shop: Arc::new(shop),
            state: Arc::new(batch.state),
            damage: Vec::new(),
        };
        let adoption = adoption(&snapshot.context(0, None, now), &corrected);
        shown(&adoption, out)?;
        if !adoption.against.is_empty() {
            writeln!(out, "Nothing was written.")?;
            return Ok(Ending::Findings);
        }
        let Some(word) = &self.word else {
            writeln!(out, "Nothing was written. The lead adopts it with --word \"MB why\".")?;
            return Ok(ending);
        };
        let mut open = OpenBatch::resume(&home, &self.batch, &self.station, &holder(now))?;
        // Somebody may have begun an operation meanwhile, so it is compared once more.
        let snapshot = open.snapshot();
        let events = adopt(&snapshot.context(0, None, now), &corrected, &text, word);
        let events =
            events.map_err(|why| Failure::Option { option: "--word", given: word.clone(), why })?;
        if let Some(lead) = lead_named(&events) {
            prove(&home, lead)?;
        }
        open.append(None, now, events)?;
        writeln!(out, "Adopted. Everything that isn't begun follows the corrected route now.")?;
        Ok(ending)
    }
}

/// What would change, one line each, and why it can't be adopted where it can't.
fn shown(adoption: &Adoption, out: &mut dyn Write) -> std::io::Result<()> {
    let Adoption { changes, unchanged, added, removed, against } = adoption;
    for why in against {
        writeln!(out, "can't: {}", visible(why))?;
    }
    for op in removed {
        writeln!(out, "op {op} goes")?;
    }
    for op in added {
        writeln!(out, "op {op} is new")?;
    }
    for change in changes.iter().filter(|change| !added.contains(&change.op)) {
        let was = if change.was_text.is_empty() { "nothing" } else { change.was_text.as_str() };
        let (part, what, now) = (&change.part, &change.what, &change.now_text);
        let line = format!("op {} {part}: {what} {was} -> {now}", change.op);
        writeln!(out, "{}", visible(&line))?;
    }
    writeln!(out, "{} stay as they are.", counted(*unchanged, "setting"))
}
