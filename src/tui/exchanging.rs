//! What the traveler knows of an exchange with other terminals: it is told when something
//! was written, and says in words how far behind it is.

use chrono::{DateTime, FixedOffset};

/// An exchange with other terminals, while the traveler runs.
pub trait Exchanging {
    /// Something was written here.
    fn wake(&self);

    /// How far this terminal is behind, in words; nothing while all is well.
    fn behind(&self, now: DateTime<FixedOffset>) -> Option<String>;

    /// Batches that wait until a lead takes them in: name and station.
    fn waiting(&self) -> Vec<(String, String)>;
}

/// Begins an exchange; what it is given wakes the traveler whenever its words change.
pub type BeginExchange = Box<dyn FnOnce(Box<dyn Fn() + Send>) -> Box<dyn Exchanging>>;
