//! The app's state and how messages change it. Time arrives in messages, and
//! what is to be done leaves as effects: there is no terminal here, no disk and
//! no clock.
//!
//! Either no batch is open and one is chosen ([`OpeningScreen`]), or one is
//! ([`Session`]); help may lie over both.

mod answering;
mod commands;
mod entry;
mod held_answer;
mod key_timing;
mod lines;
mod maker_question;
mod makers;
mod navigation;
mod opening;
mod opening_questions;
mod opening_shop;
mod opening_sizes;
mod opening_today;
mod performed;
mod prints;
mod prompts;
mod scanned;
mod session;
mod shop_question;
mod shop_screen;
mod sight;
mod sizes_screen;
mod today;
mod view;
mod waking;
mod work_question;

use chrono::{DateTime, FixedOffset};
use crossterm::event::{KeyCode, KeyEvent, KeyModifiers};

use self::commands::session_command;
pub(super) use self::key_timing::BOUNCE;
use self::opening::StartQuestion;
pub(super) use self::opening::route_file;
pub use self::opening::{OpeningLine, OpeningScreen};
pub(super) use self::opening_shop::SEE_WHERE;
use self::session::Recording;
pub use self::session::Session;
pub(super) use self::session::{MOVED_ON, Notice};
pub use self::shop_screen::ShopScreen;
pub(super) use self::shop_screen::{ShopLineItem, ShopView};
pub(super) use self::sizes_screen::SizesScreen;
pub use self::today::TodayScreen;
pub(super) use self::view::SessionView;

use super::exchanging::ExchangeWords;
use super::keys::{Command, command};
use super::menu::MenuAct;
use super::message::{AppMessage, Effect};
use super::review_state::ReviewState;
use super::screen::Screen;
use super::theme::{Depth, Palette, Theme};
use crate::work::PaperCode;

/// The longest paste that is taken: far more than any gauge sends in one go.
const LONGEST_PASTE: usize = 5000;

/// Everything the screens show, and all that keys can change.
#[derive(Debug)]
pub struct App {
    /// Colours and signs of this terminal.
    pub theme: Theme,
    stage: Stage,
    /// Help, over everything else, and the lines of it that are scrolled past.
    help: Option<usize>,
    /// The menu, over everything but help, and its chosen line.
    menu: Option<usize>,
    /// The list that a batch was chosen from, while somebody only looks at it.
    opened_from: Option<Box<OpeningScreen>>,
    /// The rest of a paste, while an answer from it is on its way to the disk.
    pasted: String,
    /// Whether the window, as it was last drawn, shows what time it is.
    has_clock: bool,
    /// How many lines the window had room for.
    in_view: usize,
    /// Whether the folder gives no word of changes and is looked at once a second.
    is_looking: bool,
    /// What the exchange with other terminals says.
    exchange: Option<ExchangeWords>,
    /// A code whose batch is being opened.
    scanned: Option<PaperCode>,
}

/// Whether a batch is open.
#[derive(Debug)]
pub(super) enum Stage {
    /// None yet: one is chosen or begun.
    Opening(Box<OpeningScreen>),
    /// One is.
    Session(Box<Session>),
    /// None, and somebody looks at the shop.
    Shop(Box<ShopScreen>),
}

impl App {
    /// The app before anything is listed or open.
    pub fn new(theme: Theme) -> App {
        App {
            theme,
            stage: Stage::Opening(Box::default()),
            help: None,
            menu: None,
            opened_from: None,
            pasted: String::new(),
            has_clock: false,
            in_view: 0,
            is_looking: false,
            exchange: None,
            scanned: None,
        }
    }

    /// Takes a message in; answers with what is to be done.
    pub fn update(&mut self, message: AppMessage) -> Vec<Effect> {
        let mut effects = self.taken_in(message);
        effects.extend(self.done_looking());
        effects
    }

