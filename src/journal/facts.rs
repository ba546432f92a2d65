//! What a batch knows so far, in the form a plan asks for.

use std::collections::BTreeMap;
use std::sync::Arc;

use chrono::TimeDelta;

use super::boards::BatchBoard;
use super::detail::{Decision, MadeDimension, NewPiece, StoredSetting};
use super::event::Event;
use super::identity::PieceId;
use super::record::{Piece, ReadingRecord, ScaleCheck, SetupState};
use super::state::State;
use crate::measure::Length;
use crate::operation::FeatureName;
use crate::plan::{Frozen, FrozenSetting, Known, MadeOver, MadeValue, Measured, Plan};
use crate::route::{HoldsFor, PieceLabel, Role, Route};
use crate::stock::Stretch;

impl State {
    /// Everything a plan may take as known.
    pub fn known(&self) -> Known {
        let made = self.made.iter().filter_map(|accepted| self.made_value(&accepted.made));
        let labels = |places: &[usize]| -> Arc<[PieceLabel]> {
            let pieces = places.iter().map(|place| &self.pieces[*place]);
            pieces.filter(|piece| piece.whole).map(|piece| piece.label.clone()).collect()
        };
        let pieces = self.of_part.iter().map(|(part, places)| (part.clone(), labels(places)));
        Known {
            made: made.collect(),
            keep: self.keep.clone(),
            measured: self.measured(),
            frozen: self
                .setups
                .iter()
                .filter_map(|(op, setup)| Some((*op, setup.frozen(self)?)))
                .collect(),
            pieces: pieces.filter(|(_, labels)| !labels.is_empty()).collect(),
        }
    }

    /// Whether an event may change what a plan takes as known. Most don't: what is read
    /// counts for the plan once its operation is closed.
    pub fn tells_the_plan(&self, event: &Event) -> bool {
        match event {
            Event::Reading(taken) => self.setups.get(&taken.op).is_some_and(|setup| setup.closed),
            Event::Done { op, .. } => self.setups.get(op).is_none_or(|setup| setup.begun.is_none()),
            // A piece that stays counts as before, unless it comes back.
            Event::Decided { piece, decision: Decision::Accept | Decision::Rework, .. } => {
                self.piece(piece).is_none_or(|piece| piece.aside.is_some())
            }
            Event::Note { .. }
            | Event::TypedUnasked { .. }
            | Event::People { .. }
            | Event::CautionRead { .. }
            | Event::Left { .. }
            | Event::GaugeZeroed { .. }
            | Event::Sealed { .. }
            | Event::Timer { .. }
            | Event::FirstPiece { .. }
            | Event::RepeatSkipped { .. }
            | Event::DriftLeft { .. } => false,
            _ => true,
        }
    }

    /// A made dimension in the form a plan takes.
    pub fn made_value(&self, made: &MadeDimension) -> Option<MadeValue> {
        let over = match made.span {
            HoldsFor::Batch => MadeOver::Batch,
            HoldsFor::Set => MadeOver::Set(made.set?),
            HoldsFor::Piece => MadeOver::Piece(self.piece(made.piece.as_ref()?)?.label.clone()),
        };
        Some(MadeValue {
            dim: made.dim.clone(),
            over,
            value: made.value,
            op: Some(made.op),
            words: made.words.clone(),
        })
    }

    /// The least and the most size of each feature at each closed operation.
    fn measured(&self) -> BTreeMap<(u32, FeatureName), Measured> {
        // A late piece that opens the operation again changes nothing about this.
        let closed = |op: u32| self.setups.get(&op).is_some_and(|setup| setup.closed);
        let closed = self.read.iter().filter(|(op, _)| closed(**op));
        let read =
            closed.flat_map(|(op, read)| read.iter().map(|(feature, at)| (*op, feature, at)));
        let measured = read.filter_map(|(op, feature, places)| {
            let counted = places.any.iter().filter(|place| self.pieces[*place].counts());
            let sizes = counted.filter_map(|at| self.in_force_at(at, op, feature)?.taken.size());
            let sizes = sizes.map(|size| Measured { least: size, most: size });
            let all = sizes.reduce(|one, other| Measured {
                least: one.least.min(other.least),
                most: one.most.max(other.most),
            })?;
            Some(((op, feature.clone()), all))
        });
        measured.collect()
    }

    /// A reading of the same size of the same piece that another station took within a
    /// minute of this one, where both count.
    pub fn read_elsewhere(&self, reading: &ReadingRecord) -> Option<&ReadingRecord> {
        let taken = &reading.taken;
        let mut all = self.readings_of(taken.op, &taken.piece, &taken.feature);
        all.find(|other| {
            !other.voided
                && !reading.voided
                && other.reference.station != reading.reference.station
                && (other.at - reading.at).abs() <= TimeDelta::minutes(1)
        })
    }

    /// The median size of a feature at an operation, over all pieces that count except
    /// one. The median, because gross misses are common.
    pub fn median(&self, op: u32, feature: &str, but: &PieceId) -> Option<Length> {
        let mut sizes: Vec<Length> = self
            .counting_readings()
            .filter(|reading| {
                let taken = &reading.taken;
                taken.op == op && taken.feature == feature && taken.piece != *but
            })
            .filter_map(|reading| reading.taken.size())
            .collect();
        sizes.sort_unstable();
        let middle = sizes.len() / 2;
        match sizes.len() {
            0 => None,
            n if n % 2 == 1 => Some(sizes[middle]),
            _ => Some((sizes[middle - 1] + sizes[middle]) / 2),
        }
    }

