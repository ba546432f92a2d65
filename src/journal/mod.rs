//! Everything a batch is: its events, the lines that hold them, the folder on disk,
//! and the state as the fold of the journal. Must not know what is asked of people,
//! nor screens, keys or commands.

mod disk;
mod event;
mod facts;
mod folder;
mod line;
mod merge;
mod name;
mod open;
mod rack;
pub(crate) mod state;
mod station;

pub use disk::StoreError;
pub use event::{
    AcceptedChange, Birth, BoardId, BoardSays, Decision, Event, GaugeSays, KnotOffer, LaidBlank,
    LaidBoard, LaidMissing, LaidOut, LaidSection, Line, MadeDimension, PieceId, StoredSetting,
    TakenReading, UsedValue,
};
pub use facts::{births, split};
pub use folder::{BatchFolder, Everything, FileDamage, Fingerprint, Home};
pub use line::{Damage, Entry, Reference, Scan, encode, scan};
pub use merge::{merge, next_after};
pub use open::{OpenBatch, OpenError, Snapshot, read_route, read_shop};
pub use rack::{Bought, Proposed, Question, RACK, Rack, listed};
pub use state::{
    Opening, Piece, Reading, Remark, Ruling, Setup, Shown, State, Tally, Tried, Wait, Zeroing,
};
pub use station::{OpenReport, Station};
