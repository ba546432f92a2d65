//! What is asked next at an operation and what an answer means. Must not know
//! screens, keys, commands or how an event is written.

mod advice;
mod answer;
mod boards_layout;
mod boards_task;
mod decide;
mod handover;
mod input_kind;
mod matched;
mod mistakes;
mod overview;
mod proposal;
mod ready;
mod task;
mod witness;

pub use advice::{Advice, advice, asked, limits_words};
pub use answer::{KEPT_ASIDE, Remedy, choices, handle_input, leave, open_gate, void, wrong_scale};
pub use boards_task::{BoardsTask, next_name, ways};
pub use decide::{remake, set_aside, use_elsewhere};
pub use handover::handover;
pub use input_kind::InputKind;
pub use matched::{Matched, matched};
pub use overview::BatchRow;
pub use proposal::{Kept, Proposal, proposal, questions, waits_for_the_lead};
pub use ready::{NextOperation, ready};
pub use task::{
    Drift, ReadReason, SettingTask, Task, WorkContext, at_words, drift, is_finished, next_op, task,
    verdict_of, wake_at,
};
pub use witness::{RepeatCause, RepeatReading, repeat_reading};
