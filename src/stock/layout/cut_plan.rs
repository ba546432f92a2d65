//! How one board is cut, from its marked end on: its sections, the blanks in
//! each, and the offcuts.

use crate::stock::board::{Footprint, Stretch};

/// A length crosscut from a board, and the blanks in it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct CutSection<B = Footprint> {
    /// From the marked end of the board.
    pub along: Stretch,
    /// In the order they are cut.
    pub blanks: Vec<B>,
}

/// How one board is cut, from its marked end on. `B` is what is known of a
/// blank: a [`Footprint`] is enough to mark, draw and account for the board.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct CutPlan<B = Footprint> {
    /// From the marked end on.
    pub sections: Vec<CutSection<B>>,
    /// Lengths worth keeping, over the full width of the board.
    pub offcuts: Vec<Stretch>,
}

impl<B> Default for CutPlan<B> {
    fn default() -> CutPlan<B> {
        CutPlan { sections: Vec::new(), offcuts: Vec::new() }
    }
}

impl<B> CutPlan<B> {
    /// The same cuts with something else known of each blank.
    pub fn map<C>(&self, of_blank: impl Fn(&B) -> C) -> CutPlan<C> {
        let sections = self.sections.iter().map(|section| CutSection {
            along: section.along,
            blanks: section.blanks.iter().map(&of_blank).collect(),
        });
        CutPlan { sections: sections.collect(), offcuts: self.offcuts.clone() }
    }
}
