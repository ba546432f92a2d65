//! A clearance in the driest and in the dampest season, where a fit crosses the
//! grain of something. Knows nothing of how the planned one came about.
//!
//! As the wood swells the clearance gets smaller by what it swells (eq. 13-2
//! and 13-3, see [`moved`]); what it was made at is where it starts. All that
//! moves the planned clearance moves it in either season as well. Where the
//! wood's two numbers disagree, both ends are told of.

use super::judge::{FitVerdict, SizeRange};
use crate::measure::Length;
use crate::route::{Fit, Swells};
use crate::wood::{Found, Moisture, moved};

/// A clearance in both seasons.
#[derive(Clone, Debug, PartialEq)]
pub struct Seasons {
    /// What lies across the grain in it, as it is made.
    pub across: Length,
    pub swells: Swells,
    pub winter: Season,
    pub summer: Season,
}

/// A clearance at one moisture.
#[derive(Clone, Debug, PartialEq)]
pub struct Season {
    pub moisture: Moisture,
    /// With everything as planned or as made.
    pub clearance: Length,
    pub likely: SizeRange,
    pub holds: FitVerdict,
    /// What its movement was worked out with.
    pub by: Found,
    /// The least and the most the wood takes of it.
    pub(super) takes: SizeRange,
    /// Where it would likely lie if every lot came out alike.
    pub(super) at_best: SizeRange,
}

/// What the planned clearance comes to, and where it may lie.
pub(super) struct PlannedClearance {
    pub limits: SizeRange,
    pub nominal: Length,
    pub worst: SizeRange,
    pub likely: SizeRange,
    pub at_best: SizeRange,
}

/// Both seasons of a fit that says how it moves; `across` as it is now.
pub(super) fn seasons(fit: &Fit, across: Length, planned: &PlannedClearance) -> Option<Seasons> {
    let swells = fit.moves.as_ref()?.swells;
    let season = |moisture| season(swells, across, moisture, planned);
    Some(Seasons {
        across,
        swells,
        winter: season(swells.driest)?,
        summer: season(swells.dampest)?,
    })
}

fn season(
    swells: Swells,
    across: Length,
    at: Moisture,
    planned: &PlannedClearance,
) -> Option<Season> {
    let moved = moved(swells.wood, swells.grain, across, swells.made, at).ok()?;
    let (least, most) = moved.between();
    let nominal = planned.nominal - moved.change;
    let smaller = |range: SizeRange| SizeRange { low: range.low - most, high: range.high - least };
    let likely = smaller(planned.likely);
    Some(Season {
        moisture: at,
        clearance: nominal,
        by: moved.by,
        takes: SizeRange { low: least, high: most },
        likely,
        holds: FitVerdict::judged(planned.limits, nominal, smaller(planned.worst), likely),
        at_best: smaller(planned.at_best),
    })
}
