//! The records the state is made of: pieces, readings, setups, waits.

use std::collections::{BTreeMap, BTreeSet};

use bit_set::BitSet;
use chrono::{DateTime, FixedOffset};

use super::detail::{Decision, MadeDimension, StoredSetting, TakenReading};
use super::identity::PieceId;
use super::line::Reference;
use super::seal::StationSeal;
use crate::measure::Length;
use crate::operation::FeatureName;
use crate::route::{Chosen, PieceLabel};

/// An article: whose it is, and what its maker chose.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct ArticleRecord {
    /// Whose it is.
    pub owner: Option<String>,
    /// What was chosen.
    pub chosen: Chosen,
    /// Whether its owner left.
    pub has_left: bool,
}

/// A piece, or a blank that may be cut into pieces.
#[derive(Clone, Debug, PartialEq)]
pub struct Piece {
    /// Its identity.
    pub id: PieceId,
    /// Its place among all pieces of the batch, from nought: the cut order.
    pub place: usize,
    /// What it is called.
    pub label: PieceLabel,
    /// How many finished pieces are still one length in it.
    pub gang: u32,
    /// The blank it came out of.
    pub from: Option<PieceId>,
    /// The place of that blank, so that nobody looks it up by its name.
    pub(super) from_place: Option<usize>,
    /// The piece it replaces.
    pub instead_of: Option<PieceId>,
    /// The operation it joins the others at, when it came late.
    pub joins: Option<u32>,
    /// False once it was cut into others.
    pub whole: bool,
    /// Where it was set aside, and why.
    pub aside: Option<(u32, String)>,
    /// What was decided about it, oldest first.
    pub decisions: Vec<DecisionRecord>,
}

/// What was decided about a piece, and when in the merged journal.
#[derive(Clone, Debug, PartialEq)]
pub struct DecisionRecord {
    /// The number of the operation.
    pub op: u32,
    /// What was decided.
    pub decision: Decision,
    /// The reason, as it was typed.
    pub why: String,
    /// Its place in the merged journal.
    pub order: usize,
}

/// A reading on record.
#[derive(Clone, Debug, PartialEq)]
pub struct ReadingRecord {
    /// The line it was written in.
    pub reference: Reference,
    /// When it was taken.
    pub at: DateTime<FixedOffset>,
    /// Who took it, where somebody had said.
    pub who: Option<String>,
    /// The reading itself.
    pub taken: TakenReading,
    /// Whether a later line voided it.
    pub voided: bool,
    /// Whether that line asks to measure the piece again, so that it is no mistake in
    /// typing.
    pub to_measure_again: bool,
    /// Its place in the merged journal.
    pub order: usize,
}

/// Where a reading of a piece stands. Its order is kept beside it, because whoever wants
/// the earlier ones would else look at readings all over the batch.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct ReadingPlace {
    /// Among all readings.
    pub(super) at: usize,
    /// In the merged journal.
    pub(super) order: usize,
}

/// Which pieces a size was read of, by their places.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct ReadPlaces {
    /// Those with any reading of it, the voided ones too.
    pub any: BitSet,
    /// Those with one reading, which counts and is within limits.
    pub once_within: BitSet,
}

/// A scale that was set, and what it showed.
#[derive(Clone, Debug, PartialEq)]
pub struct ScaleCheck {
    /// The setting and what its scale had to show.
    pub stored: StoredSetting,
    /// The pieces it is for; none means all of them.
    pub pieces: Vec<PieceId>,
    /// The tool in the machine at that time, where it was said.
    pub tool: Option<String>,
    /// What the scale showed.
    pub shown: Length,
    /// Whether that was right.
    pub right: bool,
    /// Whether it has been moved since.
    pub superseded: bool,
    /// When it was typed.
    pub at: DateTime<FixedOffset>,
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
    /// Where in the merged journal a setting was moved after a first piece.
    pub moved: Vec<usize>,
    /// The tool in the machine, where it was said.
    pub tool: Option<String>,
    /// The piece that proved the settings, until one is set anew or the tool changed.
    pub first_piece: Option<PieceId>,
    /// Where in the merged journal its first first piece was good.
    pub proved: Option<usize>,
    /// Which pieces went through which pass, by their places.
    pub passes: BTreeMap<u32, BitSet>,
    /// Pieces through the operation, in cut order.
    pub done: Vec<PieceId>,
    /// The same pieces by their places, for lookup.
    pub(super) through: BitSet,
    /// Whether people said that every piece is through.
    pub closed: bool,
    /// What was said when people left in the middle.
    pub left: Option<String>,
    /// Where in the merged journal a piece was last set aside here.
    pub lost: Option<usize>,
    /// The last piece measured before they left. Whoever goes on measures it again,
    /// which shows whether gauge and person read alike.
    pub bridge: Option<PieceId>,
    /// Features whose drift from first to last people left as it is.
    pub drifts_left: BTreeSet<FeatureName>,
    /// Whether a lead opened it before its time, and why.
    pub opened_early: Option<GateOpening>,
}

