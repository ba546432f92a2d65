//! The shop file: what the machines, tools and gauges are really like.
//! Knows nothing of routes or batches.

mod caution;
mod entries;
mod file;
mod lumber;
mod machine;
mod money;
mod read;
mod read_lumber;

pub use caution::{DEFER, DUST, ROUGH_STOCK, cautions};
pub use file::{LengthText, RENAMED_KEYS, ShopFile};
pub use lumber::{Lumber, Per, Yield};
pub use machine::{
    BladeRule, LengthStop, Machine, MachineKind, MostCut, Person, ScaleOffsets, Shop, Tool,
};
pub use money::Money;
pub use read::read;
pub use read_lumber::unlikely_woods;

/// The shop file that comes with the program: sensible invented values to be
/// copied and edited.
pub const BUNDLED: &str = include_str!("../../routes/shop.json");
