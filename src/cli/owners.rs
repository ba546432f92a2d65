//! `makers`: each maker's article: what was chosen, what it costs, where its pieces are,
//! what went out, and whether it goes together.

use std::io::Write;
use std::path::Path;

use clap::Args;
use serde::Serialize;

use super::named_batch::{NamedBatch, home_to_read};
use super::page::{TextPage, json, number};
use super::{Ending, Failure, Format};
use crate::fits::{FitsInput, Readings, fits};
use crate::measure::Unit;
use crate::operation::words;
use crate::plan::walk;
use crate::prose::{Message, nearest, visible};
use crate::review::{MakerReport, MakersInput, findings, makers, wording};
use crate::route::Route;
use crate::stock::{ListOptions, list};

/// Tried for each fit: enough to tell whether it can be relied on.
const TRIALS: u32 = 2000;
const SEED: u64 = 1;

/// Show each maker's article in a batch
///
/// For each article: whose it is and what was chosen, what its share of the wood costs,
/// how far its pieces have come, what went out of limits among them, and whether its
/// parts go together. Spares and waste are shared by what each article takes.
///
/// In JSON, sizes are numbers in the route's unit and costs are in hundredths. Keys:
/// batch, unit, article (the route's noun), currency; makers, each with article (its
/// number), owner, left, sizes (dim, size), wood, woods, cost; parts (part, pieces,
/// through: the last operation all are through, done, operations, aside); out (op,
/// piece, feature, value, wanted, outcome); fits (fit, holds).
///
/// Exits with 1 when something went out or doesn't go together.
///
///   benchway makers "spring stools"
///   benchway makers "spring stools" --owner AB
#[derive(Debug, Args)]
#[command(verbatim_doc_comment)]
pub(super) struct OwnersArguments {
    /// Name of the batch
    batch: String,

    /// Show this owner's article only
    #[arg(long, value_name = "NAME")]
    owner: Option<String>,

    /// Output for people (text) or for programs (json)
    #[arg(long, value_enum, default_value_t = Format::Text)]
    format: Format,
}

impl OwnersArguments {
    /// The batch it reads.
    #[cfg(feature = "meet")]
    pub(super) fn batch(&self) -> &str {
        &self.batch
    }

    pub(super) fn run(&self, home: Option<&Path>, out: &mut dyn Write) -> Result<Ending, Failure> {
        let home = home_to_read(home)?;
        let batch = NamedBatch::open(&home, &self.batch)?;
        let (shop, _) = batch.shop()?;
        let NamedBatch { route, state, ending, .. } = batch;
        let known = state.known();
        let plan = walk(&route, &shop, &known);
        let readings = Readings::of(&state);
        let question = FitsInput {
            route: &route,
            shop: &shop,
            plan: &plan,
            known: &known,
            readings: Some(&readings),
        };
        let (judged, _) = fits(&question, TRIALS, SEED);
        let input = MakersInput {
            route: &route,
            state: &state,
            plan: &plan,
            findings: &findings(&route, &shop, &state),
            fits: &judged,
            stock: &list(&route, &shop, &plan, &ListOptions::default()),
        };
        let all = self.wanted(makers(input))?;
        let currency = &shop.lumber.currency;
        match self.format {
            Format::Text => print(&self.batch, &route, currency, &all, out)?,
            Format::Json => print_json(&self.batch, &route, currency, &all, out)?,
        }
        let fine = |maker: &MakerReport| {
            maker.out.is_empty() && maker.fits.iter().all(|(_, holds)| *holds)
        };
        Ok(Ending::found(!all.iter().all(fine)).and(ending))
    }

    /// The owner that is asked for, or all.
    fn wanted(&self, all: Vec<MakerReport>) -> Result<Vec<MakerReport>, Failure> {
        let Some(owner) = &self.owner else { return Ok(all) };
        let is_asked = |maker: &MakerReport| {
            maker.owner.as_ref().is_some_and(|held| held.to_lowercase() == owner.to_lowercase())
        };
        let names: Vec<String> = all.iter().filter_map(|maker| maker.owner.clone()).collect();
        let found: Vec<MakerReport> = all.into_iter().filter(is_asked).collect();
        if found.is_empty() {
            let near = nearest(owner, names.iter().map(String::as_str));
            let help = match (near, names.is_empty()) {
                (Some(near), _) => format!("did you mean `{near}`?"),
                (None, true) => "nobody has said whose the articles are".to_owned(),
                (None, false) => format!("its owners are {}", names.join(", ")),
            };
            let why =
                Message::error("nobody of that name owns an article in this batch").help(help);
            return Err(Failure::Option { option: "--owner", given: owner.clone(), why });
        }
        Ok(found)
    }
}

