//! What to buy for a batch and what it costs.
//! Must not know: which boards are in the rack.

mod list;

pub use list::{Asked, At, Cleaning, InWood, Line, NoPrice, StockList, ToBuy, list};
