//! What arrives from the terminal: keys, pastes, a new size, and the answer to
//! what its ground is. A word from another thread that there is news comes the same way,
//! so that one wait is for all of it.
//!
//! On Unix the bytes are read here and not by crossterm. Its reader keeps a
//! sequence that never ends, such as `ESC [` of Alt-[, and is deaf from then on
//! even to Ctrl-C. Here silence ends whatever is unfinished. Other systems send
//! keys as events, not as bytes.

#[cfg(unix)]
mod bytes;
#[cfg(not(unix))]
mod events;
#[cfg(unix)]
mod parser;
#[cfg(unix)]
mod sequences;

use crossterm::event::KeyEvent;

use super::theme::Ground;

#[cfg(unix)]
pub(super) use bytes::TerminalBytes as TerminalInput;
#[cfg(not(unix))]
pub(super) use events::TerminalEvents as TerminalInput;

/// Something that arrived from the terminal.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) enum Heard {
    /// A key was pressed.
    Key(KeyEvent),
    /// Text was pasted, or sent in one go.
    Paste(String),
    /// The window has another size.
    Resized,
    /// What the terminal draws on: the answer to a question.
    Ground(Ground),
    /// Something happened outside, such as another station's entry.
    News,
}
