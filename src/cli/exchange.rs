//! The exchange with a server, as commands and the traveler have it: what the server has is
//! here before a command reads, and what a command wrote is there after it.

use std::cell::OnceCell;
use std::collections::BTreeSet;
use std::path::Path;
use std::time::Duration;

use super::Failure;
use super::meet_file::of_terminal;
use super::source::is_route;
use super::waiting::waiting;
use crate::journal::{BatchFolder, Home};
use crate::meet::{ArchivedBatches, Exchange, ExchangeSettings, exchange_once};
use crate::prose::{Message, visible};
use crate::tui::{BeginExchange, ExchangeWords, Exchanging};

/// How long a command waits for all lines to come, and how long one that can do without.
const WITHIN: Duration = Duration::from_secs(600);

/// The server that batches are exchanged with, where there is one. What the folder says of it
/// is read once it is needed: a command that touches no batch runs whatever it says.
pub(super) struct ExchangeChoice<'a> {
    home: Option<&'a Path>,
    address: Option<&'a str>,
    /// What the folder says, once it was read.
    read: OnceCell<Option<ExchangeSettings>>,
}

/// What a command does with the batches of the folder.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) enum BatchUse {
    /// Nothing.
    None,
    /// It reads those under way, and of the archived ones those.
    Reads(ArchivedBatches),
    /// It reads and writes.
    Writes,
}

impl<'a> ExchangeChoice<'a> {
    /// The server that is named, or the one of the folder. A program without the exchange
    /// refuses here; this one never does.
    pub(super) fn of(home: Option<&'a Path>, address: Option<&'a str>) -> Result<Self, Failure> {
        Ok(ExchangeChoice { home, address, read: OnceCell::new() })
    }

    fn settings(&self) -> Result<Option<&ExchangeSettings>, Failure> {
        if let Some(read) = self.read.get() {
            return Ok(read.as_ref());
        }
        let home = Home::locate(self.home.map(Path::to_owned))?;
        let found = of_terminal(&home, self.address)?;
        let found = found.map(|(server, station)| ExchangeSettings { home, server, station });
        Ok(self.read.get_or_init(|| found).as_ref())
    }

    /// What a command does that is given a route or the name of a batch: it reads a batch where
    /// there is no such route. A batch that is here goes before a route of the same name.
    pub(super) fn named(&self, named: &Path) -> BatchUse {
        let Some(name) = named.to_str() else { return BatchUse::None };
        let home = Home::locate(self.home.map(Path::to_owned));
        let is_here = home.is_ok_and(|home| BatchFolder::find(&home, name).is_ok());
        match !is_here && is_route(named) {
            true => BatchUse::None,
            false => BatchUse::Reads(ArchivedBatches::Named(name.to_owned())),
        }
    }

    /// Fetches what the command reads. Where the server is away the command goes on with
    /// what is here, and says so.
    pub(super) fn before(&self, uses: &BatchUse) -> Result<(), Failure> {
        let archived = match uses {
            BatchUse::None => return Ok(()),
            BatchUse::Reads(archived) => archived.clone(),
            BatchUse::Writes => ArchivedBatches::None,
        };
        self.exchange(&archived)
    }

    /// Sends what the command wrote.
    pub(super) fn after(&self, uses: &BatchUse) -> Result<(), Failure> {
        if *uses == BatchUse::Writes { self.exchange(&ArchivedBatches::None) } else { Ok(()) }
    }

    fn exchange(&self, archived: &ArchivedBatches) -> Result<(), Failure> {
        let Some(settings) = self.settings()? else { return Ok(()) };
        let done =
            waiting("exchanging with the server", || exchange_once(settings, archived, WITHIN));
        match done {
            Ok(()) => Ok(()),
            Err(why) if why.is_for_somebody() => Err(why.into()),
            Err(why) => {
                eprintln!("warning: {}; this is what is here", visible(&why.to_string()));
                Ok(())
            }
        }
    }

    /// The station of this terminal, where the server or the folder says which it is.
    pub(super) fn station(&self) -> Result<Option<String>, Failure> {
        let Some(settings) = self.settings()? else { return Ok(None) };
        if settings.station.is_some() {
            return Ok(settings.station.clone());
        }
        let own = crate::meet::own_station(&settings.server).map_err(|why| {
            let help = "say which station this terminal is: --station NAME";
            Failure::Exchange(Message::error(why.to_string()).help(help))
        })?;
        let reads = || {
            let what = "the login only reads, and the traveler writes";
            Failure::Exchange(Message::error(what).help("use review, export, learn or today"))
        };
        own.map(Some).ok_or_else(reads)
    }

    /// The stations that the server has no connection with; none where nobody can tell.
    pub(super) fn unconnected(&self) -> BTreeSet<String> {
        let Ok(Some(settings)) = self.settings() else { return BTreeSet::new() };
        crate::meet::unconnected(&settings.server).unwrap_or_default()
    }

    /// Fetches a batch that the traveler is to open, where it or this station's part of it isn't
    /// here.
    pub(super) fn before_walk(&self, batch: Option<&str>, station: &str) -> Result<(), Failure> {
        let (Some(settings), Some(name)) = (self.settings()?, batch) else { return Ok(()) };
        let has_own = BatchFolder::open(&settings.home, name)
            .and_then(|folder| folder.stations())
            .is_ok_and(|stations| stations.iter().any(|held| held == station));
        if has_own { Ok(()) } else { self.exchange(&ArchivedBatches::None) }
    }

    /// Begins the exchange of the traveler, once it runs.
    pub(super) fn begin(&self, station: Option<&str>) -> Result<Option<BeginExchange>, Failure> {
        let Some(settings) = self.settings()? else { return Ok(None) };
        let settings = ExchangeSettings { station: station.map(str::to_owned), ..settings.clone() };
        let begin: BeginExchange =
            Box::new(move |changed| Box::new(Running(Exchange::begin(settings, changed))));
        Ok(Some(begin))
    }

    /// What `meet` itself works on.
    pub(super) fn parts(&self) -> (Option<&'a Path>, Option<&'a str>) {
        (self.home, self.address)
    }
}

/// The exchange as the traveler has it.
struct Running(Exchange);

impl Exchanging for Running {
    fn wake(&self) {
        self.0.wake();
    }

    fn look_around(&self) {
        self.0.look_around();
    }

    fn unconnected(&self) -> BTreeSet<String> {
        self.0.standing().unconnected
    }

    fn says(&self, now: chrono::DateTime<chrono::FixedOffset>) -> Option<ExchangeWords> {
        let standing = self.0.standing();
        if let Some(whole) = standing.behind(now) {
            let brief = standing.unsent_words().unwrap_or_else(|| "no server".to_owned());
            return Some(ExchangeWords { whole, brief });
        }
        let (name, station) = standing.waiting.first()?;
        let more = match standing.waiting.len() - 1 {
            0 => String::new(),
            more => format!(", and {more} more"),
        };
        let whole = format!(
            "{name}, begun by {station}{more}, waits for a lead: benchway meet take-in \"{name}\""
        );
        Some(ExchangeWords { whole, brief: "a batch waits".to_owned() })
    }
}
