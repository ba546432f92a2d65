//! Wood before the first cut: what a batch needs of it and what it costs, which
//! piece comes from which board, and where a board's wood goes. Knows nothing of
//! journals, files, screens or the clock.

mod account;
mod board;
mod branch;
mod choose;
mod class;
mod drawn;
mod findings;
mod layout;
mod list;
mod marks;
mod need;
mod offers;
mod pattern;
mod pieces;
mod price;
mod read;
mod sawn;
mod scant;
mod tidy;
mod typed;
mod wrong;

pub use account::{Area, BlankAccount, blank_account, board_account};
pub use board::{Flaw, FlawKind, RackBoard, Ruling, Stretch};
pub use class::{Purchase, Wood};
pub use drawn::drawing;
pub use findings::{BoardFinding, findings, too_thin};
pub use layout::{Laid, Layout, OnHand, Placed, Saw, Section, how_often, lay, layout};
pub use list::{Asked, At, Cleaning, InWood, Line, NoPrice, StockList, ToBuy, list};
pub use marks::{Before, Mark};
pub use need::{Need, needs, unknown_sizes};
pub use offers::{Offer, Offers, offered, offers};
pub use pieces::{BlankPieces, called, in_blanks, numbers};
pub use read::{BUNDLED, boards};
pub use sawn::{Place, Sawn, SawnSection};
pub use typed::{Misread, Terms, flaws, flaws_written, moisture, name, one_flaw, size};
pub use wrong::{Column, board_named, wrong};
