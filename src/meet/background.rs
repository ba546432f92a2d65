//! The exchange in the background: one thread that connects, exchanges, waits for news of the
//! server and of this terminal, and connects again where the server was away.

use std::collections::BTreeSet;
use std::sync::{Arc, Mutex, PoisonError};
use std::thread::JoinHandle;
use std::time::Duration;

use chrono::Local;
use tokio::sync::mpsc::{UnboundedReceiver, UnboundedSender, unbounded_channel};
use tokio::time::Instant;
use tokio_postgres::Client;

use super::conversation::held;
use super::identity::{Identity, MemberRole};
use super::link::{ServerLink, unconnected};
use super::pace::Pace;
use super::problem::MeetProblem;
use super::round::{ArchivedBatches, Look, ShopExchange};
use super::server::{Server, ServerNews};
use super::standing::ExchangeStanding;
use crate::journal::{Home, suitable};

/// How long after a wake the exchange waits for more of the same.
const GATHERED: Duration = Duration::from_millis(150);

/// How often a terminal looks that waits for no word. A line waits for its sender and for its
/// reader to look, so people see it well within a second.
const LOOKS_EVERY: Duration = Duration::from_millis(400);

/// The first wait after the server was away, and the longest one.
const FIRST_WAIT: Duration = Duration::from_secs(1);
const LONGEST_WAIT: Duration = Duration::from_secs(30);

/// For how long it is known who is connected.
const LOOKED_FOR: Duration = Duration::from_secs(10);

/// How long the end of the program waits for what was written last.
const LAST_WORDS: Duration = Duration::from_secs(1);

/// What the thread is told.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Told {
    /// Something was written here.
    Written,
    /// Somebody looks who is there.
    LookAround,
    /// The program ends.
    Stop,
}

/// What the exchange works with.
#[derive(Clone, Debug)]
pub struct ExchangeSettings {
    /// The folder of the batches.
    pub home: Home,
    /// The server.
    pub server: Server,
    /// The station of this terminal, where it writes.
    pub station: Option<String>,
}

/// The exchange while it runs. It stops when this is dropped.
pub struct Exchange {
    told: UnboundedSender<Told>,
    standing: Arc<Mutex<ExchangeStanding>>,
    thread: Option<JoinHandle<()>>,
}

impl Exchange {
    /// Begins to exchange. `changed` is called on the thread whenever the standing changes.
    pub fn begin(settings: ExchangeSettings, changed: Box<dyn Fn() + Send>) -> Exchange {
        let (told, hears) = unbounded_channel();
        let standing = Arc::new(Mutex::new(ExchangeStanding::default()));
        let shown = ShownStanding { standing: Arc::clone(&standing), changed };
        let thread = std::thread::spawn(move || {
            let rest = Background { settings, shown, shops: Vec::new(), hears, looked: None };
            if let Ok(runtime) = tokio::runtime::Builder::new_current_thread().enable_all().build()
            {
                let local = tokio::task::LocalSet::new();
                local.block_on(&runtime, rest.run());
            }
        });
        Exchange { told, standing, thread: Some(thread) }
    }

    /// Says that something was written here.
    pub fn wake(&self) {
        // A thread that has ended has said why.
        let _ = self.told.send(Told::Written);
    }

    /// Says that somebody looks who is there. The server is asked seldom enough that a screen
    /// that shows it may always say so.
    pub fn look_around(&self) {
        let _ = self.told.send(Told::LookAround);
    }

    /// How the exchange stands.
    pub fn standing(&self) -> ExchangeStanding {
        self.standing.lock().unwrap_or_else(PoisonError::into_inner).clone()
    }
}

impl Drop for Exchange {
    fn drop(&mut self) {
        let _ = self.told.send(Told::Stop);
        if let Some(thread) = self.thread.take() {
            let _ = thread.join();
        }
    }
}

/// The standing as others see it.
struct ShownStanding {
    standing: Arc<Mutex<ExchangeStanding>>,
    changed: Box<dyn Fn() + Send>,
}

impl ShownStanding {
    fn show(&self, standing: ExchangeStanding) {
        let mut held = self.standing.lock().unwrap_or_else(PoisonError::into_inner);
        // The time alone is nothing to draw anew for.
        let is_same = ExchangeStanding { up_to_date: held.up_to_date, ..standing.clone() } == *held;
        *held = standing;
        drop(held);
        if !is_same {
            (self.changed)();
        }
    }

    fn held(&self) -> ExchangeStanding {
        self.standing.lock().unwrap_or_else(PoisonError::into_inner).clone()
    }
}

struct Background {
    settings: ExchangeSettings,
    shown: ShownStanding,
    shops: Vec<ShopExchange>,
    hears: UnboundedReceiver<Told>,
    /// When the server was asked last who is connected.
    looked: Option<Instant>,
}

