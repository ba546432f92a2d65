//! Whether the parts will go together: every fit, the chain of dimensions behind it,
//! and how tolerances add up. Must not know what people are asked, screens or files.

mod attribution;
mod chain;
mod judge;
mod origin;
mod season;
pub mod stack;
pub mod trials;
pub mod wording;

pub use attribution::{FitAttribution, FitShare, fit_attribution};
pub use judge::*;
pub use season::{Season, Seasons};
