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
    /// First and last differ, and a piece between them shows where.
    Between,
    /// It was measured before somebody left, and must read the same now.
    Bridge,
    /// Two readings of it differ by more than both uncertainties.
    Third {
        /// Whether it is the first piece of a setup.
        first: bool,
    },
}

/// A tool to be put into a machine.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct ToolChange {
    /// The machine, by its name in the shop file.
    pub machine: String,
    /// The tool, by its name in the shop file.
    pub tool: String,
    /// The tool that is in the machine.
    pub was: Option<String>,
}

/// A scale to be set, and what it must then show.
#[derive(Clone, Debug, PartialEq)]
pub struct SettingTask {
    /// The tool to be put in first: whoever types what the scale shows has done so.
    pub fit: Option<ToolChange>,
    /// The setting, by its name.
    pub setting: String,
    /// The pass, where the operation has several.
    pub pass: Option<u32>,
    /// How the scale shows a size.
    pub readout: Readout,
    /// The size the setting is for.
    pub target: Target,
    /// What the scale must show.
    pub dial: Dial,
    /// What else the scale may show, from and to, where a later pass cuts the rest.
    pub takes: Option<(Length, Length)>,
    /// How far it is moved from the plan, after a first piece.
    pub moved: Length,
    /// The pieces it is for; none means all of them.
    pub pieces: Vec<PieceId>,
    /// The tool, where the machine has one.
    pub tool: Option<String>,
    /// How often the jog button is pressed to get there.
    pub presses: Option<u32>,
    /// What it showed before this pass.
    pub before: Option<Length>,
}

/// The number that is asked for after unmeasured pieces. Whoever types it has cut
/// them, so nobody has to say so first.
#[derive(Clone, Debug, PartialEq)]
pub enum NextNumber {
    /// A reading of a piece.
    Read {
        /// The piece.
        piece: PieceId,
        /// Which check of the operation, from 0.
        check: usize,
        /// Why it is measured.
        why: ReadReason,
        /// The pass that it goes through first, alone.
        through: Option<u32>,
    },
    /// What the scale shows at one of the next passes, the next one first.
    Set(Vec<SettingTask>),
}

/// What is asked now.
#[derive(Clone, Debug, PartialEq)]
pub enum Task {
    /// Who is here?
    Who,
    /// The operation may not begin. Nobody can open a machine's own limit.
    Blocked {
        /// Why, one sentence each.
        reasons: Vec<String>,
        /// Whether a lead may open it all the same.
        openable: bool,
    },
    /// Cautions to be read by this person, for this machine and tool, today.
    Caution {
        /// The machine, by its name in the shop file.
        machine: String,
        /// The tool, where the machine has one.
        tool: Option<String>,
    },
    /// A gauge to be zeroed and tried on its block.
    Zero {
        /// The gauge, by its name in the shop file.
        gauge: String,
        /// The size of its check block.
        block: Option<Length>,
    },
    /// A tool to be put in.
    Tool(ToolChange),
    /// A scale to be set.
    Set(SettingTask),
    /// Every piece goes through, or is done by hand. Enter says all of them, a
    /// number how many so far.
    Feed {
        /// The pass, where the operation has several.
        pass: Option<u32>,
        /// The faces that are cut, in order.
        faces: Vec<&'static str>,
        /// How often each piece is fed.
        feeds: u32,
        /// Whether the table stays where it is for this pass.
        kiss: bool,
        /// Whether it is the first piece, looked at before the others follow.
        alone: bool,
        /// The pieces still to be fed, in order.
        pieces: Vec<PieceId>,
        /// What a number answers as well: it says that all are fed.
        then: Option<NextNumber>,
    },
    /// A piece to be measured.
    Read {
        /// The piece.
        piece: PieceId,
        /// Which check of the operation, from 0.
        check: usize,
        /// Why it is measured.
        why: ReadReason,
    },
    /// Pieces to be cut that nobody measures. Enter says all of them, a number
    /// how many so far.
    Cut {
        /// The pieces, in order.
        pieces: Vec<PieceId>,
        /// What a number answers as well: it says that all are cut.
        then: Option<NextNumber>,
    },
    /// A piece out of limits, or too close to call.
    Decide {
        /// The piece.
        piece: PieceId,
        /// Which check of the operation, from 0.
        check: usize,
        /// What its reading says.
        verdict: Verdict,
        /// Whether it is the first piece of a setup.
        first: bool,
    },
    /// Everything is through.
    Close {
        /// Pieces through the operation.
        done: usize,
        /// Pieces set aside.
        aside: usize,
    },
    /// What was measured becomes a dimension: the lead accepts what follows.
    Accept(Box<Proposal>),
    /// Something about the boards, before the first operation.
    Boards(BoardsTask),
    /// This operation is finished.
    Finished,
}

/// What is asked about the boards.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum BoardsTask {
    /// Something about a board.
    Tell {
        /// The board.
        board: BoardId,
        /// What is asked about it.
        asks: BoardQuestion,
    },
    /// Every board is complete: another one, or they are laid out.
    More,
    /// The lead accepts the layout, or rules on a knot first.
    Accept,
    /// A line to be drawn across a board: which of its marks.
    Mark {
        /// The board.
        board: BoardId,
        /// Which of its marks, from 0.
        mark: usize,
    },
}

impl BoardsTask {
    /// Whether it is answered in words, so that letters are text.
    pub fn takes_words(&self) -> bool {
        let BoardsTask::Tell { asks, .. } = self else { return true };
        matches!(asks, BoardQuestion::Name | BoardQuestion::Species | BoardQuestion::Flaws)
    }
}
