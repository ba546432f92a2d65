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

pub use board::{Flaw, FlawKind, RackBoard, Ruling, Stretch};
pub use board_list::{
    BUNDLED, Column, Misread, Terms, board_named, boards, flaws, flaws_written, moisture, name,
    one_flaw, size, wrong,
};
pub use class::{Purchase, Wood};
pub use layout::{
    Area, Before, BlankAccount, BlankPieces, BoardFinding, Laid, Layout, Mark, Offer, Offers,
    OnHand, Place, Placed, Sawn, SawnSection, Section, blank_account, board_account, called,
    drawing, findings, how_often, in_blanks, lay, layout, numbers, offered, offers, too_thin,
};
pub use need::{Need, needs, unknown_sizes};
pub use purchase::{Asked, At, Cleaning, InWood, Line, NoPrice, StockList, ToBuy, list};
pub use saw::Saw;
