//! The shop file: what the machines, tools and gauges are really like.
//! It must not know routes or batches.
//!
//! A stop on the offcut side needs a set-off block that the wood leaves before
//! it meets the blade, because a trapped offcut is thrown; a warning alone was
//! rejected. Money is in whole hundredths: sums are exact and the one rounding
//! can be stated. Keys that were renamed keep their old names as aliases,
//! because every batch keeps its shop file as it was.

mod bells;
mod caution;
mod entries;
mod file;
mod head;
mod lumber;
mod machine;
mod money;
mod own;
mod people;
mod person;
mod read;
mod read_lumber;

pub use caution::{Act, DEFER, ROUGH_STOCK, cautions, lifting, protection, short_caution};
pub use file::{LengthText, RENAMED_KEYS, ShopFile};
pub use head::{is_invented, shop_name};
pub use lumber::{Lumber, Per, Yield};
pub use machine::{
    BladeRule, LengthStop, Machine, MachineKind, MachineLeast, MostCut, ScaleOffsets, Shop,
    StopZero, Tool,
};
pub use money::Money;
pub use own::begun;
pub use person::{Day, Person, SignOffStanding};
pub use read::{impossible, read, without_a_lead};
pub use read_lumber::unlikely_woods;

/// The shop file that comes with the program: sensible invented values to be
/// copied and edited.
pub const BUNDLED: &str = include_str!("../../routes/shop.json");
