//! Where a board is sawn: its sections, their blanks, and what is left of it.
//! Knows nothing of what any blank becomes.

use super::board::Stretch;
use super::layout::Laid;

/// A blank on its board: along it and across it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Place {
    pub along: Stretch,
    pub across: Stretch,
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
            let blanks = section.blanks.iter();
            let blanks = blanks.map(|blank| Place { along: blank.along, across: blank.across });
            SawnSection { along: section.along, blanks: blanks.collect() }
        });
        Sawn { sections: sections.collect(), left: self.left.clone() }
    }
}
