//! Readings that tell a changed setting from a changed gauge: first and last
//! that differ, and the last piece measured before people left.

use super::context::WorkContext;
use super::gate::zeroing_task;
use super::task::{ReadReason, Task};
use crate::journal::{Piece, PieceId};
use crate::measure::Length;
use crate::operation::FeatureName;
use crate::plan::{PlannedCheck, PlannedOperation};
use crate::route::Role;

/// A difference from the first piece to the last: a setting that moved.
#[derive(Clone, Debug, PartialEq)]
pub struct Drift {
    /// The feature that drifted.
    pub feature: FeatureName,
    /// By how much the last piece is larger than the first.
    pub by: Length,
    /// Between which places in cut order it moved, as far as is known.
    pub after: usize,
    /// The place of the first piece known to be like the last.
    pub before: usize,
    /// The piece to measure next; `None` once neighbours differ.
    pub next: Option<PieceId>,
}

/// Whether a feature drifted over the stack, and where as far as is known.
pub fn drift(context: &WorkContext<'_>, check: &PlannedCheck, n: usize) -> Option<Drift> {
    let members: Vec<&Piece> = context
        .pieces()
        .into_iter()
        .filter(|piece| piece.aside.is_none() && piece.label.role != Role::Setup)
        .collect();
    // Pieces with different targets are compared by how far each is off its own.
    let size = |piece: &Piece| {
        let taken = &context.state.reading_in_force(context.op, &piece.id, &check.of)?.taken;
        Some(taken.size()? - taken.target.unwrap_or(Length::ZERO))
    };
    let known: Vec<(usize, Length)> = members
        .iter()
        .enumerate()
        .filter_map(|(index, piece)| Some((index, size(piece)?)))
        .collect();
    let ((first_at, first), (last_at, last)) = (*known.first()?, *known.last()?);
    let uncertainty = context.gauge(check)?.uncertainty()?;
    let limits = context.limits(&members.first()?.id, n)?.limits;
    let band = limits.band()?;
    let by = last - first;
    if by.abs() <= (band / 4).max(uncertainty * 3) || first_at == last_at {
        return None;
    }
    let nearer_first = |size: Length| (size - first).abs() <= (size - last).abs();
    let low = known.iter().take_while(|(_, size)| nearer_first(*size)).last()?.0;
    let high = known.iter().find(|(index, size)| *index > low && !nearer_first(*size))?.0;
    let next = (high - low > 1).then(|| members[(low + high) / 2].id.clone());
    Some(Drift { feature: check.of.clone(), by, after: low + 1, before: high + 1, next })
}

/// When first and last differ too much, measure the piece halfway between the last
/// one like the first and the first one like the last. Too much is more than a
/// quarter of the band and three times the uncertainty (common practice, no source).
pub(super) fn drift_task(context: &WorkContext<'_>, planned: &PlannedOperation) -> Option<Task> {
    planned.checks.iter().enumerate().find_map(|(n, check)| {
        let drift = drift(context, check, n)?;
        let skipped = context.setup().is_some_and(|setup| setup.drifts_left.contains(&check.of));
        let piece = drift.next?;
        (!skipped).then(|| {
            zeroing_task(context, &check.gauge).unwrap_or(Task::Read {
                piece,
                check: n,
                why: ReadReason::Between,
            })
        })
    })
}

/// The piece measured last before people left is measured once more by somebody
/// else or on another day: a difference then comes from gauge or person, not from
/// the cut.
pub(super) fn bridge_task(context: &WorkContext<'_>, planned: &PlannedOperation) -> Option<Task> {
    let piece = context.setup()?.bridge.clone()?;
    let (check, reading) = planned.checks.iter().enumerate().find_map(|(n, check)| {
        Some((n, context.state.reading_in_force(context.op, &piece, &check.of)?))
    })?;
    let same_day = reading.at.date_naive() == context.now.date_naive();
    if same_day && reading.who.as_deref() == context.who {
        return None;
    }
    let gauge = &planned.checks[check].gauge;
    Some(zeroing_task(context, gauge).unwrap_or(Task::Read {
        piece,
        check,
        why: ReadReason::Bridge,
    }))
}
