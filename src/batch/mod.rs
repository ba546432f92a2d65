//! What happened to the sets being made together: the journal and its fold.

mod disk;
mod folder;
mod line;
mod merge;
mod name;
mod station;

pub use disk::StoreError;
pub use folder::{BatchFolder, Everything, FileDamage, Fingerprint, Home};
pub use line::{Damage, Entry, Reference, Scan, encode, scan};
pub use merge::{merge, next_after};
pub use station::{OpenReport, Station};
