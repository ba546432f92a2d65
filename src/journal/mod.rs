//! Everything a batch is: its events, the lines that hold them, the folder on disk,
//! and the state as the fold of the journal. Must not know what is asked of people,
//! nor screens, keys or commands.

mod boards;
mod disk;
mod event;
mod facts;
mod folder;
mod line;
mod merge;
mod name;
mod open;
pub(crate) mod state;
mod station;

pub use boards::{BOARDS, BatchBoard, BatchBoards, BoardQuestion, ProposedLayout, listed};
pub use disk::StoreError;
pub use event::{
    AcceptedChange, BoardAnswer, BoardId, Decision, Event, GaugeSays, JournalLine, KnotOffer,
    LaidBlank, LaidBoard, LaidMissing, LaidOut, LaidSection, MadeDimension, NewPiece, PieceId,
    StoredSetting, TakenReading, UsedValue,
};
pub use facts::{initial_pieces, split};
pub use folder::{BatchFolder, Everything, FileDamage, Fingerprint, Home};
pub use line::{Damage, JournalEntry, Reference, Scan, encode, scan};
pub use merge::{merge, next_after};
pub use open::{OpenBatch, OpenError, Snapshot, read_route, read_shop};
pub use state::{
    BlockCheck, DecisionRecord, GateOpening, Piece, PieceTally, ReadingRecord, Remark, RunningWait,
    ScaleCheck, SetupState, State, Zeroing,
};
pub use station::{OpenReport, Station};
