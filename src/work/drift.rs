//! Readings that tell a changed setting from a changed gauge: first and last
//! that differ, and the last piece measured before people left.

use super::context::WorkContext;
use super::gate::zeroing_task;
use super::task::{ReadReason, Task};
use crate::journal::{Piece, PieceId, ReadingRecord};
use crate::measure::Length;
use crate::operation::FeatureName;
use crate::plan::{PlannedCheck, PlannedOperation};
use crate::route::Role;
use crate::series::{Cause, Certainty, MachineSpread, RowLimits, diagnose, expected_spread};
use crate::shop::{MachineKind, Shop};

/// So many pieces are measured on either side of a step to tell it from one slip (common
/// practice, no source).
const BESIDE: usize = 3;

/// How a feature changed over a stack, as far as its readings show.
#[derive(Clone, Debug, PartialEq)]
pub enum DriftShape {
    /// The setting moved between these two pieces.
    Moved(PieceId, PieceId),
    /// A little more from piece to piece.
    Crept,
    /// One piece differs from all others.
    OnePiece(PieceId),
    /// More readings are needed. It changed between these two pieces, or one of them
    /// differs from the rest.
    CannotTell(PieceId, PieceId),
}

/// A difference between the first and the last piece of a stack.
#[derive(Clone, Debug, PartialEq)]
pub struct Drift {
    /// The feature that drifted.
    pub feature: FeatureName,
    /// By how much it changed: from the first piece to the last, or what one piece
    /// differs by.
    pub by: Length,
    /// What its readings show.
    pub shape: DriftShape,
    /// The piece to measure next; `None` once that would show nothing more.
    pub next: Option<PieceId>,
}

/// The pieces of a stack in cut order, with how far each reading is off its target.
struct Row<'a> {
    members: Vec<&'a Piece>,
    /// The place among the members, and the miss.
    known: Vec<(usize, Length)>,
}

impl<'a> Row<'a> {
    /// Setup pieces belong to it, unless a scale was touched between them and the
    /// first piece that counts.
    fn of(context: &WorkContext<'a>, check: &PlannedCheck) -> Row<'a> {
        let in_work = context.pieces().into_iter().filter(|piece| piece.aside.is_none());
        let readings = context.state.readings_by_place(context.op);
        let with_reading = |piece: &'a Piece| {
            let own = readings[piece.place].iter().rev();
            let mut in_force = own.filter(|held| !held.voided && held.taken.feature == check.of);
            (piece, in_force.next().copied())
        };
        let all: Vec<(&Piece, Option<&ReadingRecord>)> = in_work.map(with_reading).collect();
        let is_setup = |piece: &Piece| piece.label.role == Role::Setup;
        let counted = all.iter().filter(|(piece, _)| !is_setup(piece));
        let begun = counted.filter_map(|(_, held)| Some(held.as_ref()?.order)).min();
        let touched = context.setup().map_or(&[][..], |setup| setup.shown.as_slice());
        let is_of_this_setting = |held: &Option<&ReadingRecord>| {
            let (Some(read), Some(begun)) = (held, begun) else { return false };
            !touched.iter().any(|shown| (read.order..begun).contains(&shown.order))
        };
        let mut row = Row { members: Vec::with_capacity(all.len()), known: Vec::new() };
        for (piece, held) in all {
            if is_setup(piece) && !is_of_this_setting(&held) {
                continue;
            }
            // Pieces with different targets are compared by how far each is off its own.
            let taken = held.map(|held| &held.taken);
            let miss =
                taken.and_then(|taken| Some(taken.size()? - taken.target.unwrap_or_default()));
            row.known.extend(miss.map(|miss| (row.members.len(), miss)));
            row.members.push(piece);
        }
        row
    }

    fn id(&self, at: usize) -> PieceId {
        self.members[at].id.clone()
    }

    /// The last place that is like the first piece, and the first after it that is
    /// like the last.
    fn gap(&self) -> Option<(usize, usize)> {
        let ((_, first), (_, last)) = (*self.known.first()?, *self.known.last()?);
        let nearer_first = |size: Length| (size - first).abs() <= (size - last).abs();
        let low = self.known.iter().take_while(|(_, size)| nearer_first(*size)).last()?.0;
        let high = self.known.iter().find(|(at, size)| *at > low && !nearer_first(*size))?.0;
        Some((low, high))
    }

