//! Lengths: what people type, what a scale shows, what a gauge can tell.
//! Pure, and knows nothing of formulas, machines or files.

mod length;

pub use length::{Length, Unit};
