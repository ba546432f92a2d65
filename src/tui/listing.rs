//! What there is to choose from before a batch is open: which batches and routes there
//! are is looked up whenever they are listed; a route is shown by its head, and all of it
//! is read once, later.

use std::cell::OnceCell;
use std::path::{Path, PathBuf};

use chrono::{DateTime, FixedOffset};

use super::filling::{Filling, ListedBatches};
use super::message::{ArchiveList, OpeningLists, RouteRow};
use super::shop_choice::ShopChoice;
use crate::journal::{BatchFolder, Home, State, read_route, suitable};
use crate::prose::visible;
use crate::route::{Article, RouteHead};

/// A route that was given or comes with the program: its text, frozen into the batch.
#[derive(Clone)]
pub struct RouteText {
    /// The beginning of the name of its batches.
    pub stem: String,
    /// The whole route file.
    pub text: String,
    /// Where it comes from.
    pub origin: RouteOrigin,
}

/// Where a route that is no file of the shop's own comes from.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum RouteOrigin {
    /// Somebody named it.
    Named,
    /// The program.
    Bundled,
}

/// A route to choose, and why it can't be begun where it can't.
#[derive(Clone)]
pub(super) struct RouteChoice {
    pub(super) stem: String,
    /// The whole route file, or why it can't be read.
    pub(super) text: Result<String, String>,
    /// The file, where it is the shop's own.
    path: Option<PathBuf>,
    /// What it says of itself, or why it can't be begun, once all of it was read.
    checked: OnceCell<Result<RouteHead, String>>,
}

impl RouteChoice {
    fn new(stem: String, text: Result<String, String>, path: Option<PathBuf>) -> RouteChoice {
        RouteChoice { stem, text, path, checked: OnceCell::new() }
    }

    /// What the route says of itself, or its first problem. All of it is read, once.
    fn checked(&self) -> &Result<RouteHead, String> {
        self.checked.get_or_init(|| {
            let text = self.text.as_ref().map_err(Clone::clone)?;
            let route = read_route(text).map_err(|error| first_problem(&error.to_string()))?;
            let about = route.about.unwrap_or_default();
            Ok(RouteHead { name: route.name, about, sets: route.sets, article: route.article })
        })
    }

    /// The same from its head alone, where nobody has read all of it.
    fn says(&self) -> Result<RouteHead, String> {
        let head = || RouteHead::of(self.text.as_ref().ok()?);
        match self.checked.get() {
            Some(checked) => checked.clone(),
            None => head().map_or_else(|| self.checked().clone(), Ok),
        }
    }
}

/// The rows of these routes, now that all of each is read. Which names are taken isn't
/// looked up again: those that are suggested were found with the list.
pub(super) fn checked_rows(choices: &[RouteChoice], now: DateTime<FixedOffset>) -> Vec<RouteRow> {
    for choice in choices {
        choice.checked();
    }
    route_rows(&[], choices, now)
}

/// The routes that somebody named, those the shop keeps beside its batches, then those that
/// come with the program. One that was a choice before is not read again.
pub(super) fn choices(
    given: &[RouteText],
    home: &Home,
    mut before: Vec<RouteChoice>,
) -> Vec<RouteChoice> {
    let of = |origin: RouteOrigin| {
        let given = given.iter().filter(move |route| route.origin == origin);
        given.map(|route| RouteChoice::new(route.stem.clone(), Ok(route.text.clone()), None))
    };
    let own = home.own_routes().into_iter().map(|route| {
        let stem = suitable(&route.path.file_stem().unwrap_or_default().to_string_lossy());
        RouteChoice::new(stem, route.text, Some(route.path))
    });
    let again = |new: RouteChoice| {
        let same = |held: &RouteChoice| {
            (&held.stem, &held.text, &held.path) == (&new.stem, &new.text, &new.path)
        };
        let held = before.iter().position(same);
        held.map(|held| before.swap_remove(held)).unwrap_or(new)
    };
    of(RouteOrigin::Named).chain(own).chain(of(RouteOrigin::Bundled)).map(again).collect()
}

/// Everything the opening screen lists, but for the name of this station, with what is
/// known of each batch at once; the filling reads them.
pub(super) fn lists(
    home: &Home,
    choices: &[RouteChoice],
    shop: &ShopChoice,
    is_archive_read: bool,
    now: DateTime<FixedOffset>,
) -> (OpeningLists, Filling) {
    let (ListedBatches { under_way, archived }, filling) = Filling::of(home, is_archive_read);
    let listed = under_way.iter().chain(&archived).map(BatchFolder::name);
    let taken: Vec<&str> = listed.chain(filling.names_left()).collect();
    let routes = route_rows(&taken, choices, now);
    let lists = OpeningLists {
        now,
        shop: shop.listed(home),
        station: String::new(),
        routes,
        batches: under_way.iter().map(|folder| filling.row(folder)).collect(),
        archive: if is_archive_read {
            ArchiveList::Read(archived.iter().map(|folder| filling.row(folder)).collect())
        } else {
            ArchiveList::Counted(archived.len())
        },
        looks: filling.looks(),
    };
    (lists, filling)
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
    let taken: Vec<&str> = batches.iter().chain(&archived).map(BatchFolder::name).collect();
    route_rows(&taken, first, now).into_iter().next()
}

fn route_rows(
    taken: &[&str],
    choices: &[RouteChoice],
    now: DateTime<FixedOffset>,
) -> Vec<RouteRow> {
    choices.iter().map(|choice| row(choice, taken, now)).collect()
}

fn row(choice: &RouteChoice, taken: &[&str], now: DateTime<FixedOffset>) -> RouteRow {
    let path = choice.path.as_deref().unwrap_or(Path::new(""));
    let advice =
        format!("to see where: benchway check \"{}\"", visible(&path.display().to_string()));
    let suggested = suggested(&choice.stem, taken, now);
    match choice.says() {
        Ok(RouteHead { name, about, sets, article }) => {
            RouteRow { name, about, sets, article, suggested, fault: None, advice }
        }
        Err(why) => RouteRow {
            name: choice.stem.clone(),
            about: String::new(),
            sets: 1,
            article: Article::default(),
            suggested,
            fault: Some(format!("this route can't be used: {why}")),
            advice,
        },
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
