//! What to buy for a batch and what it costs.

mod list;

pub use list::{Asked, At, Cleaning, InWood, Line, NoPrice, StockList, ToBuy, list};
