//! What the journal says afterwards: where a piece went out, what each
//! operation added, and why. Knows nothing of screens, files or clocks.

mod cause;
mod findings;
pub mod invented;
pub mod learn;
mod readings;
mod way_back;
pub mod words;

pub use cause::{
    Doubt, FEWEST, Machine, Runner, STRONG, Spread, Story, Told, WEAK, evidence, spread, story,
};
pub use findings::{Account, Findings, GaugeMoved, Out, findings};
pub use readings::{Point, Series, series};
pub use way_back::{Added, Stop, WayBack, way_back};
