//! Where a piece went out of limits, what each operation added, why, and where the
//! wood went. Must not know screens or files.
//!
//! Everything here is computed from the journal, and nothing is written.
//!
//! # How a batch is reviewed
//!
//! [`series`] has the readings of each check in cut order. [`findings`] diagnoses
//! each of them with [`crate::series::diagnose`] and looks for gauges whose zero
//! moved. [`attribution()`] follows one miss back through its operations; what
//! they added sums to the miss. [`wording`] says all of it in sentences.
//!
//! # Decisions
//!
//! A cause smaller than the gauge can show is never reported.
//!
//! Whether the wood or the gauge changed between two days is decided by what the
//! gauge read on its block on both days, because the block is the one thing that
//! didn't move. Rejected: a second reading by another person, since two people
//! with one gauge may agree and both be wrong.
//!
//! # Adding an entry to the account of the wood
//!
//! Give [`WoodAccount`] a field. The compiler then asks for its name in
//! [`WoodAccount::entries`] and for its sum. Where the wood is cut up decides what
//! goes into it, and the command's output needs a key for it.

mod advice;
mod attribution;
mod batch_review;
mod check_words;
mod findings;
mod follow_up_questions;
mod gauge_shifts;
mod lead_words;
mod makers;
mod read_twice;
mod readings;
mod repeats;
mod wood;
pub mod wording;

pub use advice::next_action;
pub use attribution::{AddedMiss, Attribution, MeasuredStage, attribution, attributions};
pub use batch_review::{BatchReview, CheckedSeal};
pub use check_words::{ChartedSeries, check_lines, out_words, point_words, told_places};
pub use findings::{CheckDiagnosis, Findings, Out, findings};
pub use follow_up_questions::follow_up_questions;
pub use gauge_shifts::GaugeShift;
pub use lead_words::{LeadWord, VoidedReading, Writer, lead_words, voided_out};
pub use makers::{MakerReport, MakersInput, PartStanding, makers};
pub use read_twice::{ReadTwice, read_twice};
pub use readings::{Series, SeriesPoint, Subset, series};
pub use repeats::repeats;
pub use wood::{WoodAccount, WoodAmount, WoodUsed, wood_used};
