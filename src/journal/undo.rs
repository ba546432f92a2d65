//! Which answers are voided, and what each station can undo or redo next.

use std::collections::{BTreeMap, BTreeSet};

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
pub(super) fn note(done: &mut Vec<DoneAnswer>, line: &JournalLine) {
    let Some(did) = Undoable::of(&line.event) else { return };
    let reference = line.answer();
    match done.last_mut().filter(|last| last.reference == reference) {
        Some(last) if did.rank() < last.did.rank() => last.did = did,
        Some(_) => {}
        None => done.push(DoneAnswer { reference, op: line.event.op(), did }),
    }
}

/// The lines that count for nothing, because a later line voids them and none
/// restores them.
pub struct VoidedLines {
    /// For each answer, the first line that is voided.
    from: BTreeMap<Reference, u64>,
    /// The lines named by an answer that asks to measure a piece again.
    measured_again: BTreeSet<Reference>,
}

impl VoidedLines {
    /// Voiding a line voids what its answer wrote after it too, and voiding the first
    /// line voids the answer. A line may name any other; only an answer that did
    /// something that can be voided is.
    pub fn of(lines: &[JournalLine]) -> VoidedLines {
        let mut named: BTreeMap<&Reference, bool> = BTreeMap::new();
        let mut measured_again = BTreeSet::new();
        for line in lines {
            match &line.event {
                Event::Voided { what, to_measure_again } => {
                    if *to_measure_again {
                        measured_again.insert(what.clone());
                    } else {
                        measured_again.remove(what);
                    }
                    named.insert(what, true)
                }
                Event::Restored { what } => named.insert(what, false),
                _ => None,
            };
        }
        let mut from: BTreeMap<Reference, u64> = BTreeMap::new();
        named.retain(|_, is_voided| *is_voided);
        if named.is_empty() {
            return VoidedLines { from, measured_again };
        }
        for line in lines.iter().filter(|line| named.contains_key(&line.reference())) {
            let first = from.entry(line.answer()).or_insert(line.n);
            *first = line.n.min(*first);
        }
        let mut open = BTreeSet::new();
        for line in lines.iter().filter(|line| line.event.can_be_voided()) {
            let answer = line.answer();
            if from.get(&answer).is_some_and(|first| line.n >= *first) {
                open.insert(answer);
            }
        }
        from.retain(|answer, _| open.contains(answer));
        VoidedLines { from, measured_again }
    }

    /// Whether a line is a voided reading of a piece that is measured again.
    pub(super) fn is_to_be_measured_again(&self, line: &JournalLine) -> bool {
        self.measured_again.contains(&line.reference()) && self.contains(line)
    }

    /// Whether a line counts for nothing.
    pub fn contains(&self, line: &JournalLine) -> bool {
        // Most batches void nothing, and every line is asked about.
        !self.from.is_empty() && self.from.get(&line.answer()).is_some_and(|first| line.n >= *first)
    }
}
