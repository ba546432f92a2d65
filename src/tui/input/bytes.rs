//! The bytes of a Unix terminal. One thread waits for them and one for signals;
//! both hand on what came, so that whoever waits for the terminal can also wait
//! for a time and for news from outside, and nothing runs while nothing happens.

use std::collections::VecDeque;
use std::io::{self, Write};
use std::sync::mpsc::{self, Receiver, RecvTimeoutError, Sender};
use std::time::{Duration, Instant};

use rustix::event::{PollFd, PollFlags, poll};
use rustix::io::Errno;
use signal_hook::consts::{SIGHUP, SIGINT, SIGQUIT, SIGTERM, SIGWINCH, SIGXFSZ};
use signal_hook::iterator::Signals;

use super::Heard;
use super::parser::Parser;
use crate::tui::waker::Waker;

/// Asks for the ground as xterm does; terminals that don't know it say nothing.
const WHICH_GROUND: &[u8] = b"\x1b]11;?\x1b\\";

/// What the threads hand on.
enum Arrived {
    Bytes(Vec<u8>),
    Resized,
    News,
}

/// What arrives from the terminal, in order.
pub(in crate::tui) struct TerminalBytes {
    arrived: Receiver<Arrived>,
    parser: Parser,
    heard: VecDeque<Heard>,
    /// When the last bytes came.
    last: Instant,
    waker: Waker,
}

impl TerminalBytes {
    /// Begins to listen. `end` puts the terminal back and ends the program with
    /// a code: where a signal says so, and where the window closes.
    pub(in crate::tui) fn listen(end: fn(i32) -> !) -> io::Result<TerminalBytes> {
        let (sender, arrived) = mpsc::channel();
        let mut signals = Signals::new([SIGHUP, SIGINT, SIGQUIT, SIGTERM, SIGWINCH, SIGXFSZ])?;
        let (resized, news) = (sender.clone(), sender.clone());
        let waker = Waker::new(move || news.send(Arrived::News).is_ok());
        std::thread::spawn(move || {
            for signal in signals.forever() {
                match signal {
                    SIGWINCH => drop(resized.send(Arrived::Resized)),
                    // A file has reached its limit: writing says so, as on a full disk.
                    SIGXFSZ => {}
                    signal => end(128 + signal),
                }
            }
        });
        std::thread::spawn(move || {
            // A window may close without a signal; the terminal is gone then.
            let stdin = io::stdin();
            let wait = || {
                let mut watched = [PollFd::new(&stdin, PollFlags::IN)];
                // Some systems can't wait for a terminal so, or say that there is none.
                // Then reading waits, and reading alone says whether it is gone.
                let _ = poll(&mut watched, None);
            };
            read_all(wait, |bytes| rustix::io::read(&stdin, bytes), &sender);
            end(128 + SIGHUP);
        });
        let (parser, heard) = (Parser::default(), VecDeque::new());
        Ok(TerminalBytes { arrived, parser, heard, last: Instant::now(), waker })
    }

    /// What wakes whoever waits here.
    pub(in crate::tui) fn waker(&self) -> &Waker {
        &self.waker
    }

    /// Asks the terminal what it draws on, and waits so long for the answer. One
    /// that comes later is heard later.
    pub(in crate::tui) fn ask_for_the_ground(&mut self, within: Duration) -> io::Result<()> {
        io::stdout().write_all(WHICH_GROUND)?;
        io::stdout().flush()?;
        let until = Instant::now() + within;
        let is_answer = |heard: &Heard| matches!(heard, Heard::Ground(_));
        while !self.heard.iter().any(is_answer) && self.take_in(Some(until)) {}
        // What was typed meanwhile comes after the answer.
        if let Some(at) = self.heard.iter().position(is_answer)
            && let Some(answer) = self.heard.remove(at)
        {
            self.heard.push_front(answer);
        }
        Ok(())
    }

