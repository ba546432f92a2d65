//! Looks back on a batch: what its journal says afterwards, and what it can
//! say at all. Knows nothing of screens, commands or files.

pub mod invented;
