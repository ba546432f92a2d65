//! Text a person reads: what is wrong and what to do about it, text made safe
//! to show, the name a mistyped one stood for, and where lines break. Every room may use this one; it knows
//! none of them.
//!
//! There is one [`Message`] in the crate. A list of what is wrong, an entry
//! that was refused and a finding about a plan differ only in the kind of
//! place they are about, so the place is the type's parameter. Separate types
//! were rejected: each needed its own conversions, and each dropped the help
//! text or the place at some border between two rooms.

mod message;
mod minutes;
mod nearest;
mod plural;
mod visible;
mod wrap;

pub use message::{Level, Message, Span};
pub use minutes::long;
pub use nearest::nearest;
pub use plural::{capital, counted, plural};
pub use visible::{escaped, hides_something, quoted, shortened, visible, visible_lines};
pub use wrap::{wrap, wrap_whole_words};
