//! `review`: where a batch went out of tolerance, at which operation, and why.

mod json;
mod text;
mod who;
mod wood;

use std::io::Write;
use std::path::Path;

use clap::Args;

use super::named_batch::{NamedBatch, home_to_read};
use super::{Ending, Failure, Format};
use crate::journal::{BatchSeal, State};
use crate::prose::nearest;
use crate::review::{Attribution, BatchReview, attributions};
use crate::route::Route;

/// Find where a batch went out of tolerance, and why
///
/// Lists the readings outside their limits in the order they were found, what each
/// operation added to the deviation, and the likely cause for the readings of
/// each check in cut order: set wrong, crept, wore in, up and back, moved between two
/// pieces, slips, several apart, a scatter that grew, scattered, or the gauge. Each cause
/// says how sure it is and which other cause comes close; with too few readings it says
/// so. One reading that lies far off is no proof: measure that piece again.
///
/// What is usual comes from the whole batch: how much its rows scatter beside what the
/// shop says, how much readings remember of the one before, and how close the shop sets
/// its scales.
///
/// What an operation added is the measured change minus the intended one;
/// operations with no measurement between them share it. A size read again on a
/// later day with nothing cut in between (a witness piece) tells wood movement
/// from a gauge that changed, by what the gauge read on its block on both days.
///
/// For a batch that began at the rack it also shows where the wood went: parts,
/// spares, rejects, trim, edging, kerf and offcuts kept, which add up to the wood
/// bought.
///
/// It ends with what leads answered for (pieces accepted, operations opened early and
/// why), who typed that at which station, the readings that were out of limits and
/// were voided, pieces that two stations read within a minute, seals, and
/// the notes.
///
/// In JSON, lengths are numbers in the route's unit. `out` lists the readings that
/// went out, `checks` the likely cause of each check with its `readings`; `added`
/// sums to `miss`. Points are differences of the Bayesian information criterion;
/// a cause is reported from 6 points over no cause at all, or from 10 where the
/// shop file gives the machine no `spread`. `far_off` lists the readings that lie far
/// off, and whether a second one `confirmed` them. `read_again` lists sizes read on two
/// days, and `why` they differ: same, wood, gauge, hand, can't tell. `wood` has
/// one row per wood and class, in its own `unit`, that sums to `bought`. `lead` holds
/// what leads answered for, with their `word` and `who` typed it; `voided` the readings
/// out of limits that count no more; `read_twice` pieces that two stations read within a
/// minute; `seals` each seal and the stations that `changed` since; `notes` what people
/// wrote.
///
/// Exits with 1 when a reading went out of limits or the readings show a
/// disturbance.
///
///   benchway review "reading-stool 2026-11-25"
///   benchway review "reading-stool 2026-11-25" --piece "rail 3"
///   benchway review "reading-stool 2026-11-25" --format json
#[derive(Debug, Args)]
#[command(verbatim_doc_comment)]
pub(super) struct ReviewArguments {
    /// Name of the batch
    batch: String,

    /// Show one piece only: what each operation added to its sizes
    #[arg(long, value_name = "NAME")]
    piece: Option<String>,

    /// Output for people (text) or for programs (json)
    #[arg(long, value_enum, default_value_t = Format::Text)]
    format: Format,
}

impl ReviewArguments {
    /// The batch it reads.
    #[cfg(feature = "meet")]
    pub(super) fn batch(&self) -> &str {
        &self.batch
    }

    pub(super) fn run(&self, home: Option<&Path>, out: &mut dyn Write) -> Result<Ending, Failure> {
        let home = home_to_read(home)?;
        let batch = NamedBatch::open(&home, &self.batch)?;
        let (shop, _) = batch.shop()?;
        let NamedBatch { folder, route, state, lines, ending, .. } = batch;
        if let Some(name) = &self.piece {
            let ways = attributions_of(&route, &state, name)?;
            return Ok(self.piece(&route, &ways, out)?.and(ending));
        }
        let changed = |seal: &BatchSeal| folder.changed_since(&seal.stations);
        let report = BatchReview::of(&self.batch, (&route, &shop), &state, &lines, changed);
        match self.format {
            Format::Text => text::print(&report, out)?,
            Format::Json => json::print(&report, out)?,
        }
        let is_changed = report.is_changed_since_a_seal();
        Ok(Ending::found(!report.found.is_quiet() || is_changed).and(ending))
    }

    fn piece(
        &self,
        route: &Route,
        ways: &[Attribution],
        out: &mut dyn Write,
    ) -> Result<Ending, Failure> {
        let is_out = ways.iter().any(|way| way.left_limits().is_some());
        let name = self.piece.as_deref().unwrap_or_default();
        match self.format {
            Format::Text => text::print_piece(route, name, ways, out)?,
            Format::Json => json::print_piece(ways, route.unit, out)?,
        }
        Ok(Ending::found(is_out))
    }
}

/// What each operation added to every size measured on a piece.
fn attributions_of(route: &Route, state: &State, name: &str) -> Result<Vec<Attribution>, Failure> {
    let named = state.pieces.iter().rev().find(|piece| piece.label.to_string() == name);
    let Some(piece) = named else {
        let names: Vec<String> = state.pieces.iter().map(|p| p.label.to_string()).collect();
        let near = nearest(name, names.iter().map(String::as_str));
        let help = near.map(|near| format!("did you mean `{near}`?"));
        return Err(Failure::NoSuchPiece { name: name.to_owned(), help });
    };
    Ok(attributions(route, state, &piece.id))
}