fn print(
    batch: &str,
    route: &Route,
    currency: &str,
    all: &[MakerReport],
    out: &mut dyn Write,
) -> std::io::Result<()> {
    let unit = route.unit;
    let mut page = TextPage::new(out, 2);
    page.title(&format!("{batch}: whose each {} is", route.article.one))?;
    for maker in all {
        page.blank()?;
        page.title(&heading(route, maker))?;
        page.line(
            2,
            &format!("wood {}: {}", maker.cost.written(currency), maker.woods.join(", ")),
        )?;
        for part in &maker.parts {
            page.line(2, &part.words())?;
        }
        for gone in &maker.out {
            let read = wording::read_and_wanted(gone, unit);
            let outcome = wording::outcome(gone, unit);
            let what = format!("op {} {}: {} {read}; {outcome}", gone.op, gone.name, gone.feature);
            page.line(2, &what)?;
        }
        if maker.out.is_empty() {
            page.line(2, "Nothing went out of limits.")?;
        }
        let loose: Vec<&str> =
            maker.fits.iter().filter(|(_, holds)| !holds).map(|(fit, _)| fit.as_str()).collect();
        match (maker.fits.is_empty(), loose.is_empty()) {
            (true, _) => {}
            (false, true) => page.line(2, "Its parts go together.")?,
            (false, false) => {
                page.line(2, &format!("Can't be relied on: {}.", loose.join("; ")))?
            }
        }
    }
    Ok(())
}

/// `stool 3, AB: height 19 7/8 in, white oak`.
fn heading(route: &Route, maker: &MakerReport) -> String {
    let owner = match (&maker.owner, maker.has_left) {
        (Some(owner), false) => visible(owner),
        (Some(owner), true) => format!("{}, who left", visible(owner)),
        (None, _) => "nobody's yet".to_owned(),
    };
    let sizes = maker.chosen.sizes.iter();
    let sizes =
        sizes.map(|(dim, size)| format!("{} {}", dim.replace('_', " "), words(*size, route.unit)));
    let chosen: Vec<String> = sizes.chain(maker.chosen.wood.clone()).collect();
    let chosen = match chosen.is_empty() {
        true => "as the route says".to_owned(),
        false => chosen.join(", "),
    };
    format!("{} {}, {owner}: {chosen}", route.article.one, maker.article)
}

#[derive(Serialize)]
struct OwnersAnswer<'a> {
    batch: &'a str,
    unit: Unit,
    article: &'a str,
    currency: &'a str,
    makers: Vec<OwnerAnswer<'a>>,
}

#[derive(Serialize)]
struct OwnerAnswer<'a> {
    article: u32,
    owner: Option<&'a str>,
    left: bool,
    sizes: Vec<ChosenSizeAnswer<'a>>,
    wood: Option<&'a str>,
    woods: &'a [String],
    cost: i64,
    parts: Vec<PartStandingAnswer<'a>>,
    out: Vec<OutOfLimitsAnswer<'a>>,
    fits: Vec<FitHoldsAnswer<'a>>,
}

#[derive(Serialize)]
struct ChosenSizeAnswer<'a> {
    dim: &'a str,
    size: f64,
}

#[derive(Serialize)]
struct PartStandingAnswer<'a> {
    part: &'a str,
    pieces: usize,
    through: Option<u32>,
    done: usize,
    operations: usize,
    aside: usize,
}

#[derive(Serialize)]
struct OutOfLimitsAnswer<'a> {
    op: u32,
    piece: &'a str,
    feature: &'a str,
    value: f64,
    wanted: f64,
    outcome: String,
}

#[derive(Serialize)]
struct FitHoldsAnswer<'a> {
    fit: &'a str,
    holds: bool,
}

fn print_json(
    batch: &str,
    route: &Route,
    currency: &str,
    all: &[MakerReport],
    out: &mut dyn Write,
) -> std::io::Result<()> {
    let unit = route.unit;
    let makers = all.iter().map(|maker| OwnerAnswer {
        article: maker.article,
        owner: maker.owner.as_deref(),
        left: maker.has_left,
        sizes: maker
            .chosen
            .sizes
            .iter()
            .map(|(dim, size)| ChosenSizeAnswer { dim, size: number(*size, unit) })
            .collect(),
        wood: maker.chosen.wood.as_deref(),
        woods: &maker.woods,
        cost: maker.cost.in_hundredths(),
        parts: maker
            .parts
            .iter()
            .map(|part| PartStandingAnswer {
                part: &part.part,
                pieces: part.pieces,
                through: part.through,
                done: part.done.0,
                operations: part.done.1,
                aside: part.aside,
            })
            .collect(),
        out: maker
            .out
            .iter()
            .map(|out| OutOfLimitsAnswer {
                op: out.op,
                piece: &out.name,
                feature: &out.feature,
                value: number(out.value, unit),
                wanted: number(out.wanted, unit),
                outcome: wording::outcome(out, unit),
            })
            .collect(),
        fits: maker.fits.iter().map(|(fit, holds)| FitHoldsAnswer { fit, holds: *holds }).collect(),
    });
    let article = &route.article.one;
    json(&OwnersAnswer { batch, unit, article, currency, makers: makers.collect() }, out)
}