    fn taken_in(&mut self, message: AppMessage) -> Vec<Effect> {
        match message {
            AppMessage::Key(key, now) => {
                self.arrived(now);
                if self.is_back_after_a_break() { Vec::new() } else { self.key(key) }
            }
            AppMessage::Pasted(text, now) => {
                self.arrived(now);
                if self.is_back_after_a_break() { Vec::new() } else { self.pasted(&text) }
            }
            AppMessage::Line(text, now) => {
                self.arrived(now);
                if self.is_back_after_a_break() { Vec::new() } else { self.line(&text) }
            }
            AppMessage::Named(command, argument, now) => {
                self.arrived(now);
                self.named(command, &argument)
            }
            AppMessage::Chosen(line) => {
                self.choose_line(line);
                Vec::new()
            }
            AppMessage::Woke(now) => {
                self.arrived(now);
                self.woke(now)
            }
            AppMessage::Resized => vec![Effect::Repaint],
            AppMessage::Clock(is_shown) => {
                self.has_clock = is_shown;
                Vec::new()
            }
            AppMessage::Ground(ground) => {
                // Only a terminal of all colours is asked.
                self.theme.palette = Palette::of(ground, Depth::Full);
                Vec::new()
            }
            AppMessage::Drawn(unread) => self.drawn(unread),
            AppMessage::Listed(lists) => self.listed(*lists),
            AppMessage::Read(read) => self.read_on(*read),
            AppMessage::RouteRead(lists) => self.route_read(*lists),
            AppMessage::SizesRead(route, adapted) => self.sizes_read(route, *adapted),
            AppMessage::TodayRead(read) => self.today_read(*read),
            AppMessage::Told(words) => self.told(words),
            AppMessage::Opened(snapshot, now) => self.opened(*snapshot, now),
            AppMessage::LookedAt(snapshot, now) => self.looked_at(*snapshot, now),
            AppMessage::Recorded(snapshot, now) => self.recorded(*snapshot, now),
            AppMessage::Refreshed(snapshot) => self.refreshed(*snapshot),
            AppMessage::Elsewhere { rows, is_list } => self.changed_elsewhere(*rows, is_list),
            AppMessage::Exchanged(says) => {
                self.exchange = says;
                Vec::new()
            }
            AppMessage::Watched { is_looking } => {
                self.is_looking = is_looking;
                Vec::new()
            }
            AppMessage::Faulty { what, batch } => self.faulty(&what, StartQuestion::Word { batch }),
            AppMessage::Busy { batch, what, free } => self.busy(batch, &what, &free),
            AppMessage::ShopOpened(listing) => self.shop_opened(*listing),
            AppMessage::ShopChanged { listing, change, said } => {
                self.shop_changed(*listing, &change, said)
            }
            AppMessage::PinAsked { lead, then } => self.pin_asked(lead, *then),
            AppMessage::Failed(why) => self.failed(why),
        }
    }

    /// The time decides too what is asked.
    fn arrived(&mut self, now: DateTime<FixedOffset>) {
        match &mut self.stage {
            Stage::Opening(opening) => opening.arrived(now),
            Stage::Session(session) => session.arrived(now),
            Stage::Shop(shop) => shop.listing.now = now,
        }
    }

    fn is_back_after_a_break(&mut self) -> bool {
        match &mut self.stage {
            Stage::Opening(_) | Stage::Shop(_) => false,
            Stage::Session(session) => session.is_back_after_a_break(),
        }
    }

    fn is_recording(&self) -> bool {
        self.session().is_some_and(|session| !matches!(session.recording, Recording::Idle))
    }

    fn key(&mut self, key: KeyEvent) -> Vec<Effect> {
        if !key.is_press() || self.is_recording() {
            return Vec::new();
        }
        self.make_room_for_a_code(&key);
        let is_at_machine = self.is_at_machine();
        let typing = match &self.stage {
            // Letters are looked for; only the key that explains is none.
            Stage::Opening(opening) => {
                let explains = key.code == KeyCode::Char('?') && opening.filter().is_empty();
                opening.prompt.is_some() || (self.screen() == Screen::Opening && !explains)
            }
            Stage::Shop(shop) => shop.prompt.is_some(),
            Stage::Session(session) => {
                let undoes = key.code == KeyCode::Backspace && is_at_machine;
                let explains = key.code == KeyCode::Char('?') && session.is_empty_line();
                let is_key = (undoes && session.is_at_an_empty_line()) || explains;
                session.takes_text(is_at_machine) && !is_key
            }
        };
        let is_listed = matches!(self.screen(), Screen::Opening | Screen::Sizes);
        let command = command(self.screen(), &key, typing);
        if let Stage::Session(session) = &mut self.stage {
            if session.holds_back(&key, command, is_at_machine) {
                return Vec::new();
            }
            if command != Some(Command::Enter) {
                session.has_slipped = false;
            }
            if is_at_machine && session.choose(&key) {
                return Vec::new();
            }
            let is_text = typing && command.is_none();
            if !is_text && session.holds_back_a_letter(&key, command, is_at_machine) {
                return Vec::new();
            }
        }
        if let Some(command) = command {
            return self.command(command);
        }
        match &mut self.stage {
            Stage::Opening(opening) if is_listed => opening.type_key(key),
            Stage::Opening(_) => Vec::new(),
            Stage::Shop(shop) => {
                shop.type_key(key);
                Vec::new()
            }
            Stage::Session(session) => {
                session.type_key(key, is_at_machine);
                Vec::new()
            }
        }
    }

