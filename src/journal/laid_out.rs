//! Boards and layouts as the journal writes them: identities, answers, places.

use serde::{Deserialize, Serialize};

use super::identity::{BoardId, PieceId};
use crate::measure::Length;
use crate::route::Role;
use crate::stock::{Flaw, Ruling, Saw, Stretch};

/// One thing about a board, in the order it is asked.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum BoardAnswer {
    /// What is chalked on its end: with this the board begins.
    Name(String),
    Species(String),
    ThicknessNear(Length),
    ThicknessMiddle(Length),
    ThicknessFar(Length),
    Width(Length),
    Length(Length),
    Cup(Length),
    Bow(Length),
    Wind(Length),
    /// In percent; nothing where nobody measured it.
    Moisture(Option<f64>),
    /// No more flaws: with this the board is complete.
    NoMoreFlaws,
}

/// A blank where it lies on its board, and the pieces it becomes.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct LaidBlank {
    pub part: String,
    /// More than one where it is resawn or ripped into several later on; none
    /// where the batch has no piece left for it.
    pub pieces: Vec<PieceId>,
    pub along: Stretch,
    pub across: Stretch,
}

/// A length of a board, and what is ripped from it side by side.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct LaidSection {
    pub along: Stretch,
    pub blanks: Vec<LaidBlank>,
}

/// A board that is cut into, from its marked end on.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct LaidBoard {
    pub board: BoardId,
    pub sections: Vec<LaidSection>,
    /// Lengths worth keeping.
    #[serde(default)]
    pub left: Vec<Stretch>,
}

/// Blanks no board was left for.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct LaidMissing {
    pub part: String,
    pub role: Role,
    pub blanks: u32,
}

/// A layout as the journal keeps it: places and pieces, whatever found them.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct LaidOut {
    pub boards: Vec<LaidBoard>,
    #[serde(default)]
    pub missing: Vec<LaidMissing>,
    /// Sets of a part that come from more than one board though one was asked for.
    #[serde(default)]
    pub apart: Vec<(String, u32)>,
    /// Board feet of the boards that are cut into.
    pub board_feet: f64,
    /// No way of cutting makes as much of fewer board feet.
    pub bound: f64,
    /// What cutting was taken to cost.
    pub saw: Saw,
}

/// What ruling otherwise on a knot would bring.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct KnotOffer {
    pub board: BoardId,
    pub flaw: Flaw,
    pub ruling: Ruling,
    /// Parts whose blank would hold it.
    pub parts: Vec<String>,
    /// Blanks that would no longer be missing.
    pub more: u32,
    /// Board feet that would not be opened.
    pub saved: f64,
    /// Sets more that would come from one board.
    pub together: u32,
}
