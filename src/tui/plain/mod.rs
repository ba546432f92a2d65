//! The traveler line by line, for screen readers, terminals that only print, and
//! scripts: one fact a line, the order first, the question last.
//!
//! It is a second loop around the same app. What is asked, what an answer means
//! and what is recorded come from where the screens have them; only the words
//! are put differently. It draws nothing, sends no escape sequence, and asks the
//! terminal nothing, so a pipe will do.
//!
//! Nothing is said twice unasked: `said` remembers what was. `?` says all of it
//! again. A line is read whole, so the time and what other stations wrote are
//! taken in before it is understood; if that changed what is asked, the line
//! answers nothing. What the clock brings is said when it comes. At a terminal a
//! refusal drops the lines that were typed ahead: they were meant for questions that
//! are not asked now. A script is one text, and goes on.

mod conversation;
mod due;
mod echo;
mod explained;
mod lines;
mod lists;
mod machine;
mod news;
mod phrase;
mod question;
mod said;
mod typed;

use std::io::{self, BufRead, Write};

use self::conversation::Conversation;
use super::launch::LaunchOptions;

/// Where lines come from and go to.
pub struct PlainStreams<'a> {
    /// What is typed.
    pub input: Box<dyn BufRead + Send>,
    /// What is said.
    pub out: &'a mut dyn Write,
    /// Whether somebody sees what is typed already. Where nobody does it is
    /// repeated, so that the output reads like a conversation.
    pub shows_typed: bool,
}

/// How it ended.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum PlainEnd {
    /// Somebody left, or nothing more was typed.
    Left,
    /// The batch that was named could not be opened or begun, and why.
    NotOpened(String),
}

/// Runs the traveler line by line until someone leaves or nothing more is typed.
///
/// # Errors
///
/// Where a line can't be read or written; what was recorded stays recorded.
pub fn run_plain(setting: LaunchOptions, streams: PlainStreams<'_>) -> io::Result<PlainEnd> {
    Conversation::new(setting, streams).run()
}
