//! The shop file: what the machines, tools and gauges are really like.
//! Knows nothing of routes or batches.

mod caution;
mod file;
mod machine;
mod read;

pub use caution::{DEFER, DUST, ROUGH_STOCK, cautions};
pub use file::{ShopFile, Written};
pub use machine::{
    BladeRule, LengthStop, Machine, MachineKind, MostCut, Person, ScaleOffsets, Shop, Tool,
};
pub use read::read;

/// The shop file that comes with the program: sensible invented values to be
/// copied and edited.
pub const BUNDLED: &str = include_str!("../../routes/shop.json");
