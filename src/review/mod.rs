//! What the numbers say: whether it will go together, where a piece went out,
//! what each operation added, and why. Knows nothing of screens or files.

mod asked;
mod cause;
mod chain;
mod days;
mod findings;
mod fit_way;
pub mod fit_words;
pub mod fits;
pub mod invented;
pub mod learn;
mod origin;
mod readings;
mod season;
pub mod stack;
pub mod trials;
mod way_back;
mod wood;
pub mod words;

pub use asked::asked;
pub use cause::{
    Doubt, FEWEST, Machine, Runner, STRONG, Spread, Story, Told, WEAK, evidence, spread, story,
};
pub use days::days;
pub use findings::{Account, Findings, GaugeMoved, Out, findings};
pub use fit_way::{FitShare, FitWay, fit_way};
pub use readings::{Kind, Point, Series, series};
pub use season::{Season, Seasons};
pub use way_back::{Added, Stop, WayBack, way_back, ways_back};
pub use wood::{Amount, WoodAccount, WoodUsed, wood_used};
