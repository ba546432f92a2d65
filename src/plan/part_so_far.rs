//! What a part looks like once some of its operations are done: four long
//! faces unrolled, its two ends, and what is cut into it.
//!
//! A route names the faces that it cuts into as the shop does (`toward the side
//! rail`), and mostly no letter. The first name gets the likeliest letter of its cut,
//! and keeps it through the whole route. A letter is its own face.

use std::collections::BTreeMap;

use super::{Plan, PlannedOperation};
use crate::measure::Length;
use crate::operation::{CutAlong, CutShape, EndCut, LENGTH, LongFace, Skin, Trace};
use crate::route::{PieceLabel, Route};

/// One piece as it is now.
#[derive(Clone, Debug, PartialEq)]
pub struct PartSoFar {
    /// Its finished length, from its top.
    pub length: Length,
    /// The four faces, in the order they come up when it is rolled toward you. A
    /// mirrored piece is rolled the other way.
    pub faces: [FaceSoFar; 4],
    /// Both ends.
    pub ends: EndCut,
    /// The tenon at the top, and at the far end.
    pub tenons: [Option<Length>; 2],
    /// The operations that cut something whose place along the piece isn't known.
    pub unplaced: Vec<u32>,
}

/// One long face as it is now.
#[derive(Clone, Debug, PartialEq)]
pub struct FaceSoFar {
    /// Its letter.
    pub face: LongFace,
    /// Where it looks, as the route says it.
    pub looks: Option<String>,
    /// Whether it bears the pencil mark that others are measured from.
    pub is_marked: bool,
    /// How it was left, each from a distance from the top on; the first from nothing.
    skins: Vec<(Length, Skin)>,
    /// What is cut into it, from and to, counted from the top.
    pub cuts: Vec<(CutShape, Length, Length)>,
}

impl FaceSoFar {
    /// Rough from the saw.
    fn rough(face: LongFace) -> FaceSoFar {
        let skins = vec![(Length::ZERO, Skin::Sawn)];
        FaceSoFar { face, looks: None, is_marked: false, skins, cuts: Vec::new() }
    }

    /// How it was left at a distance from the top.
    pub fn skin(&self, at: Length) -> Skin {
        let before = self.skins.iter().rfind(|(from, _)| *from <= at);
        before.map_or(Skin::Sawn, |(_, skin)| *skin)
    }

    /// Whether it looks like another face, apart from its mark and its name.
    pub fn looks_like(&self, other: &FaceSoFar) -> bool {
        self.skins == other.skins && self.cuts == other.cuts
    }

    fn work(&mut self, from: Length, skin: Skin) {
        self.skins.retain(|(held, _)| *held < from);
        self.skins.push((from, skin));
    }
}

/// The faces of a part that its route calls by a name.
#[derive(Default)]
struct NamedFaces(BTreeMap<String, LongFace>);

impl NamedFaces {
    /// The names of all operations of a part, so that a face is called the same
    /// before anything is cut into it.
    fn of<'a>(traces: impl Iterator<Item = &'a Trace>) -> NamedFaces {
        let mut named = NamedFaces::default();
        for trace in traces {
            if let Trace::Cut { faces, among, .. } = trace {
                for name in faces.iter().flatten() {
                    named.add(name, among);
                }
            }
        }
        named
    }

    fn add(&mut self, name: &str, among: &[LongFace; 4]) {
        let name = face_in(name);
        if LongFace::lettered(name).is_some() {
            return;
        }
        let is_taken = |face: &&LongFace| self.0.values().any(|held| held == *face);
        if !self.0.contains_key(name)
            && let Some(free) = among.iter().find(|face| !is_taken(face))
        {
            self.0.insert(name.to_owned(), *free);
        }
    }

    fn face(&self, name: Option<&str>, likely: LongFace) -> LongFace {
        let named = |name| LongFace::lettered(name).or(self.0.get(name).copied());
        name.map(face_in).and_then(named).unwrap_or(likely)
    }
}

/// `inner edge` of `inner edge, at the head`: what follows says where on the face.
fn face_in(name: &str) -> &str {
    name.split(',').next().unwrap_or(name).trim()
}

/// A piece after the operations that `is_done` says; none where its length isn't
/// known or it is put together from others.
pub fn part_so_far(
    route: &Route,
    plan: &Plan,
    piece: &PieceLabel,
    is_done: impl Fn(u32) -> bool,
) -> Option<PartSoFar> {
    let part = route.part(&piece.part).filter(|part| part.assembled_from.is_empty())?;
    let own = plan.operations.iter().filter(|planned| planned.part == part.name);
    let own: Vec<(u32, &[Trace])> =
        own.filter_map(|planned| Some((planned.op, traces(planned, piece)?))).collect();
    let length = finished_length(plan, piece)?;
    let mut faces = LongFace::ALL.map(FaceSoFar::rough);
    let named = NamedFaces::of(own.iter().flat_map(|(_, traces)| *traces));
    for (name, face) in &named.0 {
        faces[*face as usize].looks = Some(name.clone());
    }
    let mut so_far = PartSoFar {
        length,
        faces,
        ends: EndCut::Rough,
        tenons: [None, None],
        unplaced: Vec::new(),
    };
    for (op, traces) in own.into_iter().filter(|(op, _)| is_done(*op)) {
        for trace in traces {
            so_far.take_in(op, trace, &named);
        }
    }
    let hand = piece.hand.as_deref();
    if hand.is_some_and(|hand| part.is_mirrored(hand)) {
        so_far.faces.swap(1, 3);
    }
    Some(so_far)
}

/// What an operation leaves on the group that a piece belongs to.
fn traces<'a>(planned: &'a PlannedOperation, piece: &PieceLabel) -> Option<&'a [Trace]> {
    let place = planned.pieces.iter().position(|held| held == piece);
    let group = place.and_then(|place| planned.group_of(place)).or(planned.groups.first())?;
    Some(&group.outcome.traces)
}

/// Its length after the last operation that says one.
fn finished_length(plan: &Plan, piece: &PieceLabel) -> Option<Length> {
    let own = plan.operations.iter().rev().filter(|planned| planned.part == piece.part);
    let mut groups = own.flat_map(|planned| &planned.groups);
    let length = groups.find_map(|group| group.outcome.after.most(LENGTH))?;
    (length > Length::ZERO).then_some(length)
}

impl PartSoFar {
    fn take_in(&mut self, op: u32, trace: &Trace, named: &NamedFaces) {
        match trace {
            Trace::Skin { faces, skin, from } => {
                for face in faces {
                    self.faces[*face as usize].work(*from, *skin);
                }
            }
            Trace::Marked(face) => self.faces[*face as usize].is_marked = true,
            Trace::Ends(ends) => self.ends = *ends,
            Trace::Tenon { long, ends } => {
                for tenon in self.tenons.iter_mut().take(*ends) {
                    *tenon = Some(*long);
                }
            }
            Trace::Cut { shape, faces, among, along } => {
                let (from, to) = match along {
                    CutAlong::Whole => (Length::ZERO, self.length),
                    CutAlong::Between(from, to) => (*from, *to),
                    CutAlong::Unknown => return self.unplaced.push(op),
                };
                for (name, likely) in faces.iter().zip(among) {
                    let face = named.face(name.as_deref(), *likely);
                    self.faces[face as usize].cuts.push((*shape, from, to));
                }
            }
        }
    }
}
