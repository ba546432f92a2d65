//! Boards as people write them down: one answer at a time, or as a list.
//! Must not know: what is cut from a board.

mod parse;
mod read;
mod validate;

pub use parse::{
    Misread, Terms, format_flaws, parse_flaw, parse_flaws, parse_moisture, parse_name, parse_size,
};
pub use read::{BUNDLED, read_board_list};
pub use validate::{Column, find_board, validate};
