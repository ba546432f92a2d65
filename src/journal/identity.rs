//! Who pieces and boards are for good, whatever they are called meanwhile.

use serde::{Deserialize, Serialize};

/// The identity of a piece: the station that created it and a counter there.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(transparent)]
pub struct PieceId(pub String);

impl PieceId {
    /// The identity of the piece with this number at a station.
    pub fn new(station: &str, count: u64) -> PieceId {
        PieceId(format!("{station}-{count}"))
    }
}

/// The identity of a board: the station it was entered at and a counter there.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(transparent)]
pub struct BoardId(pub String);

impl BoardId {
    /// The identity of the board with this number at a station.
    pub fn new(station: &str, count: u64) -> BoardId {
        BoardId(format!("{station}-board-{count}"))
    }
}

/// The operation number of the boards: before every operation of a route.
pub const BOARDS: u32 = 0;
