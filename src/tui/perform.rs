//! Performs what the app asks for: lists, opens, begins and writes to batches.
//! It knows no terminal; what only a terminal can do goes to whoever has one.

use std::collections::VecDeque;
use std::io;
use std::path::Path;
use std::time::Duration;

use super::app::App;
use super::clock::now;
use super::exchanging::Exchanging;
use super::filling::Filling;
use super::launch::{BeginOptions, LaunchOptions};
use super::listing::{
    RouteChoice, RouteOrigin, RouteText, checked_rows, choices, first_route, free_station, lists,
    of_the_day, people_at,
};
use super::message::{AppMessage, Effect, NewBatch, OpeningLists, ReadRows, TodayRead};
use super::performed_shop::{begin_shop, change_shop, note_changes, open_shop, shop_changes};
use super::printing::printed;
use super::watching::Watch;
use crate::journal::{
    BatchId, Beginning, Event, OpenBatch, OpenError, Pins, ReadBatches, StoreError, UnderWay,
    batch_of_code, holder, named_route, read_shop, suitable,
};
use crate::operation::MayOverride;
use crate::route::{with_dimension, with_sets};
use crate::work::{AdaptedRoute, PinTries, lead_named};

/// What is left to whoever has a terminal.
pub(super) enum TerminalEffect {
    /// Draw everything anew.
    Repaint,
    /// Stop until the shell wakes us.
    Suspend,
}

/// The open batch, and everything the program was started with.
pub(super) struct Performer {
    pub(super) setting: LaunchOptions,
    /// The routes as they were last listed.
    choices: Vec<RouteChoice>,
    pub(super) open: Option<OpenBatch>,
    /// The watch over its folder, or over that of all batches.
    pub(super) watch: Option<Watch>,
    /// The batches of the list that are still to be read.
    filling: Option<Filling>,
    /// Whether the routes of the list are still to be checked.
    is_unchecked: bool,
    /// Whether the lists were made, for whoever is sent back to them.
    pub(super) is_listed: bool,
    /// What is said once the terminal is put back.
    pub(super) unsaid: Option<String>,
    /// Wrong PINs since the program began.
    tries: PinTries,
    /// The batches as today has them.
    under_way: UnderWay,
    /// The exchange with other terminals, while it runs.
    pub(super) exchange: Option<Box<dyn Exchanging>>,
}

/// Whether what was named could not be opened or begun, so that people choose.
fn is_refused(message: &AppMessage) -> bool {
    matches!(message, AppMessage::Failed(_) | AppMessage::Busy { .. } | AppMessage::Faulty { .. })
}

/// What is said once a batch went into the archive or came back.
fn moved(done: Result<(), StoreError>, words: String) -> AppMessage {
    match done {
        Ok(()) => AppMessage::Told(words),
        Err(why) => AppMessage::Failed(why.to_string()),
    }
}

impl Performer {
    pub(super) fn new(setting: LaunchOptions) -> Performer {
        let choices = choices(&setting.routes, &setting.home, Vec::new());
        let tries = PinTries::default();
        Performer {
            setting,
            choices,
            open: None,
            watch: None,
            unsaid: None,
            filling: None,
            is_unchecked: false,
            is_listed: false,
            tries,
            under_way: UnderWay::default(),
            exchange: None,
        }
    }

    /// Whether a batch or a route was named when the program started.
    pub(super) fn is_named(&self) -> bool {
        self.setting.batch.is_some() || self.setting.begin.is_some()
    }

    /// What is done before anybody is asked anything: what was named is opened or begun,
    /// else the lists are made. They read every batch, so nobody waits for them who
    /// doesn't see them.
    pub(super) fn first(&self) -> Vec<Effect> {
        match (&self.setting.batch, &self.setting.begin) {
            (Some(name), _) => vec![Effect::Open { name: name.clone(), station: None }],
            (None, Some(begin)) => self.begin(begin),
            (None, None) if self.setting.shows_today => {
                vec![Effect::List { archive: false }, Effect::Today]
            }
            (None, None) => vec![Effect::List { archive: false }],
        }
    }

