//! Wood: how far it moves, what moisture air gives it, how it is measured and
//! sold.
//!
//! Must not know: machines, routes, prices.
//!
//! Every number of a wood carries how it is known, and where two sources
//! disagree both numbers are kept. Much of what is passed around in the trade is
//! misprinted or guessed, and nobody can tell afterwards. One number a wood was
//! rejected.

mod board;
mod moisture;
mod movement;
mod names;
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

/// Which of a machine's two limits for the depth of a cut a wood takes.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Hardness {
    /// Broad-leaved woods, and every wood with an unknown name.
    Hard,
    /// Conifers.
    Soft,
}

/// Names that conifers are sold by (common practice, no source).
const CONIFERS: [&str; 12] = [
    "pine", "fir", "spruce", "cedar", "hemlock", "larch", "redwood", "cypress", "tamarack",
    "juniper", "yew", "softwood",
];

impl Hardness {
    /// Tells conifers from broad-leaved trees by name. An unknown name counts as
    /// hard, because the lighter cut is the safe one.
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
