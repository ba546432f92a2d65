//! What is asked next at an operation and what an answer means. Must not know
//! screens, keys, commands or how an event is written.

mod advice;
mod answer;
mod decide;
mod due;
mod follow;
mod handover;
mod input_kind;
mod matched;
mod overview;
mod rack_due;
mod rack_layout;
mod ready;
mod sentinel;
mod shape;

pub use advice::{Advice, advice, asked, limits_words};
pub use answer::{Choice, KEPT_ASIDE, answer, choices, leave, open_gate, take_back, wrong_scale};
pub use decide::{remake, set_aside, use_elsewhere};
pub use due::{
    Drift, Due, ReadWhy, SetDue, Stand, at_words, drift, due, is_finished, next_op, verdict_of,
    wake_at,
};
pub use follow::{Kept, Proposal, proposal, questions, waits_for_the_lead};
pub use handover::handover;
pub use input_kind::InputKind;
pub use matched::{Matched, matched};
pub use overview::BatchRow;
pub use rack_due::{RackDue, next_name, ways};
pub use ready::{Line as ReadyLine, ready};
pub use sentinel::{Again, Why, again};
