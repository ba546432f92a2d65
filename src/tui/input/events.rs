//! The events of a terminal that sends keys and not bytes.

use std::io;
use std::time::Duration;

use crossterm::event::{self, Event as TerminalEvent, KeyEventKind};

use super::Heard;

/// What arrives from the terminal, in order.
pub(in crate::tui) struct TerminalEvents;

impl TerminalEvents {
    /// Begins to listen. Nothing here ends the program.
    pub(in crate::tui) fn listen(_: fn(i32) -> !) -> io::Result<TerminalEvents> {
        Ok(TerminalEvents)
    }

    /// Such a terminal is not asked.
    pub(in crate::tui) fn ask_for_the_ground(&mut self, _: Duration) -> io::Result<()> {
        Ok(())
    }

    /// Waits for the next thing, or so long; none where the time is over.
    pub(in crate::tui) fn next(&mut self, left: Option<Duration>) -> io::Result<Option<Heard>> {
        loop {
            if let Some(left) = left
                && !event::poll(left)?
            {
                return Ok(None);
            }
            match event::read()? {
                TerminalEvent::Key(key) if key.kind != KeyEventKind::Release => {
                    return Ok(Some(Heard::Key(key)));
                }
                TerminalEvent::Paste(text) => return Ok(Some(Heard::Paste(text))),
                TerminalEvent::Resize(..) => return Ok(Some(Heard::Resized)),
                _ => {}
            }
        }
    }
}
