//! What happened to the sets being made together: the journal and its fold.
//! Knows nothing of screens, keys or commands.

mod advice;
mod answer;
mod decide;
mod disk;
mod due;
mod event;
mod facts;
mod folder;
mod follow;
mod handover;
mod line;
mod matched;
mod merge;
mod name;
mod open;
mod overview;
mod rack;
mod rack_due;
mod rack_layout;
mod ready;
mod sentinel;
mod shape;
mod state;
mod station;

pub use advice::{Advice, advice, asked, limits_words};
pub use answer::{
    Choice, KEPT_ASIDE, Refusal, answer, choices, leave, open_gate, take_back, wrong_scale,
};
pub use decide::{remake, set_aside, use_elsewhere};
pub use disk::StoreError;
pub use due::{
    Drift, Due, ReadWhy, SetDue, Stand, at_words, drift, due, is_finished, next_op, verdict_of,
    wake_at,
};
pub use event::{
    AcceptedChange, Birth, BoardId, BoardSays, Decision, Event, GaugeSays, KnotOffer, LaidBlank,
    LaidBoard, LaidMissing, LaidOut, LaidSection, Line, MadeDimension, PieceId, StoredSetting,
    TakenReading, UsedValue,
};
pub use facts::{births, split};
pub use folder::{BatchFolder, Everything, FileDamage, Fingerprint, Home};
pub use follow::{Kept, Proposal, proposal, questions, waits_for_the_lead};
pub use handover::handover;
pub use line::{Damage, Entry, Reference, Scan, encode, scan};
pub use matched::{Matched, matched};
pub use merge::{merge, next_after};
pub use open::{OpenBatch, OpenError, Snapshot, read_route, read_shop};
pub use overview::BatchRow;
pub use rack::{Bought, Proposed, Question, RACK, Rack, listed};
pub use rack_due::{RackDue, next_name, ways};
pub use ready::{Line as ReadyLine, ready};
pub use sentinel::{Again, Why, again};
pub use state::{
    Opening, Piece, Reading, Remark, Ruling, Setup, Shown, State, Tally, Tried, Wait, Zeroing,
};
pub use station::{OpenReport, Station};
