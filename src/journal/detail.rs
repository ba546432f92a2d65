//! What events are made of: readings, settings, decisions, made dimensions.

use chrono::{DateTime, FixedOffset};
use serde::{Deserialize, Serialize};

use super::identity::PieceId;
use super::line::Reference;
use crate::measure::{Dial, Length, Limits, SafeSide, Target, Verdict, judge};
use crate::operation::FeatureName;
use crate::route::{HoldsFor, PieceLabel};

/// A piece that is created, with what it is called from now on.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct NewPiece {
    /// Its identity.
    pub id: PieceId,
    /// What it is called.
    pub label: PieceLabel,
    /// How many finished pieces are still one length in it.
    #[serde(default = "one", skip_serializing_if = "is_one")]
    pub gang: u32,
}

fn one() -> u32 {
    1
}

fn is_one(gang: &u32) -> bool {
    *gang == 1
}

/// A setting as a setup or a piece stores it: values, never formulas.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct StoredSetting {
    /// The setting, by its name.
    pub setting: String,
    /// The pass, where the operation has several.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub pass: Option<u32>,
    /// The size the setting is for.
    pub target: Target,
    /// What the scale must show.
    pub dial: Dial,
}

/// A named value a setting was computed from.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct UsedValue {
    /// The dimension, by its name in the route.
    pub dim: String,
    /// The value used.
    pub value: Length,
    /// Whether it was made, or only planned.
    pub made: bool,
}

/// What a gauge said: a number, or go / no-go.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum GaugeSays {
    /// A size.
    Size(Length),
    /// Go: within limits.
    In,
    /// No-go: too big.
    TooBig,
    /// No-go: too small.
    TooSmall,
}

/// One measured value, with all that is needed to judge it again years later.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct TakenReading {
    /// The number of the operation.
    pub op: u32,
    /// The piece.
    pub piece: PieceId,
    /// What is measured.
    pub feature: FeatureName,
    /// What the gauge said.
    pub says: GaugeSays,
    /// As it was typed.
    pub typed: String,
    /// The gauge, by its name in the shop file.
    pub gauge: String,
    /// Expanded uncertainty (k = 2); zero for a go/no-go gauge.
    pub uncertainty: Length,
    /// The size wanted, where one is named.
    pub target: Option<Length>,
    /// The low limit, where there is one.
    pub low: Option<Length>,
    /// The high limit, where there is one.
    pub high: Option<Length>,
    /// The side on which the piece can still be cut.
    pub safe: SafeSide,
    /// When it was taken and by whom, where it was written on paper first and typed later.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub on_paper: Option<TakenOnPaper>,
}

/// When a reading was taken that was written on paper first, and by whom.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct TakenOnPaper {
    /// When.
    pub at: DateTime<FixedOffset>,
    /// By these initials.
    pub by: String,
}

impl TakenReading {
    /// The size, where the gauge gave a number.
    pub fn size(&self) -> Option<Length> {
        match self.says {
            GaugeSays::Size(size) => Some(size),
            _ => None,
        }
    }

    /// The size wanted, or the middle of the limits where none was named.
    pub fn wanted(&self) -> Option<Length> {
        self.target.or(self.limits().middle())
    }

    /// The limits at the time of the reading.
    pub fn limits(&self) -> Limits {
        Limits { low: self.low, high: self.high }
    }

    /// What it says by the limits of its own time.
    pub fn verdict(&self) -> Verdict {
        let again = |side| self.safe == side;
        match self.says {
            GaugeSays::Size(size) => judge(size, &self.limits(), self.uncertainty, self.safe),
            GaugeSays::In => Verdict::In,
            GaugeSays::TooBig => Verdict::TooBig { by: Length::ZERO, again: again(SafeSide::Big) },
            GaugeSays::TooSmall => {
                Verdict::TooSmall { by: Length::ZERO, again: again(SafeSide::Small) }
            }
        }
    }
}

/// What is decided about a piece that is not within limits.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Decision {
    /// Accept it as it is.
    Accept,
    /// Cut it again, then measure it again.
    Rework,
    /// Use it as another part.
    UseElsewhere,
    /// Make the piece again.
    Remake,
    /// Set it aside.
    SetAside,
}

impl Decision {
    /// The decision in words: `set aside`.
    pub fn words(self) -> &'static str {
        match self {
            Decision::Accept => "accept",
            Decision::Rework => "rework",
            Decision::UseElsewhere => "use elsewhere",
            Decision::Remake => "remake",
            Decision::SetAside => "set aside",
        }
    }

    /// What became of the piece, as the screens say it.
    pub fn outcome(self) -> &'static str {
        match self {
            Decision::Accept => "accepted",
            Decision::Rework => "cut again",
            Decision::SetAside => "set aside",
            Decision::UseElsewhere => "used elsewhere",
            Decision::Remake => "remade",
        }
    }
}

/// A dimension that takes its value from readings.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct MadeDimension {
    /// The dimension, by its name in the route.
    pub dim: String,
    /// What it holds for: the batch, one article or one piece.
    pub span: HoldsFor,
    /// Which article, when it holds for one.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub set: Option<u32>,
    /// Which piece, when it holds for one.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub piece: Option<PieceId>,
    /// The value, to the nanometre.
    pub value: Length,
    /// The operation whose readings it comes from.
    pub op: u32,
    /// How it was found, in words: `smallest of 24 readings at op 50, calipers`.
    pub words: String,
    /// The readings it was taken from.
    pub from: Vec<Reference>,
}

/// A setting that follows from what the lead accepted, before and after.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct AcceptedChange {
    /// The number of the operation.
    pub op: u32,
    /// The setting, by its name.
    pub setting: String,
    /// What the scale had to show before, where that was known.
    pub was: Option<Dial>,
    /// What it must show now.
    pub now: Dial,
}
