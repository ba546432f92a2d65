//! Lengths: what people type, what a scale shows, what a gauge can tell.
//! Pure, and knows nothing of formulas, machines or files.

mod gauge;
mod length;
mod limits;
mod numeral;
mod phrase;
mod readout;
mod spoken;
mod token;
mod typed;
mod verdict;
mod written;

pub use gauge::{Gauge, Judges, Reads};
pub use length::{Length, TooLong, Unit};
pub use limits::{Limits, Tolerance, parse_limits};
pub use phrase::{Entry, Shade};
pub use readout::{Dial, Readout, Rounds, ScaleOffset, Setting, Shows, Target};
pub use spoken::spoken;
pub use typed::{Typed, parse_entry, parse_written};
pub use verdict::{Feature, Limit, SafeSide, Verdict, Zone, judge, zone};
