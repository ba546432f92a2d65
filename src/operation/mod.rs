//! One file per kind of operation. Knows nothing of routes, batches or screens.

pub mod drawing;
