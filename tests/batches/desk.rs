//! The traveler in memory, driven by keys; the journal is kept beside it.

use std::sync::Arc;

use benchway::journal::Snapshot;
use benchway::route::Route;
use benchway::shop::Shop;
use benchway::tui::theme::Theme;
use benchway::tui::{App, AppMessage, Effect};

use chrono::Duration;
use crossterm::event::{KeyCode, KeyEvent, KeyModifiers};
use ratatui::Terminal;
use ratatui::backend::TestBackend;
use ratatui::buffer::Buffer;

use crate::drawn::{SIZES, drawn, drawn_in};
use crate::walker::{SHOP, STOOL, Walker, read_route, read_shop};

/// One stool, walked by keys.
pub struct Desk {
    pub app: App,
    pub walker: Walker,
    pub route: Arc<Route>,
    pub shop: Arc<Shop>,
    /// The columns and rows of the window.
    pub window: (u16, u16),
}

impl Desk {
    pub fn on(walker: Walker, theme: Theme) -> Desk {
        Desk::stools(walker, 1, theme)
    }

    /// At so many stools.
    pub fn stools(walker: Walker, sets: u32, theme: Theme) -> Desk {
        let mut route = read_route(STOOL);
        route.make_sets(sets).expect("a batch of that size");
        let app = App::new(theme);
        let mut desk = Desk {
            app,
            walker,
            route: Arc::new(route),
            shop: Arc::new(read_shop(SHOP)),
            window: SIZES[0],
        };
        let (snapshot, now) = (desk.snapshot(), desk.walker.now);
        desk.app.update(AppMessage::Opened(Box::new(snapshot), now));
        desk
    }

    /// At another route.
    pub fn of(text: &str, theme: Theme) -> Desk {
        let (walker, route) = (Walker::of(text), Arc::new(read_route(text)));
        let app = App::new(theme);
        let mut desk =
            Desk { app, walker, route, shop: Arc::new(read_shop(SHOP)), window: SIZES[0] };
        let (snapshot, now) = (desk.snapshot(), desk.walker.now);
        desk.app.update(AppMessage::Opened(Box::new(snapshot), now));
        desk
    }

    pub fn snapshot(&self) -> Snapshot {
        Snapshot {
            name: "spring stools".to_owned(),
            station: self.walker.station.clone(),
            route: Arc::clone(&self.route),
            shop: Arc::clone(&self.shop),
            plan: Arc::new(self.walker.plan.clone()),
            state: Arc::new(self.walker.state.clone()),
            damage: Vec::new(),
        }
    }

    /// Draws the window, as the program does before it waits for a key.
    pub fn shows(&mut self, (width, height): (u16, u16)) -> &mut Desk {
        let mut terminal =
            Terminal::new(TestBackend::new(width, height)).expect("a backend in memory");
        let unread = drawn_in(&mut terminal, &self.app);
        self.app.update(AppMessage::Drawn(unread));
        self
    }

    pub fn key(&mut self, code: KeyCode) -> &mut Desk {
        if code == KeyCode::Enter {
            self.shows(self.window);
        }
        // A second apart, so that no Enter counts as a gauge bouncing.
        self.walker.now += Duration::seconds(1);
        let key = KeyEvent::new(code, KeyModifiers::NONE);
        let effects = self.app.update(AppMessage::Key(key, self.walker.now));
        self.perform(effects)
    }

    /// Text pasted in one go.
    pub fn paste(&mut self, text: &str) -> &mut Desk {
        self.walker.now += Duration::seconds(1);
        let effects = self.app.update(AppMessage::Pasted(text.to_owned(), self.walker.now));
        self.perform(effects)
    }

    /// Does what the app asks for, and what that leads to.
    fn perform(&mut self, effects: Vec<Effect>) -> &mut Desk {
        for effect in effects {
            if let Effect::Append { who, events } = effect {
                self.walker.who = who;
                self.walker.push(events);
                let recorded = AppMessage::Recorded(Box::new(self.snapshot()), self.walker.now);
                let next = self.app.update(recorded);
                self.perform(next);
            }
        }
        self
    }

    pub fn letters(&mut self, text: &str) -> &mut Desk {
        for letter in text.chars() {
            self.key(KeyCode::Char(letter));
        }
        self
    }

    /// Types and presses Enter, for each text in turn.
    pub fn enter(&mut self, texts: &[&str]) -> &mut Desk {
        for text in texts {
            self.letters(text).key(KeyCode::Enter);
        }
        self
    }

    pub fn drawn(&self, width: u16, height: u16) -> Buffer {
        drawn(&self.app, width, height)
    }
}
