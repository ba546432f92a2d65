//! `print review`: the sheet of a batch in review.

use std::io::Write;
use std::path::Path;

use clap::Args;

use super::PrintTo;
use crate::cli::named_batch::{NamedBatch, home_to_read};
use crate::cli::waiting::waiting;
use crate::cli::{Ending, Failure, shop_source};
use crate::fits::{FitError, FitsInput, JudgedFit, Readings, fits};
use crate::journal::{BatchSeal, State};
use crate::learn::{Files, Journal, learn};
use crate::paper::{ReviewSheetInput, review_sheet};
use crate::plan::walk;
use crate::review::BatchReview;
use crate::route::Route;
use crate::shop::Shop;

/// As many simulated articles as `fits` tries if it is not told otherwise, and its seed.
const TRIALS: u32 = 10_000;
const SEED: u64 = 1;

/// Print the review of a batch
///
/// What went out of limits with its likely cause; what each operation added; the rows of
/// readings that are worth a look, in cut order with their limits; the fits with the
/// distribution of simulated articles; where the wood went; what to change next time, as
/// `learn` proposes it; who answered for what; and the short form of each seal. The words
/// and numbers are those of `review`.
#[derive(Debug, Args)]
#[command(after_help = "Example:  benchway print review \"reading-stool 2026-11-25\"")]
pub(super) struct ReviewSheetArguments {
    /// Name of the batch
    #[arg(value_name = "BATCH")]
    batch: String,

    #[command(flatten)]
    to: PrintTo,
}

impl ReviewSheetArguments {
    /// The sheet of a batch.
    pub(super) fn of(batch: &str, to: PrintTo) -> ReviewSheetArguments {
        ReviewSheetArguments { batch: batch.to_owned(), to }
    }

    /// The batch it reads.
    #[cfg(feature = "meet")]
    pub(super) fn batch(&self) -> &str {
        &self.batch
    }

    pub(super) fn run(&self, home: Option<&Path>, out: &mut dyn Write) -> Result<Ending, Failure> {
        let mut said = Vec::new();
        let ending = waiting("reviewing the batch", || self.write(home, &mut said))?;
        out.write_all(&said)?;
        Ok(ending)
    }

    /// The same without a word of how long it takes: the traveler owns the terminal.
    pub(super) fn write(
        &self,
        home: Option<&Path>,
        out: &mut dyn Write,
    ) -> Result<Ending, Failure> {
        let home = home_to_read(home)?;
        let batch = NamedBatch::open(&home, &self.batch)?;
        let (shop, _) = batch.shop()?;
        let counted = batch.counted_route()?;
        let NamedBatch { folder, route, state, lines, ending, .. } = batch;
        let changed = |seal: &BatchSeal| folder.changed_since(&seal.stations);
        let review = BatchReview::of(&self.batch, (&route, &shop), &state, &lines, changed);
        let (judged, troubles) = judged(&counted, &shop, &state);
        // What the shop file says by now need not be learned again.
        let own = shop_source::own(&home)?.map(|own| own.shop()).transpose()?;
        let files = Files { shop: own.as_ref().unwrap_or(&shop), route: &route };
        let journal = Journal { route: &route, shop: &shop, lines: &lines, state: &state };
        let lessons = learn(&[journal], files);
        let page = review_sheet(&ReviewSheetInput {
            review: &review,
            fits: &judged,
            troubles: &troubles,
            lessons: &lessons,
        });
        self.to.write(&page, route.unit, out)?;
        Ok(ending)
    }
}

/// The fits of a batch, as far as its pieces are made.
fn judged(route: &Route, shop: &Shop, state: &State) -> (Vec<JudgedFit>, Vec<FitError>) {
    let known = state.known();
    let readings = Readings::of(state);
    let input = FitsInput {
        route,
        shop,
        plan: &walk(route, shop, &known),
        known: &known,
        readings: Some(&readings),
    };
    fits(&input, TRIALS, SEED)
}
