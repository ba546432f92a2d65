//! The one message: how serious it is, what is wrong, what to do about it and
//! where it is.

use std::fmt;
use std::ops::Range;

use serde::{Deserialize, Serialize};

/// How much a message matters; the worst sorts first.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Level {
    /// It must be put right before anything goes on.
    Error,
    /// It is allowed, and probably not what was meant.
    Warning,
    /// It is worth knowing.
    Note,
}

impl fmt::Display for Level {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Level::Error => "error",
            Level::Warning => "warning",
            Level::Note => "note",
        })
    }
}

/// A stretch of a text, in bytes from its start.
pub type Span = Range<usize>;

/// What is wrong and what to do about it, at a place of the kind `P`: a
/// [`Span`] of typed text, a line and column, an operation, a column of a
/// table. `()` where there is no place.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Message<P = ()> {
    /// How much it matters.
    pub level: Level,
    /// What is wrong, or what was noticed; no capital, no full stop.
    pub what: String,
    /// What to do about it.
    pub help: Option<String>,
    /// What it is about.
    pub place: P,
}

impl<P: Default> Message<P> {
    /// An error.
    pub fn error(what: impl Into<String>) -> Message<P> {
        Message { level: Level::Error, what: what.into(), help: None, place: P::default() }
    }

    /// A warning.
    pub fn warning(what: impl Into<String>) -> Message<P> {
        Message { level: Level::Warning, ..Message::error(what) }
    }

    /// A note.
    pub fn note(what: impl Into<String>) -> Message<P> {
        Message { level: Level::Note, ..Message::error(what) }
    }
}

impl Message {
    /// The same message about a place.
    #[must_use]
    pub fn at<P>(self, place: P) -> Message<P> {
        self.map_place(|()| place)
    }
}

impl<P> Message<P> {
    /// The same message with something to do about it.
    #[must_use]
    pub fn help(self, help: impl Into<String>) -> Message<P> {
        self.maybe_help(Some(help.into()))
    }

    /// The same message with something to do about it, where there is something.
    #[must_use]
    pub fn maybe_help(self, help: Option<String>) -> Message<P> {
        Message { help, ..self }
    }

    /// The same message about a place of another kind.
    #[must_use]
    pub fn map_place<Q>(self, place: impl FnOnce(P) -> Q) -> Message<Q> {
        Message { level: self.level, what: self.what, help: self.help, place: place(self.place) }
    }

    /// The same message without its place.
    #[must_use]
    pub fn anywhere(self) -> Message {
        self.map_place(|_| ())
    }
}

impl Message<Span> {
    /// The same message about a text that starts `by` bytes further on.
    #[must_use]
    pub fn moved(self, by: usize) -> Message<Span> {
        self.map_place(|at| at.start + by..at.end + by)
    }
}

impl From<Message<Span>> for Message {
    fn from(message: Message<Span>) -> Message {
        message.anywhere()
    }
}

/// One line: what is wrong, then the help. Level and place are left out,
/// because whoever shows a message shows those in their own way.
impl<P> fmt::Display for Message<P> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.what)?;
        match &self.help {
            Some(help) => write!(f, "; {help}"),
            None => Ok(()),
        }
    }
}

impl<P: fmt::Debug> std::error::Error for Message<P> {}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_message_keeps_its_words_when_its_place_changes() {
        let typed = Message::error("fractions are for inches").help("write 12.5 mm").at(3..6);
        assert_eq!(typed.to_string(), "fractions are for inches; write 12.5 mm");
        assert_eq!(typed.clone().moved(10).place, 13..16);
        let column = typed.map_place(|span| ("width", span.start));
        assert_eq!((column.level, column.place), (Level::Error, ("width", 3)));
        assert_eq!(column.anywhere().help.as_deref(), Some("write 12.5 mm"));
    }

    #[test]
    fn the_worst_sorts_first() {
        let mut levels = [Level::Note, Level::Error, Level::Warning];
        levels.sort();
        assert_eq!(levels, [Level::Error, Level::Warning, Level::Note]);
        assert_eq!(Message::<()>::note("dry").level, Level::Note);
        assert_eq!(Message::<()>::warning("damp").level, Level::Warning);
    }
}