    /// The readings in force of pieces that count: neither setup pieces nor set aside.
    pub fn counting_readings(&self) -> impl DoubleEndedIterator<Item = &ReadingRecord> {
        self.readings.iter().filter(|reading| {
            let taken = &reading.taken;
            let place = self.places.get(&taken.piece).copied();
            place.is_some_and(|place| {
                let standing = self.in_force_at(place, taken.op, &taken.feature);
                self.pieces[place].counts()
                    && standing.is_some_and(|held| held.reference == reading.reference)
            })
        })
    }
}

impl Piece {
    /// Whether its readings count: it is neither a setup piece nor set aside.
    fn counts(&self) -> bool {
        self.aside.is_none() && self.label.role != Role::Setup
    }
}

impl SetupState {
    fn frozen(&self, state: &State) -> Option<Frozen> {
        let made = self.begun?;
        let right = self.shown.iter().filter(|shown| shown.right);
        let settings = right.map(|shown| {
            let StoredSetting { setting, pass, target, dial } = &shown.stored;
            let pieces = shown.pieces.iter().filter_map(|id| state.piece(id));
            FrozenSetting {
                name: setting.clone(),
                pass: *pass,
                pieces: pieces.map(|piece| piece.label.clone()).collect(),
                target: *target,
                dial: *dial,
            }
        });
        Some(Frozen { made, settings: settings.collect() })
    }

    /// What a scale is set to, as far as it is known: the last reading of it, if
    /// that was right and nobody has moved it since.
    pub fn scale_in_force(&self, setting: &str) -> Option<&ScaleCheck> {
        let last = self.shown.iter().rev().find(|shown| shown.stored.setting == setting)?;
        (last.right && !last.superseded).then_some(last)
    }

    /// The settings in force, as pieces store them.
    pub fn in_force(&self) -> Vec<StoredSetting> {
        let mut force: Vec<StoredSetting> = Vec::new();
        for shown in self.shown.iter().rev() {
            let name = &shown.stored.setting;
            if force.iter().all(|held| held.setting != *name)
                && let Some(shown) = self.scale_in_force(name)
            {
                force.push(shown.stored.clone());
            }
        }
        force.reverse();
        force
    }
}

/// The pieces a batch begins with, setup pieces first. Parts cut several in
/// one length, or side by side, begin as blanks.
pub fn initial_pieces(route: &Route, plan: &Plan, station: &str) -> Vec<NewPiece> {
    let mut initial_pieces = Vec::new();
    let mut count = 0;
    for part in &route.parts {
        let mut labels = route.pieces(part);
        let gang = plan
            .operations
            .iter()
            .filter(|operation| operation.part == part.name)
            .flat_map(|operation| &operation.groups)
            .map(|group| group.outcome.after.holds())
            .max()
            .unwrap_or(1)
            .max(1);
        if gang > 1 {
            let blanks = labels.len().div_ceil(gang as usize) as u32;
            labels = (1..=blanks)
                .map(|number| PieceLabel {
                    part: part.name.clone(),
                    number,
                    role: Role::Blank,
                    set: None,
                    hand: None,
                    make: 1,
                })
                .collect();
        }
        // A stable sort, so the cut order stays the route's.
        labels.sort_by_key(|label| label.role != Role::Setup);
        for label in labels {
            count += 1;
            initial_pieces.push(NewPiece { id: PieceId::new(station, count), label, gang });
        }
    }
    initial_pieces
}

/// The pieces a blank is split into.
pub fn split_blank(
    route: &Route,
    state: &State,
    blank: &PieceId,
    station: &str,
    taken: u64,
) -> Vec<NewPiece> {
    let Some(blank) = state.piece(blank) else { return Vec::new() };
    let Some(part) = route.part(&blank.label.part) else { return Vec::new() };
    let labels = route.pieces(part);
    let first = (blank.label.number - 1) * blank.gang;
    (0..blank.gang)
        .map(|n| {
            let index = (first + n) as usize;
            let label = labels.get(index).cloned().unwrap_or_else(|| PieceLabel {
                part: part.name.clone(),
                number: index as u32 + 1,
                role: Role::Spare,
                set: None,
                hand: None,
                make: 1,
            });
            let id = PieceId::new(station, state.next_piece_number(station) + taken + u64::from(n));
            NewPiece { id, label, gang: 1 }
        })
        .collect()
}

/// Where a piece comes from.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PieceOrigin<'a> {
    /// The board.
    pub board: &'a BatchBoard,
    /// Where it is along the board, from the marked end.
    pub along: Stretch,
    /// Where it is across the board, from the near edge.
    pub across: Stretch,
}

impl State {
    /// The board a piece comes from and where it is on it, by the layout in
    /// force; of a piece that came out of a blank, where the blank lay.
    pub fn board_of(&self, piece: &PieceId) -> Option<PieceOrigin<'_>> {
        let mut piece = piece;
        // A line can name a piece as its own blank, so the search is bounded.
        for _ in 0..8 {
            if let Some((board, blank)) = self.boards.blank_of(piece) {
                return Some(PieceOrigin { board, along: blank.along, across: blank.across });
            }
            piece = self.piece(piece)?.from.as_ref()?;
        }
        None
    }
}
