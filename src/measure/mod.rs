//! Lengths: what people type, what a scale shows, what a gauge can tell.
//! Pure, and knows nothing of formulas, machines or files.

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
