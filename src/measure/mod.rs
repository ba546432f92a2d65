//! Lengths: what people type, what a scale shows, what a gauge can tell.
//! Pure: it must not know formulas, machines or files.
//!
//! A length is a whole number of nanometres, so that every 64th of an inch,
//! every thousandth and every 0.01 mm is exact and JSON carries it unharmed.
//! Floating inches were rejected because 25 1/4 + 3/4 must be 26, and fractions
//! because metric wood has none.
//!
//! A reading is within limits only when it is inside by the gauge's
//! uncertainty. Planned and made sizes are then judged alike, and measuring
//! never makes a fit less sure. Adding the uncertainty on top of the limits
//! afterwards was rejected.

mod gauge;
mod length;
mod limits;
mod number;
mod numeral;
mod parse;
mod phrase;
mod readout;
mod spoken;
mod token;
mod verdict;
mod written;

pub use gauge::{Gauge, Judges, Reads};
pub use length::{Length, TooLong, Unit};
pub use limits::{Limits, Tolerance, parse_limits};
pub use parse::{Typed, parse_entry, parse_written};
pub use phrase::{Entry, Shade};
pub use readout::{Dial, Readout, Rounds, ScaleOffset, Setting, Shows, Target};
pub use spoken::spoken;
pub use verdict::{Feature, Limit, SafeSide, Verdict, Zone, judge, zone};
