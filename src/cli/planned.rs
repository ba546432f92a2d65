//! A route or a batch with its plan: the options that name it, and what they name.

use std::path::{Path, PathBuf};

use clap::Args;

use super::articles::ArticlesArgument;
use super::makers::MakersArgument;
use super::named_batch::RouteOrBatch;
use super::{Ending, Failure};
use crate::journal::State;
use crate::plan::{Plan, walk};
use crate::route::{OwnedArticle, Route};
use crate::shop::Shop;

/// What names a route or a batch, to be flattened into a command's arguments.
#[derive(Clone, Debug, Args)]
pub(super) struct PlannedArguments {
    /// Batch under way, route file, or name of a bundled route
    #[arg(value_name = "ROUTE|BATCH")]
    named: PathBuf,

    #[command(flatten)]
    articles: ArticlesArgument,

    #[command(flatten)]
    makers: MakersArgument,

    /// Shop file, or `bundled`; the batch's own or your own shop if omitted
    #[arg(long, value_name = "FILE")]
    shop: Option<PathBuf>,
}

/// A route or a batch with its plan, given all that is measured so far.
pub(super) struct PlannedBatch {
    pub(super) route: Route,
    pub(super) shop: Shop,
    pub(super) state: Option<State>,
    pub(super) makers: Vec<OwnedArticle>,
    pub(super) plan: Plan,
    /// Whether the files of the batch have to be looked at.
    pub(super) ending: Ending,
}

impl PlannedArguments {
    /// The route or batch it reads.
    #[cfg(feature = "meet")]
    pub(super) fn named(&self) -> &Path {
        &self.named
    }

    /// A batch or route of that name, as it is.
    pub(super) fn of(named: &Path) -> PlannedArguments {
        let (articles, makers) = (ArticlesArgument::default(), MakersArgument::default());
        PlannedArguments { named: named.to_owned(), articles, makers, shop: None }
    }

    pub(super) fn open(&self, home: Option<&Path>) -> Result<PlannedBatch, Failure> {
        PlannedBatch::open(&self.named, self.shop.as_deref(), (self.articles, &self.makers), home)
    }
}

impl PlannedBatch {
    /// Opens the batch of that name or, if there is none, the route, for as many articles and
    /// the makers that were named.
    pub(super) fn open(
        named: &Path,
        shop: Option<&Path>,
        (articles, makers): (ArticlesArgument, &MakersArgument),
        home: Option<&Path>,
    ) -> Result<PlannedBatch, Failure> {
        let RouteOrBatch { mut route, shop, state, ending } =
            RouteOrBatch::open(named, shop, home)?;
        articles.beside_a_batch(state.as_ref())?;
        makers.beside(articles)?;
        articles.apply(&mut route)?;
        let makers = makers.of(state.as_ref(), &mut route, &shop)?;
        let mut known = state.as_ref().map(State::known).unwrap_or_default();
        known.articles = makers.iter().map(|maker| maker.chosen.clone()).collect();
        let plan = walk(&route, &shop, &known);
        Ok(PlannedBatch { route, shop, state, makers, plan, ending })
    }

    /// `spring stools: Reading stool, 4 stools`; a route has no name of a batch in front.
    pub(super) fn about(&self) -> String {
        let articles = self.state.as_ref().map_or(self.route.sets, State::article_count);
        let made = format!("{}, {}", self.route.name, self.route.article.counted(articles));
        match &self.state {
            Some(state) => format!("{}: {made}", state.batch),
            None => made,
        }
    }
}
