//! Wood before the first cut: what a batch needs of it, and which piece comes
//! from which board. Knows nothing of journals, files, screens or the clock.

mod account;
mod board;
mod branch;
mod choose;
mod class;
mod drawn;
mod layout;
mod list;
mod marks;
mod need;
mod offers;
mod pattern;
mod pieces;
mod price;
mod rack;
mod read;
mod scant;
mod tidy;
mod typed;
mod wrong;

pub use account::{
    Area, BlankAccount, BoardAccount, CutOut, Place, Waste, blank_account, board_account,
};
pub use board::{Flaw, FlawKind, RackBoard, Ruling, Stretch};
pub use class::{Bought, Wood, nominal, scantest};
pub use drawn::drawing;
pub use layout::{Laid, Layout, Missing, Placed, Rack, Saw, Section, how_often, lay, layout};
pub use list::{Asked, At, Cleaning, InWood, Line, NoPrice, SetupWood, StockList, ToBuy, list};
pub use marks::{Before, Mark};
pub use need::{Need, Pieces, needs, unknown_sizes};
pub use offers::{Offer, Offers, offered, offers};
pub use pieces::{BlankPieces, called, in_blanks, numbers};
pub use rack::{RackFinding, findings, scant};
pub use read::{BUNDLED, MOST_BOARDS, boards};
pub use scant::{Suits, best, in_hand, suits};
pub use typed::{
    MOST_FLAWS, Misread, Terms, class, flaws, flaws_written, moisture, name, one_flaw, ruling, size,
};
pub use wrong::{Column, Wrong, board_named, named_twice, wrong};
