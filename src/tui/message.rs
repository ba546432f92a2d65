//! Everything that can happen to the app, and everything it can ask for.
//! Both lists are closed: this page is all there is.

use chrono::{DateTime, FixedOffset};
use crossterm::event::KeyEvent;

use crate::journal::{Event, Snapshot};
use crate::route::Article;
use crate::work::BatchRow;

/// Something that happened.
#[derive(Debug)]
pub enum AppMessage {
    Key(KeyEvent, DateTime<FixedOffset>),
    /// Text pasted, or sent in one go by a gauge.
    Pasted(String, DateTime<FixedOffset>),
    /// The time something was due has come.
    Woke(DateTime<FixedOffset>),
    /// The terminal has another size; it only has to be drawn again.
    Resized,
    /// The lists of the opening screen.
    Listed(Vec<BatchRow>, Vec<RouteRow>),
    /// A batch is open.
    Opened(Box<Snapshot>, DateTime<FixedOffset>),
    /// Events are on the disk, and this is the state with them.
    Recorded(Box<Snapshot>, DateTime<FixedOffset>),
    /// Other stations wrote something.
    Refreshed(Box<Snapshot>),
    /// An effect failed; nothing was recorded beyond what a snapshot shows.
    Failed(String),
}

/// Something the loop is to do.
#[derive(Debug, PartialEq)]
pub enum Effect {
    /// Put events on the disk.
    Append {
        who: Option<String>,
        events: Vec<Event>,
    },
    /// ReviewState for batches and routes.
    List,
    /// Open a batch under way.
    Open {
        name: String,
    },
    /// Begin a batch from a route.
    Start {
        route: usize,
        name: String,
        sets: u32,
    },
    /// Draw everything anew.
    Repaint,
    /// Stop until the shell wakes us.
    Suspend,
    Quit,
}

/// A route that can be begun.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct RouteRow {
    pub name: String,
    pub about: String,
    pub sets: u32,
    pub article: Article,
    /// The name a new batch of it takes unless told otherwise.
    pub suggested: String,
}
