//! `fits`: will it go together, for people or for machines.
//! Knows nothing of how a clearance is worked out.

mod json;
mod text;

use std::io::Write;
use std::path::{Path, PathBuf};

use clap::Args;

use super::settings::{kept, made_value};
use super::source::{self, SourceText};
use super::{Ending, Failure, Format};
use crate::fits::{FitAttribution, fit_attribution};
use crate::fits::{FitError, FitsInput, JudgedFit, Readings, fits};
use crate::journal::{BatchFolder, Event, Home, State};
use crate::plan::{Known, walk};
use crate::route::Route;
use crate::shop::Shop;

/// Will it go together
///
/// Works out every clearance the route names under `fits`: as planned, at the
/// worst, where it will likely lie, and how many of so many made-up sets would
/// go together; which dimension it hangs on, which gauge can't see it, what to
/// hold closer and what may be let go. Of a batch under way it takes what was
/// made and read so far.
///
/// At the worst everything lies at the end of its limits. Likely, what several
/// dimensions do adds as the root of the sum of squares; within one, what all
/// its pieces share, such as a gauge that reads over, is never evened out. What
/// a check makes (becomes) is followed by all that is cut later, and what the
/// whole lot is off by cancels there; made, it keeps the spread of its readings
/// and what its gauge may be off by. Made-up sets lie anywhere within limits.
///
/// Where a fit says what swells in it (moves), it is looked at in the driest
/// season (winter) and in the dampest (summer) too, against the same limits.
///
/// With --format json, lengths are numbers in the route's unit: route, unit,
/// shop, seed, fits, may_be_let_go (sentences), troubles (fit, what, fix: it
/// can't be worked out). Each of "fits" has: fit, is, sets (empty: all),
/// limits, nominal, worst, likely (each low and high), holds ("worst",
/// "likely", "not", "nominal"), tried (trials, fitted, share, low, high),
/// contributions, as_drawn, moves, winter, summer, way, says. "moves" (species,
/// grain, across, from, to, made_at, status) and both seasons (moisture,
/// clearance, likely, holds) are null where nothing swells. Each contribution
/// has: dim, size, made, op, part, feature, gauge, uncertainty, off (low and
/// high), slope, followed, moves (low and high), shared, share, sees. "way" is
/// there once something in the fit was made: planned, made, shares (dim, op,
/// wanted, made, times, amount) and rest, which sum to made less planned.
///
///   benchway fits reading-stool
///   benchway fits reading-stool --with mortise_width=0.253
///   benchway fits "reading-stool 2026-11-25" --format json
#[derive(Debug, Args)]
#[command(verbatim_doc_comment)]
pub struct FitsArguments {
    /// A batch under way, a route file, or the name of a bundled route
    #[arg(value_name = "ROUTE|BATCH")]
    named: PathBuf,

    /// Take a dimension as measured
    #[arg(long, value_name = "NAME=VALUE")]
    with: Vec<String>,

    /// Which end of a chain stays, of those the route names
    #[arg(long, value_name = "NAME")]
    keep: Option<String>,

    /// The shop it is made in; the batch's own or the bundled one if left out
    #[arg(long, value_name = "FILE")]
    shop: Option<PathBuf>,

    /// How many made-up sets to try
    #[arg(long, value_name = "N", default_value_t = 10_000,
          value_parser = clap::value_parser!(u32).range(100..=1_000_000))]
    trials: u32,

    /// Another number, other made-up sets; the same number, the same ones
    #[arg(long, value_name = "N", default_value_t = 1)]
    seed: u64,

    /// For people, or for machines
    #[arg(long, value_enum, default_value_t = Format::Text)]
    format: Format,
}

/// What either format prints.
struct FitsReport<'a> {
    route: &'a Route,
    shop: &'a Shop,
    known: &'a Known,
    seed: u64,
    judged: &'a [JudgedFit],
    troubles: &'a [FitError],
}

impl FitsReport<'_> {
    /// What was made did to a fit, for the first of its sets.
    fn way(&self, judged: &JudgedFit) -> Option<FitAttribution> {
        fit_attribution(self.route, self.known, &judged.fit, judged.sets.first().copied())
    }
}

/// A route and its shop, and how far a batch of it is.
pub(super) struct RouteOrBatch {
    pub route: Route,
    pub shop: Shop,
    pub state: Option<State>,
}

impl FitsArguments {
    pub fn run(&self, home: Option<&Path>, out: &mut dyn Write) -> Result<Ending, Failure> {
        let RouteOrBatch { route, shop, state } = given(&self.named, self.shop.as_deref(), home)?;
        let mut known = state.as_ref().map(State::known).unwrap_or_default();
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
        let (judged, troubles) = fits(&question, self.trials, self.seed);
        let report = FitsReport {
            route: &route,
            shop: &shop,
            known: &known,
            seed: self.seed,
            judged: &judged,
            troubles: &troubles,
        };
        match self.format {
            Format::Text => text::print(&report, out)?,
            Format::Json => json::print(&report, out)?,
        }
        let held = judged.iter().all(JudgedFit::can_be_counted_on);
        Ok(Ending::found(!troubles.is_empty() || !held))
    }
}

/// The batch of that name, or else the route.
pub(super) fn given(
    named: &Path,
    shop: Option<&Path>,
    home: Option<&Path>,
) -> Result<RouteOrBatch, Failure> {
    let home = Home::locate(home.map(Path::to_owned));
    let under_way = home.ok().and_then(|home| {
        let name = named.to_str()?;
        BatchFolder::open(&home, name).ok()
    });
    let Some(folder) = under_way else {
        let route = source::route(named)?;
        return Ok(RouteOrBatch { route, shop: source::shop(shop)?, state: None });
    };
    let inside = |file: &str| format!("{}/{file}", folder.name());
    let route = SourceText { name: inside("route.json"), text: folder.route_json()? }.route()?;
    let shop = match shop {
        Some(path) => source::shop(Some(path))?,
        None => SourceText { name: inside("shop.json"), text: folder.shop_json()? }.shop()?,
    };
    let everything = folder.read_all::<Event>()?;
    for damage in &everything.damage {
        eprintln!("warning: {damage}");
    }
    let mut route = route;
    let state = State::fold(&everything.entries);
    if state.sets > 0 {
        let sets = state.sets;
        route.make_sets(sets).map_err(|what| Failure::Sets { sets, what })?;
    }
    Ok(RouteOrBatch { route, shop, state: Some(state) })
}
