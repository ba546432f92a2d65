//! The shops and stations of the load: each station with a login, a folder and an exchange of
//! its own, all in one batch of its shop.

use std::path::{Path, PathBuf};
use std::sync::{Mutex, MutexGuard, PoisonError};
use std::time::{Duration, Instant};

use benchway::journal::{
    BatchFolder, BatchId, Beginning, Event, Home, LinesSeen, OpenBatch, Station,
};
use benchway::meet::{Exchange, ExchangeSettings, MemberRole, Password, Server};
use chrono::Local;

use super::database::{Database, PASSWORD};

const SHOP: &str = include_str!("../../routes/shop.json");
const ROUTE: &str = r#"{
  "route": "Strips", "unit": "in", "sets": 4, "dims": { "w": "2" },
  "parts": { "strip": { "per_set": 4, "stock": { "thickness": "3/4", "width": "2", "length": "20" }, "width": "w", "length": "15" } },
  "operations": [
    { "op": 20, "part": "strip", "do": "crosscut", "at": "stop saw", "to": "15",
      "checks": [ { "check": "length", "limits": "±1/32", "with": "calipers", "pieces": "all" } ] } ] }"#;
const BATCH: &str = "strips";

/// Memory, because one disk can't stand for those of all terminals.
const MEMORY: &str = "/dev/shm";

/// How long everything may take that isn't measured.
const PATIENCE: Duration = Duration::from_secs(120);

/// What a station wrote, and what it has seen of the others.
pub struct Journal {
    station: Station,
    pub seen: LinesSeen,
    /// The number of its first line of the load, and when that and each one after was on its disk.
    first: u64,
    synced: Vec<Instant>,
}

impl Journal {
    /// When a line of the load was on the disk of its station.
    pub fn synced(&self, n: u64) -> Option<Instant> {
        self.synced.get(n.checked_sub(self.first)? as usize).copied()
    }

    /// From now on lines are counted anew.
    pub fn count_anew(&mut self) {
        self.first += self.synced.len() as u64;
        self.synced.clear();
    }
}

/// One terminal.
pub struct Terminal {
    pub shop: usize,
    pub name: String,
    pub login: String,
    home: Home,
    server: Server,
    pub folder: BatchFolder,
    exchange: Option<Exchange>,
    journal: Mutex<Journal>,
}

impl Terminal {
    pub fn journal(&self) -> MutexGuard<'_, Journal> {
        self.journal.lock().unwrap_or_else(PoisonError::into_inner)
    }

    /// Writes a line, as the traveler does, and wakes the exchange.
    pub fn write(&self, event: Event) {
        let mut journal = self.journal();
        let Journal { station, seen, first, synced } = &mut *journal;
        let at = Local::now().fixed_offset();
        let written = station.append(at, seen, Some("MB"), vec![event]).expect("recorded");
        synced.push(Instant::now());
        for line in &written {
            if synced.len() == 1 {
                *first = line.n;
            }
            seen.take(line);
        }
        drop(journal);
        if let Some(exchange) = &self.exchange {
            exchange.wake();
        }
    }

    fn settings(&self) -> ExchangeSettings {
        ExchangeSettings {
            home: self.home.clone(),
            server: self.server.clone(),
            station: Some(self.name.clone()),
        }
    }
}

/// All terminals.
pub struct Shops {
    place: tempfile::TempDir,
    pub terminals: Vec<Terminal>,
}

impl Shops {
    /// Has a batch begun in every shop, and everybody get it.
    pub fn begin(database: &Database, shops: usize, stations: usize) -> Shops {
        let memory = Path::new(MEMORY);
        let place = if memory.is_dir() { memory.to_owned() } else { std::env::temp_dir() };
        let place = tempfile::tempdir_in(place).expect("a folder");
        let each = (0..shops).flat_map(|shop| (0..stations).map(move |station| (shop, station)));
        let began: Vec<Began> =
            each.map(|(shop, station)| began(database, place.path(), shop, station)).collect();
        let exchanges: Vec<Exchange> = began
            .iter()
            .map(|began| Exchange::begin(began.settings.clone(), Box::new(|| ())))
            .collect();
        let opened = began.into_iter().zip(exchanges);
        let terminals = opened.map(|(began, exchange)| began.open(exchange)).collect();
        Shops { place, terminals }
    }

