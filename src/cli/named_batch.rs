//! A batch named on the command line, read from its folder. What is wrong with its files
//! is told in one warning, and the rest is used.

use std::path::Path;

use super::articles::make_articles;
use super::shop_source;
use super::source::{self, SourceText};
use super::{Ending, Failure};
use crate::journal::{
    BatchFolder, Home, JournalLine, OpenError, State, damage_words, read_route, read_shop,
    without_beginning,
};
use crate::prose::visible;
use crate::route::Route;
use crate::shop::Shop;

/// A batch with its own copy of the route and its whole journal.
pub(super) struct NamedBatch {
    pub(super) folder: BatchFolder,
    pub(super) route: Route,
    pub(super) route_text: String,
    pub(super) lines: Vec<JournalLine>,
    pub(super) state: State,
    /// Whether its files have to be looked at.
    pub(super) ending: Ending,
}

/// The folder of the batches, for a command that only reads: one that was named and
/// isn't there is mistyped, or nothing was begun in it yet.
pub(super) fn home_to_read(named: Option<&Path>) -> Result<Home, Failure> {
    let home = Home::locate(named.map(Path::to_owned))?;
    if named.is_some() && !home.path().exists() {
        let shown = visible(&home.path().display().to_string());
        eprintln!("warning: there is no folder {shown}; check --home and BENCHWAY_HOME");
    }
    Ok(home)
}

impl NamedBatch {
    pub(super) fn open(home: &Home, name: &str) -> Result<NamedBatch, Failure> {
        NamedBatch::of(found(BatchFolder::find(home, name)?))
    }

    /// Reads the batch of a folder.
    pub(super) fn of(folder: BatchFolder) -> Result<NamedBatch, Failure> {
        let begun_by = folder.route_json()?;
        let (lines, ending) = journal(&folder)?;
        let state = State::fold(&lines);
        if !state.is_started() {
            return Err(OpenError::Bad(without_beginning(folder.name())).into());
        }
        let route_text = state.adopted_route.as_deref().map_or(begun_by, str::to_owned);
        let route = read_route(&route_text).map_err(|_| spoiled(&folder))?;
        Ok(NamedBatch { folder, route, route_text, lines, state, ending })
    }

    /// The shop the batch is made in, and its text: its own copy, or the one the lead
    /// adopted since.
    pub(super) fn shop(&self) -> Result<(Shop, String), Failure> {
        let begun_in = self.folder.shop_json()?;
        let text = self.state.adopted.shop.as_deref().map_or(begun_in, str::to_owned);
        let shop = read_shop(&text).map_err(|_| spoiled(&self.folder))?;
        Ok((shop, text))
    }

    /// Its route, with as many articles as the batch has.
    pub(super) fn counted_route(&self) -> Result<Route, Failure> {
        let mut route = read_route(&self.route_text).map_err(|_| spoiled(&self.folder))?;
        if self.state.sets > 0 {
            make_articles(&mut route, self.state.sets)?;
        }
        Ok(route)
    }
}

/// The folder, after saying so where it is an archived one.
fn found(folder: BatchFolder) -> BatchFolder {
    if folder.is_archived() {
        eprintln!("note: `{}` is archived", visible(folder.name()));
    }
    folder
}

fn spoiled(folder: &BatchFolder) -> Failure {
    Failure::Spoiled { batch: folder.name().to_owned() }
}

/// The lines that count, after one warning of all that is wrong with its files.
fn journal(folder: &BatchFolder) -> Result<(Vec<JournalLine>, Ending), Failure> {
    let everything = folder.journal()?;
    let words = damage_words(&everything.damage);
    if !words.is_empty() {
        eprintln!("warning: look at the files of `{}`", visible(folder.name()));
    }
    for said in &words {
        eprintln!("  {}", visible(said));
    }
    Ok((everything.entries, Ending::found(!words.is_empty())))
}

/// A route and its shop, with the state of the batch where one is named.
pub(super) struct RouteOrBatch {
    pub(super) route: Route,
    pub(super) shop: Shop,
    pub(super) state: Option<State>,
    /// Whether the files of the batch have to be looked at.
    pub(super) ending: Ending,
}

impl RouteOrBatch {
    /// Opens the batch of that name or, if there is none, the route. A shop named beside
    /// it takes the place of the batch's own.
    pub(super) fn open(
        named: &Path,
        shop: Option<&Path>,
        given: Option<&Path>,
    ) -> Result<RouteOrBatch, Failure> {
        let home = Home::locate(given.map(Path::to_owned));
        let under_way = home.ok().and_then(|home| {
            let name = named.to_str()?;
            BatchFolder::find(&home, name).ok().map(found)
        });
        let Some(folder) = under_way else {
            let route = source::route(named)?;
            return Ok(RouteOrBatch {
                route,
                shop: shop_source::shop(shop, given)?,
                state: None,
                ending: Ending::Fine,
            });
        };
        let inside = |file: &str| format!("{}/{file}", folder.name());
        let (lines, ending) = journal(&folder)?;
        let state = State::fold(&lines);
        let begun_by = folder.route_json()?;
        let text = state.adopted_route.as_deref().map_or(begun_by, str::to_owned);
        let text = SourceText { name: inside("route.json"), text };
        let mut route = text.route()?;
        let shop = match shop {
            Some(path) => shop_source::shop(Some(path), given)?,
            None => {
                let begun_in = folder.shop_json()?;
                let text = state.adopted.shop.as_deref().map_or(begun_in, str::to_owned);
                SourceText { name: inside("shop.json"), text }.shop()?
            }
        };
        if state.sets > 0 {
            make_articles(&mut route, state.sets)?;
        }
        Ok(RouteOrBatch { route, shop, state: Some(state), ending })
    }
}
