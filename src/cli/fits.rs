//! `fits`: whether the parts will go together, before or during a batch.

mod drawn;
mod given;
mod json;
mod text;

use std::io::Write;
use std::path::{Path, PathBuf};

use clap::{Args, ValueEnum};

use super::makers::MakersArgument;
use super::named_batch::RouteOrBatch;
use super::settings::{kept, made_value};
use super::waiting::waiting;
use super::{Ending, Failure, Format};
use crate::fits::{FitAttribution, fit_attribution};
use crate::fits::{FitError, FitsInput, JudgedFit, Readings, fits};
use crate::journal::State;
use crate::operation::words;
use crate::plan::{Known, MadeOver, walk};
use crate::prose::Message;
use crate::route::Route;
use crate::shop::Shop;
use given::GivenFitArguments;

/// Check whether the parts will go together
///
/// Evaluates every clearance the route names under `fits`: as planned, in the
/// worst case, over its likely range, and as the share of simulated articles that
/// go together. It names the dimension that dominates, gauges too coarse to judge
/// the fit, limits to tighten, and limits that can be relaxed. For a batch under
/// way it uses the sizes measured so far.
///
/// Worst case: every dimension is at the end of its limits. Likely range: the
/// contributions of different dimensions add as the root of the sum of squares.
/// An error that all pieces of one dimension share, such as a gauge that reads
/// high, does not average out. Dimensions read with one gauge share its error, and
/// so do those that one scale of a machine sets and nobody measures: such errors
/// add in a sum and cancel in a difference, so their coefficients are added before
/// they are squared, and simulated articles share them too. Later cuts follow a
/// dimension that a check sets (`becomes`), so an offset of the whole lot cancels
/// there; once measured, that dimension keeps only the spread of its readings and
/// the gauge uncertainty.
///
/// Simulated pieces of a planned dimension are normal about the size its setting
/// makes, with the `spread` that the shop file gives of the machine. Where every
/// piece is measured they are held within the limits, because a piece that is out is
/// set aside or cut again; where only some are, nothing holds them. Where the shop
/// file gives no spread, or no setting makes the dimension where it is measured (the
/// width of a chisel's mortise), every size within the limits is as likely. The
/// setting is taken to be right: no offset of the whole lot is simulated. It shows at
/// the first piece measured, and measured sizes replace the plan. Each fit says which
/// draw its dimensions have. The worst case and the likely range are those of the
/// limits, whatever the spread.
///
/// A fit with `moves` is also evaluated in the driest season (winter) and the
/// dampest (summer), against the same limits.
///
/// With --is in place of a route, it evaluates one clearance of sizes whose
/// distributions are given: normal with mean and standard deviation, or uniform
/// between two sizes. Its standard deviation is by the derivatives (root of the sum
/// of squares), the likely range is the middle 95 % of the simulated clearances,
/// and `normal_share` is the share within --limits if the clearance is normal.
/// Keys: is, unit, limits, nominal, sd, normal_share, tried (trials, mean, sd, low,
/// high, fitted, share), sizes (name, distribution, mean, sd, slope, share).
///
/// In JSON, lengths are numbers in the route's unit. Keys: route, unit, shop,
/// seed, fits, may_be_let_go (sentences), troubles (fit, what, fix: fits that
/// can't be evaluated). Each of `fits` has: fit, is, sets (empty: all), limits,
/// nominal, worst, likely (each low and high), holds ("worst", "likely", "not",
/// "nominal"), tried (trials, fitted, share, low, high), contributions, as_drawn,
/// moves, winter, summer, way, says. `moves` (species, grain, across, from, to,
/// made_at, status) and both seasons (moisture, clearance, likely, holds) are null
/// where no wood movement is given. Each contribution has: dim, size, made, op,
/// part, feature, gauge, uncertainty, off (low and high), slope, followed, moves
/// (low and high), shared, shared_by, share, sees, drawn. `drawn` has: as ("normal",
/// "uniform", "scale", "readings", "as made"), about, sd, machine, held (within its
/// limits), says; null where that draw has none. Dimensions with the same
/// `shared_by`, a gauge or a scale, have one error in common. `way` is present
/// once a dimension of the fit was measured: planned, made, shares (dim, op,
/// wanted, made, times, amount) and rest; shares and rest add up to made minus
/// planned.
///
/// With --format html each fit also has a drawing of how the simulated clearances lie
/// about its limits; the page needs no network.
///
/// Exits with 1 when a fit can't be relied on or can't be evaluated.
///
///   benchway fits reading-stool
///   benchway fits reading-stool --with mortise_width=0.253
///   benchway fits "reading-stool 2026-11-25" --format json
///   benchway fits --is "groove - tongue" --normal groove=0.262,0.001
///     --normal tongue=0.256,0.0015 --limits 0.002..0.010
#[derive(Debug, Args)]
#[command(verbatim_doc_comment)]
pub(super) struct FitsArguments {
    /// Batch under way, route file, or name of a bundled route
    #[arg(value_name = "ROUTE|BATCH", required_unless_present = "is")]
    named: Option<PathBuf>,

