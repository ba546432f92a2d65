//! What follows from readings: the dimension they become, the collisions and
//! the settings that change.

use super::context::WorkContext;
use crate::journal::Reference;
use crate::journal::{AcceptedChange, Event, MadeDimension};
use crate::journal::{ReadingRecord, State};
use crate::measure::Length;
use crate::plan::{Change, Changed, Collision, compare};
use crate::route::{Becomes, HoldsFor, Route, Take};

/// What the lead is asked to accept, once, for an operation.
#[derive(Clone, Debug, PartialEq)]
pub struct Proposal {
    /// The number of the operation.
    pub op: u32,
    /// The dimensions the readings make.
    pub made: Vec<MadeDimension>,
    /// What each dimension was planned to be, in the order of `made`.
    pub planned: Vec<Option<Length>>,
    /// What follows, once for each dimension that may be kept; one where
    /// there is no choice.
    pub keeps: Vec<KeepOption>,
}

/// What follows when one dimension of a chain keeps its value.
#[derive(Clone, Debug, PartialEq)]
pub struct KeepOption {
    /// The dimension that is kept; none where the route names none.
    pub keep: Option<String>,
    /// What no longer fits.
    pub collisions: Vec<Collision>,
    /// Settings and sizes that change.
    pub changes: Vec<Change>,
    /// Settings that stay as they are.
    pub unchanged: usize,
}

impl Proposal {
    /// Whether nothing follows from it, so that there is nothing to accept.
    pub fn changes_nothing(&self) -> bool {
        let same = |kept: &KeepOption| kept.changes.is_empty() && kept.collisions.is_empty();
        matches!(self.keeps.as_slice(), [only] if same(only))
    }

    /// The events by which it is accepted, keeping what `chosen` keeps; by nobody
    /// where it changes nothing.
    pub fn accepted(&self, chosen: &KeepOption, by: Option<&str>) -> Vec<Event> {
        let mut events: Vec<Event> = Vec::new();
        events.extend(chosen.keep.clone().map(|keep| Event::Kept { keep }));
        events.extend(self.made.iter().cloned().map(Event::Made));
        let changes = chosen
            .changes
            .iter()
            .filter_map(|change| match change.of {
                Changed::Setting { was, now } => {
                    Some(AcceptedChange { op: change.op, setting: change.what.clone(), was, now })
                }
                Changed::Size => None,
            })
            .collect();
        events.push(Event::Accepted { op: self.op, by: by.map(str::to_owned), changes });
        events
    }
}

/// Whether an operation's readings still wait for the lead: nobody accepted them, or
/// they make another value since.
pub fn waits_for_the_lead(route: &Route, state: &State, op: u32) -> bool {
    if !state.is_closed(op) || (state.accepted.contains(&op) && !state.read_again.contains(&op)) {
        return false;
    }
    let is_accepted = |made: &MadeDimension| {
        let same = |held: &MadeDimension| {
            held.op == op
                && held.dim == made.dim
                && held.set == made.set
                && held.piece == made.piece
        };
        let last = state.made.iter().rev().find(|accepted| same(&accepted.made));
        last.is_some_and(|last| last.made.value == made.value)
    };
    !made(route, state, op).iter().all(is_accepted)
}

/// What the readings of the operation become, and what that changes.
pub fn proposal(context: &WorkContext<'_>) -> Option<Proposal> {
    if !waits_for_the_lead(context.route, context.state, context.op) {
        return None;
    }
    let made = made(context.route, context.state, context.op);
    let mut known = context.state.known();
    for made in &made {
        known.made.push(context.state.made_value(made)?);
    }
    let planned = made
        .iter()
        .map(|made| context.route.dims.value(&made.dim, &|_| None).ok()?.length())
        .collect();
    let kept = |keep: Option<String>| {
        known.keep.clone_from(&keep);
        let after = context.plan.walk_again(context.route, context.shop, &known);
        let (collisions, changes, unchanged) = compare(context.plan, &after, context.route.unit);
        KeepOption { keep, collisions, changes, unchanged }
    };
    Some(Proposal { op: context.op, made, planned, keeps: keeps(context, kept) })
}

