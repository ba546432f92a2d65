//! Everything that can happen to a batch, as it is written in its journal.
//! Knows nothing of files, screens or what follows from an event.

use serde::{Deserialize, Serialize};

use super::identity::{BOARDS, BoardId, PieceId};
use super::laid_out::{BoardAnswer, KnotOffer, LaidOut};
use super::line::{JournalEntry, Reference};
use crate::measure::{Dial, Length, Limits, SafeSide, Target, Verdict, judge};
use crate::operation::FeatureName;
use crate::route::{HoldsFor, PieceLabel};
use crate::stock::{Flaw, RackBoard, Ruling};

/// A line of the journal.
pub type JournalLine = JournalEntry<Event>;

/// A piece coming into being, with what it is called from now on.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct NewPiece {
    pub id: PieceId,
    pub label: PieceLabel,
    /// How many finished pieces still hang together in it.
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
    pub setting: String,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub pass: Option<u32>,
    pub target: Target,
    pub dial: Dial,
}

/// A named value a setting was computed from.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct UsedValue {
    pub dim: String,
    pub value: Length,
    pub made: bool,
}

/// What a gauge said: a number, or go / no-go.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum GaugeSays {
    Size(Length),
    In,
    TooBig,
    TooSmall,
}

/// One measured value, with all that is needed to judge it again years later.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct TakenReading {
    pub op: u32,
    pub piece: PieceId,
    pub feature: FeatureName,
    pub says: GaugeSays,
    /// As it was typed.
    pub typed: String,
    pub gauge: String,
    /// Expanded (k = 2); nothing for a go/no-go gauge.
    pub uncertainty: Length,
    pub target: Option<Length>,
    pub low: Option<Length>,
    pub high: Option<Length>,
    pub safe: SafeSide,
}

impl TakenReading {
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

/// What is decided about a piece that isn't to size.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Decision {
    Accept,
    Rework,
    UseElsewhere,
    Remake,
    SetAside,
}

impl Decision {
    pub fn words(self) -> &'static str {
        match self {
            Decision::Accept => "accept",
            Decision::Rework => "rework",
            Decision::UseElsewhere => "use elsewhere",
            Decision::Remake => "remake",
            Decision::SetAside => "set aside",
        }
    }
}

/// A dimension taking a value from readings.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct MadeDimension {
    pub dim: String,
    pub span: HoldsFor,
    /// Which set, when it holds for one.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub set: Option<u32>,
    /// Which piece, when it holds for one.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub piece: Option<PieceId>,
    pub value: Length,
    pub op: u32,
    pub words: String,
    /// The readings it was taken from.
    pub from: Vec<Reference>,
}

/// A setting that follows from what was accepted, as it was and as it is now.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct AcceptedChange {
    pub op: u32,
    pub setting: String,
    pub was: Option<Dial>,
    pub now: Dial,
}

fn is_nothing(count: &usize) -> bool {
    *count == 0
}

