//! The one loop that owns the terminal: it draws the app, waits for keys, and
//! has what the app asks for performed.

use std::io;
use std::time::Duration;

use crossterm::event::{DisableBracketedPaste, EnableBracketedPaste};
use crossterm::execute;
use crossterm::terminal::{BeginSynchronizedUpdate, EndSynchronizedUpdate};
use ratatui::DefaultTerminal;

use super::app::App;
use super::clock::now;
use super::input::{Heard, TerminalInput};
use super::launch::LaunchOptions;
use super::message::{AppMessage, Effect, Unread};
use super::perform::{Performer, TerminalEffect};
use super::screens;

/// How long the first screen waits for the terminal to say what its ground is.
const FOR_THE_GROUND: Duration = Duration::from_millis(100);

/// How long a key waits at most while the list of batches is filled in.
const FOR_READING: Duration = Duration::from_millis(20);

/// Runs the traveler until someone leaves. The terminal is put back however
/// it ends.
pub fn run(setting: LaunchOptions) -> io::Result<()> {
    let hook = std::panic::take_hook();
    std::panic::set_hook(Box::new(move |info| {
        // Ratatui's own hook, installed after this one, restores the rest.
        let _ = execute!(io::stdout(), DisableBracketedPaste);
        hook(info);
    }));
    // Without this crossterm drops bold and reverse along with colour; the
    // theme alone decides. Crossterm after 0.29.0 no longer needs this.
    crossterm::style::force_color_output(true);
    let unsaid = ratatui::run(|terminal| {
        execute!(io::stdout(), EnableBracketedPaste)?;
        // Before the first drawing, or a new size between the two would be lost.
        let mut input = TerminalInput::listen(end)?;
        if setting.ask_ground {
            input.ask_for_the_ground(FOR_THE_GROUND)?;
        }
        let ended = Loop::new(setting, input).run(terminal);
        execute!(io::stdout(), DisableBracketedPaste)?;
        ended
    })?;
    if let Some(unsaid) = unsaid {
        eprintln!("warning: {unsaid}");
    }
    Ok(())
}

/// Puts the terminal back and ends. A closed window takes nothing more: what
/// fails here fails unseen. The journal needs no farewell: every line is on the
/// disk before it is shown.
fn end(code: i32) -> ! {
    let _ = execute!(io::stdout(), DisableBracketedPaste);
    let _ = ratatui::try_restore();
    std::process::exit(code);
}

struct Loop {
    app: App,
    performer: Performer,
    input: TerminalInput,
}

impl Loop {
    fn new(setting: LaunchOptions, input: TerminalInput) -> Loop {
        Loop { app: App::new(setting.theme), performer: Performer::new(setting), input }
    }

    /// Answers what is still to be said once the terminal is put back.
    fn run(&mut self, terminal: &mut DefaultTerminal) -> io::Result<Option<String>> {
        let first = self.performer.first();
        if self.perform(first, terminal)? {
            return Ok(None);
        }
        // What a program that was killed left on the screen goes before the first drawing.
        repaint(terminal)?;
        loop {
            self.draw(terminal)?;
            self.performer.keep_watch(&mut self.app, self.input.waker());
            self.performer.keep_exchange(&mut self.app, self.input.waker());
            let effects = self.wait()?;
            if self.perform(effects, terminal)? {
                return Ok(self.performer.unsaid());
            }
        }
    }

    fn draw(&mut self, terminal: &mut DefaultTerminal) -> io::Result<()> {
        execute!(io::stdout(), BeginSynchronizedUpdate)?;
        let mut unread = Unread::default();
        let drawn = terminal.draw(|frame| unread = screens::draw(&self.app, frame))?;
        let has_clock = screens::shows_clock(&self.app, drawn.buffer);
        self.app.update(AppMessage::Drawn(unread));
        self.app.update(AppMessage::Clock(has_clock));
        execute!(io::stdout(), EndSynchronizedUpdate)
    }

    /// Sleeps until a key, a new size, news from outside, or the next thing due by the
    /// clock. While batches of the list are still to be read it doesn't sleep, and a key
    /// comes first.
    fn wait(&mut self) -> io::Result<Vec<Effect>> {
        loop {
            let due = self.app.wake().map(|at| (at - now()).to_std().unwrap_or(Duration::ZERO));
            let left = if self.performer.has_more_to_read() { Some(Duration::ZERO) } else { due };
            let message = match self.input.next(left)? {
                None => {
                    let read = self.performer.read_on(Some(FOR_READING));
                    read.unwrap_or_else(|| AppMessage::Woke(now()))
                }
                Some(Heard::News) => match self.performer.news(&mut self.app) {
                    Some(effects) => return Ok(effects),
                    None => continue,
                },
                // What other stations wrote comes before a key is understood.
                Some(Heard::Key(key)) => {
                    self.performer.refresh(&mut self.app);
                    AppMessage::Key(key, now())
                }
                Some(Heard::Paste(text)) => {
                    self.performer.refresh(&mut self.app);
                    AppMessage::Pasted(text, now())
                }
                Some(Heard::Resized) => AppMessage::Resized,
                Some(Heard::Ground(ground)) => AppMessage::Ground(ground),
            };
            return Ok(self.app.update(message));
        }
    }

    /// Runs effects until none is left; true when it is time to leave.
    fn perform(
        &mut self,
        effects: Vec<Effect>,
        terminal: &mut DefaultTerminal,
    ) -> io::Result<bool> {
        self.performer.perform(&mut self.app, effects, &mut |wanted| match wanted {
            TerminalEffect::Repaint => repaint(terminal),
            TerminalEffect::Suspend => suspend(terminal),
        })
    }
}

/// Clears the screen, so that all of it is drawn next. `clear` would ask the terminal
/// where its cursor is and wait for an answer; resizing clears without asking.
fn repaint(terminal: &mut DefaultTerminal) -> io::Result<()> {
    let size = terminal.size()?;
    terminal.resize(size.into())
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
    repaint(terminal)
}

#[cfg(not(unix))]
fn suspend(_: &mut DefaultTerminal) -> io::Result<()> {
    Ok(())
}
