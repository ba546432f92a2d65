//! Who pieces and boards are for good, whatever they are called meanwhile.

use serde::{Deserialize, Serialize};

/// Who a piece is for good: the station it was born at and a counter there.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(transparent)]
pub struct PieceId(pub String);

impl PieceId {
    pub fn new(station: &str, count: u64) -> PieceId {
        PieceId(format!("{station}-{count}"))
    }
}

/// Who a board is for good: the station it was told at and a counter there.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(transparent)]
pub struct BoardId(pub String);

impl BoardId {
    pub fn new(station: &str, count: u64) -> BoardId {
        BoardId(format!("{station}-board-{count}"))
    }
}

/// The number the rack goes by among operations: before all that a route has.
pub const BOARDS: u32 = 0;
