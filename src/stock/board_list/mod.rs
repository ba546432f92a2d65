//! Boards as people enter them: one answer at a time, or as a board list.
//!
//! Must not know: what is cut from a board, where a text comes from.
//!
//! A board list is CSV with headings of its own, because any spreadsheet writes
//! it. A flaw in it is a few words, `knot 31 to 33 at 0 to 2`; `to`
//! separates two places because a hyphen could be part of a mixed number. A list
//! in JSON was rejected.
//!
//! Every row is read before anything is laid out, and every problem is shown at
//! its field, so that somebody walks back to the rack once. Leaving out rows
//! that can't be read was rejected: a board that is missed costs more than a
//! list that is corrected.
//!
//! To add a question about a board: give `RackBoard` a field with a default, so
//! that older batches still read; give [`Column`] a variant, `validate` its
//! limits, and `fields` the cell. The journal and the traveler have a question
//! for each column. A board that was complete before the question existed stays
//! complete.

mod answer;
mod column;
mod fields;
mod flaw_text;
mod headings;
mod read;
mod terms;
mod validate;

pub use answer::{parse_moisture, parse_name, parse_size};
pub use column::{BoardField, Column};
pub use flaw_text::{format_flaws, parse_flaw, parse_flaws};
pub use read::{BUNDLED, read_board_list};
pub use terms::Terms;
pub use validate::{find_board, validate};
