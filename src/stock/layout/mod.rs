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
pub use cut_plan::{CutPlan, CutSection};
pub use drawing::drawing;
pub use findings::{findings, too_thin};
pub use lay::{
    BoardLayout, CutBoard, OnHand, PlacedBlank, lay_out, lay_out_on_hand, layouts_in_time,
};
pub use marks::{CutMark, Segment};
pub use offers::{Offer, Offers, offers, offers_on_hand};
pub use pieces::{BlankPieces, numbers, piece_list, pieces_by_blank};
