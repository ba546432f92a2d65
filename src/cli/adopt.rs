//! `adopt`: a corrected route, or the present shop, for a batch under way.

use std::io::Write;
use std::path::{Path, PathBuf};
use std::sync::Arc;

use chrono::{DateTime, FixedOffset, Local};
use clap::Args;

use super::named_batch::{NamedBatch, home_to_read};
use super::pin::prove;
use super::shop_source::{shop, shop_text};
use super::source::SourceText;
use super::{Ending, Failure};
use crate::journal::{Event, Home, OpenBatch, Snapshot, holder};
use crate::plan::walk;
use crate::prose::{Message, counted, visible};
use crate::route::with_sets;
use crate::work::{Adoption, ShopAdoption, adopt, adopt_shop, adoption, lead_named, shop_adoption};

/// Give a batch under way a corrected route, or the present shop
///
/// Shows what the corrected route would change. It can't change what is begun: an
/// operation somebody set, cut or measured stays as it is, and so does the number of
/// pieces. With --word the lead adopts it for everything that isn't cut yet. The
/// journal keeps both routes, who adopted the new one, and why; terminals at work
/// take it in at their next key.
///
/// With --shop the batch goes on in the shop as it is now: its people and sign-offs, its
/// tools and offsets. What is set stays set. A shop that lost a machine, a tool or a gauge
/// still in use, or that would move an operation half done, can't be adopted.
///
/// Exits with 1 when it can't be adopted.
#[derive(Debug, Args)]
#[command(after_help = "Examples:
  benchway adopt \"spring stools\" stool-corrected.json
  benchway adopt \"spring stools\" stool-corrected.json --word \"MB rail was 1/2 short\"
  benchway adopt \"spring stools\" --shop --word \"MB new rip blade\"")]
pub(super) struct AdoptArguments {
    /// Batch under way
    #[arg(value_name = "BATCH")]
    batch: String,

    /// Corrected route file
    #[arg(value_name = "ROUTE", required_unless_present = "shop", conflicts_with = "shop")]
    route: Option<PathBuf>,

    /// Adopt the present shop: this file, or your own shop if none is named
    #[arg(long, value_name = "FILE", num_args = 0..=1)]
    shop: Option<Option<PathBuf>>,

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
        let route = match (&self.shop, &self.route) {
            (None, Some(route)) => route,
            (named, _) => return self.present_shop(&home, batch, named.as_ref(), now, out),
        };
        let source = SourceText::open(route)?;
        source.route()?;
        let text = with_sets(&source.text, batch.state.sets);
        let corrected = SourceText { name: source.name, text: text.clone() }.route()?;
        let snapshot = self.snapshot(batch)?;
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
        let open = OpenBatch::resume(&home, &self.batch, &self.station, &holder(now))?;
        // Somebody may have begun an operation meanwhile, so it is compared once more.
        let snapshot = open.snapshot();
        let events = adopt(&snapshot.context(0, None, now), &corrected, &text, word);
        self.record(&home, open, now, events)?;
        writeln!(out, "Adopted. Everything that isn't begun follows the corrected route now.")?;
        Ok(ending)
    }

    /// The batch as terminals show it.
    fn snapshot(&self, batch: NamedBatch) -> Result<Snapshot, Failure> {
        let (shop, _) = batch.shop()?;
        Ok(Snapshot {
            name: self.batch.clone(),
            station: self.station.clone(),
            plan: Arc::new(walk(&batch.route, &shop, &batch.state.known())),
            route: Arc::new(batch.route),
            shop: Arc::new(shop),
            state: Arc::new(batch.state),
            damage: Vec::new(),
        })
    }

    /// Records what was adopted, once the lead has proved to be the lead.
    fn record(
        &self,
        home: &Home,
        mut open: OpenBatch,
        now: DateTime<FixedOffset>,
        events: Result<Vec<Event>, Message>,
    ) -> Result<(), Failure> {
        let given = self.word.clone().unwrap_or_default();
        let events = events.map_err(|why| Failure::Option { option: "--word", given, why })?;
        if let Some(lead) = lead_named(&events) {
            prove(home, lead)?;
        }
        open.append(None, now, events)?;
        Ok(())
    }

    /// The present shop in place of the one the batch has.
    fn present_shop(
        &self,
        home: &Home,
        batch: NamedBatch,
        named: Option<&Option<PathBuf>>,
        now: DateTime<FixedOffset>,
        out: &mut dyn Write,
    ) -> Result<Ending, Failure> {
        let ending = batch.ending;
        let named = named.and_then(Option::as_deref);
        let text = shop_text(named, Some(home.path()))?;
        let present = shop(named, Some(home.path()))?;
        writeln!(out, "The present shop: {}", visible(&present.name))?;
        let snapshot = self.snapshot(batch)?;
        let ShopAdoption { changes, unchanged, against } =
            shop_adoption(&snapshot.context(0, None, now), &present);
        let is_refused = !against.is_empty();
        let (added, removed) = (Vec::new(), Vec::new());
        shown(&Adoption { changes, unchanged, added, removed, against }, out)?;
        if is_refused {
            writeln!(out, "Nothing was written.")?;
            return Ok(Ending::Findings);
        }
        let Some(word) = &self.word else {
            writeln!(out, "Nothing was written. The lead adopts it with --word \"MB why\".")?;
            return Ok(ending);
        };
        let open = OpenBatch::resume(home, &self.batch, &self.station, &holder(now))?;
        let snapshot = open.snapshot();
        let events = adopt_shop(&snapshot.context(0, None, now), &present, &text, word);
        self.record(home, open, now, events)?;
        writeln!(out, "Adopted. What isn't set yet follows the present shop now.")?;
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