    /// Begins the first route. Whoever gave no name hears where it isn't the usual one.
    fn begin(&self, begin: &BeginOptions) -> Vec<Effect> {
        let (Some(given), now) = (self.setting.routes.first(), now()) else { return Vec::new() };
        let row = first_route(&self.setting.home, &self.choices, now);
        let Some(row) = row else { return Vec::new() };
        let makers = begin.makers.clone();
        let listed = (!makers.is_empty()).then_some(makers.len() as u32);
        let sets = listed.or(begin.articles).unwrap_or(row.sets);
        let usual = of_the_day(&given.stem, now);
        let name = begin.name.clone().unwrap_or(row.suggested);
        let another = (begin.name.is_none() && name != usual).then(|| {
            Effect::Tell(format!(
                "A new batch, {name}: {usual} has begun before. To go on with that one, leave and \
                 type benchway walk \"{usual}\"; --name gives a new one another name."
            ))
        });
        let batch = NewBatch { route: 0, name, sets, makers, adapted: Vec::new() };
        let start = Effect::Start { batch, word: None };
        std::iter::once(start).chain(another).collect()
    }

    /// Whether batches or routes of the list are still to be read. Nobody waits for them who has
    /// one open.
    pub(super) fn has_more_to_read(&self) -> bool {
        let is_filled = self.filling.as_ref().is_none_or(Filling::is_done);
        self.open.is_none() && (self.is_unchecked || !is_filled)
    }

