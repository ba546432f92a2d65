//! Why a command could not do its work, in words for the person who typed it.

use std::io;
use std::path::PathBuf;

use thiserror::Error;

use crate::journal::{OpenError, StoreError};
use crate::prose::visible;
use crate::simulate::CannotInvent;

/// Why a command could not do its work; its text is the error message with its help.
#[derive(Debug, Error)]
pub enum Failure {
    #[error("error: there is no file or bundled route `{}`{}", visible(.name), advice(.help))]
    NoSuchRoute { name: String, help: Option<String> },
    #[error("error: {} can't be read: {why}", visible(&path.display().to_string()))]
    Unreadable { path: PathBuf, why: io::Error },
    #[error("error: {} is not text: byte {at} is not valid UTF-8\n  help: save it as UTF-8", visible(&path.display().to_string()))]
    NotText { path: PathBuf, at: usize },
    /// A file with errors; each is written out with its place.
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
    /// A file that must not or can't be changed.
    #[error("error: nothing was written: {}\n  help: {}", visible(what), visible(help))]
    NotWritten { what: String, help: String },
    /// Readings that can't be charted.
    #[error("error: {}{}: {what}{}", visible(file), at_line(*line), advice(.help))]
    Readings { file: String, line: Option<usize>, what: String, help: Option<String> },
    /// More parts and boards than can be laid out in reasonable time.
    #[error(
        "error: {parts} parts and {boards} boards with their flaws are too many to lay out at \
         once\n  help: omit boards with --without, or lay out one part of the route at a time"
    )]
    TooMuch { parts: usize, boards: usize },
    /// A number of articles that the route can't be made in.
    #[error("error: --articles {articles}: {what}")]
    Articles { articles: u32, what: String },
    /// A fault for an invented batch that can't be read; written out with its place.
    #[error("{0}error: nothing was written")]
    Fault(String),
    #[error("error: --fault {}: {what}{}", visible(given), advice(.help))]
    Unfit { given: String, what: String, help: Option<String> },
    #[error("error: {0}\n  help: use --until to stop at an earlier operation")]
    Invented(CannotInvent),
    #[error("error: {0}")]
    Open(#[from] OpenError),
    #[error("error: {0}")]
    Store(#[from] StoreError),
    #[error("error: the route or shop of the batch `{}` can't be read\n  help: its folder may be damaged; check route.json and shop.json in it", visible(.batch))]
    Spoiled { batch: String },
    #[error("error: no piece of this batch is called `{}`{}", visible(name), advice(.help))]
    NoSuchPiece { name: String, help: Option<String> },
    #[error(
        "error: the traveler needs a terminal\n  help: for text, use `benchway settings ROUTE`"
    )]
    NoTerminal,
    #[error("error: can't write the output: {0}")]
    Output(#[from] io::Error),
}

impl Failure {
    /// Whether the failure is only that the reader of the output stopped reading.
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
