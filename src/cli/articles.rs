//! Articles: the finished things a batch makes. `--articles` says how many; texts call
//! them by the noun of the route.

use clap::Args;

use super::Failure;
use crate::journal::State;
use crate::prose::Message;
use crate::route::Route;

/// The option, to be flattened into a command's arguments.
#[derive(Clone, Copy, Debug, Default, Args)]
pub(super) struct ArticlesArgument {
    /// Number of articles to make; as many as the route says if omitted
    // The name it had before; notes and scripts in shops still use it.
    #[arg(long, alias = "sets", value_name = "N")]
    pub(super) articles: Option<u32>,
}

impl ArticlesArgument {
    /// Refuses a number of articles for a batch under way.
    pub(super) fn beside_a_batch(self, batch: Option<&State>) -> Result<(), Failure> {
        match (self.articles, batch) {
            (Some(articles), Some(_)) => {
                Err(refused(articles, "a batch under way has its own number of articles"))
            }
            _ => Ok(()),
        }
    }

    /// Makes the route's batch as large as asked, if a number was given.
    pub(super) fn apply(self, route: &mut Route) -> Result<(), Failure> {
        match self.articles {
            Some(articles) => make_articles(route, articles),
            None => Ok(()),
        }
    }
}

/// Sets the number of articles of the route's batch.
pub(super) fn make_articles(route: &mut Route, articles: u32) -> Result<(), Failure> {
    route.make_sets(articles).map_err(|what| refused(articles, what))
}

/// The failure that says why a batch can't have this many articles.
pub(super) fn refused(articles: u32, what: impl Into<String>) -> Failure {
    Failure::Option { option: "--articles", given: articles.to_string(), why: Message::error(what) }
}
