//! `print card`: the route card, to be hung at the machine.

use std::io::Write;
use std::path::{Path, PathBuf};

use clap::Args;

use super::PrintTo;
use crate::cli::articles::ArticlesArgument;
use crate::cli::makers::MakersArgument;
use crate::cli::named_batch::RouteOrBatch;
use crate::cli::{Ending, Failure};
use crate::paper::{CardInput, route_card};
use crate::plan::{Known, Plan, walk};
use crate::prose::{Level, Message, nearest};
use crate::route::{OwnedArticle, Route};

/// Print the route card of a route or a batch
///
/// For each part, on sheets of its own, the operations in order: what every scale must
/// show, the drawing, the limits, where to measure, the cautions, and boxes to write in.
/// For a batch it follows what was measured so far, and has a code at each operation that
/// names batch and operation.
///
/// Exits with 1 when the route has errors.
///
///   benchway print card reading-stool
///   benchway print card reading-stool --part leg --articles 6 --output leg.html
///   benchway print card "spring stools" --owner AB
#[derive(Debug, Args)]
#[command(verbatim_doc_comment)]
pub(super) struct CardArguments {
    /// Route file, name of a bundled route, or name of a batch
    #[arg(value_name = "ROUTE|BATCH")]
    named: PathBuf,

    /// Print this part only
    #[arg(long, value_name = "NAME")]
    part: Option<String>,

    /// Print what is for this owner's articles only
    #[arg(long, value_name = "NAME")]
    owner: Option<String>,

    /// Shop file, or `bundled` for the invented shop; your own shop, or that of the batch,
    /// if omitted
    #[arg(long, value_name = "FILE")]
    shop: Option<PathBuf>,

    #[command(flatten)]
    articles: ArticlesArgument,

    #[command(flatten)]
    makers: MakersArgument,

    #[command(flatten)]
    to: PrintTo,
}

impl CardArguments {
    pub(super) fn run(&self, home: Option<&Path>, out: &mut dyn Write) -> Result<Ending, Failure> {
        let opened = RouteOrBatch::open(&self.named, self.shop.as_deref(), home)?;
        let RouteOrBatch { mut route, shop, state, ending } = opened;
        let state = state.as_ref();
        self.makers.beside(self.articles)?;
        self.articles.beside_a_batch(state)?;
        self.articles.apply(&mut route)?;
        let makers = self.makers.of(state, &mut route, &shop)?;
        let owners: Vec<Option<String>> = makers.iter().map(|maker| maker.owner.clone()).collect();
        self.check_names(&route, &owners)?;
        let plan = match state {
            Some(state) => walk(&route, &shop, &state.known()),
            None => walk(&route, &shop, &chosen(makers)),
        };
        let card = CardInput {
            route: &route,
            shop: &shop,
            plan: &plan,
            batch: state,
            owners: &owners,
            part: self.part.as_deref(),
            owner: self.owner.as_deref(),
        };
        self.to.write(&route_card(&card), self.to.sheet(route.unit), out)?;
        Ok(Ending::found(has_errors(&plan)).and(ending))
    }

    /// Refuses a part or an owner that isn't there: an empty card would look like nothing
    /// to do.
    fn check_names(&self, route: &Route, owners: &[Option<String>]) -> Result<(), Failure> {
        if let Some(part) = &self.part {
            let names = route.parts.iter().map(|part| part.name.as_str()).collect();
            is_among("--part", part, names, "the route has no such part")?;
        }
        if let Some(owner) = &self.owner {
            let names = owners.iter().flatten().map(String::as_str).collect();
            is_among("--owner", owner, names, "no article here is theirs")?;
        }
        Ok(())
    }
}

/// What each maker chose, where nothing is measured yet.
fn chosen(makers: Vec<OwnedArticle>) -> Known {
    let articles = makers.into_iter().map(|maker| maker.chosen).collect();
    Known { articles, ..Known::default() }
}

fn has_errors(plan: &Plan) -> bool {
    plan.all_findings().any(|finding| finding.level == Level::Error)
}

fn is_among(
    option: &'static str,
    given: &str,
    names: Vec<&str>,
    what: &str,
) -> Result<(), Failure> {
    if names.contains(&given) {
        return Ok(());
    }
    let help = match nearest(given, names.iter().copied()) {
        Some(near) => Some(format!("did you mean `{near}`?")),
        None => (!names.is_empty()).then(|| format!("there are {}", names.join(", "))),
    };
    let why = Message::error(what).maybe_help(help);
    Err(Failure::Option { option, given: given.to_owned(), why })
}
