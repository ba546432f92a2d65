//! The one loop that owns the terminal: it draws the app, waits for keys, and
//! has what the app asks for performed.

use std::io;
use std::time::Duration;

use crossterm::event::{
    self, DisableBracketedPaste, EnableBracketedPaste, Event as TerminalEvent, KeyEventKind,
};
use crossterm::execute;
use crossterm::terminal::{BeginSynchronizedUpdate, EndSynchronizedUpdate};
use ratatui::DefaultTerminal;

use super::app::App;
use super::clock::now;
use super::message::{AppMessage, Effect, Unread};
use super::perform::{LaunchOptions, Performer, TerminalEffect};
use super::screens;

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
    app: App,
    performer: Performer,
}

impl Loop {
    fn new(setting: LaunchOptions) -> Loop {
        Loop { app: App::new(setting.theme), performer: Performer::new(setting) }
    }

    fn run(&mut self, terminal: &mut DefaultTerminal) -> io::Result<()> {
        let first = self.performer.first();
        if self.perform(first, terminal)? {
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
        self.performer.refresh(&mut self.app);
    }

    /// Runs effects until none is left; true when it is time to leave.
    fn perform(
        &mut self,
        effects: Vec<Effect>,
        terminal: &mut DefaultTerminal,
    ) -> io::Result<bool> {
        self.performer.perform(&mut self.app, effects, &mut |wanted| match wanted {
            TerminalEffect::Repaint => {
                // `clear` would ask the terminal where its cursor is and
                // wait for an answer; resizing clears without asking.
                let size = terminal.size()?;
                terminal.resize(size.into())
            }
            TerminalEffect::Suspend => suspend(terminal),
        })
    }
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
