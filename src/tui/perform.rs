//! Performs what the app asks for: lists, opens, begins and writes to batches.
//! It knows no terminal; what only a terminal can do goes to whoever has one.

use std::collections::VecDeque;
use std::io;

use super::app::App;
use super::clock::now;
use super::message::{AppMessage, Effect, RouteRow};
use super::theme::Theme;
use crate::journal::{Beginning, Event, Home, OpenBatch, OpenError, StoreError, read_route};
use crate::operation::MayOverride;
use crate::route::with_sets;
use crate::stock::RackBoard;
use crate::work::BatchRow;

/// A route that can be begun: its text, frozen into the batch.
pub struct RouteText {
    /// The beginning of the name of its batches.
    pub stem: String,
    /// The whole route file.
    pub text: String,
}

/// What the program was started with.
pub struct LaunchOptions {
    /// Where the batches are.
    pub home: Home,
    /// The name this terminal writes under.
    pub station: String,
    /// Colours and signs.
    pub theme: Theme,
    /// Whether to ask the terminal what it draws on.
    pub ask_ground: bool,
    /// The routes a batch can be begun from.
    pub routes: Vec<RouteText>,
    /// The whole shop file, frozen into a new batch.
    pub shop: String,
    /// The boards a new batch begins with.
    pub boards: Vec<RackBoard>,
    /// A batch to open at once.
    pub batch: Option<String>,
    /// Begin the only route at once.
    pub begin: Option<BeginOptions>,
}

/// What was said of a batch that begins at once.
#[derive(Clone, Debug, Default)]
pub struct BeginOptions {
    /// How many articles it makes; as many as the route says where not given.
    pub articles: Option<u32>,
    /// What it is called; the route and the day where not given.
    pub name: Option<String>,
}

/// What is left to whoever has a terminal.
pub(super) enum TerminalEffect {
    /// Draw everything anew.
    Repaint,
    /// Stop until the shell wakes us.
    Suspend,
}

/// The open batch, and everything the program was started with.
pub(super) struct Performer {
    setting: LaunchOptions,
    open: Option<OpenBatch>,
}

impl Performer {
    pub(super) fn new(setting: LaunchOptions) -> Performer {
        Performer { setting, open: None }
    }

    /// What is done before anybody is asked anything: the lists are made, and what
    /// was named is opened or begun.
    pub(super) fn first(&self) -> Vec<Effect> {
        let first = match (&self.setting.batch, &self.setting.begin) {
            (Some(name), _) => Effect::Open { name: name.clone() },
            (None, Some(begin)) => {
                let routes = self.routes();
                let sets = begin.articles.or_else(|| Some(routes.first()?.sets)).unwrap_or(1);
                let name = begin.name.clone().or_else(|| Some(routes.first()?.suggested.clone()));
                Effect::Start { route: 0, name: name.unwrap_or_default(), sets, word: None }
            }
            (None, None) => return vec![Effect::List],
        };
        vec![Effect::List, first]
    }

    /// Takes in what other stations wrote.
    pub(super) fn refresh(&mut self, app: &mut App) {
        if let Some(open) = &mut self.open
            && let Ok(true) = open.refresh()
        {
            app.update(AppMessage::Refreshed(Box::new(open.snapshot())));
        }
    }

    /// Runs effects until none is left; true when it is time to leave.
    pub(super) fn perform(
        &mut self,
        app: &mut App,
        effects: Vec<Effect>,
        terminal: &mut dyn FnMut(TerminalEffect) -> io::Result<()>,
    ) -> io::Result<bool> {
        let mut to_do: VecDeque<Effect> = effects.into();
        while let Some(effect) = to_do.pop_front() {
            let message = match effect {
                Effect::Quit => return Ok(true),
                Effect::Repaint => {
                    terminal(TerminalEffect::Repaint)?;
                    continue;
                }
                Effect::Suspend => {
                    terminal(TerminalEffect::Suspend)?;
                    continue;
                }
                Effect::List => {
                    let batches = self.batches();
                    AppMessage::Listed(batches, self.routes())
                }
                Effect::Open { name } => {
                    let opened = OpenBatch::resume(
                        &self.setting.home,
                        &name,
                        &self.setting.station,
                        &holder(),
                    );
                    self.opened(opened)
                }
                Effect::Start { route, name, sets, word } => {
                    let Some(message) = self.start(route, name, sets, word.as_deref()) else {
                        continue;
                    };
                    message
                }
                Effect::Append { who, events } => self.append(app, who.as_deref(), events),
            };
            to_do.extend(app.update(message));
        }
        Ok(false)
    }

