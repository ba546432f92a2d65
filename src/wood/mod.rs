//! Wood: what it moves, what air makes of it, how it is measured and sold.
//! Knows nothing of machines or routes.

mod board;
mod moisture;
mod movement;
mod sold;
mod species;
mod table;

use serde::{Deserialize, Serialize};

pub use board::{BOARD_SOURCE, Board, BoardMeasure, tally};
pub use moisture::{Air, Moisture, NoSuchAir};
pub use movement::{Equation, Moved, STRAIGHT, TooWet, moved, movement};
pub use sold::{
    HARDWOOD_SOURCE, Hardwood, SOFTWOOD_SOURCE, Softwood, SoftwoodSide, hardwood, softwood,
};
pub use species::{Found, Grain, HandbookTable, Provenance, Species, WOOD_HANDBOOK};

/// Which of the two lists of most cut per pass a wood belongs to.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Hardness {
    Hard,
    Soft,
}

/// Names by which conifers are sold; common practice, no source.
const CONIFERS: [&str; 12] = [
    "pine", "fir", "spruce", "cedar", "hemlock", "larch", "redwood", "cypress", "tamarack",
    "juniper", "yew", "softwood",
];

impl Hardness {
    /// Tells conifers from broad-leaved trees by name. A name it doesn't know
    /// counts as hard, because the lighter cut is the safe one.
    pub fn of_species(species: &str) -> Hardness {
        let softwood = species
            .split(|c: char| !c.is_alphabetic())
            .any(|word| CONIFERS.contains(&word.to_lowercase().as_str()));
        if softwood { Hardness::Soft } else { Hardness::Hard }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn conifers_are_soft_and_the_unknown_is_hard() {
        for soft in ["white pine", "Douglas-fir", "Sitka spruce"] {
            assert_eq!(Hardness::of_species(soft), Hardness::Soft, "{soft}");
        }
        for hard in ["white oak", "ash", "firewood of some kind", ""] {
            assert_eq!(Hardness::of_species(hard), Hardness::Hard, "{hard}");
        }
    }
}
