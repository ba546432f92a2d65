//! What can be asked of the people at a machine: one task at a time.

use crate::journal::{BoardId, BoardQuestion, PieceId};
use crate::measure::{Dial, Length, Readout, Target, Verdict};

use super::proposal::Proposal;

/// Why a piece is to be measured.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum ReadReason {
    /// It proves the setting.
    First,
    /// The check asks for it.
    Check,
    /// First and last differ: where between them did it move?
    Between,
    /// Measured before somebody left: does it read the same now?
    Bridge,
}

/// A scale to be set, and what it must then show.
#[derive(Clone, Debug, PartialEq)]
pub struct SettingTask {
    pub setting: String,
    pub pass: Option<u32>,
    pub readout: Readout,
    pub target: Target,
    pub dial: Dial,
    /// Moved from what was planned, after a first piece.
    pub moved: Length,
    pub pieces: Vec<PieceId>,
    pub tool: Option<String>,
    pub presses: Option<u32>,
    /// What it showed before this pass.
    pub before: Option<Length>,
}

/// The one thing due now.
#[derive(Clone, Debug, PartialEq)]
pub enum Task {
    /// Nobody has said who is here.
    Who,
    /// The operation may not begin. Nobody opens a machine's own limit.
    Blocked {
        reasons: Vec<String>,
        openable: bool,
    },
    /// Cautions to be read by this person, for this machine and tool, today.
    Caution {
        machine: String,
        tool: Option<String>,
    },
    /// A gauge to be zeroed and tried on its block.
    Zero {
        gauge: String,
        block: Option<Length>,
    },
    /// A tool to be put in.
    Tool {
        machine: String,
        tool: String,
        was: Option<String>,
    },
    Set(SettingTask),
    /// The whole stack through, or done by hand.
    Feed {
        pass: Option<u32>,
        faces: Vec<&'static str>,
        feeds: u32,
        kiss: bool,
        pieces: Vec<PieceId>,
    },
    /// A piece to be measured.
    Read {
        piece: PieceId,
        check: usize,
        why: ReadReason,
    },
    /// A piece to be cut and ticked.
    Tick {
        piece: PieceId,
    },
    /// A piece out of limits, or too close to call.
    Decide {
        piece: PieceId,
        check: usize,
        verdict: Verdict,
        first: bool,
    },
    /// Everything is through.
    Close {
        done: usize,
        aside: usize,
    },
    /// What was measured becomes a dimension: the lead accepts what follows.
    Accept(Box<Proposal>),
    /// Something at the rack, before the first operation.
    Boards(BoardsTask),
    /// This operation is finished.
    Finished,
}

/// The one thing due at the rack.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum BoardsTask {
    /// Something about a board.
    Tell { board: BoardId, asks: BoardQuestion },
    /// The boards are told: another one, or they are laid out.
    More,
    /// Laid out: the lead accepts it, or rules on a knot first.
    Accept,
    /// A line to be drawn across a board: which of its marks.
    Mark { board: BoardId, mark: usize },
}

impl BoardsTask {
    /// Whether it is answered in words, so that letters are text.
    pub fn takes_words(&self) -> bool {
        let BoardsTask::Tell { asks, .. } = self else { return true };
        matches!(asks, BoardQuestion::Name | BoardQuestion::Species | BoardQuestion::Flaws)
    }
}
