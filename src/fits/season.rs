//! A clearance in the driest and in the dampest season, where a fit crosses the
//! grain of a part.
//!
//! As the wood swells from the moisture it was made at, the clearance shrinks by
//! the same amount (eq. 13-2 and 13-3, see [`moved`]). Everything that varies the
//! planned clearance varies it in either season as well. Where two published
//! coefficients of a wood disagree, the range covers both.

use super::verdict::{FitVerdict, SizeRange};
use crate::measure::Length;
use crate::route::Swells;
use crate::wood::{Found, Moisture, moved};

/// A clearance in both seasons.
#[derive(Clone, Debug, PartialEq)]
pub struct Seasons {
    /// The size across the grain, as made.
    pub across: Length,
    /// How it swells, and the moistures.
    pub swells: Swells,
    /// At the driest.
    pub winter: Season,
    /// At the dampest.
    pub summer: Season,
}

/// A clearance at one moisture.
#[derive(Clone, Debug, PartialEq)]
pub struct Season {
    /// Which moisture.
    pub moisture: Moisture,
    /// With everything as planned or as made.
    pub clearance: Length,
    /// Where it will likely lie.
    pub likely: SizeRange,
    /// Whether it stays inside the limits of the fit.
    pub holds: FitVerdict,
    /// How its movement was computed.
    pub by: Found,
    /// The least and the most that the wood's movement takes off it.
    pub(super) takes: SizeRange,
    /// Where it would likely lie if all pieces of a lot came out alike.
    pub(super) at_best: SizeRange,
}

/// The planned clearance, and where it may lie.
pub(super) struct PlannedClearance {
    pub limits: SizeRange,
    pub nominal: Length,
    pub worst: SizeRange,
    pub likely: SizeRange,
    pub at_best: SizeRange,
}

/// Both seasons of a fit that moves so, from the present size across
/// the grain. `None` where the movement can't be computed.
pub(super) fn seasons(
    swells: Swells,
    across: Length,
    planned: &PlannedClearance,
) -> Option<Seasons> {
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
        holds: FitVerdict::of(planned.limits, nominal, smaller(planned.worst), likely),
        at_best: smaller(planned.at_best),
    })
}