/// What happened, one line of the journal each.
///
/// It is read through `text_decisions`, which knows what older programs wrote.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case", remote = "Self")]
pub enum Event {
    /// The batch is invented, for practice: nobody cut or measured anything.
    /// It stands before everything else, so that no torn line can hide it.
    Invented {
        seed: u32,
        /// What is made to go wrong, as people write it.
        faults: Vec<String>,
    },
    /// The batch begins.
    Started {
        batch: String,
        route: String,
        sets: u32,
        #[serde(rename = "born")]
        pieces: Vec<NewPiece>,
    },
    /// Who is at this station now.
    People {
        present: Vec<String>,
    },
    /// The cautions of a machine and tool were read; it holds for the day.
    CautionRead {
        machine: String,
        tool: Option<String>,
        /// The lead who stays beside somebody not signed off on this machine.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        beside: Option<String>,
    },
    /// A gauge was zeroed, and what it then read on its check block.
    GaugeZeroed {
        gauge: String,
        typed: Option<String>,
        read: Option<Length>,
        block: Option<Length>,
    },
    /// A tool was put in, the machine isolated meanwhile.
    Tool {
        op: u32,
        machine: String,
        tool: String,
    },
    /// What a scale showed after it was set.
    Setting {
        op: u32,
        stored: StoredSetting,
        /// The pieces it is for; none named means all.
        pieces: Vec<PieceId>,
        tool: Option<String>,
        shown: Length,
        typed: String,
        /// Whether the scale showed the dial asked for.
        right: bool,
        used: Vec<UsedValue>,
    },
    /// A setting is to be moved after a first piece, by so much on its scale.
    Moved {
        op: u32,
        setting: String,
        by: Length,
        why: String,
    },
    /// The first piece of a setup is good.
    FirstPiece {
        op: u32,
        piece: PieceId,
    },
    Reading(TakenReading),
    /// Pieces have been through one of its passes, or through all of it.
    Done {
        op: u32,
        pieces: Vec<PieceId>,
        pass: Option<u32>,
        /// Whether they are through the operation with this.
        through: bool,
        tool: Option<String>,
        settings: Vec<StoredSetting>,
        /// Said by the reading or the decision before it, with which it stands and falls.
        by_reading: bool,
    },
    /// A blank of several came apart.
    Split {
        op: u32,
        from: PieceId,
        into: Vec<NewPiece>,
    },
    /// An event is struck out; it stays on record.
    #[serde(rename = "taken-back")]
    Voided {
        what: Reference,
    },
    Decided {
        op: u32,
        piece: PieceId,
        decision: Decision,
        why: String,
    },
    /// A piece is used as another part: the label moves, its history stays.
    Labelled {
        piece: PieceId,
        label: PieceLabel,
        joins: u32,
    },
    /// A piece is made again in the place of one that is lost.
    Remade {
        of: PieceId,
        #[serde(rename = "born")]
        piece: NewPiece,
    },
    Made(MadeDimension),
    /// The lead chose which end of a chain of dimensions stays.
    Kept {
        keep: String,
    },
    /// The lead accepted what follows from made values.
    Accepted {
        op: u32,
        /// The lead's initials.
        by: String,
        changes: Vec<AcceptedChange>,
    },
    /// The lead opened an operation before its time.
    GateOpened {
        op: u32,
        /// The lead's initials.
        #[serde(default)]
        by: String,
        why: String,
    },
    /// All pieces in are out; the setup may be torn down.
    Closed {
        op: u32,
        done: usize,
        aside: usize,
    },
    /// People left in the middle, and said how it stands.
    Left {
        op: u32,
        done: usize,
        to_go: usize,
        note: String,
    },
    Note {
        op: Option<u32>,
        text: String,
    },
    /// Whoever goes on skips measuring the last piece again.
    RepeatSkipped {
        op: u32,
    },
    /// First and last differ, and people leave it at that.
    DriftLeft {
        op: u32,
        feature: FeatureName,
    },
    /// Something typed, or sent by a gauge, while only Enter was asked for.
    TypedUnasked {
        op: u32,
        typed: String,
    },
    /// Something is waited for, such as glue.
    Timer {
        op: u32,
        minutes: u32,
        what: String,
    },
    /// A board of a list that was read when the batch began.
    BoardListed {
        board: BoardId,
        is: RackBoard,
    },
    /// An answer about a board at the rack.
    BoardSaid {
        board: BoardId,
        says: BoardAnswer,
        typed: String,
    },
    /// A flaw somebody saw on a board, at the rack or at the saw.
    FlawFound {
        board: BoardId,
        flaw: Flaw,
        typed: String,
    },
    /// The lead's word on a flaw.
    FlawRuled {
        board: BoardId,
        /// As it was until then.
        flaw: Flaw,
        ruling: Ruling,
        by: String,
        why: String,
    },
    /// Nothing more is cut from a board.
    BoardAside {
        board: BoardId,
        by: String,
        why: String,
    },
    /// Which piece comes from which board, put to the lead.
    LaidOut {
        layout: LaidOut,
        /// What could be done with knots instead.
        #[serde(default)]
        offers: Vec<KnotOffer>,
        /// Rulings on knots that nobody tried.
        #[serde(default, skip_serializing_if = "is_nothing")]
        untried: usize,
    },
    /// The lead accepted it: from now on the marks stand.
    LayoutAccepted {
        layout: LaidOut,
        by: String,
    },
    /// A line was drawn across a board.
    MarkDrawn {
        board: BoardId,
        /// From its marked end.
        at: Length,
    },
}

impl Event {
    /// The operation it belongs to.
    pub fn op(&self) -> Option<u32> {
        match self {
            Event::Tool { op, .. }
            | Event::Setting { op, .. }
            | Event::Moved { op, .. }
            | Event::FirstPiece { op, .. }
            | Event::Done { op, .. }
            | Event::Split { op, .. }
            | Event::Decided { op, .. }
            | Event::GateOpened { op, .. }
            | Event::Closed { op, .. }
            | Event::Left { op, .. } => Some(*op),
            Event::Reading(taken) => Some(taken.op),
            Event::BoardListed { .. }
            | Event::BoardSaid { .. }
            | Event::FlawFound { .. }
            | Event::FlawRuled { .. }
            | Event::BoardAside { .. }
            | Event::LaidOut { .. }
            | Event::LayoutAccepted { .. }
            | Event::MarkDrawn { .. } => Some(BOARDS),
            _ => None,
        }
    }

    /// Whether one key strikes it out again. What the lead accepted, and what
    /// people said, stands.
    pub fn can_be_voided(&self) -> bool {
        match self {
            Event::Reading(_)
            | Event::Setting { .. }
            | Event::Decided { .. }
            | Event::Closed { .. }
            | Event::BoardSaid { .. }
            | Event::FlawFound { .. }
            | Event::FlawRuled { .. }
            | Event::BoardAside { .. }
            | Event::LaidOut { .. }
            | Event::MarkDrawn { .. } => true,
            Event::Done { by_reading, .. } => !by_reading,
            _ => false,
        }
    }

    /// Whether it is only what an answer led to: it stands and falls with the
    /// event its station wrote before it.
    pub(super) fn follows(&self) -> bool {
        matches!(
            self,
            Event::FirstPiece { .. }
                | Event::Moved { .. }
                | Event::Done { by_reading: true, .. }
                | Event::Timer { .. }
        )
    }
}
