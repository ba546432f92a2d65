//! The one loop that owns the terminal, the clock and the open batch, and
//! runs what the app asks for.

use std::io;
use std::time::Duration;

use chrono::{DateTime, FixedOffset, Local};
use crossterm::event::{
    self, DisableBracketedPaste, EnableBracketedPaste, Event as TerminalEvent, KeyEventKind,
};
use crossterm::execute;
use crossterm::terminal::{BeginSynchronizedUpdate, EndSynchronizedUpdate};
use ratatui::DefaultTerminal;

use super::app::App;
use super::message::{AppMessage, Effect, RouteRow, Unread};
use super::screens;
use super::theme::Theme;
use crate::journal::{Event, Home, OpenBatch, OpenError, StoreError, listed, read_route};
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
    /// The routes a batch can be begun from.
    pub routes: Vec<RouteText>,
    /// The whole shop file, frozen into a new batch.
    pub shop: String,
    /// The boards a new batch begins with.
    pub boards: Vec<RackBoard>,
    /// A batch to open at once.
    pub batch: Option<String>,
    /// Begin the only route at once, for this many articles where given.
    pub begin: Option<Option<u32>>,
}

/// Runs the traveler until someone leaves. The terminal is put back however
/// it ends.
pub fn run(setting: LaunchOptions) -> io::Result<()> {
    let hook = std::panic::take_hook();
    std::panic::set_hook(Box::new(move |info| {
        // Ratatui's own hook, installed after this one, restores the rest.
        let _ = execute!(io::stdout(), DisableBracketedPaste);
        hook(info);
    }));
    #[cfg(unix)]
    put_back_when_told_to_end()?;
    // Without this crossterm drops bold and reverse along with colour; the
    // theme alone decides. Crossterm after 0.29.0 no longer needs this.
    crossterm::style::force_color_output(true);
    ratatui::run(|terminal| {
        execute!(io::stdout(), EnableBracketedPaste)?;
        let ended = Loop::new(setting).run(terminal);
        execute!(io::stdout(), DisableBracketedPaste)?;
        ended
    })
}

/// Told to end by the system, the program puts the terminal back first. The
/// journal needs no farewell: every line is on the disk before it is shown.
#[cfg(unix)]
fn put_back_when_told_to_end() -> io::Result<()> {
    use signal_hook::consts::{SIGHUP, SIGINT, SIGTERM};
    let mut signals = signal_hook::iterator::Signals::new([SIGHUP, SIGINT, SIGTERM])?;
    std::thread::spawn(move || {
        if let Some(signal) = signals.forever().next() {
            end(128 + signal);
        }
    });
    // A window may close without a signal, and then reading keys would spin
    // for ever, a known fault of crossterm 0.29: waiting for nothing but the hang-up
    // costs nothing until it comes.
    std::thread::spawn(|| {
        use rustix::event::{PollFd, PollFlags, poll};
        let stdin = io::stdin();
        loop {
            let mut watched = [PollFd::new(&stdin, PollFlags::empty())];
            let gone = PollFlags::HUP | PollFlags::ERR | PollFlags::NVAL;
            match poll(&mut watched, None) {
                Ok(_) if watched[0].revents().intersects(gone) => end(129),
                Ok(_) | Err(rustix::io::Errno::INTR) => {}
                Err(_) => return,
            }
        }
    });
    Ok(())
}

/// Puts the terminal back and ends. A closed window takes nothing more: what
/// fails here fails unseen.
#[cfg(unix)]
fn end(code: i32) -> ! {
    let _ = execute!(io::stdout(), DisableBracketedPaste);
    let _ = ratatui::try_restore();
    std::process::exit(code);
}

struct Loop {
    setting: LaunchOptions,
    app: App,
    open: Option<OpenBatch>,
}

impl Loop {
    fn new(setting: LaunchOptions) -> Loop {
        let app = App::new(setting.theme);
        Loop { setting, app, open: None }
    }

    fn run(&mut self, terminal: &mut DefaultTerminal) -> io::Result<()> {
        let first = match (&self.setting.batch, self.setting.begin) {
            (Some(name), _) => Effect::Open { name: name.clone() },
            (None, Some(sets)) => {
                let sets = sets.or_else(|| Some(self.routes().first()?.sets)).unwrap_or(1);
                let name = self.routes().first().map_or_else(String::new, |r| r.suggested.clone());
                Effect::Start { route: 0, name, sets, word: None }
            }
            (None, None) => Effect::List,
        };
        if self.perform(vec![Effect::List, first], terminal)? {
            return Ok(());
        }
        // Arms the resize signal before the first draw, or a resize between
        // the two would be lost.
        event::poll(Duration::ZERO)?;
        loop {
            self.draw(terminal)?;
            let message = self.wait()?;
            let effects = self.app.update(message);
            if self.perform(effects, terminal)? {
                return Ok(());
            }
        }
    }

    fn draw(&mut self, terminal: &mut DefaultTerminal) -> io::Result<()> {
        execute!(io::stdout(), BeginSynchronizedUpdate)?;
        let mut unread = Unread::default();
        terminal.draw(|frame| unread = screens::draw(&self.app, frame))?;
        self.app.update(AppMessage::Drawn(unread));
        execute!(io::stdout(), EndSynchronizedUpdate)
    }

