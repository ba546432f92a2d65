//! Which blank comes from which board, and what follows from it: the cuts, the
//! marks, the drawing, the pieces, and where the wood goes.

mod account;
mod arrange;
mod cut_plan;
mod drawing;
mod findings;
mod lay;
mod marks;
mod offers;
mod pieces;

pub use account::{Area, BlankAccount, blank_account, board_account};
pub use cut_plan::{Place, Sawn, SawnSection};
pub use drawing::drawing;
pub use findings::{BoardFinding, findings, too_thin};
pub use lay::{Laid, Layout, OnHand, Placed, Section, how_often, lay, layout};
pub use marks::{Before, Mark};
pub use offers::{Offer, Offers, offered, offers};
pub use pieces::{BlankPieces, called, in_blanks, numbers};