    /// Pasted lines are answered one at a time: the rest waits until each is on the
    /// disk, and is dropped where one is refused.
    fn pasted(&mut self, text: &str) -> Vec<Effect> {
        let mut effects = Vec::new();
        let mut letters = text.chars().take(LONGEST_PASTE);
        while let Some(letter) = letters.next() {
            if matches!(letter, '\n' | '\r' | '\t') {
                effects.extend(self.key(KeyEvent::new(KeyCode::Enter, KeyModifiers::NONE)));
                if self.refusal().is_some() {
                    break;
                }
                if self.is_recording() {
                    self.pasted = letters.collect();
                    break;
                }
                // A line that was held back stays, and no other is written behind it.
                if matches!(&self.stage, Stage::Session(session) if !session.is_empty_line()) {
                    break;
                }
                continue;
            }
            // It would act on whatever terminal shows it later.
            if letter.is_control() {
                continue;
            }
            let is_at_machine = self.is_at_machine();
            match &mut self.stage {
                Stage::Opening(opening) => effects.extend(opening.insert(letter)),
                Stage::Session(session) => session.insert(letter, is_at_machine),
                Stage::Shop(shop) => shop.insert(letter),
            }
        }
        effects
    }

    /// What works on every screen, then what the stage makes of the rest.
    fn command(&mut self, command: Command) -> Vec<Effect> {
        match command {
            Command::Help => (self.help, self.menu) = (Some(0), None),
            Command::Menu => self.menu = Some(0).filter(|_| self.prompt().is_none()),
            Command::Light => self.theme.colour = !self.theme.colour,
            Command::Print => return self.print(),
            Command::Repaint => return vec![Effect::Repaint],
            Command::Suspend => return vec![Effect::Suspend],
            Command::Enter => return self.enter(),
            Command::Back => return self.back(),
            Command::Leave => {
                (self.help, self.menu) = (None, None);
                return match &mut self.stage {
                    Stage::Opening(_) | Stage::Shop(_) => vec![Effect::Quit],
                    Stage::Session(session) => session.leave(),
                };
            }
            Command::Up | Command::Down => self.step(command == Command::Down),
            Command::PageUp | Command::PageDown => {
                // One line stays, so that the eye finds its place.
                for _ in 0..self.in_view.saturating_sub(1).max(1) {
                    self.step(command == Command::PageDown);
                }
            }
            _ => {
                return match &mut self.stage {
                    Stage::Opening(opening) => opening.command(command),
                    Stage::Session(session) => session_command(session, command),
                    Stage::Shop(_) => Vec::new(),
                };
            }
        }
        Vec::new()
    }

    fn enter(&mut self) -> Vec<Effect> {
        if let Some(code) = self.typed_code() {
            return self.scanned(code);
        }
        if self.help.is_none()
            && let Some(chosen) = self.menu
        {
            return self.act(chosen);
        }
        match &mut self.stage {
            Stage::Session(session) if session.prompt.is_some() => session.answer_prompt(),
            Stage::Opening(opening) if opening.prompt.is_some() => opening.enter(),
            Stage::Shop(shop) if shop.prompt.is_some() => shop.enter(),
            _ if self.help.is_some() => self.back(),
            Stage::Opening(opening) => opening.enter(),
            Stage::Shop(shop) => shop.enter(),
            Stage::Session(session) if session.view.is_machine() => session.answer_typed(),
            Stage::Session(session) => session.open_line(),
        }
    }

    /// Does what a line of the menu says.
    fn act(&mut self, chosen: usize) -> Vec<Effect> {
        let line = self.menu_lines().into_iter().nth(chosen);
        self.menu = None;
        match (line.map(|line| line.act), &mut self.stage) {
            (Some(MenuAct::Command(command)), _) => self.command(command),
            (Some(MenuAct::Choose(remedy)), Stage::Session(session)) => session.remedy(remedy),
            (Some(MenuAct::Answer(text)), Stage::Session(session)) => session.answer(text),
            _ => Vec::new(),
        }
    }

    fn back(&mut self) -> Vec<Effect> {
        if self.help.take().is_some() || self.menu.take().is_some() {
            return Vec::new();
        }
        let forgot = match &mut self.stage {
            Stage::Opening(opening) => opening.back(),
            Stage::Session(session) => session.leave_prompt(),
            Stage::Shop(shop) => shop.back(),
        };
        match &mut self.stage {
            _ if forgot => {}
            Stage::Session(session) => session.back(),
            Stage::Shop(_) => return self.leave_shop(),
            Stage::Opening(_) => {}
        }
        Vec::new()
    }

    fn step(&mut self, is_down: bool) {
        let step = |line: usize| if is_down { line + 1 } else { line.saturating_sub(1) };
        if self.help.is_none()
            && let Some(chosen) = self.menu
        {
            let last = self.menu_lines().len().saturating_sub(1);
            self.menu = Some(step(chosen).min(last));
            return;
        }
        match (&mut self.help, &mut self.stage) {
            (Some(scrolled), _) => *scrolled = step(*scrolled),
            (None, Stage::Opening(opening)) => opening.step(is_down),
            (None, Stage::Session(session)) => session.step(is_down),
            (None, Stage::Shop(shop)) => shop.choose(step(shop.selected())),
        }
    }
}
