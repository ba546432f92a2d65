//! Whether the parts will go together: every fit of a route, the chain of
//! dimensions behind it, how tolerances add up, and what to hold closer. Must
//! not know screens or files, and of a batch only what was made and read.
//!
//! # The model
//!
//! A dimension counts when a check measures it, when a scale sets it, or when it
//! was made. Anything else is taken as drawn.
//!
//! - The limits of a check allow for the range of its readings and, at either
//!   end, the gauge's uncertainty, because a reading is within limits only when
//!   it is inside them by the uncertainty. Planned and made dimensions are
//!   treated alike, so measuring never makes a fit less certain. Rejected: the
//!   whole tolerance until a dimension is made, and the uncertainty on top
//!   afterwards.
//! - `worst` and `likely` come from the whole of that range, whatever the machine
//!   is known to do: they say what the limits let through. Simulated pieces
//!   scatter by the spread that the shop file gives of the machine, and evenly
//!   within the range where it gives none (`piece_draw.rs`). Rejected: evenly for
//!   every machine, which told too small a share wherever a machine is better
//!   than its limits.
//! - What differs from piece to piece is the range. The uncertainty, k = 2, is
//!   shared by all pieces measured with one gauge, whichever dimension it reads on
//!   them: an error of the calipers counts three times in the sum of three lengths
//!   read with them, and cancels in the difference of two. Rejected: an error of
//!   its own for each dimension, which told a fit of three such lengths that
//!   99.5 % would go together where 97.6 % do.
//! - Everything cut later whose formula uses a made dimension follows it. An
//!   error of the whole lot then reaches the clearance directly and through its
//!   followers, and largely cancels. What remains is the difference between one
//!   piece and the reading that the others were cut by.
//! - Once made, a dimension keeps the spread of its readings and its gauge's
//!   uncertainty; its limits no longer count.
//! - A size that a scale sets and nobody measures is off by the distance of its
//!   mark from the target, and by half a step either way. That half step is what
//!   the scale may be off by, so all sizes that one scale sets with one tool share
//!   it.
//! - One name is one variable. A fit says for how many pieces a name stands
//!   (`pieces`), and what differs between them partly evens out. Rejected:
//!   guessing from the factor, because `2 * leg_square` may be two legs or one
//!   leg twice.
//! - A fit says itself what swells in it (`moves`), and the driest and the
//!   dampest season are held to its own limits. Rejected: a season inside the
//!   formula, which hides the clearance that is measured and is never checked
//!   itself; and one season for the whole route.
//!
//! `stack.rs` has the sums. Simulated pieces sent through the formula itself tell
//! the share that fits (`chain_trials.rs`).
//!
//! # What `check` warns of
//!
//! `check` warns of a fit only where it can't fit even with perfect parts, or
//! where a lot that is all alike would likely miss. What differs within a lot
//! shows at the machine, and the route can't help it. Rejected: a warning for
//! every fit that `fits` doubts.

mod attribution;
mod cases;
mod chain;
mod chain_trials;
pub mod fit_words;
mod given;
mod histogram;
mod input;
mod judge;
mod origin;
mod piece_draw;
mod piece_sizes;
mod problems;
mod reading_range;
mod season;
mod shared_error;
mod stack;
mod trials;
mod verdict;
pub mod wording;

pub use attribution::{FitAttribution, FitShare, fit_attribution};
pub use chain::{FitError, FitFormula};
pub use given::{Distribution, GivenClearance, GivenSize, GivenTrials, given_clearance};
pub use histogram::{HistogramBin, TrialHistogram};
pub use input::{FitsInput, Readings};
pub use judge::{Contribution, ENOUGH, JudgedFit, fits};
pub use piece_draw::{NoSpread, PieceDraw};
pub use problems::problems;
pub use season::{Season, Seasons};
pub use shared_error::ErrorSource;
pub use trials::Share;
pub use verdict::{FitVerdict, SizeRange};
