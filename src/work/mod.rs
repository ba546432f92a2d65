//! What is asked next at an operation and what an answer means. Must not know
//! screens, keys, commands or how an event is written.

mod advice;
mod boards_layout;
mod boards_task;
mod context;
mod current;
mod decide;
mod drift;
mod gate;
mod handover;
mod input;
mod input_kind;
mod matched;
mod mistakes;
mod overview;
mod pass_through;
mod progress;
mod proposal;
mod reading_input;
mod ready;
mod refusal;
mod remedy;
mod scale_input;
mod sequence;
mod task;
mod witness;

pub use advice::{Advice, advice, asked, limits_words};
pub use boards_task::{next_name, ways};
pub use context::WorkContext;
pub use current::task;
pub use decide::{remake, set_aside, use_elsewhere};
pub use drift::{Drift, drift};
pub use gate::{at_words, wake_at};
pub use handover::handover;
pub use input::{handle_input, leave, open_gate, void};
pub use input_kind::InputKind;
pub use matched::{Matched, matched};
pub use overview::BatchRow;
pub use progress::{is_finished, next_op};
pub use proposal::{Kept, Proposal, proposal, questions, waits_for_the_lead};
pub use ready::{NextOperation, ready};
pub use remedy::{Remedy, choices};
pub use scale_input::wrong_scale;
pub use task::{BoardsTask, ReadReason, SettingTask, Task};
pub use witness::{RepeatCause, RepeatReading, repeat_reading};
