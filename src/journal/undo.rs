//! Which answers are voided, and what each station can undo or redo next.

use std::sync::Arc;

use rustc_hash::{FxHashMap, FxHashSet};

use super::detail::Decision;
use super::event::{Event, JournalLine};
use super::identity::{BoardId, PieceId};
use super::line::Reference;

/// An answer of a station that can be undone.
#[derive(Clone, Debug, PartialEq)]
pub struct DoneAnswer {
    /// Its first line.
    pub reference: Reference,
    /// The operation it belongs to.
    pub op: Option<u32>,
    /// What it did.
    pub did: Undoable,
}

/// What an answer did, so that a person knows it again before it is undone.
#[derive(Clone, Debug, PartialEq)]
pub enum Undoable {
    /// A piece was decided about.
    Decided {
        /// The piece.
        piece: PieceId,
        /// What was decided.
        decision: Decision,
    },
    /// A piece was measured.
    Read {
        /// The piece.
        piece: PieceId,
        /// What the gauge read, as typed.
        typed: String,
    },
    /// A scale was set.
    Set {
        /// The setting, by its name.
        setting: String,
        /// What the scale showed, as typed.
        typed: String,
    },
    /// Pieces went through.
    Through {
        /// The first of them.
        first: PieceId,
        /// How many.
        count: usize,
    },
    /// An operation was closed.
    Closed,
    /// Something was said of a board.
    Board(BoardId),
    /// The boards were laid out.
    LaidOut,
}

impl Undoable {
    /// What an event did; none where it can't be voided by itself.
    fn of(event: &Event) -> Option<Undoable> {
        Some(match event {
            Event::Decided { piece, decision, .. } => {
                Undoable::Decided { piece: piece.clone(), decision: *decision }
            }
            Event::Reading(taken) => {
                Undoable::Read { piece: taken.piece.clone(), typed: taken.typed.clone() }
            }
            Event::Setting { stored, typed, .. } => {
                Undoable::Set { setting: stored.setting.clone(), typed: typed.clone() }
            }
            Event::Done { pieces, .. } => {
                Undoable::Through { first: pieces.first()?.clone(), count: pieces.len() }
            }
            Event::Closed { .. } => Undoable::Closed,
            Event::BoardSaid { board, .. }
            | Event::FlawFound { board, .. }
            | Event::FlawRuled { board, .. }
            | Event::BoardAside { board, .. }
            | Event::MarkDrawn { board, .. } => Undoable::Board(board.clone()),
            Event::LaidOut { .. } => Undoable::LaidOut,
            _ => return None,
        })
    }

    /// What tells most of an answer comes first.
    fn rank(&self) -> u8 {
        match self {
            Undoable::Decided { .. } => 0,
            Undoable::Read { .. } => 1,
            Undoable::Set { .. } => 2,
            Undoable::Closed => 3,
            Undoable::Through { .. } | Undoable::Board(_) | Undoable::LaidOut => 4,
        }
    }
}

/// Takes a line that can be voided into a station's list, the latest answer last.
pub(super) fn note(done: &mut Vec<Arc<DoneAnswer>>, line: &JournalLine) {
    let Some(did) = Undoable::of(&line.event) else { return };
    let reference = line.answer();
    match done.last_mut().filter(|last| last.reference == reference) {
        Some(last) if did.rank() < last.did.rank() => Arc::make_mut(last).did = did,
        Some(_) => {}
        None => done.push(Arc::new(DoneAnswer { reference, op: line.event.op(), did })),
    }
}

/// The lines that count for nothing, because a later line voids them and none
/// restores them.
pub struct VoidedLines<'a> {
    /// For each answer, the first line that is voided.
    from: FxHashMap<LineName<'a>, u64>,
    /// The lines named by an answer that asks to measure a piece again.
    measured_again: FxHashSet<LineName<'a>>,
}

/// A station and a number there: a [`Reference`] that is only looked up.
type LineName<'a> = (&'a str, u64);

fn named(reference: &Reference) -> LineName<'_> {
    (&reference.station, reference.n)
}

fn own(line: &JournalLine) -> LineName<'_> {
    (&line.station, line.n)
}

fn first(line: &JournalLine) -> LineName<'_> {
    (&line.station, line.first_of_answer())
}

impl<'a> VoidedLines<'a> {
    /// Voiding a line voids what its answer wrote after it too, and voiding the first
    /// line voids the answer. A line may name any other; only an answer that did
    /// something that can be voided is.
    pub fn of(lines: &'a [JournalLine]) -> VoidedLines<'a> {
        let mut voided: FxHashSet<LineName<'_>> = FxHashSet::default();
        let mut measured_again = FxHashSet::default();
        for line in lines {
            match &line.event {
                Event::Voided { what, to_measure_again } => {
                    if *to_measure_again {
                        measured_again.insert(named(what));
                    } else {
                        measured_again.remove(&named(what));
                    }
                    voided.insert(named(what));
                }
                Event::Restored { what } => _ = voided.remove(&named(what)),
                _ => {}
            }
        }
        let mut from: FxHashMap<LineName<'_>, u64> = FxHashMap::default();
        if voided.is_empty() {
            return VoidedLines { from, measured_again };
        }
        for line in lines.iter().filter(|line| voided.contains(&own(line))) {
            let least = from.entry(first(line)).or_insert(line.n);
            *least = line.n.min(*least);
        }
        let did = lines.iter().filter(|line| line.event.can_be_voided());
        let did = did.filter(|line| from.get(&first(line)).is_some_and(|least| line.n >= *least));
        let open: FxHashSet<LineName<'_>> = did.map(first).collect();
        from.retain(|answer, _| open.contains(answer));
        VoidedLines { from, measured_again }
    }

    /// Whether a line is a voided reading of a piece that is measured again.
    pub(super) fn is_to_be_measured_again(&self, line: &JournalLine) -> bool {
        self.measured_again.contains(&own(line)) && self.contains(line)
    }

    /// Whether a line counts for nothing.
    pub fn contains(&self, line: &JournalLine) -> bool {
        // Most batches void nothing, and every line is asked about.
        !self.from.is_empty() && self.from.get(&first(line)).is_some_and(|least| line.n >= *least)
    }
}
