//! Whether the parts will go together: every fit, the chain of dimensions behind it,
//! and how tolerances add up. Must not know what people are asked, screens or files.

mod chain;
mod fit_way;
pub mod fit_words;
mod judge;
mod origin;
mod season;
pub mod stack;
pub mod trials;

pub use fit_way::{FitShare, FitWay, fit_way};
pub use judge::*;
pub use season::{Season, Seasons};
