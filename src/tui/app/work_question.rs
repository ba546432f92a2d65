//! What can be asked in place of the entry line while a batch is open.

use super::maker_question::MakerQuestion;
use crate::journal::PieceId;

/// A question asked in place of the entry line.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) enum WorkQuestion {
    /// A note on the operation, or on a piece: which, and what it is called.
    Note(Option<(PieceId, String)>),
    /// Why the lead opens an operation that waits.
    Gate,
    /// When and by whom the readings were taken that are typed from paper now.
    OnPaper,
    /// When the bell rings today.
    Bell,
    /// A word to whoever takes over an operation left half done.
    Leave,
    /// Why the lead sets this piece aside.
    SetAside(PieceId),
    /// Which part this piece becomes, from which operation on, and why.
    UseElsewhere(PieceId),
    /// Why this piece is made again.
    Remake(PieceId),
    /// Whose an article is, or what its maker chooses.
    Maker(MakerQuestion),
    /// What becomes of this article, whose owner leaves.
    Depart(u32),
    /// Who is signed off on this machine, until when and by whom.
    SignOff,
    /// Who has the keys now.
    Initials,
    /// Whether what was undone is done again.
    Redo,
    /// The PIN of the lead with these initials.
    Pin(String),
    /// Whether an answer at another operation is undone.
    UndoAt {
        /// The operation.
        op: u32,
        /// What the answer did.
        words: String,
    },
}

impl WorkQuestion {
    /// Whether only y is an answer.
    pub(super) fn wants_a_yes(&self) -> bool {
        matches!(self, WorkQuestion::Redo | WorkQuestion::UndoAt { .. })
    }

    pub(super) fn words(&self) -> String {
        match self {
            WorkQuestion::Note(None) => "note",
            WorkQuestion::Note(Some((_, name))) => return format!("note on {name} (- for the op)"),
            WorkQuestion::Initials => "who has the keys now: initials",
            WorkQuestion::Pin(lead) => return pin_words(lead),
            WorkQuestion::OnPaper => "taken when, by whom: 14:30 MB",
            WorkQuestion::Bell => "bell time, such as 11:40",
            WorkQuestion::Gate => "lead's initials, reason",
            WorkQuestion::Leave => "note for the next person",
            WorkQuestion::SetAside(_) => "aside: lead's initials, why",
            WorkQuestion::UseElsewhere(_) => "reuse as: part, operation, initials, why",
            WorkQuestion::Remake(_) => "remake: lead initials, why",
            WorkQuestion::Maker(question) => return question.words.clone(),
            WorkQuestion::Depart(_) => "s spares or a aside: lead's initials, why",
            WorkQuestion::SignOff => "sign off: who, day or -, lead (seen)",
            WorkQuestion::Redo => "y does again what was undone",
            WorkQuestion::UndoAt { op, words } => return format!("y undoes {words} at op {op}"),
        }
        .to_owned()
    }
}

/// How a lead's PIN is asked for, wherever it is.
pub(super) fn pin_words(lead: &str) -> String {
    format!("PIN of {lead}")
}
