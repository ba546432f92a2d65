//! Which piece comes from which board.
//! Knows nothing of prices, and nothing of who marks and cuts.

use super::board::Stretch;
use crate::measure::Length;
use crate::route::Role;
use crate::shop::Shop;

/// What cutting takes.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
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
            keep: lumber.keep,
        }
    }
}

/// One blank where it lies on its board.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Placed {
    /// Which of the needs.
    pub need: usize,
    pub role: Role,
    /// Which set it belongs to, where it is one of a set.
    pub set: Option<u32>,
    pub along: Stretch,
    pub across: Stretch,
}

/// A length cut off a board, with what is ripped from it side by side.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Section {
    pub along: Stretch,
    pub blanks: Vec<Placed>,
}

/// One board and the sections it is cut into, from its marked end on.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Laid {
    /// Which of the boards.
    pub board: usize,
    pub sections: Vec<Section>,
    /// Lengths worth keeping, whole in width.
    pub left: Vec<Stretch>,
}

/// Blanks no board was left for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Missing {
    /// Which of the needs.
    pub need: usize,
    pub role: Role,
    pub blanks: u32,
}

/// Which piece comes from which board, and how good that is.
#[derive(Clone, Debug, PartialEq)]
pub struct Layout {
    /// The boards that are cut into, in the order they were given.
    pub laid: Vec<Laid>,
    pub missing: Vec<Missing>,
    /// Sets that come from more than one board though one was asked for: which
    /// need, and how many sets of it.
    pub apart: Vec<(usize, u32)>,
    /// Board feet of the boards that are cut into.
    pub board_feet: f64,
    /// No way of cutting these boards that makes as much takes fewer board feet.
    pub bound: f64,
}
