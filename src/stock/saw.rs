//! What cutting takes from a board: kerfs, trim, clean-up, and the marks that
//! cuts fall on.

use serde::{Deserialize, Serialize};

use crate::measure::Length;
use crate::shop::Shop;

/// What cutting takes. A layout in a journal keeps it as it was.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Saw {
    /// The kerf of a crosscut.
    pub crosscut: Length,
    /// The kerf of a rip cut.
    pub rip: Length,
    /// Cut off each end of a board first.
    pub trim: Length,
    /// Taken off the width to get one straight edge.
    pub edge: Length,
    /// Marks fall on whole multiples of this, from the marked end.
    pub mark: Length,
    /// The shortest offcut that is kept.
    #[serde(rename = "keep")]
    pub shortest_offcut: Length,
    /// What both faces together lose to come clean, beside what cup, bow and
    /// wind take.
    #[serde(default)]
    pub clean_up: Length,
}

impl Saw {
    /// What cutting takes in this shop.
    pub fn of(shop: &Shop) -> Saw {
        let lumber = &shop.lumber;
        Saw {
            crosscut: lumber.crosscut_kerf,
            rip: lumber.rip_kerf,
            trim: lumber.trim,
            edge: lumber.edge,
            mark: lumber.mark,
            shortest_offcut: lumber.shortest_offcut,
            clean_up: lumber.clean_up.both(),
        }
    }
}