    /// Waits for the next thing, or so long; none where the time is over.
    pub(in crate::tui) fn next(&mut self, left: Option<Duration>) -> io::Result<Option<Heard>> {
        let until = left.map(|left| Instant::now() + left);
        loop {
            if let Some(heard) = self.heard.pop_front() {
                return Ok(Some(heard));
            }
            if !self.take_in(until) {
                return Ok(None);
            }
        }
    }

    /// Takes in what comes next; false where the time is over.
    fn take_in(&mut self, until: Option<Instant>) -> bool {
        let silent = self.parser.patience().map(|patience| self.last + patience);
        let soonest = silent.into_iter().chain(until).min();
        let arrived = match soonest {
            None => self.arrived.recv().map_err(|_| RecvTimeoutError::Disconnected),
            Some(at) => self.arrived.recv_timeout(at.saturating_duration_since(Instant::now())),
        };
        match arrived {
            Ok(Arrived::Bytes(bytes)) => {
                self.last = Instant::now();
                self.parser.feed(&bytes, &mut self.heard);
                true
            }
            Ok(Arrived::Resized) => {
                self.heard.push_back(Heard::Resized);
                true
            }
            Ok(Arrived::News) => {
                self.waker.is_heard();
                self.heard.push_back(Heard::News);
                true
            }
            Err(RecvTimeoutError::Timeout) if silent.is_some_and(|at| at <= Instant::now()) => {
                self.heard.extend(self.parser.silence());
                true
            }
            Err(RecvTimeoutError::Timeout) => false,
            // Both threads live as long as the program.
            Err(RecvTimeoutError::Disconnected) => false,
        }
    }
}

/// Where waiting doesn't wait and nothing is there to be read, so long until the next try.
const UNTIL_THE_NEXT_TRY: Duration = Duration::from_millis(10);

/// Hands on what the terminal sends, until there is no terminal any more.
fn read_all(
    mut wait: impl FnMut(),
    mut read: impl FnMut(&mut [u8]) -> Result<usize, Errno>,
    sender: &Sender<Arrived>,
) {
    let mut bytes = [0; 4096];
    loop {
        wait();
        match read(&mut bytes) {
            Ok(0) => return,
            Ok(count) => {
                if sender.send(Arrived::Bytes(bytes[..count].to_vec())).is_err() {
                    return;
                }
            }
            Err(Errno::INTR) => {}
            Err(Errno::AGAIN) => std::thread::sleep(UNTIL_THE_NEXT_TRY),
            Err(_) => return,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Everything that is handed on when reading answers so, and how often it was asked.
    fn handed_on(answers: &[Result<&str, Errno>]) -> (String, usize) {
        let (sender, arrived) = mpsc::channel();
        let mut asked = 0;
        let read = |bytes: &mut [u8]| {
            asked += 1;
            let text = answers[asked - 1]?;
            bytes[..text.len()].copy_from_slice(text.as_bytes());
            Ok(text.len())
        };
        // Waiting answers at once, as where a system can't wait for a terminal.
        read_all(|| {}, read, &sender);
        drop(sender);
        let texts = arrived.iter().map(|what| match what {
            Arrived::Bytes(bytes) => String::from_utf8(bytes).expect("text"),
            Arrived::Resized | Arrived::News => panic!("only bytes"),
        });
        (texts.collect(), asked)
    }

    /// A terminal is gone where reading ends or fails, and not where waiting is answered
    /// oddly, nothing is there yet, or a signal came between.
    #[test]
    fn only_reading_says_that_the_terminal_is_gone() {
        let (again, between) = (Err(Errno::AGAIN), Err(Errno::INTR));
        for gone in [Ok(""), Err(Errno::IO), Err(Errno::NXIO)] {
            let answers = [Ok("4"), again, between, Ok("0.2"), between, gone, Ok("never")];
            assert_eq!(handed_on(&answers), ("40.2".to_owned(), 6), "{gone:?}");
        }
    }
}
