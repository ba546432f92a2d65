//! Which blank comes from which board, and everything that follows from it: the
//! cut plan of each board, the marks on it, its drawing, the pieces its blanks
//! become, and where its wood goes.
//!
//! Must not know: journals, screens, who marks and who cuts.

mod account;
mod arrange;
mod cut_plan;
mod drawing;
mod findings;
mod lay;
mod marked_board;
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
pub use marked_board::{HOW_TO_SAW, MarkLine, MarkedBoard, NamedBlank};
pub use marks::{CutMark, Segment};
pub use offers::{Offer, Offers, offers, offers_on_hand};
pub use pieces::{BlankPieces, numbers, piece_list, pieces_by_blank};
