//! How long an operation takes for the pieces that are still to go: by the feed of the
//! machine, by pieces that were timed, or by a guess that says so.

use super::context::WorkContext;
use crate::journal::Snapshot;
use crate::plan::PlannedOperation;

/// Fewer timed pieces say too little (trade judgement, no source).
const FEWEST_TIMED: usize = 3;

/// What a piece takes where nobody knows (a guess, no source).
const GUESSED_A_PIECE: u64 = 2;

/// How long something takes.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Estimate {
    /// In whole minutes, rounded up.
    pub minutes: u64,
    /// How that is known.
    pub by: EstimateBasis,
}

/// How a time is known.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum EstimateBasis {
    /// By the feed of the machine: setting and measuring are extra.
    Feed,
    /// By so many pieces that were timed in this batch.
    ThisBatch(usize),
    /// By so many pieces that were timed in other batches.
    OtherBatches(usize),
    /// By nothing.
    Guess,
}

/// How long so many pieces take. What was timed counts where it was the same kind of
/// operation at the same machine: of this operation first, then of this batch, then of
/// the others.
pub(super) fn estimate(batches: &[Snapshot], context: &WorkContext<'_>, pieces: usize) -> Estimate {
    if let Some(minutes) = context.feeding_minutes(pieces) {
        return Estimate { minutes, by: EstimateBasis::Feed };
    }
    let Some(planned) = context.planned() else { return guess(pieces) };
    let own = context.state.times.seconds(planned.op).to_vec();
    let this = seconds_like(context, planned);
    let others = batches.iter().filter(|other| !std::ptr::eq(&*other.state, context.state));
    let others =
        others.flat_map(|other| seconds_like(&other.context(0, None, context.now), planned));
    let others: Vec<u32> = others.collect();
    let known = [
        (EstimateBasis::ThisBatch(own.len()), own),
        (EstimateBasis::ThisBatch(this.len()), this),
        (EstimateBasis::OtherBatches(others.len()), others),
    ];
    let timed = known.into_iter().find(|(_, seconds)| seconds.len() >= FEWEST_TIMED);
    timed.map_or_else(
        || guess(pieces),
        |(by, seconds)| {
            let all = u64::from(median(seconds)).saturating_mul(pieces as u64);
            Estimate { minutes: all.div_ceil(60), by }
        },
    )
}

fn guess(pieces: usize) -> Estimate {
    Estimate { minutes: GUESSED_A_PIECE * pieces as u64, by: EstimateBasis::Guess }
}

/// What pieces took in a batch at operations of this kind at this machine.
fn seconds_like(context: &WorkContext<'_>, like: &PlannedOperation) -> Vec<u32> {
    let is_like =
        |held: &PlannedOperation| held.at == like.at && held.kind.name() == like.kind.name();
    let alike = context.plan.operations.iter().filter(|held| is_like(held));
    alike.flat_map(|held| context.state.times.seconds(held.op).to_vec()).collect()
}

/// The median, because a piece that somebody talked over takes long.
fn median(mut seconds: Vec<u32>) -> u32 {
    seconds.sort_unstable();
    let middle = seconds.len() / 2;
    match seconds.len() {
        0 => 0,
        n if n % 2 == 1 => seconds[middle],
        _ => u32::midpoint(seconds[middle - 1], seconds[middle]),
    }
}
