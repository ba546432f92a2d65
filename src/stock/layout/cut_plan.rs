//! Where a board is sawn: its sections, their blanks, and what is left of it.
//! Knows nothing of what any blank becomes.

use super::lay::{Laid, Placed};
use crate::stock::board::{Flaw, Stretch};

/// A blank on its board: along it and across it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Place {
    pub along: Stretch,
    pub across: Stretch,
}

impl Place {
    /// Whether a flaw lies in it, or part of one.
    pub fn has(&self, flaw: &Flaw) -> bool {
        self.along.overlaps(&flaw.along)
            && flaw.across.is_none_or(|across| self.across.overlaps(&across))
    }
}

/// A length cut off a board, and the blanks in it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct SawnSection {
    pub along: Stretch,
    pub blanks: Vec<Place>,
}

/// How one board is cut, from its marked end on.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Sawn {
    pub sections: Vec<SawnSection>,
    /// Lengths worth keeping, whole in width.
    pub left: Vec<Stretch>,
}

impl Laid {
    /// The same without what its blanks are for.
    pub fn sawn(&self) -> Sawn {
        let sections = self.sections.iter().map(|section| {
            let blanks = section.blanks.iter().map(Placed::place);
            SawnSection { along: section.along, blanks: blanks.collect() }
        });
        Sawn { sections: sections.collect(), left: self.left.clone() }
    }
}