    /// Reads the routes of the list, then the next batches, for as long as that may take,
    /// or all of them.
    pub(super) fn read_on(&mut self, most: Option<Duration>) -> Option<AppMessage> {
        if !self.has_more_to_read() {
            return None;
        }
        let until = most.map(|most| now() + most);
        let is_unchecked = std::mem::take(&mut self.is_unchecked);
        let routes = is_unchecked.then(|| checked_rows(&self.choices, now()));
        let read = match &mut self.filling {
            Some(filling) if until.is_none() || routes.is_none() => filling.next(until),
            Some(filling) => filling.nothing(),
            None => ReadRows::default(),
        };
        Some(AppMessage::Read(Box::new(ReadRows { routes, ..read })))
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
            let effect = match self.proved(effect) {
                Ok(effect) => effect,
                Err(asked) => {
                    to_do.extend(app.update(asked));
                    continue;
                }
            };
            let message = match effect {
                Effect::Quit => return Ok(true),
                Effect::LeaveStation => {
                    self.leave_station(app);
                    continue;
                }
                Effect::Repaint => {
                    terminal(TerminalEffect::Repaint)?;
                    continue;
                }
                Effect::Suspend => {
                    terminal(TerminalEffect::Suspend)?;
                    continue;
                }
                Effect::List { archive } => self.list(archive),
                Effect::Today => self.today(),
                Effect::ReadRoute { path } => self.read_route(&path),
                Effect::ReadSizes { route } => {
                    self.read_sizes(route).map_or_else(AppMessage::Failed, |read| {
                        AppMessage::SizesRead(route, Box::new(read))
                    })
                }
                Effect::Print(wish) => {
                    // What is said of a batch meanwhile went to the screen.
                    to_do.push_back(Effect::Repaint);
                    printed(self.setting.printing.as_ref(), &self.choices, wish)
                }
                Effect::Tell(words) => AppMessage::Told(words),
                Effect::Open { name, station } => self.resume(name, station),
                Effect::OpenScanned { batch } => self.open_scanned(&batch),
                Effect::LookAt { name } => self.look_at(&name),
                Effect::Archive { name } => {
                    moved(self.setting.home.archive_batch(&name), format!("{name} is archived."))
                }
                Effect::BringBack { name } => {
                    moved(self.setting.home.bring_back(&name), format!("{name} is back."))
                }
                Effect::Start { batch, word } => {
                    let Some(message) = self.start(batch, word.as_deref()) else {
                        continue;
                    };
                    message
                }
                Effect::BeginShop { name } => begin_shop(&self.setting.home, &name),
                Effect::OpenShop => open_shop(&self.setting.home, &self.setting.station, now()),
                Effect::ChangeShop { by, change } => {
                    let LaunchOptions { home, station, .. } = &self.setting;
                    change_shop(home, station, now(), &by, change)
                }
                // A PIN that fits gave way to what it let through.
                Effect::Prove { .. } => continue,
                Effect::Append { who, events } => {
                    let (message, told) = self.append_and_note(app, who.as_deref(), events);
                    to_do.extend(told);
                    message
                }
            };
            if app.session().is_none() && !self.is_listed && is_refused(&message) {
                let lists = self.list(false);
                to_do.extend(app.update(lists));
            }
            to_do.extend(app.update(message));
        }
        Ok(false)
    }

    /// Reads the batches under way. A shop file that can't be read has no bells.
    fn today(&mut self) -> AppMessage {
        let LaunchOptions { home, shop, .. } = &self.setting;
        match self.under_way.read(home) {
            Ok(ReadBatches { batches, unread, mut free }) => {
                if let Some(exchange) = &self.exchange {
                    exchange.look_around();
                    free.unconnected(exchange.unconnected());
                }
                let shop = shop.text(home).ok().and_then(|text| read_shop(&text).ok());
                let bells = shop.map_or_else(Vec::new, |shop| shop.bells);
                let read = TodayRead { now: now(), batches, free, unread, bells };
                AppMessage::TodayRead(Box::new(read))
            }
            Err(error) => AppMessage::Failed(error.to_string()),
        }
    }

    /// Reads a route file and puts its route before all others.
    fn read_route(&mut self, path: &Path) -> AppMessage {
        let text = match named_route(path).text {
            Ok(text) => text,
            Err(why) => return AppMessage::Failed(format!("{}: {why}", path.display())),
        };
        let stem = suitable(&path.file_stem().unwrap_or_default().to_string_lossy());
        self.setting.routes.retain(|held| held.text != text);
        self.setting.routes.insert(0, RouteText { stem, text, origin: RouteOrigin::Named });
        AppMessage::RouteRead(Box::new(self.lists(false)))
    }

    /// What is done now: what needs a lead's word waits for the PIN, where the lead has
    /// one, and a PIN is compared first.
    fn proved(&mut self, effect: Effect) -> Result<Effect, AppMessage> {
        let lead = match effect {
            Effect::Prove { lead, pin, then } => {
                self.compare(&lead, &pin).map_err(AppMessage::Failed)?;
                return Ok(*then);
            }
            Effect::Append { ref events, .. } => lead_named(events),
            Effect::Start { word: Some(ref word), .. } => word.split_whitespace().next(),
            Effect::ChangeShop { ref by, .. } => Some(by.as_str()),
            _ => None,
        };
        let Some(lead) = lead.map(str::to_uppercase) else { return Ok(effect) };
        match Pins::of(&self.setting.home).has(&lead) {
            Ok(false) => Ok(effect),
            Ok(true) => Err(AppMessage::PinAsked { lead, then: Box::new(effect) }),
            Err(why) => Err(AppMessage::Failed(why.to_string())),
        }
    }

    /// Whether a PIN is the lead's, or why nothing is done. Each wrong one slows the next
    /// one down.
    fn compare(&mut self, lead: &str, pin: &str) -> Result<(), String> {
        if let Some(seconds) = self.tries.wait(lead, now()) {
            return Err(format!("Wait {seconds} s, then type the PIN again."));
        }
        let fits = Pins::of(&self.setting.home).fits(lead, pin).map_err(|why| why.to_string())?;
        if fits {
            self.tries.right(lead);
            return Ok(());
        }
        let seconds = self.tries.wrong(lead, now());
        Err(format!("This is not the PIN of {lead}. The next try is in {seconds} s."))
    }

    /// Reads a batch to look back on it.
    fn look_at(&self, name: &str) -> AppMessage {
        let LaunchOptions { home, station, .. } = &self.setting;
        match OpenBatch::look_at(home, name, station) {
            Ok(snapshot) => AppMessage::LookedAt(Box::new(snapshot), now()),
            Err(error) => AppMessage::Failed(error.to_string()),
        }
    }

    fn list(&mut self, is_archive_read: bool) -> AppMessage {
        AppMessage::Listed(Box::new(self.lists(is_archive_read)))
    }

    fn lists(&mut self, is_archive_read: bool) -> OpeningLists {
        let LaunchOptions { home, routes, shop, station, .. } = &self.setting;
        self.is_listed = true;
        self.choices = choices(routes, home, std::mem::take(&mut self.choices));
        let (lists, filling) = lists(home, &self.choices, shop, is_archive_read, now());
        self.filling = Some(filling);
        self.is_unchecked = true;
        OpeningLists { station: station.clone(), ..lists }
    }

    /// Opens a batch under way, as another station where a name is given.
    fn resume(&mut self, batch: String, station: Option<String>) -> AppMessage {
        if let Some(station) = station {
            self.setting.station = station;
        }
        let LaunchOptions { home, station, .. } = &self.setting;
        match OpenBatch::resume(home, &batch, station, &holder(now())) {
            Err(OpenError::Store(StoreError::Held { station, by })) => {
                let people = people_at(home, &batch, &station).join(" and ");
                let people = if people.is_empty() { people } else { format!("{people}, ") };
                let what = format!("The station {station} is in use: {people}{by}.");
                let free = free_station(home, &batch, &station);
                AppMessage::Busy { batch, what, free }
            }
            opened => self.opened(opened),
        }
    }

    /// Opens the batch that a code on paper names.
    fn open_scanned(&mut self, batch: &str) -> AppMessage {
        match batch_of_code(&self.setting.home, batch) {
            Some(name) => self.resume(name, None),
            None => AppMessage::Failed("The batch of that code is not here.".to_owned()),
        }
    }

    /// A listed route in the shop of new batches, to adapt its sizes.
    fn read_sizes(&self, route: usize) -> Result<AdaptedRoute, String> {
        let choice = self.choices.get(route).ok_or("no such route")?;
        let shop = self.setting.shop.text(&self.setting.home).map_err(|why| why.to_string())?;
        let shop = read_shop(&shop).map_err(|why| why.to_string())?;
        AdaptedRoute::of(choice.text.as_ref().map_err(Clone::clone)?, shop)
    }

    /// Begins a batch of a route; nothing where there is no such route.
    fn start(&mut self, batch: NewBatch, word: Option<&str>) -> Option<AppMessage> {
        let text = self.choices.get(batch.route)?.text.as_ref().ok()?;
        let adapted = batch
            .adapted
            .iter()
            .try_fold(text.clone(), |text, (dim, formula)| with_dimension(&text, dim, formula));
        let text = match adapted {
            Ok(text) => with_sets(&text, batch.sets),
            Err(why) => return Some(AppMessage::Failed(why.to_string())),
        };
        let shop = match self.setting.shop.text(&self.setting.home) {
            Ok(shop) => shop,
            Err(why) => {
                return Some(AppMessage::Failed(format!("Your shop can't be read: {why}.")));
            }
        };
        let beginning = Beginning {
            name: &batch.name,
            id: BatchId::random(),
            route: &text,
            shop: &shop,
            station: &self.setting.station,
            holder: &holder(now()),
            at: now(),
            word,
            boards: &self.setting.boards,
            makers: &batch.makers,
        };
        let started = OpenBatch::start(&self.setting.home, &beginning);
        if let Err(OpenError::Faulty { what, may_override: MayOverride::Lead }) = &started {
            return Some(AppMessage::Faulty { what: what.clone(), batch });
        }
        Some(self.opened(started))
    }

    fn opened(&mut self, opened: Result<OpenBatch, OpenError>) -> AppMessage {
        match opened {
            Ok(open) => {
                let snapshot = open.snapshot();
                self.open = Some(open);
                self.wake_exchange();
                AppMessage::Opened(Box::new(snapshot), now())
            }
            Err(error) => AppMessage::Failed(error.to_string()),
        }
    }

    /// Appends, and notes in the shop what it says of people; what can't be noted is told.
    fn append_and_note(
        &mut self,
        app: &mut App,
        who: Option<&str>,
        events: Vec<Event>,
    ) -> (AppMessage, Vec<Effect>) {
        let changes = shop_changes(&events);
        let message = self.append(app, who, events);
        if !matches!(message, AppMessage::Recorded(..)) {
            return (message, Vec::new());
        }
        let LaunchOptions { home, station, .. } = &self.setting;
        let told = note_changes(home, station, now(), changes);
        (message, told)
    }

    fn append(&mut self, app: &mut App, who: Option<&str>, events: Vec<Event>) -> AppMessage {
        let Some(open) = &mut self.open else { return self.open_again(app) };
        app.hand_back();
        let done = open.append(who, now(), events);
        if done.is_err() {
            app.update(AppMessage::Refreshed(Box::new(open.snapshot())));
        }
        match done {
            Ok(()) => {
                let snapshot = Box::new(open.snapshot());
                self.wake_exchange();
                AppMessage::Recorded(snapshot, now())
            }
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
        match OpenBatch::resume(&self.setting.home, &name, &station, &holder(now())) {
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
}