    /// A folder for one more terminal.
    pub fn new_home(&self, name: &str) -> Home {
        home(self.place.path(), name)
    }

    /// Ends the exchange of every terminal.
    pub fn rest(&mut self) {
        for terminal in &mut self.terminals {
            terminal.exchange = None;
        }
    }

    /// Has every terminal exchange again, and waits until all are connected.
    pub fn exchange(&mut self) {
        for terminal in &mut self.terminals {
            terminal.exchange = Some(Exchange::begin(terminal.settings(), Box::new(|| ())));
        }
        until("all are connected", || {
            let is_connected = |exchange: &Exchange| exchange.standing().is_connected;
            self.terminals.iter().flat_map(|terminal| &terminal.exchange).all(is_connected)
        });
    }
}

/// A terminal before it has its batch.
struct Began {
    shop: usize,
    login: String,
    settings: ExchangeSettings,
}

/// Adds a member, and where it is the lead of its shop begins the batch.
fn began(database: &Database, place: &Path, shop: usize, station: usize) -> Began {
    let role = if station == 0 { MemberRole::Lead } else { MemberRole::Station };
    let (name, who) = (format!("bench-{station}"), format!("s{shop}_{station}"));
    let login = database.add(&who, &shop_name(shop), Some(&name), role);
    let home = home(place, &who);
    let server = server(database, &login);
    if station == 0 {
        let beginning = Beginning {
            name: BATCH,
            id: BatchId::random(),
            route: ROUTE,
            shop: SHOP,
            station: &name,
            holder: "the bench",
            at: Local::now().fixed_offset(),
            word: None,
            boards: &[],
            makers: &[],
        };
        OpenBatch::start(&home, &beginning).unwrap_or_else(|why| panic!("{why}"));
    }
    Began { shop, login, settings: ExchangeSettings { home, server, station: Some(name) } }
}

impl Began {
    /// Waits for the batch, and opens the station of the terminal.
    fn open(self, exchange: Exchange) -> Terminal {
        let Began { shop, login, settings } = self;
        let ExchangeSettings { home, server, station } = settings;
        let name = station.expect("every terminal of the load writes");
        let folder =
            until_some("every terminal has its batch", || BatchFolder::open(&home, BATCH).ok());
        let journal = folder.journal().expect("readable");
        let (station, _) = Station::open(&folder, &name, "the bench").expect("free");
        let seen = LinesSeen::of(&journal.entries);
        let journal = Journal { station, seen, first: 1, synced: Vec::new() };
        let journal = Mutex::new(journal);
        Terminal { shop, name, login, home, server, folder, exchange: Some(exchange), journal }
    }
}

/// What a shop is called.
pub fn shop_name(shop: usize) -> String {
    format!("shop {shop}")
}

/// The server as a login reaches it through loopback.
pub fn server(database: &Database, login: &str) -> Server {
    let server = Server::at(&database.address(login, database.port()), None).expect("an address");
    server.with_password(&Password::typed(PASSWORD))
}

fn home(place: &Path, name: &str) -> Home {
    let path: PathBuf = place.join(name);
    std::fs::create_dir(&path).expect("a folder of its own");
    Home::locate(Some(path)).expect("a folder was named")
}

/// Waits until something is so.
pub fn until(what: &str, mut is_so: impl FnMut() -> bool) {
    until_some(what, || is_so().then_some(()));
}

fn until_some<T>(what: &str, mut found: impl FnMut() -> Option<T>) -> T {
    let begun = Instant::now();
    loop {
        match found() {
            Some(found) => return found,
            None if begun.elapsed() > PATIENCE => panic!("it never came about that {what}"),
            None => std::thread::sleep(Duration::from_millis(20)),
        }
    }
}
