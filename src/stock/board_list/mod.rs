//! Boards as people write them down: one answer at a time, or as a list.
//! Must not know: what is cut from a board.

mod parse;
mod read;
mod validate;

pub use parse::{Misread, Terms, flaws, flaws_written, moisture, name, one_flaw, size};
pub use read::{BUNDLED, boards};
pub use validate::{Column, board_named, wrong};