/// The dimensions that may be kept, unless the lead chose already or the result is
/// the same.
fn keeps(
    context: &WorkContext<'_>,
    mut kept: impl FnMut(Option<String>) -> KeepOption,
) -> Vec<KeepOption> {
    if context.state.keep.is_some() || context.route.keeps.is_empty() {
        return vec![kept(context.state.keep.clone())];
    }
    let each: Vec<KeepOption> =
        context.route.keeps.iter().map(|keep| kept(Some(keep.name.clone()))).collect();
    let same = |one: &KeepOption, other: &KeepOption| {
        one.changes == other.changes && one.collisions == other.collisions
    };
    if each.windows(2).all(|pair| same(&pair[0], &pair[1])) {
        return vec![kept(None)];
    }
    each
}

/// The dimensions that an operation's readings make.
fn made(route: &Route, state: &State, op: u32) -> Vec<MadeDimension> {
    let Some(step) = route.step(op) else { return Vec::new() };
    let mut made = Vec::new();
    for check in &step.checks {
        let Some(becomes) = &check.becomes else { continue };
        let readings: Vec<&ReadingRecord> = state
            .counting_readings()
            .filter(|reading| reading.taken.op == op && reading.taken.feature == check.of)
            .collect();
        let apart = match becomes.of {
            HoldsFor::Batch => articles_apart(route, state, &becomes.dim),
            HoldsFor::Set | HoldsFor::Piece => Vec::new(),
        };
        let (span, groups) = if apart.is_empty() {
            (becomes.of, grouped(state, becomes.of, &readings))
        } else {
            (HoldsFor::Set, by_planned_size(state, &apart, &readings))
        };
        for (set, piece, group) in groups {
            if let Some(value) = taken(becomes.take, &group) {
                made.push(MadeDimension {
                    dim: becomes.dim.clone(),
                    span,
                    set,
                    piece,
                    value,
                    op,
                    words: words(becomes, &group, op, &check.with),
                    from: group.iter().map(|reading| reading.reference.clone()).collect(),
                });
            }
        }
    }
    made
}

type ReadingsOf<'a> = (Option<u32>, Option<crate::journal::PieceId>, Vec<&'a ReadingRecord>);

fn grouped<'a>(
    state: &State,
    span: HoldsFor,
    readings: &[&'a ReadingRecord],
) -> Vec<ReadingsOf<'a>> {
    let mut groups: Vec<ReadingsOf<'a>> = Vec::new();
    for reading in readings {
        let piece = state.piece(&reading.taken.piece);
        let key = match span {
            HoldsFor::Batch => (None, None),
            // A spare belongs to no article until it is used in one.
            HoldsFor::Set => match piece.and_then(|piece| piece.label.set) {
                Some(set) => (Some(set), None),
                None => continue,
            },
            HoldsFor::Piece => (None, Some(reading.taken.piece.clone())),
        };
        match groups.iter_mut().find(|(set, piece, _)| (*set, piece.clone()) == key) {
            Some((.., group)) => group.push(reading),
            None => groups.push((key.0, key.1, vec![reading])),
        }
    }
    groups
}

/// The articles of each planned size of a dimension, where makers chose sizes that make
/// it differ; none where it is the same for all.
fn articles_apart(route: &Route, state: &State, dim: &str) -> Vec<Vec<u32>> {
    let known = state.known();
    let web = route.web(known.keep.as_deref());
    let chosen = |name: &String| name == dim || web.depends_on(dim, name);
    if !known.articles.iter().any(|held| held.sizes.keys().any(chosen)) {
        return Vec::new();
    }
    let mut apart: Vec<(Option<Length>, Vec<u32>)> = Vec::new();
    for (article, chosen) in (1..).zip(&*known.articles) {
        let size = chosen.web(web).value(dim, &|_| None).ok().and_then(|value| value.length());
        match apart.iter_mut().find(|(held, _)| *held == size) {
            Some((_, articles)) => articles.push(article),
            None => apart.push((size, vec![article])),
        }
    }
    if apart.len() < 2 { Vec::new() } else { apart.into_iter().map(|(_, held)| held).collect() }
}

