//! Wood before the first cut: what a batch needs of it, and which piece comes
//! from which board. Knows nothing of journals, files, screens or the clock.

mod account;
mod board;
mod branch;
mod choose;
mod layout;
mod need;
mod pattern;
mod price;
mod tidy;

pub use account::{Account, Area, Blanks, account};
pub use board::{Flaw, FlawKind, RackBoard, Ruling, Stretch};
pub use layout::{Laid, Layout, Missing, Placed, Rack, Saw, Section, lay, layout};
pub use need::Need;
