//! Who pieces and boards are for good, whatever they are called meanwhile.

use std::sync::Arc;

use serde::{Deserialize, Deserializer, Serialize, Serializer};

/// The identity of a piece: the station that created it and a counter there. Copies share
/// its text, because each task and each state names every piece.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct PieceId(pub Arc<str>);

impl PieceId {
    /// The identity of the piece with this number at a station.
    pub fn new(station: &str, count: u64) -> PieceId {
        PieceId(format!("{station}-{count}").into())
    }
}

impl Serialize for PieceId {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.serialize_str(&self.0)
    }
}

impl<'de> Deserialize<'de> for PieceId {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<PieceId, D::Error> {
        String::deserialize(deserializer).map(|text| PieceId(text.into()))
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