/// The readings of all articles of one planned size, once for each of them: a leg of
/// another length says nothing about theirs. A spare belongs to none.
fn by_planned_size<'a>(
    state: &State,
    apart: &[Vec<u32>],
    readings: &[&'a ReadingRecord],
) -> Vec<ReadingsOf<'a>> {
    let set = |reading: &ReadingRecord| state.piece(&reading.taken.piece)?.label.set;
    let of = |articles: &Vec<u32>| -> Vec<&'a ReadingRecord> {
        let own =
            |reading: &&&ReadingRecord| set(reading).is_some_and(|set| articles.contains(&set));
        readings.iter().filter(own).copied().collect()
    };
    let groups = apart.iter().map(|articles| (articles, of(articles)));
    let groups = groups.filter(|(_, group)| !group.is_empty());
    let each = groups.flat_map(|(articles, group)| {
        articles.iter().map(move |article| (Some(*article), None, group.clone()))
    });
    each.collect()
}

fn taken(take: Take, readings: &[&ReadingRecord]) -> Option<Length> {
    let sizes: Vec<Length> = readings.iter().filter_map(|reading| reading.taken.size()).collect();
    let count = sizes.len() as i64;
    match take {
        Take::Smallest => sizes.into_iter().min(),
        Take::Largest => sizes.into_iter().max(),
        Take::Mean => (count > 0).then(|| sizes.into_iter().sum::<Length>() / count),
    }
}

/// `smallest of 24 readings at op 50, calipers`.
fn words(becomes: &Becomes, readings: &[&ReadingRecord], op: u32, gauge: &str) -> String {
    match readings.len() {
        1 => format!("read at op {op}, {gauge}"),
        n => format!("{} of {n} readings at op {op}, {gauge}", becomes.take.word()),
    }
}

/// Readings that came or were voided after the lead accepted. What was accepted
/// keeps its value, and the lead is asked.
pub fn questions(state: &State) -> Vec<String> {
    let mut questions = Vec::new();
    for accepted in &state.made {
        let made = &accepted.made;
        let known: Vec<&Reference> = made.from.iter().collect();
        let voided = state
            .readings
            .iter()
            .filter(|reading| reading.voided && known.contains(&&reading.reference))
            .count();
        let features: Vec<&str> = state
            .readings
            .iter()
            .filter(|reading| known.contains(&&reading.reference))
            .map(|reading| reading.taken.feature.as_str())
            .collect();
        let late = state
            .counting_readings()
            .filter(|reading| {
                let same_piece =
                    made.piece.as_ref().is_none_or(|piece| *piece == reading.taken.piece);
                let set = state.piece(&reading.taken.piece).and_then(|piece| piece.label.set);
                reading.taken.op == made.op
                    && features.contains(&reading.taken.feature.as_str())
                    && same_piece
                    && (made.set.is_none() || made.set == set)
                    && !known.contains(&&reading.reference)
            })
            .count();
        if voided + late > 0 {
            let what = match (late, voided) {
                (late, 0) => format!("{late} came after it was accepted"),
                (0, voided) => format!("{voided} of them voided since"),
                (late, voided) => {
                    format!("{late} came after it was accepted, {voided} voided since")
                }
            };
            questions.push(format!(
                "{} was made from readings at op {}: {what}. It keeps its value until the lead measures again.",
                made.dim, made.op
            ));
        }
    }
    questions
}
