//! Lines as they come. A thread reads them, so that whoever waits for a line can
//! also wait for a time and for news from outside, and knows what was typed before
//! something was said.

use std::io::{self, BufRead, Read};
use std::sync::mpsc::{Receiver, RecvTimeoutError, SyncSender, sync_channel};
use std::time::Duration;

use crate::tui::waker::Waker;

/// The longest line that is taken: far more than any note.
const LONGEST_LINE: u64 = 5000;

/// So many lines are read before they are asked for.
const READ_AHEAD: usize = 256;

/// A line that comes as soon after something was said was on its way before: nobody
/// reads a sentence and answers it as fast.
const ON_ITS_WAY: Duration = Duration::from_millis(50);

/// What is handed on.
enum ArrivedLine {
    Line(io::Result<Vec<u8>>),
    News,
    Ended,
}

/// The lines of one input.
pub(super) struct TypedLines {
    arrived: Receiver<ArrivedLine>,
    waker: Waker,
    /// Whether news came while lines were dropped.
    has_news: bool,
    has_ended: bool,
}

/// What came while a line was waited for.
#[derive(Debug, PartialEq, Eq)]
pub(super) enum Waited {
    /// A line, cut where it is too long.
    Line(Vec<u8>),
    /// None, and the time is over.
    Due,
    /// None, and something happened outside.
    News,
    /// None, and nothing more will come.
    Ended,
}

impl TypedLines {
    /// Begins to read.
    pub(super) fn listen(input: Box<dyn BufRead + Send>) -> TypedLines {
        let (sender, arrived) = sync_channel(READ_AHEAD);
        let news = sender.clone();
        // Where so much is typed ahead, each line takes the news in.
        let waker = Waker::new(move || news.try_send(ArrivedLine::News).is_ok());
        std::thread::spawn(move || read_all(input, &sender));
        TypedLines { arrived, waker, has_news: false, has_ended: false }
    }

    /// What wakes whoever waits here.
    pub(super) fn waker(&self) -> &Waker {
        &self.waker
    }

    /// Waits for the next line, or so long.
    pub(super) fn next(&mut self, left: Option<Duration>) -> io::Result<Waited> {
        if std::mem::take(&mut self.has_news) {
            return Ok(Waited::News);
        }
        if self.has_ended {
            return Ok(Waited::Ended);
        }
        let arrived = match left {
            None => self.arrived.recv().map_err(|_| RecvTimeoutError::Disconnected),
            Some(left) => self.arrived.recv_timeout(left),
        };
        match arrived {
            Ok(ArrivedLine::Line(line)) => line.map(Waited::Line),
            Ok(ArrivedLine::News) => {
                self.waker.is_heard();
                Ok(Waited::News)
            }
            Err(RecvTimeoutError::Timeout) => Ok(Waited::Due),
            Ok(ArrivedLine::Ended) | Err(RecvTimeoutError::Disconnected) => {
                self.has_ended = true;
                Ok(Waited::Ended)
            }
        }
    }

    /// Drops the lines that came already, and answers how many with something in them.
    pub(super) fn drop_typed_ahead(&mut self) -> usize {
        let mut dropped = 0;
        loop {
            match self.arrived.recv_timeout(ON_ITS_WAY) {
                Ok(ArrivedLine::Line(Ok(line))) => {
                    dropped += usize::from(!line.trim_ascii().is_empty());
                }
                Ok(ArrivedLine::News) => {
                    self.waker.is_heard();
                    self.has_news = true;
                }
                Ok(ArrivedLine::Ended) => {
                    self.has_ended = true;
                    return dropped;
                }
                Ok(ArrivedLine::Line(Err(_))) | Err(_) => return dropped,
            }
        }
    }
}

