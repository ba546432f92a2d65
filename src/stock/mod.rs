//! Wood before the first cut: what a batch needs of it and what it costs, which
//! piece comes from which board, and where a board's wood goes. Knows nothing of
//! journals, files, screens or the clock.

mod board;
mod board_list;
mod class;
mod layout;
mod need;
mod purchase;
mod saw;
mod solver;
mod suitability;

pub use board::{Flaw, FlawKind, Footprint, RackBoard, Ruling, Stretch};
pub use board_list::{
    BUNDLED, BoardField, Column, Terms, find_board, format_flaws, parse_flaw, parse_flaws,
    parse_moisture, parse_name, parse_size, read_board_list, validate,
};
pub use layout::{
    Area, BlankAccount, BlankPieces, BoardLayout, CutBoard, CutMark, CutPlan, CutSection, Offer,
    Offers, OnHand, PlacedBlank, Segment, blank_account, board_account, drawing, findings, lay_out,
    lay_out_on_hand, layouts_in_time, numbers, offers, offers_on_hand, piece_list, pieces_by_blank,
    too_thin,
};
pub use need::{BlankNeed, needs, unknown_sizes};
pub use purchase::{
    CleanUpCheck, ListOptions, NoPrice, Purchase, SetupWood, StockLine, StockList, ThicknessSource,
    ToBuy, WoodAlternative, WoodQuantity, list,
};
pub use saw::Saw;
