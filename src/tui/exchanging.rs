//! What the traveler knows of an exchange with other terminals: it is told when something
//! was written, and says in words how far behind it is.

use std::collections::BTreeSet;

use chrono::{DateTime, FixedOffset};

/// An exchange with other terminals, while the traveler runs.
pub trait Exchanging {
    /// Something was written here.
    fn wake(&self);

    /// Somebody looks who is there: the server is asked which stations it is connected with.
    fn look_around(&self);

    /// The stations that the server had no connection with when it was asked last; none where
    /// nobody can tell.
    fn unconnected(&self) -> BTreeSet<String>;

    /// What people should know of it; nothing while all is well.
    fn says(&self, now: DateTime<FixedOffset>) -> Option<ExchangeWords>;
}

/// What an exchange says.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct ExchangeWords {
    /// All of it, in a sentence.
    pub whole: String,
    /// A word or two, where there is no room.
    pub brief: String,
}

/// Begins an exchange; what it is given wakes the traveler whenever its words change.
pub type BeginExchange = Box<dyn FnOnce(Box<dyn Fn() + Send>) -> Box<dyn Exchanging>>;
