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
use crate::route::{HoldsFor, Part, PieceLabel, Role, Route};
use crate::stock::Stretch;

impl State {
    /// Everything a plan may take as known.
    pub fn known(&self) -> Known {
        let made = self.made.iter().filter_map(|accepted| self.made_value(&accepted.made));
        let labels = |places: &[usize]| -> Arc<[PieceLabel]> {
            let pieces = places.iter().map(|place| &self.pieces[*place]);
            pieces.filter(|piece| piece.whole).map(|piece| piece.label.clone()).collect()
        };
        let pieces = self.of_part.iter().map(|(part, places)| (part.clone(), labels(&places.all)));
        Known {
            made: made.collect(),
            keep: self.keep.clone(),
            measured: self.measured(),
            measured_for: self.measured_for(),
            frozen: self
                .setups
                .iter()
                .filter_map(|(op, setup)| Some((*op, setup.frozen(self)?)))
                .collect(),
            pieces: pieces.filter(|(_, labels)| !labels.is_empty()).collect(),
            articles: Arc::clone(&self.chosen),
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
            | Event::StationLeft {}
            | Event::GaugeZeroed { .. }
            | Event::Sealed { .. }
            | Event::SignedOff(_)
            | Event::StandsIn { .. }
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

    /// The same for each target, where makers chose sizes.
    fn measured_for(&self) -> BTreeMap<(u32, FeatureName), Vec<(Length, Measured)>> {
        let mut measured: BTreeMap<(u32, FeatureName), Vec<(Length, Measured)>> = BTreeMap::new();
        if self.chosen.iter().all(|chosen| chosen.sizes.is_empty()) {
            return measured;
        }
        let closed = |op: u32| self.setups.get(&op).is_some_and(|setup| setup.closed);
        for reading in self.counting_readings().filter(|r| closed(r.taken.op)) {
            let taken = &reading.taken;
            let Some((size, target)) = taken.size().zip(taken.target) else { continue };
            let of = measured.entry((taken.op, taken.feature.clone())).or_default();
            match of.iter_mut().find(|(held, _)| *held == target) {
                Some((_, found)) => {
                    found.least = found.least.min(size);
                    found.most = found.most.max(size);
                }
                None => of.push((target, Measured { least: size, most: size })),
            }
        }
        measured.values_mut().for_each(|of| of.sort_by_key(|(target, _)| *target));
        measured
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

    /// How far a feature is off its target at an operation: the median over all pieces that
    /// count except one, because gross misses are common. Pieces of different articles
    /// have targets of their own; of a reading without one it is this target.
    pub fn median_miss(
        &self,
        op: u32,
        feature: &str,
        but: &PieceId,
        target: Length,
    ) -> Option<Length> {
        let mut sizes: Vec<Length> = self
            .counting_readings()
            .filter(|reading| {
                let taken = &reading.taken;
                taken.op == op && taken.feature == feature && taken.piece != *but
            })
            .filter_map(|reading| {
                Some(reading.taken.size()? - reading.taken.target.unwrap_or(target))
            })
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
        let gang = plan
            .operations
            .iter()
            .filter(|operation| operation.part == part.name)
            .flat_map(|operation| &operation.groups)
            .map(|group| group.outcome.after.holds())
            .max()
            .unwrap_or(1)
            .max(1);
        let mut new: Vec<PieceLabel> = if gang > 1 {
            let known = plan.known();
            // Somebody may choose later.
            let differ = route.has_choices() || !known.articles.is_empty();
            blanks(route, part, gang, differ.then_some(known)).map(|(label, _)| label).collect()
        } else {
            route.pieces(part)
        };
        // A stable sort, so the cut order stays the route's.
        new.sort_by_key(|label| label.role != Role::Setup);
        for label in new {
            count += 1;
            initial_pieces.push(NewPiece { id: PieceId::new(station, count), label, gang });
        }
    }
    initial_pieces
}

/// The blanks of a part, each with what it is cut into. Where articles differ, no blank
/// is for two of them or of two woods.
fn blanks(
    route: &Route,
    part: &Part,
    gang: u32,
    differing: Option<&Known>,
) -> impl Iterator<Item = (PieceLabel, Vec<PieceLabel>)> {
    let kind = |label: &PieceLabel| {
        let known = differing?;
        Some((label.set, route.wood_of_piece(part, label, known).map(str::to_owned)))
    };
    let mut blanks: Vec<Vec<PieceLabel>> = Vec::new();
    for label in route.pieces(part) {
        let has_room = |held: &&mut Vec<PieceLabel>| {
            held.len() < gang as usize && kind(&held[0]) == kind(&label)
        };
        match blanks.last_mut().filter(has_room) {
            Some(held) => held.push(label),
            None => blanks.push(vec![label]),
        }
    }
    let are_apart = differing.is_some();
    (1..).zip(blanks).map(move |(number, held)| {
        let set = held[0].set.filter(|_| are_apart);
        let part = held[0].part.clone();
        (PieceLabel { part, number, role: Role::Blank, set, hand: None, make: 1 }, held)
    })
}

/// The pieces that blanks of one part are split into, for each of them in turn.
pub fn split_blanks(
    route: &Route,
    state: &State,
    split: &[&Piece],
    station: &str,
) -> Vec<Vec<NewPiece>> {
    let part = split.first().and_then(|blank| route.part(&blank.label.part));
    let Some(part) = part else { return vec![Vec::new(); split.len()] };
    let known = state.has_blanks_apart(part).then(|| state.chosen_alone());
    // Room that no piece of the route takes becomes spares, whose numbers nobody has.
    let taken = if known.is_some() { route.pieces(part).len() as u32 } else { 0 };
    // For each gang, what is in the blank of each number.
    let mut held: BTreeMap<u32, BTreeMap<u32, Vec<PieceLabel>>> = BTreeMap::new();
    for gang in split.iter().map(|blank| blank.gang) {
        held.entry(gang).or_insert_with(|| {
            let all = blanks(route, part, gang, known.as_ref());
            all.map(|(label, held)| (label.number, held)).collect()
        });
    }
    let mut count = state.next_piece_number(station);
    let pieces_of = |blank: &&Piece| {
        let beyond = (blank.label.number - 1) * blank.gang + 1 + taken;
        let own = held[&blank.gang].get(&blank.label.number).map_or(&[][..], Vec::as_slice);
        let label = |n: u32| {
            own.get(n as usize).cloned().unwrap_or_else(|| PieceLabel {
                part: part.name.clone(),
                number: beyond + n,
                role: Role::Spare,
                set: None,
                hand: None,
                make: 1,
            })
        };
        let pieces = (0..blank.gang).map(|n| NewPiece {
            id: PieceId::new(station, count + u64::from(n)),
            label: label(n),
            gang: 1,
        });
        let pieces: Vec<NewPiece> = pieces.collect();
        count += u64::from(blank.gang);
        pieces
    };
    split.iter().map(pieces_of).collect()
}

/// Which blank of the batch each piece of a part is cut from; empty where none begins as
/// one.
pub fn in_blanks(route: &Route, state: &State, part: &Part) -> Vec<(PieceLabel, PieceId)> {
    let own = || {
        let of_part = state.pieces.iter().filter(|piece| piece.label.part == part.name);
        of_part.filter(|piece| piece.label.role == Role::Blank)
    };
    let Some(gang) = own().map(|blank| blank.gang).max() else { return Vec::new() };
    let known = state.has_blanks_apart(part).then(|| state.known());
    let mut held_in = Vec::new();
    for (blank, held) in blanks(route, part, gang, known.as_ref()) {
        if let Some(piece) = own().find(|piece| piece.label.number == blank.number) {
            held_in.extend(held.into_iter().map(|label| (label, piece.id.clone())));
        }
    }
    held_in
}

/// The lengths of a part that what is known now needs and the batch hasn't, each with how
/// many pieces are in it. A batch whose lengths are for several articles has none of them.
pub fn missing_blanks(
    route: &Route,
    state: &State,
    part: &Part,
    known: &Known,
) -> Option<Vec<(PieceLabel, u32)>> {
    let own = || {
        let of_part = state.pieces.iter().filter(|piece| piece.label.part == part.name);
        of_part.filter(|piece| piece.label.role == Role::Blank)
    };
    let Some(gang) = own().map(|blank| blank.gang).max() else { return Some(Vec::new()) };
    let is_there = |label: &PieceLabel| own().any(|piece| piece.label.number == label.number);
    let wanted = blanks(route, part, gang, Some(known)).map(|(label, _)| label);
    let missing = wanted.filter(|label| !is_there(label)).map(|label| (label, gang));
    state.has_blanks_apart(part).then(|| missing.collect())
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
    /// What makers chose, and nothing else: enough to say which wood a piece is of.
    fn chosen_alone(&self) -> Known {
        Known { articles: Arc::clone(&self.chosen), ..Known::default() }
    }

    /// Whether each blank of a part is for one article alone.
    fn has_blanks_apart(&self, part: &Part) -> bool {
        let own = self.pieces.iter().filter(|piece| piece.label.part == part.name);
        own.into_iter().any(|held| held.label.role == Role::Blank && held.label.set.is_some())
    }

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
