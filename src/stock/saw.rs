//! What cutting takes from a board: kerfs, trim, and the marks that cuts fall
//! on.

use serde::{Deserialize, Serialize};

use crate::measure::Length;
use crate::shop::Shop;

/// What cutting takes.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Saw {
    /// What a crosscut turns to dust.
    pub crosscut: Length,
    /// What a rip cut turns to dust.
    pub rip: Length,
    /// Cut off each end of a board first.
    pub trim: Length,
    /// Lost from the width to get one straight edge.
    pub edge: Length,
    /// Marks fall on whole multiples of this, from the marked end.
    pub mark: Length,
    /// A rest at least this long is worth keeping.
    pub keep: Length,
    /// What both faces lose to come clean, beside what cup, bow and wind take.
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
            keep: lumber.shortest_offcut,
            clean_up: lumber.clean_up.both(),
        }
    }
}