impl Background {
    async fn run(mut self) {
        let mut wait = FIRST_WAIT;
        loop {
            let opened = until_told(&mut self.hears, ServerLink::open(&self.settings.server)).await;
            let why = match opened {
                Done::Stopped(Some(Ok(link))) => return self.last_words(&link).await,
                Done::Stopped(_) => return,
                Done::Whole(Err(why), _) => why,
                Done::Whole(Ok(link), _) => match self.exchange(link).await {
                    Ok(()) => return,
                    Err(why) => {
                        wait = FIRST_WAIT;
                        why
                    }
                },
            };
            self.is_away(&why);
            if self.waited(wait).await {
                return;
            }
            wait = (2 * wait).min(LONGEST_WAIT);
        }
    }

    /// Waits until the next try; true where the program ends meanwhile.
    async fn waited(&mut self, wait: Duration) -> bool {
        let over = tokio::time::sleep(wait);
        tokio::pin!(over);
        loop {
            tokio::select! {
                () = &mut over => return false,
                told = self.hears.recv() => match told {
                    Some(Told::Written) => self.count_unsent(),
                    Some(Told::LookAround) => {}
                    Some(Told::Stop) | None => return true,
                },
            }
        }
    }

    /// Exchanges until the connection is lost; none where the program ends.
    async fn exchange(&mut self, mut link: ServerLink) -> Result<(), MeetProblem> {
        take_shops(&mut self.shops, &link, &self.settings, &ArchivedBatches::None)?;
        let mut look = Look::Everywhere;
        let mut pace = Pace::of_a_new_connection();
        loop {
            let begun = Instant::now();
            let round = in_turn(&mut pace, &mut self.shops, &link, std::mem::take(&mut look));
            let has_more = match until_told(&mut self.hears, round).await {
                Done::Stopped(_) => return Ok(()),
                Done::Whole(done, is_written) => {
                    look = if is_written { Look::Here } else { Look::Nowhere };
                    self.is_done(done)? || (is_written && pace.waits())
                }
            };
            if has_more {
                pace.word_came(Duration::ZERO);
                continue;
            }
            if pace.waits() {
                let ended = Instant::now();
                tokio::select! {
                    told = self.told(&link.client, &link.identities) => match told? {
                        Told::Written | Told::LookAround => look = look.max(Look::Here),
                        Told::Stop => {
                            self.last_words(&link).await;
                            return Ok(());
                        }
                    },
                    news = link.news.recv() => match news {
                        Some(news) => look = look.max(looked_for(news)),
                        None => return Err(MeetProblem::Silent),
                    },
                }
                pace.word_came(ended.elapsed());
                tokio::time::sleep(GATHERED).await;
            } else if self.looks_at(begun + LOOKS_EVERY, &link, &mut look).await? {
                self.last_words(&link).await;
                return Ok(());
            }
            while let Ok(news) = link.news.try_recv() {
                look = look.max(looked_for(news));
            }
        }
    }

    /// Waits for the next time to look; true where the program ends meanwhile.
    async fn looks_at(
        &mut self,
        time: Instant,
        link: &ServerLink,
        look: &mut Look,
    ) -> Result<bool, MeetProblem> {
        loop {
            tokio::select! {
                () = tokio::time::sleep_until(time) => return Ok(false),
                told = self.told(&link.client, &link.identities) => match told? {
                    Told::Written | Told::LookAround => *look = (*look).max(Look::Here),
                    Told::Stop => return Ok(true),
                },
            }
        }
    }

    /// What is told next, while the server is asked who is there as often as somebody looks.
    async fn told(
        &mut self,
        client: &Client,
        identities: &[Identity],
    ) -> Result<Told, MeetProblem> {
        loop {
            match self.hears.recv().await {
                Some(Told::LookAround) => {
                    if self.looked.is_none_or(|at| at.elapsed() >= LOOKED_FOR) {
                        let unconnected = unconnected(client, identities).await?;
                        self.looked = Some(Instant::now());
                        self.shown.show(ExchangeStanding { unconnected, ..self.shown.held() });
                    }
                }
                told => return Ok(told.unwrap_or(Told::Stop)),
            }
        }
    }

    /// After a round: whether there is more. What is wrong with one batch ends nothing.
    fn is_done(&mut self, done: Result<bool, MeetProblem>) -> Result<bool, MeetProblem> {
        match done {
            Ok(has_more) => {
                self.is_here(None);
                Ok(has_more)
            }
            Err(why) if why.is_of_a_batch() => {
                self.is_here(Some(why.to_string()));
                Ok(false)
            }
            Err(why) => Err(why),
        }
    }

    /// Sends what was written last. Whoever leaves doesn't wait long; the rest is sent next
    /// time.
    async fn last_words(&mut self, link: &ServerLink) {
        if self.shops.is_empty()
            && take_shops(&mut self.shops, link, &self.settings, &ArchivedBatches::None).is_err()
        {
            return;
        }
        let last = exchanged(&mut self.shops, link, Look::Everywhere);
        let _ = tokio::time::timeout(LAST_WORDS, last).await;
    }

