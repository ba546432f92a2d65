//! What to buy for a batch and what it costs.
//! Must not know: which boards are in the rack.

mod list;

pub use list::{
    CleanUpCheck, ListOptions, NoPrice, StockLine, StockList, ThicknessSource, ToBuy,
    WoodAlternative, list,
};
