//! Wood before the first cut: what a batch needs and what it costs, which piece
//! comes from which board, and where a board's wood goes.
//!
//! Must not know: journals, files, screens, the clock.
//!
//! `board`, `class`, `saw`, `need` and `suitability` are at the bottom. Above them
//! are three subjects that don't know one another: `purchase` (what to buy),
//! `board_list` (boards as people enter them) and `solver` (which boards to cut
//! and how). `layout` asks the solver and turns its answer into places, marks,
//! drawings and pieces.
//!
//! The path of one board that is cut:
//!
//! 1. [`RackBoard`]: the board as somebody measured it.
//! 2. `PreparedBoard` and `Cutting` in `solver`: what can be cut from it and one
//!    way to do so, in whole nanometres and marks.
//! 3. [`CutBoard`]: a [`CutPlan`] whose blanks are [`PlacedBlank`]s, which say
//!    what each blank is for.
//! 4. `LaidBoard` in the journal: the same with the pieces each blank becomes,
//!    as it is written to disk.
//! 5. [`CutPlan`] with nothing but [`Footprint`]s: made from 3 or 4 to mark the
//!    board ([`CutMark`]), draw it and account for its wood.
//!
//! Along a board there are sections, across a section strips, along a strip
//! blanks. An offcut is a length worth keeping; everything else is waste.

mod article_needs;
mod assembled;
mod board;
mod board_list;
mod class;
mod layout;
mod need;
mod purchase;
#[cfg(test)]
mod samples;
mod saw;
mod solver;
mod suitability;

pub use assembled::{AssembledPart, assembled};
pub use board::{Flaw, FlawKind, Footprint, RackBoard, Ruling, Stretch};
pub use board_list::{
    BUNDLED, BoardField, Column, Terms, find_board, format_flaws, parse_flaw, parse_flaws,
    parse_moisture, parse_name, parse_size, read_board_list, validate,
};
pub use layout::{
    Area, BlankAccount, BlankPieces, BoardLayout, CutBoard, CutMark, CutPlan, CutSection,
    HOW_TO_SAW, MarkLine, MarkedBoard, NamedBlank, Offer, Offers, OnHand, PlacedBlank, Segment,
    blank_account, board_account, drawing, findings, lay_out, lay_out_on_hand, layouts_in_time,
    numbers, offers, offers_on_hand, piece_list, pieces_by_blank, too_thin,
};
pub use need::{BlankNeed, needs, unknown_sizes};
pub use purchase::{
    ArticlePrice, CleanUpCheck, ListOptions, NoPrice, Purchase, SetupWood, StockLine, StockList,
    ThicknessSource, ToBuy, WoodAlternative, WoodQuantity, amount, figures, list, notes, split,
};
pub use saw::Saw;
