//! Where a piece went out, what each operation added, and why. Must not know
//! screens or files.

mod attribution;
mod findings;
mod follow_up_questions;
mod readings;
mod repeats;
mod wood;
pub mod wording;

pub use attribution::{AddedMiss, Attribution, Stage, attribution, attributions};
pub use findings::{CheckDiagnosis, Findings, GaugeShift, Out, findings};
pub use follow_up_questions::follow_up_questions;
pub use readings::{Point, Series, Subset, series};
pub use repeats::repeats;
pub use wood::{WoodAccount, WoodAmount, WoodUsed, wood_used};
