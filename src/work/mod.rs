//! What is asked next at an operation, and what an answer means. Must not know
//! screens, keys, commands or how an event is written.
//!
//! [`task`] computes the one task from the state alone, and [`handle_input`] turns
//! an answer into events. Both are pure, so anybody can go on where somebody left
//! off, and both are tested without a screen. Steps that a screen remembers were
//! rejected.
//!
//! A setup freezes at its first setting: a late reading elsewhere must not move a
//! fence in the middle of a stack. A setting that is moved after a first piece is an
//! event of its own, so the planned dial stays what it was and the journal shows how
//! far this setup went from it.
//!
//! A lead can open an operation before its time. Nobody can override a machine's own
//! limits: they protect people, they are not about order.
//!
//! A size measured again on another day is judged by what the gauge read on its
//! block on both days. The block is the one thing that did not move. A second
//! reading by another person was rejected: two people with one gauge may agree and
//! both be wrong.
//!
//! Boards are entered as words, so letters are no commands there, but Backspace on an
//! empty line still undoes: names, woods and flaws begin with letters that are
//! commands elsewhere.

mod adapting;
mod adoption;
mod advice;
mod boards_layout;
mod boards_task;
mod choosing;
mod closing;
mod context;
mod counted;
mod current;
mod cut_order;
mod decide;
mod drift;
mod following;
mod gate;
mod handover;
mod input;
mod input_kind;
mod instructions;
mod known_scales;
mod lead_named;
mod leaving;
mod matched;
mod mistakes;
mod next_number;
mod note;
mod on_paper;
mod others_there;
mod overview;
mod paper_code;
mod pass_through;
mod progress;
mod proposal;
mod reading_input;
mod reading_mistakes;
mod ready;
mod refusal;
mod remedy;
mod rereading;
mod scale_input;
mod sequence;
mod shop_adoption;
mod shop_change;
mod sign_off;
mod signed_off;
mod slips;
mod stack;
mod stand_in;

mod standing_scales;
mod task;
mod today;
mod today_articles;
mod today_page;
mod today_people;
mod today_settings;
mod today_times;
mod undo;
mod witness;

pub use adapting::{AdaptableSize, AdaptedRoute, finished, sizes_words};
pub use adoption::{Adoption, adopt, adoption};
pub use advice::{Advice, advice, limits_words};
pub use boards_task::{next_name, ruling_options};
pub use choosing::{
    cannot_be_made, choose, first_cut, first_cut_of_wood, join, objection, owner_leaves, owners_of,
};
pub use context::WorkContext;
pub use current::task;
pub use decide::{remake, set_aside, use_elsewhere};
pub use drift::{Drift, DriftShape, drift, machine_spread};
pub use following::{following, resumed};
pub use gate::{at_words, next_wake};
pub use handover::handover;
pub use input::{hand_keys, handle_input, leave, open_gate};
pub use input_kind::InputKind;
pub use instructions::{fit_first, while_cutting, while_setting};
pub use known_scales::{
    KnownScale, ScaleKnowledge, age, known_scales, main_scale, offset_words, unit_of,
};
pub use lead_named::{PinTries, lead_named};
pub use leaving::station_leaves;
pub use matched::{Matched, matched};
pub use note::note;
pub use on_paper::taken_on_paper;
pub use others_there::{OthersThere, others_before, others_there};
pub use overview::{BatchRow, BatchStanding, TimedWait};
pub use paper_code::{NoPaperCode, PaperCode};
pub use progress::{is_finished, next_op};
pub use proposal::{KeepOption, Proposal, proposal, questions, waits_for_the_lead};
pub use reading_mistakes::follow_up_questions;
pub use ready::{NextOperation, ready};
pub use refusal::initials;
pub use remedy::{Remedy, choices};
pub use scale_input::wrong_scale;
pub use shop_adoption::{ShopAdoption, adopt_shop, shop_adoption};
pub use shop_change::{ScaleMarks, ShopChange};
pub use sign_off::sign_off;
pub use stand_in::stood_in;
pub use task::{BoardsTask, NextNumber, ReadReason, SettingTask, Task, ToolChange};
pub use today::{MachineToday, SignedOff, Today, WaitToday, WorkStanding, WorkToday, today};
pub use today_articles::{ArticleStanding, ArticleToday, BatchToday, PartToday};
pub use today_page::{
    ArticlesAlike, TodayLine, TodayLineKind, article_rows, article_words, articles_alike,
    machine_lines, today_title, waiting_lines,
};
pub use today_people::{Presence, PresenceStanding};
pub use today_settings::{OneSetting, SettingUse};
pub use today_times::{Estimate, EstimateBasis};
pub use undo::{last_answer, redo, void};
pub use witness::{AlikeRepeats, RepeatCause, RepeatOccasion, RepeatReading, repeat_reading};
