//! How each piece of a part stands at an operation, as one sign.

use rustc_hash::FxHashSet;

use crate::journal::{Decision, Piece, PieceId, ReadingRecord, State};
use crate::measure::Verdict;
use crate::operation::decimal;
use crate::plan::PlannedOperation;
use crate::route::Role;
use crate::work::{Task, WorkContext};

/// How a piece stands at an operation.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Standing {
    /// Through, and within limits where it was measured.
    Within,
    /// Cut, and not measured.
    Cut,
    /// Out of limits, and can be cut again.
    Again,
    /// Too close to call.
    Unsure,
    /// Out of limits, and the lead accepted it.
    Accepted,
    /// Set aside.
    Aside,
    /// Still to go.
    ToGo,
}

impl Standing {
    /// Every standing, the best first.
    pub(in crate::tui) const ALL: [Standing; 7] = [
        Standing::Within,
        Standing::Cut,
        Standing::Again,
        Standing::Accepted,
        Standing::Unsure,
        Standing::Aside,
        Standing::ToGo,
    ];

    /// What it is called.
    pub(in crate::tui) fn word(self) -> &'static str {
        match self {
            Standing::Within => "within limits",
            Standing::Cut => "cut",
            Standing::Again => "cut again",
            Standing::Accepted => "accepted",
            Standing::Unsure => "unsure",
            Standing::Aside => "aside",
            Standing::ToGo => "to go",
        }
    }
}

/// One piece in the row.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct PieceMark {
    /// Its number within its part and role.
    pub number: u32,
    /// What it is for.
    pub role: Role,
    /// How it stands.
    pub standing: Standing,
    /// Whether it is in hand now.
    pub in_hand: bool,
    /// Its last reading here, as the route's unit writes it.
    pub reading: String,
}

/// The pieces of an operation in cut order.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct PieceRow {
    /// The part.
    pub part: String,
    /// Each piece.
    pub marks: Vec<PieceMark>,
    /// How many are through.
    pub through: usize,
}

impl PieceRow {
    /// The row at the operation someone works at.
    pub(super) fn of(
        context: &WorkContext<'_>,
        planned: &PlannedOperation,
        task: &Task,
    ) -> PieceRow {
        let in_hand: FxHashSet<&PieceId> = pieces_of(task).iter().collect();
        let readings = context.state.readings_by_place(planned.op);
        let marks = context.pieces().into_iter().map(|piece| {
            let own = readings[piece.place].iter().copied();
            let readings: Vec<&ReadingRecord> = own.filter(|reading| !reading.voided).collect();
            let last = readings.last().and_then(|reading| reading.taken.size());
            PieceMark {
                number: piece.label.number,
                role: piece.label.role,
                standing: standing_by(context.state, planned.op, piece, &readings),
                in_hand: in_hand.contains(&piece.id),
                reading: last.map_or_else(String::new, |size| decimal(size, context.route.unit)),
            }
        });
        let marks: Vec<PieceMark> = marks.collect();
        let away = |mark: &&PieceMark| !matches!(mark.standing, Standing::ToGo | Standing::Again);
        let through = marks.iter().filter(away).count();
        PieceRow { part: planned.part.clone(), marks, through }
    }
}

/// The pieces a task is about.
fn pieces_of(task: &Task) -> &[PieceId] {
    match task {
        Task::Read { piece, .. } | Task::Decide { piece, .. } => std::slice::from_ref(piece),
        Task::Cut { pieces, .. } | Task::Feed { pieces, .. } => pieces,
        _ => &[],
    }
}

/// How a piece stands at an operation, by its last reading of each feature and
/// by what was decided.
pub(in crate::tui) fn standing(state: &State, op: u32, piece: &Piece) -> Standing {
    standing_by(state, op, piece, &readings_at(state, op, piece))
}

/// What was read of a piece at an operation and not voided, oldest first.
fn readings_at<'a>(state: &'a State, op: u32, piece: &'a Piece) -> Vec<&'a ReadingRecord> {
    let readings = state.readings_on(&piece.id);
    readings.filter(|reading| !reading.voided && reading.taken.op == op).collect()
}

/// The same from readings that were looked up already.
fn standing_by(state: &State, op: u32, piece: &Piece, readings: &[&ReadingRecord]) -> Standing {
    if piece.aside.as_ref().is_some_and(|(at, _)| *at == op) {
        return Standing::Aside;
    }
    let mut worst = None;
    for (n, reading) in readings.iter().enumerate() {
        let taken = &reading.taken;
        // A later one of the same feature is in force.
        if readings[n + 1..].iter().any(|later| later.taken.feature == taken.feature) {
            continue;
        }
        let stands = match (taken.verdict(), state.decision_on(reading)) {
            (Verdict::In, _) => Standing::Within,
            (_, Some(Decision::Accept)) => Standing::Accepted,
            (_, Some(Decision::Rework)) => Standing::ToGo,
            (Verdict::TooClose { .. }, _) => Standing::Unsure,
            (Verdict::TooBig { again: true, .. } | Verdict::TooSmall { again: true, .. }, _) => {
                Standing::Again
            }
            _ => Standing::Aside,
        };
        if stands != Standing::Within || worst.is_none() {
            worst = Some(stands);
        }
    }
    match worst {
        Some(stands) => stands,
        None if state.is_through(op, piece) => Standing::Cut,
        None => Standing::ToGo,
    }
}
