//! Makers: whose each article is and what was chosen for it, from a list that `--makers`
//! names.

use std::path::{Path, PathBuf};

use clap::Args;

use super::articles::{ArticlesArgument, refused};
use super::{Failure, source};
use crate::document::DocumentPlace;
use crate::journal::State;
use crate::prose::Message;
use crate::route::{OwnedArticle, Route, read_article_list};
use crate::shop::Shop;
use crate::work::{cannot_be_made, objection};

/// The option, to be flattened into a command's arguments.
#[derive(Clone, Debug, Default, Args)]
pub(super) struct MakersArgument {
    /// List of makers, one article each (CSV): `owner`, and the dimensions and wood
    /// that the route leaves to its makers
    #[arg(long, value_name = "FILE")]
    makers: Option<PathBuf>,
}

impl MakersArgument {
    /// The file that was named.
    pub(super) fn file(&self) -> Option<&Path> {
        self.makers.as_deref()
    }

    /// Refuses a number of articles beside a list: the list has one for each maker.
    pub(super) fn beside(&self, articles: ArticlesArgument) -> Result<(), Failure> {
        match (&self.makers, articles.articles) {
            (Some(_), Some(articles)) => Err(refused(articles, "--makers says how many there are")),
            _ => Ok(()),
        }
    }

    /// The makers of a batch under way, or those of the list for a route.
    pub(super) fn of(
        &self,
        batch: Option<&State>,
        route: &mut Route,
        shop: &Shop,
    ) -> Result<Vec<OwnedArticle>, Failure> {
        let Some(state) = batch else { return self.read(route, shop) };
        match &self.makers {
            None => Ok(state.makers()),
            Some(list) => {
                let why = Message::error("a batch under way has its own makers");
                let given = list.display().to_string();
                Err(Failure::Option { option: "--makers", given, why })
            }
        }
    }

    /// Reads the list and makes the route's batch as large as it; nobody where none is
    /// named. What these machines can't make is refused.
    pub(super) fn read(
        &self,
        route: &mut Route,
        shop: &Shop,
    ) -> Result<Vec<OwnedArticle>, Failure> {
        let Some(named) = &self.makers else { return Ok(Vec::new()) };
        let list = source::text(named)?;
        let makers =
            read_article_list(&list.text, route).map_err(|problems| list.refused(&problems))?;
        for (n, maker) in makers.iter().enumerate() {
            if let Some(why) = objection(route, shop, &maker.chosen) {
                let owner = maker.owner.clone().unwrap_or_else(|| format!("article {}", n + 1));
                let place = DocumentPlace { at: None, path: owner };
                return Err(list.refused(&[why.at(place)]));
            }
        }
        let count = u32::try_from(makers.len()).unwrap_or(u32::MAX);
        route.make_sets(count).map_err(|why| refused(count, why))?;
        match cannot_be_made(route, shop, &makers) {
            None => Ok(makers),
            Some(why) => {
                let given = named.display().to_string();
                let why =
                    Message { what: format!("these can't be made here: {}", why.what), ..why };
                Err(Failure::Option { option: "--makers", given, why })
            }
        }
    }
}
