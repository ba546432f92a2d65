//! Boards and layouts as the journal writes them: identities, answers, places.

use serde::{Deserialize, Serialize};

use super::identity::{BoardId, PieceId};
use crate::measure::Length;
use crate::route::Role;
use crate::stock::{Flaw, Ruling, Saw, Stretch};

/// One thing about a board, in the order it is asked.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum BoardEntry {
    /// What is chalked on its end. This begins the board.
    Name(String),
    /// Its wood.
    Species(String),
    /// Thickness at the marked end.
    ThicknessNear(Length),
    /// Thickness in the middle.
    ThicknessMiddle(Length),
    /// Thickness at the far end.
    ThicknessFar(Length),
    /// Its least width.
    Width(Length),
    /// Its length.
    Length(Length),
    /// Cup: the hollow across the width.
    Cup(Length),
    /// Bow: the hollow along the length.
    Bow(Length),
    /// Wind: how far one corner lifts.
    Wind(Length),
    /// Moisture content in percent; none where nobody measured it.
    Moisture(Option<f64>),
    /// There are no more flaws. This completes the board.
    NoMoreFlaws,
}

/// A blank, where it is on its board, and the pieces it becomes.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct LaidBlank {
    /// The part, by its name in the route.
    pub part: String,
    /// More than one where it is resawn or ripped into several later on; none
    /// where the batch has no piece left for it.
    pub pieces: Vec<PieceId>,
    /// Where it is along the board, from the marked end.
    pub along: Stretch,
    /// Where it is across the board, from the near edge.
    pub across: Stretch,
}

/// A length of a board, and what is ripped from it side by side.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct LaidSection {
    /// Where it is along the board, from the marked end.
    pub along: Stretch,
    /// The blanks, in order across.
    pub blanks: Vec<LaidBlank>,
}

/// A board that is cut into, from its marked end on.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct LaidBoard {
    /// The board.
    pub board: BoardId,
    /// The sections, in order along.
    pub sections: Vec<LaidSection>,
    /// Offcuts: lengths worth keeping.
    #[serde(default)]
    pub left: Vec<Stretch>,
}

/// Blanks that no board is left for.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct LaidMissing {
    /// The part, by its name in the route.
    pub part: String,
    /// What the blanks are for.
    pub role: Role,
    /// How many blanks.
    pub blanks: u32,
    /// Whether it is proved that the boards don't hold them. Where it isn't, as
    /// in a batch written before this was kept, they are only not found.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub proved: bool,
}

/// A layout as the journal keeps it: places and pieces, whatever found them.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct LaidOut {
    /// The boards that are cut into.
    pub boards: Vec<LaidBoard>,
    /// What no board was left for.
    #[serde(default)]
    pub missing: Vec<LaidMissing>,
    /// Per part, how many articles take it from several boards though one was asked for.
    #[serde(default)]
    pub apart: Vec<(String, u32)>,
    /// Board feet of the boards that are cut into.
    pub board_feet: f64,
    /// The least board feet from which as much could be made.
    pub bound: f64,
    /// What each cut was assumed to take.
    pub saw: Saw,
}

/// What another ruling on a knot would bring.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct KnotOffer {
    /// The board.
    pub board: BoardId,
    /// The flaw, as it was ruled on until then.
    pub flaw: Flaw,
    /// The ruling that is offered.
    pub ruling: Ruling,
    /// Parts whose blank would hold it.
    pub parts: Vec<String>,
    /// Blanks that would no longer be missing.
    pub more: u32,
    /// Board feet that would not be cut into.
    pub saved: f64,
    /// How many more articles would come from one board.
    pub together: u32,
}
