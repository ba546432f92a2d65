//! The events of a terminal that sends keys and not bytes. One thread waits for them, so
//! that whoever waits for the terminal can also wait for a time and for news from outside.

use std::io;
use std::sync::mpsc::{self, Receiver, RecvTimeoutError};
use std::time::Duration;

use crossterm::event::{self, Event as TerminalEvent, KeyEventKind};

use super::Heard;
use crate::tui::waker::Waker;

/// What arrives from the terminal, in order.
pub(in crate::tui) struct TerminalEvents {
    arrived: Receiver<io::Result<Heard>>,
    waker: Waker,
}

impl TerminalEvents {
    /// Begins to listen. Nothing here ends the program.
    pub(in crate::tui) fn listen(_: fn(i32) -> !) -> io::Result<TerminalEvents> {
        let (sender, arrived) = mpsc::channel();
        let news = sender.clone();
        let waker = Waker::new(move || news.send(Ok(Heard::News)).is_ok());
        std::thread::spawn(move || {
            loop {
                let heard = event::read().map(heard).transpose();
                let is_last = heard.as_ref().is_some_and(Result::is_err);
                if heard.is_some_and(|heard| sender.send(heard).is_err()) || is_last {
                    return;
                }
            }
        });
        Ok(TerminalEvents { arrived, waker })
    }

    /// What wakes whoever waits here.
    pub(in crate::tui) fn waker(&self) -> &Waker {
        &self.waker
    }

    /// Such a terminal is not asked.
    pub(in crate::tui) fn ask_for_the_ground(&mut self, _: Duration) -> io::Result<()> {
        Ok(())
    }

    /// Waits for the next thing, or so long; none where the time is over.
    pub(in crate::tui) fn next(&mut self, left: Option<Duration>) -> io::Result<Option<Heard>> {
        let arrived = match left {
            None => self.arrived.recv().map_err(|_| RecvTimeoutError::Disconnected),
            Some(left) => self.arrived.recv_timeout(left),
        };
        match arrived {
            Ok(Ok(Heard::News)) => {
                self.waker.is_heard();
                Ok(Some(Heard::News))
            }
            Ok(heard) => heard.map(Some),
            // The thread lives until the terminal fails.
            Err(RecvTimeoutError::Timeout | RecvTimeoutError::Disconnected) => Ok(None),
        }
    }
}

fn heard(event: TerminalEvent) -> Option<Heard> {
    match event {
        TerminalEvent::Key(key) if key.kind != KeyEventKind::Release => Some(Heard::Key(key)),
        TerminalEvent::Paste(text) => Some(Heard::Paste(text)),
        TerminalEvent::Resize(..) => Some(Heard::Resized),
        _ => None,
    }
}