    fn is_here(&mut self, why: Option<String>) {
        let waiting = match self.shops.first() {
            Some(shop) if shop.identity.role == MemberRole::Lead => shop.waiting(),
            _ => Vec::new(),
        };
        let up_to_date = Some(Local::now().fixed_offset());
        self.shown.show(ExchangeStanding {
            is_connected: true,
            why,
            up_to_date,
            unsent: 0,
            unconnected: self.shown.held().unconnected,
            waiting,
        });
    }

    fn is_away(&mut self, why: &MeetProblem) {
        let unsent = self.unsent();
        let held = self.shown.held();
        let why = Some(why.to_string());
        // Nobody can tell meanwhile who is there.
        let unconnected = BTreeSet::new();
        self.looked = None;
        self.shown.show(ExchangeStanding { is_connected: false, why, unsent, unconnected, ..held });
    }

    fn count_unsent(&mut self) {
        let unsent = self.unsent();
        self.shown.show(ExchangeStanding { unsent, ..self.shown.held() });
    }

    fn unsent(&mut self) -> u64 {
        self.shops.iter_mut().map(ShopExchange::unsent).sum()
    }
}

/// How something ended that may be stopped.
enum Done<T> {
    /// It came to its end; whether something was written here meanwhile.
    Whole(T, bool),
    /// The program ends; what came of it within the time for last words.
    Stopped(Option<T>),
}

/// Does something while the thread is told what happens here.
async fn until_told<T>(
    hears: &mut UnboundedReceiver<Told>,
    doing: impl Future<Output = T>,
) -> Done<T> {
    tokio::pin!(doing);
    let mut is_written = false;
    loop {
        tokio::select! {
            biased;
            done = &mut doing => return Done::Whole(done, is_written),
            told = hears.recv() => match told {
                Some(Told::Written) => is_written = true,
                // It is soon asked again.
                Some(Told::LookAround) => {}
                Some(Told::Stop) | None => {
                    let last = tokio::time::timeout(LAST_WORDS, &mut doing).await;
                    return Done::Stopped(last.ok());
                }
            },
        }
    }
}

/// One exchange from beginning to end, for a command: what the server has is here
/// afterwards, and the other way round.
///
/// # Errors
///
/// Where the server can't be reached, or not within the time.
pub fn exchange_once(
    settings: &ExchangeSettings,
    archived: &ArchivedBatches,
    within: Duration,
) -> Result<(), MeetProblem> {
    held(within, async {
        let link = ServerLink::open(&settings.server).await?;
        let mut shops = Vec::new();
        take_shops(&mut shops, &link, settings, archived)?;
        let mut look = Look::Everywhere;
        while exchanged(&mut shops, &link, look).await? {
            look = Look::Nowhere;
        }
        Ok(())
    })
}

/// Has an exchange for each shop of the login. A reader of several shops has a folder for each.
fn take_shops(
    shops: &mut Vec<ShopExchange>,
    link: &ServerLink,
    settings: &ExchangeSettings,
    wanted: &ArchivedBatches,
) -> Result<(), MeetProblem> {
    let identities: Vec<&Identity> = shops.iter().map(|shop| &shop.identity).collect();
    if identities.len() == link.identities.len()
        && identities.iter().zip(&link.identities).all(|(held, is)| *held == is)
    {
        shops.iter_mut().for_each(ShopExchange::connected);
        return Ok(());
    }
    shops.clear();
    for identity in &link.identities {
        if let (Some(own), Some(given)) = (&identity.station, &settings.station)
            && own != given
        {
            return Err(MeetProblem::OtherStation(own.clone()));
        }
        let home = match link.identities.len() {
            1 => settings.home.clone(),
            _ => settings.home.of_shop(&suitable(&identity.shop))?,
        };
        shops.push(ShopExchange::of(home, identity.clone(), wanted.clone()));
    }
    Ok(())
}

/// Where batches are to be looked for after some news.
fn looked_for(news: ServerNews) -> Look {
    match news {
        ServerNews::Lines => Look::Nowhere,
        ServerNews::Batches => Look::Everywhere,
    }
}

/// One round, before which the server hears whether this terminal waits for word. A terminal
/// that waits from now on looks once more, for what was added until it said so.
async fn in_turn(
    pace: &mut Pace,
    shops: &mut [ShopExchange],
    link: &ServerLink,
    look: Look,
) -> Result<bool, MeetProblem> {
    match pace.to_say() {
        Some(true) => pace.asked_for_word(link.wait_for_word().await?),
        Some(false) => {
            link.wait_no_more().await?;
            pace.needs_no_word();
        }
        None => {}
    }
    let done = exchanged(shops, link, look).await;
    pace.round_was(shops.iter().all(ShopExchange::was_empty));
    done
}

/// One round for each shop; true where there is more.
async fn exchanged(
    shops: &mut [ShopExchange],
    link: &ServerLink,
    look: Look,
) -> Result<bool, MeetProblem> {
    let mut has_more = false;
    for shop in shops {
        shop.look(link, look).await?;
        has_more |= shop.round(link).await?;
    }
    Ok(has_more)
}
