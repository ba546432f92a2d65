//! Everything a batch is: its events, the lines that hold them, the folder on disk,
//! and the state as the fold of the journal. Must not know what is asked of people,
//! nor screens, keys or commands.

mod boards;
mod disk;
mod event;
mod facts;
mod fold;
mod folder;
mod identity;
mod laid_out;
mod line;
mod merge;
mod name;
mod open;
mod record;
mod state;
mod station;
mod text_decisions;

pub use boards::{BatchBoard, BatchBoards, BoardQuestion, ProposedLayout, listed};
pub use disk::StoreError;
pub use event::{
    AcceptedChange, Decision, Event, GaugeSays, JournalLine, MadeDimension, NewPiece,
    StoredSetting, TakenReading, UsedValue,
};
pub use facts::{CameFrom, initial_pieces, split};
pub use folder::{BatchFolder, Everything, FileDamage, Fingerprint, Home};
pub use identity::{BOARDS, BoardId, PieceId};
pub use laid_out::{
    BoardAnswer, KnotOffer, LaidBlank, LaidBoard, LaidMissing, LaidOut, LaidSection,
};
pub use line::{Damage, JournalEntry, Reference, Scan, encode, scan};
pub use merge::{merge, next_after};
pub use open::{OpenBatch, OpenError, Snapshot, read_route, read_shop};
pub use record::{
    AcceptedMade, BlockCheck, DecisionRecord, GateOpening, Piece, PieceTally, ReadingRecord,
    Remark, RunningWait, ScaleCheck, SetupState, Zeroing,
};
pub use state::State;
pub use station::{OpenReport, Station};