    /// Halfway across the gap; where its sides are neighbours, the next pieces beyond
    /// it, then those before it. A few of them tell a step from one slip; where they
    /// don't, all the rest wouldn't.
    fn next(&self, (low, high): (usize, usize)) -> Option<PieceId> {
        if high - low > 1 {
            return Some(self.id((low + high) / 2));
        }
        let is_unknown = |at: &usize| !self.known.iter().any(|(known, _)| known == at);
        let beyond = (high + 1..self.members.len()).take(BESIDE).find(is_unknown);
        let before = (0..low).rev().take(BESIDE);
        beyond.or_else(|| before.into_iter().find(is_unknown)).map(|at| self.id(at))
    }
}

/// How far apart a machine in good order leaves pieces; a bench, where there is none.
pub fn machine_spread(shop: &Shop, at: Option<&str>) -> MachineSpread {
    match at.and_then(|at| shop.machines.get(at)) {
        Some(held) => match held.spread {
            Some(spread) => MachineSpread::Known(spread.inches()),
            None => MachineSpread::Usual(held.kind.usual_spread().inches()),
        },
        None => MachineSpread::Usual(MachineKind::Bench.usual_spread().inches()),
    }
}

/// A difference between the first and the last piece that asks for a cause.
struct Difference<'a> {
    row: Row<'a>,
    gap: (usize, usize),
    by: Length,
    band: Length,
    uncertainty: Length,
}

impl<'a> Difference<'a> {
    fn of(context: &WorkContext<'a>, check: &PlannedCheck, n: usize) -> Option<Difference<'a>> {
        let row = Row::of(context, check);
        let (first, last) = (row.known.first()?.1, row.known.last()?.1);
        let uncertainty = context.gauge(check)?.uncertainty()?;
        let band = context.limits(&row.members.first()?.id, n)?.limits.band()?;
        let by = last - first;
        if by.abs() <= (band / 4).max(uncertainty * 3) {
            return None;
        }
        let gap = row.gap()?;
        Some(Difference { row, gap, by, band, uncertainty })
    }
}

/// Whether a feature drifted over the stack, and how as far as is known.
pub fn drift(context: &WorkContext<'_>, check: &PlannedCheck, n: usize) -> Option<Drift> {
    diagnosed(context, check, Difference::of(context, check, n)?)
}

/// How a feature drifted. The cause is chosen as it is when looking back.
fn diagnosed(
    context: &WorkContext<'_>,
    check: &PlannedCheck,
    difference: Difference<'_>,
) -> Option<Drift> {
    let Difference { row, gap, by, band, uncertainty } = difference;
    let misses: Vec<f64> = row.known.iter().map(|(_, miss)| miss.inches()).collect();
    let limits =
        RowLimits { uncertainty: uncertainty.inches(), band: Some(band.inches()), settings: 0.0 };
    let machine = machine_spread(context.shop, context.planned()?.at.as_deref());
    let spread = expected_spread(machine, limits, &[]);
    let diagnosis = diagnose(&misses, spread, limits, &[]);
    let feature = check.of.clone();
    let neighbours = gap.1 - gap.0 == 1;
    let (low, high) = (row.id(gap.0), row.id(gap.1));
    let place = |at: usize| row.known[at - 1].0;
    Some(match diagnosis.cause() {
        Some(Cause::Crept { .. }) if diagnosis.certainty() == Certainty::Clear => {
            Drift { feature, by, shape: DriftShape::Crept, next: None }
        }
        // A step beside the first or the last reading looks like one slip, so its
        // neighbours have to be known.
        Some(Cause::Slip { at, by, .. }) if neighbours => {
            let shape = DriftShape::OnePiece(row.id(place(*at)));
            Drift { feature, by: Length::from_inches(*by), shape, next: None }
        }
        Some(Cause::Moved { after, .. }) if neighbours => {
            let shape = DriftShape::Moved(row.id(place(*after)), row.id(place(after + 1)));
            Drift { feature, by, shape, next: None }
        }
        _ => Drift { feature, by, next: row.next(gap), shape: DriftShape::CannotTell(low, high) },
    })
}

/// When first and last differ too much, measure the piece halfway between the last
/// one like the first and the first one like the last. Too much is more than a
/// quarter of the band and three times the uncertainty (common practice, no source).
pub(super) fn drift_task(context: &WorkContext<'_>, planned: &PlannedOperation) -> Option<Task> {
    planned.checks.iter().enumerate().find_map(|(n, check)| {
        let skipped = context.setup().is_some_and(|setup| setup.drifts_left.contains(&check.of));
        if skipped {
            return None;
        }
        let difference = Difference::of(context, check, n)?;
        // Where no reading would show more, nobody waits for the cause to be found.
        difference.row.next(difference.gap)?;
        let piece = diagnosed(context, check, difference)?.next?;
        Some(zeroing_task(context, &check.gauge).unwrap_or(Task::Read {
            piece,
            check: n,
            why: ReadReason::Between,
        }))
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
