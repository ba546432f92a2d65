//! What articles that differ need from the rack: the blanks of a part, wood by wood and
//! size by size.

use std::collections::BTreeMap;
use std::sync::Arc;

use super::need::{BlankNeed, NeedFinder, PieceCounts};
use crate::formula::{DimensionKind, Planned, Web};
use crate::measure::Length;
use crate::operation::{Blank, LENGTH, THICKNESS, WIDTH};
use crate::plan::PlannedOperation;
use crate::route::{Part, PieceLabel, Role};

/// What makes two pieces of a part different to the rack.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
struct RackKind {
    wood: Option<String>,
    rough: [Length; 3],
    finished: [Length; 3],
    clean_at: Length,
}

impl NeedFinder<'_> {
    /// Whether the articles of a part differ, or can: somebody may still choose.
    pub(super) fn are_apart(&self, part: &Part) -> bool {
        let differ = self.route.has_choices() || !self.plan.known().articles.is_empty();
        differ && part.blank.woods.is_empty()
    }

    /// The needs of a part whose articles differ; `one` has all that doesn't.
    pub(super) fn of_articles(
        &self,
        part: &Part,
        one: &BlankNeed,
    ) -> Vec<(BlankNeed, PieceCounts)> {
        let known = self.plan.known();
        let mut kinds: Vec<(RackKind, Vec<PieceLabel>)> = Vec::new();
        let mut webs: BTreeMap<Option<u32>, Web> = BTreeMap::new();
        let late = (self.route.sets + 1..=known.articles.len() as u32)
            .flat_map(|article| self.route.late_pieces(part, article));
        for label in self.route.pieces(part).into_iter().chain(late) {
            let web = webs.entry(label.set).or_insert_with(|| {
                let chosen = label.set.and_then(|set| known.articles.get(set as usize - 1));
                let own = self.route.web(known.keep.as_deref());
                chosen.map_or_else(|| own.clone(), |chosen| chosen.web(own))
            });
            let kind = self.kind(part, one, &label, web);
            match kinds.iter_mut().find(|(held, _)| *held == kind) {
                Some((_, pieces)) => pieces.push(label),
                None => kinds.push((kind, vec![label])),
            }
        }
        kinds.into_iter().map(|(kind, pieces)| need(part, one, kind, pieces)).collect()
    }

    fn kind(&self, part: &Part, one: &BlankNeed, label: &PieceLabel, web: &Web) -> RackKind {
        let mut operations = self.operations(part);
        let first = operations.next();
        let rough = |feature: &str, all: Length| {
            first.and_then(|first| sized(first, label, feature, false)).unwrap_or(all)
        };
        let last = operations.next_back().or(first);
        let finished = |feature: &str, all: Length| {
            let planned = part.finish.get(feature).filter(|_| label.set.is_some());
            let planned = planned.and_then(|keyed| {
                let value = keyed.formula.evaluate_as(DimensionKind::Length, &Planned(web)).ok()?;
                value.length()
            });
            planned
                .or_else(|| last.and_then(|last| sized(last, label, feature, true)))
                .unwrap_or(all)
        };
        RackKind {
            wood: self.route.wood_of_piece(part, label, self.plan.known()).map(str::to_owned),
            rough: [
                rough(LENGTH, one.length),
                rough(WIDTH, one.width),
                rough(THICKNESS, one.thickness),
            ],
            finished: [
                finished(LENGTH, one.finished_length),
                finished(WIDTH, one.finished_width),
                finished(THICKNESS, one.finished_thickness),
            ],
            clean_at: one.clean_at.min(rough(THICKNESS, one.thickness)),
        }
    }
}

/// A size of a piece as it comes to an operation, or as it leaves it; of one that is
/// still in a length with others, that of the length.
fn sized(
    operation: &PlannedOperation,
    label: &PieceLabel,
    feature: &str,
    is_after: bool,
) -> Option<Length> {
    let own = |held: &&PieceLabel| *held == label;
    let of_its_article = |held: &&PieceLabel| held.set == label.set;
    let pieces = || operation.pieces.iter();
    let held = pieces().find(own).or_else(|| pieces().find(of_its_article))?;
    let place = pieces().position(|piece| piece == held)?;
    let group = operation.group_of(place)?;
    let blank: &Blank = if is_after { group.after_of(place) } else { group.before_of(place) };
    blank.most(feature)
}

fn need(
    part: &Part,
    one: &BlankNeed,
    kind: RackKind,
    pieces: Vec<PieceLabel>,
) -> (BlankNeed, PieceCounts) {
    let holds = one.holds().max(1);
    let count = |role: Role| pieces.iter().filter(|label| label.role == role).count() as u32;
    let counts = PieceCounts {
        sets: count(Role::Set),
        spares: count(Role::Spare),
        setup: count(Role::Setup),
    };
    let articles = counts.sets / part.per_set.max(1);
    let a_set = part.per_set.div_ceil(holds);
    let blanks = |pieces: u32| pieces.div_ceil(holds);
    let need = BlankNeed {
        species: kind.wood,
        length: kind.rough[0],
        width: kind.rough[1],
        thickness: kind.rough[2],
        finished_length: kind.finished[0],
        finished_width: kind.finished[1],
        finished_thickness: kind.finished[2],
        clean_at: kind.clean_at,
        for_sets: a_set * articles,
        spare: blanks(counts.spares),
        setup: blanks(counts.spares + counts.setup) - blanks(counts.spares),
        a_set,
        pieces: Some(Arc::from(pieces)),
        ..one.clone()
    };
    (need, counts)
}
