//! Why a command could not do its work, in words for whoever typed it.
//! Knows nothing of exit codes.

use std::io;
use std::path::PathBuf;

use thiserror::Error;

use crate::document::visible;
use crate::journal::{OpenError, StoreError};
use crate::simulate::CannotInvent;

#[derive(Debug, Error)]
pub enum Failure {
    #[error("error: there is no file or bundled route `{}`{}", visible(.name), advice(.help))]
    NoSuchRoute { name: String, help: Option<String> },
    #[error("error: {} can't be read: {why}", visible(&path.display().to_string()))]
    Unreadable { path: PathBuf, why: io::Error },
    #[error("error: {} is not text: byte {at} is no part of UTF-8\n  help: save it as UTF-8", visible(&path.display().to_string()))]
    NotText { path: PathBuf, at: usize },
    /// A file with errors in it; each is written out with its place.
    #[error("{problems}error: {} can't be used: {}", visible(name), if *count == 1 { "1 error".to_owned() } else { format!("{count} errors") })]
    Refused { name: String, problems: String, count: usize },
    #[error("error: --with {}: {what}{}", visible(given), advice(.help))]
    With { given: String, what: String, help: Option<String> },
    #[error(
        "error: --keep {}: the route names no such end\n  help: {}",
        visible(given),
        visible(help)
    )]
    Keep { given: String, help: String },
    #[error("error: {option} {}: {what}{}", visible(given), advice(.help))]
    Given { option: &'static str, given: String, what: String, help: Option<String> },
    /// A file that may not be changed, or can't be.
    #[error("error: nothing was written: {}\n  help: {}", visible(what), visible(help))]
    NotWritten { what: String, help: String },
    /// Readings that can't be charted.
    #[error("error: {}{}: {what}{}", visible(file), at_line(*line), advice(.help))]
    Readings { file: String, line: Option<usize>, what: String, help: Option<String> },
    /// Too many parts and boards to lay out while anybody waits.
    #[error(
        "error: {parts} parts from {boards} boards, with their flaws, are too many to lay out at \
         once\n  help: leave boards out with --without, or lay out one part of the route after \
         the other"
    )]
    TooMuch { parts: usize, boards: usize },
    /// A number of articles that the route can't be made in.
    #[error("error: --articles {articles}: {what}")]
    Articles { articles: u32, what: String },
    /// A fault to be made in an invented batch; written out with its place.
    #[error("{0}error: nothing was written")]
    Fault(String),
    #[error("error: --fault {}: {what}{}", visible(given), advice(.help))]
    Unfit { given: String, what: String, help: Option<String> },
    #[error("error: {0}\n  help: --until an earlier operation leaves the batch standing there")]
    Invented(CannotInvent),
    #[error("error: {0}")]
    Open(#[from] OpenError),
    #[error("error: {0}")]
    Store(#[from] StoreError),
    #[error("error: the frozen route or shop of `{}` can't be read\n  help: its folder may be damaged; look at route.json and shop.json in it", visible(.batch))]
    Spoiled { batch: String },
    #[error("error: no piece of this batch is called `{}`{}", visible(name), advice(.help))]
    NoSuchPiece { name: String, help: Option<String> },
    #[error(
        "error: the traveler needs a terminal\n  help: for text, use `benchway settings ROUTE`"
    )]
    NoTerminal,
    #[error("error: the answer can't be written: {0}")]
    Output(#[from] io::Error),
}

impl Failure {
    /// Whether the reader of the output only stopped reading.
    pub fn is_broken_pipe(&self) -> bool {
        matches!(self, Failure::Output(error) if error.kind() == io::ErrorKind::BrokenPipe)
    }
}

fn at_line(line: Option<usize>) -> String {
    line.map_or_else(String::new, |line| format!(", line {line}"))
}

fn advice(help: &Option<String>) -> String {
    help.as_ref().map_or_else(String::new, |help| format!("\n  help: {}", visible(help)))
}
