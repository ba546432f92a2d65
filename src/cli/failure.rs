//! Why a command could not do its work, in words for the person who typed it.

use std::io;
use std::path::{Path, PathBuf};

use thiserror::Error;

use crate::journal::{OpenError, PinError, StoreError};
use crate::prose::{Message, counted, visible, visible_lines};
use crate::simulate::CannotInvent;

/// Why a command could not do its work; its text is the error message with its help.
#[derive(Debug, Error)]
pub enum Failure {
    /// No file and no bundled route has this name.
    #[error("error: there is no file or bundled route `{}`{}", visible(.name), advice(.help))]
    NoSuchRoute {
        /// The name as typed.
        name: String,
        /// The nearest name, or the names there are.
        help: Option<String>,
    },
    /// A folder where a route is meant.
    #[error("error: `{}` is a folder, not a route\n  help: {help}", visible(.name))]
    Folder {
        /// The name as typed.
        name: String,
        /// What is meant.
        help: String,
    },
    /// A file that the system doesn't let the program read.
    #[error("error: {} can't be read: {why}", shown(.path))]
    Unreadable {
        /// The file.
        path: PathBuf,
        /// What the system said.
        why: io::Error,
    },
    /// A file that isn't UTF-8.
    #[error("error: {} is not text: byte {at} is not valid UTF-8\n  help: save it as UTF-8", shown(.path))]
    NotText {
        /// The file.
        path: PathBuf,
        /// The first invalid byte, counted from 1.
        at: usize,
    },
    /// A file with errors.
    #[error("{problems}error: {} can't be used: {}", visible(name), counted(*count, "error"))]
    Refused {
        /// The file's name.
        name: String,
        /// Every problem, written out with its place.
        problems: String,
        /// How many of them are errors.
        count: usize,
    },
    /// An option, or an argument, whose value can't be used.
    #[error("error: {}: {}", visible(&format!("{option} {given}")).trim_end(), explained(.why))]
    Option {
        /// The option, such as `--with`, or the name of the argument.
        option: &'static str,
        /// The value as typed.
        given: String,
        /// Why it can't be used.
        why: Message,
    },
    /// A file that must not or can't be changed.
    #[error("error: nothing was written: {}", explained(.0))]
    NotWritten(Message),
    /// Readings that can't be charted; the place is a line of the file.
    #[error("error: {}{}: {}", visible(file), at_line(.why.place), explained(.why))]
    Readings {
        /// The file's name.
        file: String,
        /// Why they can't be charted.
        why: Message<Option<usize>>,
    },
    /// More parts and boards than can be laid out in reasonable time.
    #[error(
        "error: {parts} parts and {boards} boards with their flaws are too many to lay out at \
         once\n  help: omit boards with --without, or lay out one part of the route at a time"
    )]
    TooMuch {
        /// Parts that need blanks.
        parts: usize,
        /// Boards in the list.
        boards: usize,
    },
    /// Faults for an invented batch that can't be read, each written out with its place.
    #[error("{0}error: nothing was written")]
    Fault(String),
    /// A batch that can't be invented.
    #[error("error: {0}\n  help: use --until to stop at an earlier operation")]
    Invented(CannotInvent),
    /// A batch that can't be opened.
    #[error("error: {0}")]
    Open(#[from] OpenError),
    /// A batch that can't be read from or written to the disk.
    #[error("error: {0}")]
    Store(#[from] StoreError),
    /// A batch whose own copy of the route or the shop is damaged.
    #[error("error: the route or shop of the batch `{}` can't be read\n  help: its folder may be damaged; check route.json and shop.json in it", visible(.batch))]
    Spoiled {
        /// Name of the batch.
        batch: String,
    },
    /// A PIN that is wrong, or was not typed.
    #[error("error: {}", explained(.0))]
    Pin(Message),
    /// The PINs of leads can't be read or kept.
    #[error("error: {0}")]
    Pins(#[from] PinError),
    /// Batches can't be exchanged with a server.
    #[error("error: {}", explained(.0))]
    Exchange(Message),
    /// The server refuses, or can't be reached.
    #[cfg(feature = "meet")]
    #[error("error: {0}")]
    Meet(#[from] crate::meet::MeetProblem),
    /// What is typed can't be read.
    #[error("error: can't read the input: {0}")]
    Input(io::Error),
    /// No piece of the batch has this name.
    #[error("error: no piece of this batch is called `{}`{}", visible(name), advice(.help))]
    NoSuchPiece {
        /// The name as typed.
        name: String,
        /// The nearest name.
        help: Option<String>,
    },
    /// The traveler was started without a terminal to draw on.
    #[error(
        "error: the traveler needs a terminal\n  help: use `benchway walk --plain`; for the settings alone, `benchway settings ROUTE`"
    )]
    NoTerminal,
    /// The output can't be written.
    #[error("error: can't write the output: {0}")]
    Output(#[from] io::Error),
}

impl Failure {
    /// The error message with its help, for a terminal: nothing that a file, a path or
    /// the system said acts on it.
    pub fn shown(&self) -> String {
        visible_lines(&self.to_string())
    }

    /// Whether the failure is only that the reader of the output stopped reading.
    pub fn is_broken_pipe(&self) -> bool {
        matches!(self, Failure::Output(error) if error.kind() == io::ErrorKind::BrokenPipe)
    }
}

fn at_line(line: Option<usize>) -> String {
    line.map_or_else(String::new, |line| format!(", line {line}"))
}

fn shown(path: &Path) -> String {
    visible(&path.display().to_string())
}

/// What is wrong, and the help on a line below.
fn explained<P>(message: &Message<P>) -> String {
    format!("{}{}", message.what, advice(&message.help))
}

fn advice(help: &Option<String>) -> String {
    help.as_ref().map_or_else(String::new, |help| format!("\n  help: {}", visible(help)))
}
