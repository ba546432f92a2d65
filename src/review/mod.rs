//! Where a piece went out, what each operation added, and why. Must not know
//! screens or files.

mod asked;
mod days;
mod findings;
mod readings;
mod way_back;
mod wood;
pub mod words;

pub use asked::asked;
pub use days::days;
pub use findings::{Account, Findings, GaugeMoved, Out, findings};
pub use readings::{Kind, Point, Series, from_inches, in_inches, series};
pub use way_back::{Added, Stop, WayBack, way_back, ways_back};
pub use wood::{Amount, WoodAccount, WoodUsed, wood_used};
