//! What there is to choose from before a batch is open: read anew from the disk
//! whenever it is listed.

use std::path::{Path, PathBuf};

use chrono::{DateTime, FixedOffset};

use super::message::{ArchiveList, OpeningLists, RouteRow};
use crate::journal::{BatchFolder, Home, State, read_route, read_shop, suitable};
use crate::prose::visible;
use crate::work::BatchRow;

/// A route that was given or comes with the program: its text, frozen into the batch.
#[derive(Clone)]
pub struct RouteText {
    /// The beginning of the name of its batches.
    pub stem: String,
    /// The whole route file.
    pub text: String,
}

/// A route to choose, and why it can't be begun where it can't.
#[derive(Clone)]
pub(super) struct RouteChoice {
    stem: String,
    /// The whole route file, or why it can't be read.
    pub(super) text: Result<String, String>,
    /// The file, where it is the shop's own.
    path: Option<PathBuf>,
}

/// The routes that were given, then those the shop keeps beside its batches.
pub(super) fn choices(given: &[RouteText], home: &Home) -> Vec<RouteChoice> {
    let given = given.iter().map(|route| RouteChoice {
        stem: route.stem.clone(),
        text: Ok(route.text.clone()),
        path: None,
    });
    let own = home.own_routes().into_iter().map(|route| RouteChoice {
        stem: suitable(&route.path.file_stem().unwrap_or_default().to_string_lossy()),
        text: route.text,
        path: Some(route.path),
    });
    given.chain(own).collect()
}

/// Everything the opening screen lists, but for the name of this station.
pub(super) fn lists(
    home: &Home,
    choices: &[RouteChoice],
    shop: &str,
    is_archive_read: bool,
    now: DateTime<FixedOffset>,
) -> OpeningLists {
    let batches = home.batches().unwrap_or_default();
    let archived = home.archived().unwrap_or_default();
    OpeningLists {
        now,
        shop: read_shop(shop).map(|shop| shop.name).unwrap_or_default(),
        station: String::new(),
        routes: route_rows(&[&batches, &archived], choices, now),
        batches: batches.iter().map(BatchRow::of).collect(),
        archive: if is_archive_read {
            ArchiveList::Read(archived.iter().map(BatchRow::of).collect())
        } else {
            ArchiveList::Counted(archived.len())
        },
    }
}

/// The first route as a row, without reading any batch.
pub(super) fn first_route(
    home: &Home,
    choices: &[RouteChoice],
    now: DateTime<FixedOffset>,
) -> Option<RouteRow> {
    let batches = home.batches().unwrap_or_default();
    let archived = home.archived().unwrap_or_default();
    let first = choices.get(..1)?;
    route_rows(&[&batches, &archived], first, now).into_iter().next()
}

fn route_rows(
    batches: &[&[BatchFolder]],
    choices: &[RouteChoice],
    now: DateTime<FixedOffset>,
) -> Vec<RouteRow> {
    let taken: Vec<&str> = batches.iter().copied().flatten().map(BatchFolder::name).collect();
    choices.iter().map(|choice| row(choice, &taken, now)).collect()
}

fn row(choice: &RouteChoice, taken: &[&str], now: DateTime<FixedOffset>) -> RouteRow {
    let route = choice
        .text
        .as_ref()
        .map_err(Clone::clone)
        .and_then(|text| read_route(text).map_err(|error| first_problem(&error.to_string())));
    let path = choice.path.as_deref().unwrap_or(Path::new(""));
    let fault = route.as_ref().err().map(|why| format!("this route can't be used: {why}"));
    let route = route.as_ref().ok();
    let about = route.and_then(|route| route.about.clone()).unwrap_or_default();
    RouteRow {
        name: route.map_or_else(|| choice.stem.clone(), |route| route.name.clone()),
        about,
        sets: route.map_or(1, |route| route.sets),
        article: route.map(|route| route.article.clone()).unwrap_or_default(),
        suggested: suggested(&choice.stem, taken, now),
        fault,
        advice: format!(
            "to see where: benchway check \"{}\"",
            visible(&path.display().to_string())
        ),
    }
}

/// The first problem of a file, without its place.
fn first_problem(problems: &str) -> String {
    let first = problems.lines().next().unwrap_or_default();
    first.strip_prefix("error: ").unwrap_or(first).to_owned()
}

/// `reading-stool 2026-11-25`: the route and the day.
pub(super) fn of_the_day(stem: &str, now: DateTime<FixedOffset>) -> String {
    format!("{stem} {}", now.format("%Y-%m-%d"))
}

/// The route and the day, and a number after them when that is taken.
fn suggested(stem: &str, taken: &[&str], now: DateTime<FixedOffset>) -> String {
    let plain = of_the_day(stem, now);
    let free = |name: &String| !taken.contains(&name.as_str());
    std::iter::once(plain.clone())
        .chain((2..).map(|n| format!("{plain} {n}")))
        .find(free)
        .unwrap_or(plain)
}

/// Who is at a station that another terminal has open, as far as the journal says.
pub(super) fn people_at(home: &Home, batch: &str, station: &str) -> Vec<String> {
    let everything = BatchFolder::open(home, batch).and_then(|folder| folder.journal());
    let state = everything.map(|everything| State::fold(&everything.entries));
    state.ok().and_then(|mut state| state.people.remove(station)).unwrap_or_default()
}

/// A name like this one under which nobody wrote in a batch yet.
pub(super) fn free_station(home: &Home, batch: &str, station: &str) -> String {
    let stations = BatchFolder::open(home, batch).and_then(|folder| folder.stations());
    let stations = stations.unwrap_or_default();
    let names = (2..).map(|n| format!("{station}-{n}"));
    names.into_iter().find(|name| !stations.contains(name)).unwrap_or_default()
}
