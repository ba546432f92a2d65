//! Wood before the first cut: what a batch needs of it, and which piece comes
//! from which board. Knows nothing of journals, files, screens or the clock.

mod board;
mod class;
mod layout;
mod list;
mod need;
mod scant;

pub use board::{Flaw, FlawKind, RackBoard, Ruling, Stretch};
pub use class::{Bought, Wood, nominal, scantest};
pub use layout::{Laid, Layout, Missing, Placed, Saw, Section};
pub use list::{Asked, At, Cleaning, InWood, Line, NoPrice, SetupWood, StockList, ToBuy, list};
pub use need::{Need, Pieces, needs, unknown_sizes};
pub use scant::{Suits, best, in_hand, suits};