    /// Sleeps until a key, a resize, or the next thing due by the clock.
    fn wait(&mut self) -> io::Result<AppMessage> {
        loop {
            if let Some(at) = self.app.wake() {
                let left = (at - now()).to_std().unwrap_or(Duration::ZERO);
                if !event::poll(left)? {
                    return Ok(AppMessage::Woke(now()));
                }
            }
            match event::read()? {
                TerminalEvent::Key(key) if key.kind != KeyEventKind::Release => {
                    self.refresh();
                    return Ok(AppMessage::Key(key, now()));
                }
                TerminalEvent::Paste(text) => {
                    self.refresh();
                    return Ok(AppMessage::Pasted(text, now()));
                }
                TerminalEvent::Resize(..) => return Ok(AppMessage::Resized),
                _ => {}
            }
        }
    }

    /// Takes in what other stations wrote, before a key is understood.
    fn refresh(&mut self) {
        if let Some(open) = &mut self.open
            && let Ok(true) = open.refresh()
        {
            self.app.update(AppMessage::Refreshed(Box::new(open.snapshot())));
        }
    }

    /// Runs effects until none is left; true when it is time to leave.
    fn perform(
        &mut self,
        effects: Vec<Effect>,
        terminal: &mut DefaultTerminal,
    ) -> io::Result<bool> {
        let mut to_do: std::collections::VecDeque<Effect> = effects.into();
        while let Some(effect) = to_do.pop_front() {
            let message = match effect {
                Effect::Quit => return Ok(true),
                Effect::Repaint => {
                    // `clear` would ask the terminal where its cursor is and
                    // wait for an answer; resizing clears without asking.
                    let size = terminal.size()?;
                    terminal.resize(size.into())?;
                    continue;
                }
                Effect::Suspend => {
                    suspend(terminal)?;
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
                    let Some(choice) = self.setting.routes.get(route) else { continue };
                    let text = with_sets(&choice.text, sets);
                    let started = OpenBatch::start(
                        &self.setting.home,
                        &name,
                        (&text, &self.setting.shop),
                        &self.setting.station,
                        &holder(),
                        now(),
                        word.as_deref(),
                    );
                    if let Err(OpenError::Faulty { what, may_override: MayOverride::Lead }) =
                        &started
                    {
                        let what = what.clone();
                        let faulty = AppMessage::Faulty { what, route, name, sets };
                        to_do.extend(self.app.update(faulty));
                        continue;
                    }
                    let opened = started.and_then(|mut open| {
                        let events = listed(&self.setting.station, &self.setting.boards);
                        open.append(None, now(), events)?;
                        Ok(open)
                    });
                    self.opened(opened)
                }
                Effect::Append { who, events } => self.append(who.as_deref(), events),
            };
            to_do.extend(self.app.update(message));
        }
        Ok(false)
    }

    fn opened(&mut self, opened: Result<OpenBatch, crate::journal::OpenError>) -> AppMessage {
        match opened {
            Ok(open) => {
                let snapshot = open.snapshot();
                self.open = Some(open);
                AppMessage::Opened(Box::new(snapshot), now())
            }
            Err(error) => AppMessage::Failed(error.to_string()),
        }
    }

    fn append(&mut self, who: Option<&str>, events: Vec<Event>) -> AppMessage {
        let Some(open) = &mut self.open else { return self.open_again() };
        match open.append(who, now(), events) {
            Ok(()) => AppMessage::Recorded(Box::new(open.snapshot()), now()),
            Err(error) => {
                let words = error.to_string();
                let must_reopen = !matches!(error, StoreError::NotRecorded { .. });
                if must_reopen && let Some(open) = self.open.take() {
                    match open.reopen(&self.setting.home) {
                        Ok(open) => {
                            self.app.update(AppMessage::Refreshed(Box::new(open.snapshot())));
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
    fn open_again(&mut self) -> AppMessage {
        let Some(session) = self.app.session() else {
            return AppMessage::Failed("No batch is open.".to_owned());
        };
        let snapshot = &session.snapshot;
        let (name, station) = (snapshot.name.clone(), snapshot.station.clone());
        match OpenBatch::resume(&self.setting.home, &name, &station, &holder()) {
            Ok(open) => {
                self.app.update(AppMessage::Refreshed(Box::new(open.snapshot())));
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

fn now() -> DateTime<FixedOffset> {
    Local::now().fixed_offset()
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

/// Puts the terminal back, stops until the shell continues us, takes it again.
#[cfg(unix)]
fn suspend(terminal: &mut DefaultTerminal) -> io::Result<()> {
    execute!(io::stdout(), DisableBracketedPaste)?;
    ratatui::restore();
    // The whole group, or a shell that started us through another program
    // would never hear of it.
    rustix::process::kill_current_process_group(rustix::process::Signal::TSTP)
        .map_err(io::Error::from)?;
    crossterm::terminal::enable_raw_mode()?;
    execute!(io::stdout(), crossterm::terminal::EnterAlternateScreen, EnableBracketedPaste)?;
    let size = terminal.size()?;
    terminal.resize(size.into())
}

#[cfg(not(unix))]
fn suspend(_: &mut DefaultTerminal) -> io::Result<()> {
    Ok(())
}
