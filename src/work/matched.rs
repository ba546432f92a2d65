//! Which pieces go together best, by what was measured: pairs of rails, legs
//! in fours and on diagonals.

use super::context::WorkContext;
use crate::journal::PieceId;
use crate::journal::ReadingRecord;
use crate::measure::Length;
use crate::plan::pairing;
use crate::route::{Part, Role};

/// The matched groups of one part.
#[derive(Clone, Debug, PartialEq)]
pub struct Matched {
    /// The part, by its name in the route.
    pub part: String,
    /// What they were matched by: `length, op 160`.
    pub by: String,
    /// Pairs, or fours with the longest and shortest first: they stand on one
    /// diagonal.
    pub groups: Vec<Vec<PieceId>>,
    /// The greatest difference within a group, matched and as they come.
    pub worst: Length,
    /// The same, with the pieces in cut order.
    pub as_they_come: Length,
    /// What the gauge can tell apart: a difference of two of its readings (k = 2).
    pub seen_from: Length,
}

/// The best groups of every part that has two or more pieces in an article
/// and was measured on enough of them.
pub fn matched(context: &WorkContext<'_>) -> Vec<Matched> {
    context.route.parts.iter().filter_map(|part| matched_part(context, part)).collect()
}

fn matched_part(context: &WorkContext<'_>, part: &Part) -> Option<Matched> {
    let in_a_group = match part.per_set {
        0 | 1 => return None,
        n if n % 4 == 0 => 4,
        _ => 2,
    };
    let MeasuredPieces { by, sizes, seen_from } = sizes(context, part, in_a_group)?;
    let size = |id: &PieceId| sizes.iter().find(|(held, _)| held == id).map(|(_, size)| *size);
    let groups: Vec<Vec<PieceId>> = if in_a_group == 4 {
        let fours = pairing::sets_of_four(&sizes).into_iter();
        fours
            .filter_map(|four| {
                let mut legs = Vec::new();
                for id in four {
                    let size = size(&id)?;
                    legs.push((id, size));
                }
                let legs: [(PieceId, Length); 4] = legs.try_into().ok()?;
                let ((a, c), (b, d)) = pairing::diagonals(&legs);
                Some(vec![a, c, b, d])
            })
            .collect()
    } else {
        pairing::pairs(&sizes).into_iter().map(|(one, other)| vec![one, other]).collect()
    };
    let spread = |ids: &mut dyn Iterator<Item = Length>| {
        let held: Vec<Length> = ids.collect();
        held.iter()
            .max()
            .zip(held.iter().min())
            .map_or(Length::ZERO, |(most, least)| *most - *least)
    };
    let worst = groups.iter().map(|group| spread(&mut group.iter().filter_map(&size))).max()?;
    let as_they_come = sizes
        .chunks_exact(in_a_group)
        .map(|chunk| spread(&mut chunk.iter().map(|(_, s)| *s)))
        .max()?;
    Some(Matched { part: part.name.clone(), by, groups, worst, as_they_come, seen_from })
}

impl Matched {
    /// Whether matching gains more than the gauge can see.
    pub fn is_worth_it(&self) -> bool {
        self.as_they_come - self.worst > self.seen_from
    }
}

/// Pieces of a part measured at one operation.
struct MeasuredPieces {
    /// By what: `length, op 160`.
    by: String,
    /// Each piece with its size, in cut order.
    sizes: Vec<(PieceId, Length)>,
    /// A difference that two readings of the gauge show surely (k = 2).
    seen_from: Length,
}

/// The sizes to match by: the last operation at which enough pieces were
/// measured, by length where that was measured there.
fn sizes(context: &WorkContext<'_>, part: &Part, enough: usize) -> Option<MeasuredPieces> {
    let steps = context.route.steps.iter().rev().filter(|step| step.part == part.name);
    let checks = steps.flat_map(|step| step.checks.iter().map(move |check| (step.op, &check.of)));
    checks.into_iter().find_map(|(op, of)| {
        let readings = context.state.counting_readings().filter(|reading: &&ReadingRecord| {
            let piece = context.state.piece(&reading.taken.piece);
            let counts = piece.is_some_and(|p| {
                p.aside.is_none() && matches!(p.label.role, Role::Set | Role::Spare)
            });
            counts && reading.taken.op == op && reading.taken.feature == *of
        });
        let readings: Vec<&ReadingRecord> = readings.collect();
        let uncertainty = readings.iter().map(|held| held.taken.uncertainty).max()?;
        // Of a difference of two readings, by the square root of the sum of squares.
        let seen_from = Length::from_inches(uncertainty.inches() * std::f64::consts::SQRT_2);
        let mut sizes: Vec<(PieceId, Length)> = readings
            .iter()
            .filter_map(|reading| Some((reading.taken.piece.clone(), reading.taken.size()?)))
            .collect();
        let cut = |id: &PieceId| context.state.pieces.iter().position(|piece| piece.id == *id);
        sizes.sort_by_key(|(id, _)| cut(id));
        let by = format!("{of}, op {op}");
        (sizes.len() >= enough).then_some(MeasuredPieces { by, sizes, seen_from })
    })
}
