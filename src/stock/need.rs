//! What a batch needs from the rack: so many blanks of each part.
//! Knows nothing of the boards there are.

use super::board::Stretch;
use crate::measure::Length;

/// The blanks of one part. A blank is what is cut from a board; it may hold
/// several pieces end to end, side by side or one under the other.
#[derive(Clone, Debug, PartialEq)]
pub struct Need {
    pub part: String,
    pub species: Option<String>,
    pub class: Option<String>,
    /// Rough sizes of one blank.
    pub length: Length,
    pub width: Length,
    pub thickness: Length,
    /// Finished sizes of one piece.
    pub finished_length: Length,
    pub finished_width: Length,
    pub finished_thickness: Length,
    /// Pieces end to end, side by side, and one under the other in one blank.
    pub along: u32,
    pub across: u32,
    pub through: u32,
    /// How thick it must still be once both faces are clean.
    pub clean_at: Length,
    /// Blanks for the sets, for spares, and cheap ones to prove settings on.
    pub for_sets: u32,
    pub spare: u32,
    pub setup: u32,
    /// How many blanks make one set; they come from one board where
    /// `one_board` says so.
    pub a_set: u32,
    pub one_board: bool,
    /// Where on the blank, from either end, a knot will be hidden or cut away.
    pub hidden: Vec<Stretch>,
    /// The longest knot that may be filled; none may where it is nothing.
    pub fill: Option<Length>,
}

impl Need {
    /// Every blank of it.
    pub fn blanks(&self) -> u32 {
        self.for_sets + self.spare + self.setup
    }

    /// How many pieces one blank holds.
    pub fn holds(&self) -> u32 {
        self.along * self.across * self.through
    }
}