/// The pieces through an operation.
#[derive(Clone, Copy, Debug)]
pub struct PiecesThrough<'a>(pub(super) Option<&'a BitSet>);

impl<'a> PiecesThrough<'a> {
    /// The places of those that are named themselves, and not only the blank they came
    /// from.
    pub fn places(self) -> Option<&'a BitSet> {
        self.0
    }

    /// Whether a piece, or the blank it came from, is one of them.
    pub fn has(self, piece: &Piece) -> bool {
        let has = |place| self.0.is_some_and(|through| through.contains(place));
        has(piece.place) || piece.from_place.is_some_and(has)
    }
}

/// A lead let an operation begin before its time.
#[derive(Clone, Debug, PartialEq)]
pub struct GateOpening {
    /// The lead's initials; empty where an old line doesn't say.
    pub by: String,
    /// The reason, as it was typed.
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
    /// The dimension and its value.
    pub made: MadeDimension,
    /// The line it was written in.
    pub reference: Reference,
    /// Its place in the merged journal.
    pub order: usize,
}

/// When a gauge was last known to be right at a station.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Zeroing {
    /// When.
    pub at: DateTime<FixedOffset>,
    /// How many readings the gauge has given since.
    pub readings_since: u32,
}

/// How far a gauge was off on its check block.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct BlockCheck {
    /// The station.
    pub station: String,
    /// The gauge, by its name in the shop file.
    pub gauge: String,
    /// When.
    pub at: DateTime<FixedOffset>,
    /// How much more than the block it read.
    pub off: Length,
    /// Its place in the merged journal.
    pub order: usize,
}

/// A seal over the batch.
#[derive(Clone, Debug, PartialEq)]
pub struct BatchSeal {
    /// The lead's initials.
    pub by: String,
    /// When.
    pub at: DateTime<FixedOffset>,
    /// What every station had written until then.
    pub stations: Vec<StationSeal>,
}

/// Something people wrote or typed.
#[derive(Clone, Debug, PartialEq)]
pub struct Remark {
    /// When.
    pub at: DateTime<FixedOffset>,
    /// Whose initials the line has, where somebody had said.
    pub who: Option<String>,
    /// The operation it is about, where it is about one.
    pub op: Option<u32>,
    /// The piece it is about, where it is about one.
    pub piece: Option<PieceId>,
    /// The text.
    pub text: String,
    /// Whether it was typed, or sent by a gauge, while only Enter was asked for.
    pub is_unasked: bool,
}

/// How many pieces are through an operation, set aside at it, and still to go.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct PieceTally {
    /// Pieces through the operation.
    pub done: usize,
    /// Pieces set aside.
    pub aside: usize,
    /// Pieces still to go.
    pub to_go: usize,
}

/// What the reading written last changed, as it was before.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct BeforeReading {
    /// The line of the reading, which is an answer by itself.
    pub(super) reference: Reference,
    pub(super) op: u32,
    pub(super) gauge: String,
    pub(super) working_at: Option<u32>,
    pub(super) last_undone: Option<Vec<Reference>>,
    pub(super) has_done: bool,
    pub(super) is_begun: bool,
    pub(super) bridge: Option<PieceId>,
    pub(super) is_read_again: bool,
}

/// Something waited for.
#[derive(Clone, Debug, PartialEq)]
pub struct RunningWait {
    /// The number of the operation.
    pub op: u32,
    /// Until when.
    pub until: DateTime<FixedOffset>,
    /// What is waited for, in words.
    pub what: String,
    /// Its place in the merged journal.
    pub order: usize,
}