/// Hands on line by line, until nothing more comes or nobody listens.
fn read_all(mut input: Box<dyn BufRead + Send>, sender: &SyncSender<ArrivedLine>) {
    while let Some(line) = read_line(&mut *input).transpose() {
        let is_last = line.is_err();
        if sender.send(ArrivedLine::Line(line)).is_err() || is_last {
            break;
        }
    }
    let _ = sender.send(ArrivedLine::Ended);
}

/// The next line; none where nothing more comes. What is too long is cut.
fn read_line(input: &mut dyn BufRead) -> io::Result<Option<Vec<u8>>> {
    let mut bytes = Vec::new();
    if input.take(LONGEST_LINE).read_until(b'\n', &mut bytes)? == 0 {
        return Ok(None);
    }
    if bytes.len() as u64 == LONGEST_LINE && !bytes.ends_with(b"\n") {
        input.skip_until(b'\n')?;
    }
    Ok(Some(bytes))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn lines(text: &str) -> TypedLines {
        TypedLines::listen(Box::new(io::Cursor::new(text.as_bytes().to_vec())))
    }

    fn line(text: &str) -> Waited {
        Waited::Line(text.as_bytes().to_vec())
    }

    #[test]
    fn lines_come_one_by_one_until_the_input_ends() {
        let mut typed = lines("mb\n\n1.250");
        let mut next = || typed.next(None).expect("readable");
        assert_eq!([next(), next(), next()], [line("mb\n"), line("\n"), line("1.250")]);
        assert_eq!([next(), next()], [Waited::Ended, Waited::Ended]);
    }

    #[test]
    fn a_line_that_is_too_long_is_cut_and_the_next_is_whole() {
        let mut typed = lines(&format!("{}\nmb\n", "9".repeat(9000)));
        let first = typed.next(None).expect("readable");
        assert_eq!(first, line(&"9".repeat(5000)));
        assert_eq!(typed.next(None).expect("readable"), line("mb\n"));
        // One that just fits, with its end, takes nothing from the next.
        let longest = format!("{}\n", "9".repeat(4999));
        let mut typed = lines(&format!("{longest}mb\n"));
        assert_eq!(typed.next(None).expect("readable"), line(&longest));
        assert_eq!(typed.next(None).expect("readable"), line("mb\n"));
    }

    /// Nothing is typed, so the time is over first.
    #[test]
    fn whoever_waits_hears_when_the_time_is_over() {
        let (reader, writer) = io::pipe().expect("a pipe");
        let mut typed = TypedLines::listen(Box::new(io::BufReader::new(reader)));
        let soon = Some(Duration::from_millis(5));
        assert_eq!(typed.next(soon).expect("readable"), Waited::Due);
        drop(writer);
        assert_eq!(typed.next(None).expect("readable"), Waited::Ended);
    }

    /// News is heard between lines, once, and also where the lines around it are dropped.
    #[test]
    fn whoever_waits_hears_news() {
        let (reader, mut writer) = io::pipe().expect("a pipe");
        let mut typed = TypedLines::listen(Box::new(io::BufReader::new(reader)));
        typed.waker().wake();
        typed.waker().wake();
        assert_eq!(typed.next(None).expect("readable"), Waited::News);
        let soon = Some(Duration::from_millis(5));
        assert_eq!(typed.next(soon).expect("readable"), Waited::Due);
        typed.waker().wake();
        io::Write::write_all(&mut writer, b"1.250\n").expect("written");
        assert_eq!(typed.drop_typed_ahead(), 1);
        drop(writer);
        assert_eq!(typed.next(None).expect("readable"), Waited::News);
        assert_eq!(typed.next(None).expect("readable"), Waited::Ended);
    }

    #[test]
    fn what_was_typed_ahead_is_dropped_and_counted() {
        let mut typed = lines("1.2o\n1.250\n\n1.251\n");
        assert_eq!(typed.next(None).expect("readable"), line("1.2o\n"));
        assert_eq!(typed.drop_typed_ahead(), 2);
        assert_eq!(typed.next(None).expect("readable"), Waited::Ended);
    }
}
