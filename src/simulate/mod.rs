//! Invented batches, to practise on and to prove the review by: simulated people
//! walk a route through the same tasks and answers as at any terminal, and what
//! really happened is known. Must not know files, screens or the clock.
//!
//! # The model
//!
//! The true size of a piece is the sum of what the scale leaves, its offset, the
//! faults, and a normal deviation. A reading is the true size plus the zero error
//! of the gauge and a normal deviation of half its stated uncertainty, rounded to
//! its step. `SimulatedWood` holds the true sizes; they
//! reach the journal only through gauges.
//!
//! # Decisions
//!
//! A seed means one batch on every machine. Random numbers come from ChaCha with
//! normal draws that use no system library, because some systems round the
//! logarithm differently. Each draw has a stream of its own, named after
//! operation, piece and feature, so that with one seed a batch with a fault and
//! one without differ by that fault alone. Rejected: the system's generator, and
//! draws in the order of the walk.
//!
//! An invented batch begins on a Monday in the year 2000. The same arguments give
//! the same file, and nobody takes it for this week's work. Rejected: the clock,
//! and times that come from the seed.
//!
//! The first line of its journal says `invented`, with the seed and the faults,
//! and the state keeps that for every screen and export. All lines are
//! there before the folder gets its name.
//!
//! [`Settings::accepts_all`] leaves out all rework, for series that are judged as
//! they fell. [`Settings::until`] stops after an operation, because planning anew
//! costs most of the time of a whole walk.

mod decisions;
mod fault;
mod fault_text;
mod operators;
mod placement;
mod rng;
mod station;
mod wood;

use chrono::{DateTime, FixedOffset};
use thiserror::Error;

pub use fault::{Fault, FaultKind, Grows, shapes};
pub use station::STATION;

use crate::journal::JournalLine;
use crate::plan::{Known, walk};
use crate::prose::Message;
use crate::route::Route;
use crate::shop::Shop;
use operators::Operators;
use placement::{PlacedFault, place_fault};
use rng::SeededRng;
use wood::SimulatedWood;

/// The prefix of the name of every invented batch.
pub const PREFIX: &str = "invented-";

/// Which batch to invent.
#[derive(Clone, Debug)]
pub struct Settings {
    /// Its name; [`named`] makes such a name.
    pub batch: String,
    /// The random seed.
    pub seed: u32,
    /// What goes wrong in it.
    pub faults: Vec<Fault>,
    /// A factor on the spread of machines and gauges: 1 is a good shop, 0 none.
    pub noise: f64,
    /// The probability of a gross misreading, 0 to 1.
    pub misses: f64,
    /// Whether the lead accepts every piece, so that each is measured once and
    /// nothing is cut again or set aside.
    pub accepts_all: bool,
    /// The last operation walked; `None` walks to the end.
    pub until: Option<u32>,
    /// When work begins.
    pub begins: DateTime<FixedOffset>,
}

impl Default for Settings {
    /// A batch without faults, begun on a Monday in the year 2000.
    fn default() -> Settings {
        let eight =
            chrono::NaiveDate::from_ymd_opt(2000, 1, 3).and_then(|d| d.and_hms_opt(8, 0, 0));
        Settings {
            batch: format!("{PREFIX}batch"),
            seed: 1,
            faults: Vec::new(),
            noise: 1.0,
            misses: 0.0,
            accepts_all: false,
            until: None,
            begins: eight.unwrap_or_default().and_utc().fixed_offset(),
        }
    }
}

/// Why a batch can't be invented.
#[derive(Clone, Debug, PartialEq, Eq, Error)]
pub enum CannotInvent {
    /// A fault doesn't fit the route; the place is its number, counted from zero.
    #[error("{}", .0.what)]
    Fault(Message<usize>),
    /// An operation can't be walked to its end.
    #[error("op {op} can't be walked: {what}")]
    Stuck {
        /// The operation.
        op: u32,
        /// Why.
        what: String,
    },
}

/// The name of an invented batch: with [`PREFIX`], once.
pub fn named(name: &str) -> String {
    if name.starts_with(PREFIX) { name.to_owned() } else { format!("{PREFIX}{name}") }
}

/// Invents a batch of a route in a shop: its journal, in the order it would
/// have been written. The same settings give the same lines. An error where a
/// fault doesn't fit the route, or the route can't be walked.
pub fn invent(
    route: &Route,
    shop: &Shop,
    settings: &Settings,
) -> Result<Vec<JournalLine>, CannotInvent> {
    let plan = walk(route, shop, &Known::default());
    let placed: Result<Vec<PlacedFault>, CannotInvent> = settings
        .faults
        .iter()
        .enumerate()
        .map(|(n, fault)| {
            place_fault(route, shop, &plan, fault).map_err(|why| CannotInvent::Fault(why.at(n)))
        })
        .collect();
    let wood = SimulatedWood::new(SeededRng(settings.seed), settings.noise, placed?);
    Operators::new(route, shop, settings, wood).walk()
}
