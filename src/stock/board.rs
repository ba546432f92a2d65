//! A board as it lies in the rack, as somebody measured it.
//! Knows nothing of what is to be cut from it.

use serde::{Deserialize, Serialize};

use crate::measure::Length;
use crate::wood::Board;

/// From one place to another on a board, the nearer first.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Stretch {
    pub from: Length,
    pub to: Length,
}

/// What is wrong with the wood.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum FlawKind {
    Knot,
    /// A split or a check: it runs, so no piece may have it.
    Split,
    /// Wane, sap, rot, a stain: whatever the lead wants no piece to show.
    Other,
}

/// What the lead says about a flaw.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Ruling {
    /// Every cut goes around it.
    #[default]
    Around,
    /// It may lie in a piece where the route says nobody will see it, or where
    /// it is cut away later.
    Hidden,
    /// It is filled, in parts that may be.
    Fill,
}

/// Knots and splits as spans: from the marked end, and from the marked edge
/// where they don't go right across.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Flaw {
    pub kind: FlawKind,
    pub along: Stretch,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub across: Option<Stretch>,
    #[serde(default)]
    pub ruling: Ruling,
}

/// A board in the rack. Places on it are measured from its marked end and its
/// marked edge.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct RackBoard {
    /// What is chalked on its end.
    pub name: String,
    pub species: String,
    /// What it was sold as: `8/4`.
    pub class: Option<String>,
    /// At the marked end, in the middle, at the far end.
    pub thickness: [Length; 3],
    /// Where it is narrowest.
    pub width: Length,
    pub length: Length,
    /// Hollow across, at its worst.
    #[serde(default)]
    pub cup: Length,
    /// Hollow along its face, over its whole length.
    #[serde(default)]
    pub bow: Length,
    /// How far one corner stands off when the three others lie.
    #[serde(default)]
    pub wind: Length,
    /// In percent.
    #[serde(default)]
    pub moisture: Option<f64>,
    #[serde(default)]
    pub flaws: Vec<Flaw>,
}

impl RackBoard {
    /// Where it is thinnest.
    pub fn thinnest(&self) -> Length {
        let [near, middle, far] = self.thickness;
        near.min(middle).min(far)
    }

    /// The thickness it is counted as: that of its class where that is said in
    /// quarters of an inch (`5/4`), else its own where it is thinnest.
    pub fn counted_thickness(&self) -> Length {
        let quarters = self.class.as_deref().and_then(|class| {
            let (quarters, inch) = class.trim().split_once('/')?;
            let quarters: u16 = quarters.trim().parse().ok()?;
            (inch.trim() == "4" && quarters > 0).then_some(quarters)
        });
        quarters.map_or(self.thinnest(), |quarters| Length::inch_fraction(i64::from(quarters), 4))
    }

    /// As a yard counts it; nothing where one of its sizes is nothing.
    pub fn as_sold(&self) -> Option<Board> {
        Board::new(self.counted_thickness(), self.width, self.length)
    }

    /// Board feet of the whole board, nothing rounded; none where one of its
    /// sizes is nothing.
    pub fn board_feet(&self) -> f64 {
        self.as_sold().map_or(0.0, |board| board.measured(1).board_feet)
    }
}