    #[command(flatten)]
    given: GivenFitArguments,

    /// Take a dimension as already measured
    #[arg(long, value_name = "NAME=VALUE", conflicts_with = "is")]
    with: Vec<String>,

    /// End of a dimension chain that keeps its size, by the name in the route
    #[arg(long, value_name = "NAME", conflicts_with = "is")]
    keep: Option<String>,

    /// Shop file, or `bundled`; the batch's own or your own shop if omitted
    #[arg(long, value_name = "FILE", conflicts_with = "is")]
    shop: Option<PathBuf>,

    #[command(flatten)]
    makers: MakersArgument,

    /// Number of simulated articles
    #[arg(long, value_name = "N", default_value_t = 10_000,
          value_parser = clap::value_parser!(u32).range(100..=1_000_000))]
    trials: u32,

    /// Random seed; the same seed simulates the same articles
    #[arg(long, value_name = "N", default_value_t = 1)]
    seed: u64,

    /// Output for people (text), for programs (json), or as a page (html)
    #[arg(long, value_enum, default_value_t = FitsFormat::Text)]
    format: FitsFormat,
}

#[derive(Clone, Copy, Debug, ValueEnum)]
enum FitsFormat {
    Text,
    Json,
    Html,
}

/// What both formats print.
struct FitsReport<'a> {
    route: &'a Route,
    shop: &'a Shop,
    known: &'a Known,
    seed: u64,
    judged: &'a [JudgedFit],
    troubles: &'a [FitError],
}

impl FitsReport<'_> {
    /// How the measured dimensions moved a fit away from its plan, for the first article
    /// it covers.
    fn way(&self, judged: &JudgedFit) -> Option<FitAttribution> {
        fit_attribution(self.route, self.known, &judged.fit, judged.sets.first().copied())
    }

    /// What was made of each dimension for the whole batch. Sizes of single articles and
    /// pieces are shown with their fits; here they would fill the page.
    fn made(&self) -> Vec<String> {
        let made = self.known.made.iter().filter(|made| made.over == MadeOver::Batch);
        let unit = self.route.unit;
        made.map(|made| format!("{} {}: {}", made.dim, words(made.value, unit), made.words))
            .collect()
    }
}

impl FitsArguments {
    /// The route or batch it reads, where one is named.
    #[cfg(feature = "meet")]
    pub(super) fn named(&self) -> Option<&Path> {
        self.named.as_deref()
    }

    /// How a clearance of given sizes is printed.
    fn given_format(&self) -> Result<Format, Failure> {
        match self.format {
            FitsFormat::Text => Ok(Format::Text),
            FitsFormat::Json => Ok(Format::Json),
            FitsFormat::Html => {
                let why = Message::error("a page has the fits of a route or a batch");
                let why = why.help("name one in place of --is");
                Err(Failure::Option { option: "--format", given: "html".to_owned(), why })
            }
        }
    }

    pub(super) fn run(&self, home: Option<&Path>, out: &mut dyn Write) -> Result<Ending, Failure> {
        let Some(named) = &self.named else {
            return self.given.run(self.trials, self.seed, self.given_format()?, out);
        };
        let RouteOrBatch { mut route, shop, state, ending } =
            RouteOrBatch::open(named, self.shop.as_deref(), home)?;
        let makers = self.makers.of(state.as_ref(), &mut route, &shop)?;
        let mut known = state.as_ref().map(State::known).unwrap_or_default();
        known.articles = makers.iter().map(|maker| maker.chosen.clone()).collect();
        for given in &self.with {
            known.made.push(made_value(&route, given)?);
        }
        if let Some(keep) = kept(&route, self.keep.as_deref())? {
            known.keep = Some(keep);
        }
        let readings = state.as_ref().map(Readings::of);
        let plan = walk(&route, &shop, &known);
        let question = FitsInput {
            route: &route,
            shop: &shop,
            plan: &plan,
            known: &known,
            readings: readings.as_ref(),
        };
        let judge = || fits(&question, self.trials, self.seed);
        let (judged, troubles) = waiting("trying whether the parts fit", judge);
        let report = FitsReport {
            route: &route,
            shop: &shop,
            known: &known,
            seed: self.seed,
            judged: &judged,
            troubles: &troubles,
        };
        match self.format {
            FitsFormat::Text => text::print(&report, out)?,
            FitsFormat::Json => json::print(&report, out)?,
            FitsFormat::Html => drawn::print(&report, out)?,
        }
        let held = judged.iter().all(JudgedFit::can_be_counted_on);
        Ok(Ending::found(!troubles.is_empty() || !held).and(ending))
    }
}
