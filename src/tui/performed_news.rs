//! What happens outside while the program is open: other stations write, batches come and
//! go. It is watched, taken in, and shown with no key pressed.

use super::app::{App, OpeningScreen, Stage};
use super::clock::now;
use super::message::{AppMessage, Effect, ReadRows};
use super::perform::Performer;
use super::waker::Waker;
use super::watching::{FolderNews, Watch, Watched};
use crate::journal::{BatchFolder, StoreError};
use crate::work::{BatchRow, station_leaves};

impl Performer {
    /// Takes in what other stations wrote; true where that was anything.
    pub(super) fn refresh(&mut self, app: &mut App) -> bool {
        let Some(open) = &mut self.open else { return false };
        if !matches!(open.has_news(), Ok(true)) {
            return false;
        }
        app.hand_back();
        // What can't be read now is told at the next answer.
        let _ = open.refresh();
        app.update(AppMessage::Refreshed(Box::new(open.snapshot())));
        true
    }

    /// Watches the folder of what is open, or of all batches while none is.
    pub(super) fn keep_watch(&mut self, app: &mut App, waker: &Waker) {
        let of = match &self.open {
            Some(open) => Some(Watched::Batch(open.folder().clone())),
            None if self.is_listed => Some(Watched::Home(self.setting.home.clone())),
            None => None,
        };
        if self.watch.as_ref().map(Watch::of) != of.as_ref() {
            self.watch = of.map(|of| {
                let means = of.means();
                Watch::begin(of, waker, means)
            });
        }
        let is_looking = self.watch.as_ref().is_some_and(Watch::is_looking);
        app.update(AppMessage::Watched { is_looking });
    }

    /// Begins the exchange with other terminals, once somebody waits here.
    pub(super) fn keep_exchange(&mut self, app: &mut App, waker: &Waker) {
        if let Some(begin) = self.setting.exchange.take() {
            let waker = waker.clone();
            self.exchange = Some(begin(Box::new(move || waker.wake())));
            self.hear_exchange(app);
        }
    }

    /// Shows what the exchange says; true where that is something new.
    pub(super) fn hear_exchange(&mut self, app: &mut App) -> bool {
        let Some(exchange) = &self.exchange else { return false };
        let says = exchange.says(now());
        let is_new = app.exchange() != says.as_ref();
        if is_new {
            app.update(AppMessage::Exchanged(says));
        }
        is_new
    }

    /// Tells the exchange that something was written here.
    pub(super) fn wake_exchange(&self) {
        if let Some(exchange) = &self.exchange {
            exchange.wake();
        }
    }

    /// Takes in what changed outside; none where nothing that is shown did.
    pub(super) fn news(&mut self, app: &mut App) -> Option<Vec<Effect>> {
        let says_more = self.hear_exchange(app);
        let seen = self.news_of_batches(app);
        seen.or_else(|| says_more.then(Vec::new))
    }

    fn news_of_batches(&mut self, app: &mut App) -> Option<Vec<Effect>> {
        let news = self.watch.as_ref().map(Watch::take).unwrap_or_default();
        if self.open.is_some() {
            return self.refresh(app).then(|| app.update(AppMessage::Woke(now())));
        }
        let Stage::Opening(opening) = app.stage() else { return None };
        if opening.today().is_some() {
            return Some(vec![Effect::Today]);
        }
        let (rows, is_list) = self.rows(opening, &news)?;
        Some(app.update(AppMessage::Elsewhere { rows: Box::new(rows), is_list }))
    }

    /// The rows of the list that changed, and whether it is to be made anew.
    fn rows(&self, opening: &OpeningScreen, news: &FolderNews) -> Option<(ReadRows, bool)> {
        let mut rows = ReadRows::default();
        let mut is_list = news.is_list;
        for name in &news.batches {
            let Ok(folder) = BatchFolder::open(&self.setting.home, name) else { continue };
            match opening.lists.batches.iter().any(|row| row.name == *name) {
                true => rows.batches.push(BatchRow::of(&folder)),
                false => is_list = true,
            }
        }
        (is_list || !rows.batches.is_empty()).then_some((rows, is_list))
    }

    /// Notes that people leave this station, where they said who they are. Nobody is kept
    /// from leaving: why it can't be noted is told once the terminal is put back.
    pub(super) fn leave_station(&mut self, app: &App) {
        let Some(session) = app.session().filter(|session| !session.only_looks()) else { return };
        let context = session.context();
        let Some(open) = &mut self.open else { return };
        let Some(event) = station_leaves(&context) else { return };
        match open.append(context.who, now(), vec![event]) {
            Ok(()) => self.wake_exchange(),
            Err(StoreError::Newer) => {}
            Err(why) => {
                let station = &session.snapshot.station;
                let why = format!("That people left {station} is not on record: {why}");
                self.unsaid = Some(why);
            }
        }
    }

    /// What is still to be said once nothing is drawn any more.
    pub(super) fn unsaid(&mut self) -> Option<String> {
        self.unsaid.take()
    }
}
