//! Numbers in the order they came: summaries, limits, rules on runs, capability,
//! and the likely cause of a row of misses.
//!
//! Must not know: lengths, wood, files, screens. Everything is pure.
//!
//! Every function takes plain `f64` in the unit of its caller and answers in that
//! unit. The numbers must be finite; whoever reads a file checks that.

mod capability;
mod cause;
mod constants;
mod cusum;
mod deviation;
mod diagnose;
mod ewma;
mod expected;
mod fit;
mod fitted;
mod individuals;
mod precontrol;
mod rules;
mod shapes;
mod subgroups;
mod summary;
mod wear;

use thiserror::Error;

pub use capability::{
    Capability, FEWEST, Index, Indices, NoIndex, capability, cp_interval, cpk_interval, indices,
    spread_factors,
};
pub use cause::{
    Cause, Certainty, Diagnosis, FEWEST_READINGS, LoneReading, RowLimits, RunnerUp, WEAK_EVIDENCE,
};
pub use constants::{Constants, LARGEST_SUBGROUP, constants};
pub use cusum::{Cusum, Side, Sums};
pub use deviation::{Aimed, deviations, standardized, standardized_groups};
pub use diagnose::diagnose;
pub use ewma::Ewma;
pub use expected::{BatchRows, MachineSpread, Spread, expected_spread};
pub use fit::{LevelShift, Ramp, ShapeFit, Slip, level, ramp, slip, step, theil_sen};
pub use individuals::{Band, D2_OF_TWO, D4_OF_TWO, Individuals, moving_ranges};
pub use precontrol::{Action, BandZone, PairAction, Qualification, pair, setup, small_batch, zone};
pub use rules::{Baseline, RULES, Rule, Signal, signals};
pub use subgroups::{Subgroups, Within, range};
pub use summary::{
    Summary, lag_one, mean, median, median_absolute_deviation, quantile, standard_deviation,
};

/// There are fewer numbers than the calculation takes.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Error)]
#[error("{have} numbers where it takes {need}")]
pub struct TooFew {
    /// How many there are.
    pub have: usize,
    /// How many it takes.
    pub need: usize,
}

impl TooFew {
    fn check(have: usize, need: usize) -> Result<(), TooFew> {
        if have < need { Err(TooFew { have, need }) } else { Ok(()) }
    }
}
