//! What to buy for a batch and what it costs.
//!
//! Must not know: which boards are in the rack.
//!
//! What is bought is what is needed divided by the yield. A percentage added on
//! top was rejected, though it is often done: waste is a share of what is
//! bought, so with 30 % of waste 100 board feet take 142.9, not 130.
//!
//! Wood to buy is a whole number of small steps, and money whole hundredths:
//! sums are exact, and the one rounding can be stated on the page.
//!
//! A part of several woods says how many pieces are of each and is listed once
//! for each, because a list that buys one wood for all strips of a striped lid
//! is wrong. A part for each wood was rejected: their strips pass every setting
//! together.

mod alternatives;
mod list;
mod owners;
mod quantity;
mod sentences;

pub use alternatives::WoodAlternative;
pub use list::{
    CleanUpCheck, ListOptions, NoPrice, SetupWood, StockLine, StockList, ThicknessSource, ToBuy,
    list,
};
pub use owners::{ArticlePrice, split};
pub use quantity::{Purchase, WoodQuantity, amount, figures};
pub use sentences::notes;
