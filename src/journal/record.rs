//! The records the state is made of: pieces, readings, setups, waits.

use std::collections::{BTreeMap, BTreeSet};

use chrono::{DateTime, FixedOffset};

use super::event::{Decision, MadeDimension, StoredSetting, TakenReading};
use super::identity::PieceId;
use super::line::Reference;
use crate::measure::Length;
use crate::operation::FeatureName;
use crate::route::PieceLabel;

/// A piece, alive or come apart.
#[derive(Clone, Debug, PartialEq)]
pub struct Piece {
    pub id: PieceId,
    pub label: PieceLabel,
    pub gang: u32,
    pub from: Option<PieceId>,
    /// The piece it takes the place of.
    pub instead_of: Option<PieceId>,
    /// The operation it joins the others at, when it came late.
    pub joins: Option<u32>,
    /// False once it came apart into others.
    pub whole: bool,
    /// Where it was set aside, and why.
    pub aside: Option<(u32, String)>,
    pub decisions: Vec<DecisionRecord>,
}

/// What was decided about a piece, and when in the merged journal.
#[derive(Clone, Debug, PartialEq)]
pub struct DecisionRecord {
    pub op: u32,
    pub decision: Decision,
    pub why: String,
    pub order: usize,
}

/// A reading as it stands on record.
#[derive(Clone, Debug, PartialEq)]
pub struct ReadingRecord {
    pub reference: Reference,
    pub at: DateTime<FixedOffset>,
    pub who: Option<String>,
    pub taken: TakenReading,
    pub voided: bool,
    /// Its place in the merged journal.
    pub order: usize,
}

/// A scale that was set, and what it showed.
#[derive(Clone, Debug, PartialEq)]
pub struct ScaleCheck {
    pub stored: StoredSetting,
    pub pieces: Vec<PieceId>,
    /// What was in the machine then, where it was said.
    pub tool: Option<String>,
    pub shown: Length,
    pub right: bool,
    /// Moved away from since.
    pub superseded: bool,
    /// Its place in the merged journal.
    pub order: usize,
}

/// How far an operation has come.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct SetupState {
    /// How many dimensions had been made when it began; `None` until then.
    pub begun: Option<usize>,
    /// Everything the scales were set to, right or not, oldest first.
    pub shown: Vec<ScaleCheck>,
    /// What is still to be added to a setting's dial after a first piece.
    pub moves: BTreeMap<String, Length>,
    pub tool: Option<String>,
    /// The piece that proved the settings, until one is set anew or the tool changed.
    pub first_piece: Option<PieceId>,
    /// When the first of its first pieces was good, by the merged journal.
    pub proved: Option<usize>,
    /// Which pieces went through which pass.
    pub passes: BTreeMap<u32, BTreeSet<PieceId>>,
    /// Pieces through the operation, in cut order.
    pub done: Vec<PieceId>,
    /// The same pieces, to be found fast.
    pub(super) through: BTreeSet<PieceId>,
    pub closed: bool,
    /// What was said when people left in the middle.
    pub left: Option<String>,
    /// The last piece measured before they left: measured again by whoever
    /// goes on, it tells one gauge and person from another.
    pub bridge: Option<PieceId>,
    /// Features whose drift from first to last people left as it is.
    pub drifts_left: BTreeSet<FeatureName>,
    pub opened_early: Option<GateOpening>,
}

/// A lead let an operation begin though something was to be waited for.
#[derive(Clone, Debug, PartialEq)]
pub struct GateOpening {
    /// The lead's initials; empty where an old line doesn't say.
    pub by: String,
    pub why: String,
    /// Its place in the merged journal.
    pub order: usize,
}

impl GateOpening {
    /// Who opened it and why: `MB: the glue is dry`.
    pub fn words(&self) -> String {
        if self.by.is_empty() { self.why.clone() } else { format!("{}: {}", self.by, self.why) }
    }
}

/// A dimension made from readings, as it was accepted.
#[derive(Clone, Debug, PartialEq)]
pub struct AcceptedMade {
    pub made: MadeDimension,
    pub reference: Reference,
    pub order: usize,
}

/// When a gauge was last known to be right at a station.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Zeroing {
    pub at: DateTime<FixedOffset>,
    pub readings_since: u32,
}

/// What a gauge read on its check block, less what the block is.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct BlockCheck {
    pub station: String,
    pub gauge: String,
    pub at: DateTime<FixedOffset>,
    pub off: Length,
    /// Its place in the merged journal.
    pub order: usize,
}

/// A line people wrote.
#[derive(Clone, Debug, PartialEq)]
pub struct Remark {
    pub at: DateTime<FixedOffset>,
    pub who: Option<String>,
    pub op: Option<u32>,
    pub text: String,
    /// Whether it was typed, or sent by a gauge, while only Enter was asked for.
    pub is_unasked: bool,
}

/// How many pieces are through an operation, out of it, and still to go.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct PieceTally {
    pub done: usize,
    pub aside: usize,
    pub to_go: usize,
}

/// Something waited for.
#[derive(Clone, Debug, PartialEq)]
pub struct RunningWait {
    pub op: u32,
    pub until: DateTime<FixedOffset>,
    pub what: String,
    /// Its place in the merged journal.
    pub order: usize,
}