    /// Begins a batch of a route; nothing where there is no such route.
    fn start(
        &mut self,
        route: usize,
        name: String,
        sets: u32,
        word: Option<&str>,
    ) -> Option<AppMessage> {
        let choice = self.setting.routes.get(route)?;
        let text = with_sets(&choice.text, sets);
        let beginning = Beginning {
            name: &name,
            route: &text,
            shop: &self.setting.shop,
            station: &self.setting.station,
            holder: &holder(),
            at: now(),
            word,
            boards: &self.setting.boards,
        };
        let started = OpenBatch::start(&self.setting.home, &beginning);
        if let Err(OpenError::Faulty { what, may_override: MayOverride::Lead }) = &started {
            return Some(AppMessage::Faulty { what: what.clone(), route, name, sets });
        }
        Some(self.opened(started))
    }

    fn opened(&mut self, opened: Result<OpenBatch, OpenError>) -> AppMessage {
        match opened {
            Ok(open) => {
                let snapshot = open.snapshot();
                self.open = Some(open);
                AppMessage::Opened(Box::new(snapshot), now())
            }
            Err(error) => AppMessage::Failed(error.to_string()),
        }
    }

    fn append(&mut self, app: &mut App, who: Option<&str>, events: Vec<Event>) -> AppMessage {
        let Some(open) = &mut self.open else { return self.open_again(app) };
        match open.append(who, now(), events) {
            Ok(()) => AppMessage::Recorded(Box::new(open.snapshot()), now()),
            Err(error) => {
                let words = error.to_string();
                let must_reopen = !matches!(error, StoreError::NotRecorded { .. });
                if must_reopen && let Some(open) = self.open.take() {
                    match open.reopen(&self.setting.home) {
                        Ok(open) => {
                            app.update(AppMessage::Refreshed(Box::new(open.snapshot())));
                            self.open = Some(open);
                        }
                        Err(again) => return AppMessage::Failed(format!("{words} {again}")),
                    }
                }
                AppMessage::Failed(words)
            }
        }
    }

    /// After the disk was away. Nothing is recorded with this: people look
    /// first what is on record.
    fn open_again(&mut self, app: &mut App) -> AppMessage {
        let Some(session) = app.session() else {
            return AppMessage::Failed("No batch is open.".to_owned());
        };
        let snapshot = &session.snapshot;
        let (name, station) = (snapshot.name.clone(), snapshot.station.clone());
        match OpenBatch::resume(&self.setting.home, &name, &station, &holder()) {
            Ok(open) => {
                app.update(AppMessage::Refreshed(Box::new(open.snapshot())));
                self.open = Some(open);
                AppMessage::Failed(
                    "The batch is open again. If this is still what is asked, Enter records it."
                        .to_owned(),
                )
            }
            Err(error) => AppMessage::Failed(error.to_string()),
        }
    }

    fn batches(&self) -> Vec<BatchRow> {
        let Ok(folders) = self.setting.home.batches() else { return Vec::new() };
        folders.iter().map(BatchRow::of).collect()
    }

    fn routes(&self) -> Vec<RouteRow> {
        let taken: Vec<String> = self
            .setting
            .home
            .batches()
            .map(|folders| folders.iter().map(|folder| folder.name().to_owned()).collect())
            .unwrap_or_default();
        self.setting
            .routes
            .iter()
            .map(|choice| {
                let route = read_route(&choice.text).ok();
                RouteRow {
                    name: route.as_ref().map_or_else(|| choice.stem.clone(), |r| r.name.clone()),
                    about: route.as_ref().and_then(|route| route.about.clone()).unwrap_or_default(),
                    sets: route.as_ref().map_or(1, |route| route.sets),
                    article: route.as_ref().map(|route| route.article.clone()).unwrap_or_default(),
                    suggested: suggested(&choice.stem, &taken),
                }
            })
            .collect()
    }
}

/// Who has a station open, for whoever is refused it.
fn holder() -> String {
    format!("process {} since {}", std::process::id(), now().format("%H:%M"))
}

/// `reading-stool 2026-11-25`, and a number after it when that is taken.
fn suggested(stem: &str, taken: &[String]) -> String {
    let plain = format!("{stem} {}", now().format("%Y-%m-%d"));
    let free = |name: &String| !taken.contains(name);
    std::iter::once(plain.clone())
        .chain((2..).map(|n| format!("{plain} {n}")))
        .find(free)
        .unwrap_or(plain)
}
