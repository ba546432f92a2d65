//! Walks an imaginary piece through a route, with what was made so far: every
//! setting, every pass, and what an inspector would say.
//! It must not know journals, screens, the clock or the disk.
//!
//! A finding says who may override it. A machine's own limits can be overridden
//! by nobody, because they protect people and not the order of work; letting
//! the lead open everything was rejected.

pub mod articles;
mod bench;
mod blanks;
mod compare;
mod finding;
mod groups;
pub mod hours;
mod impossible;
mod inspect;
mod known;
mod later;
mod news;
pub mod pairing;
mod part_so_far;
mod setups;
pub mod spares;
mod values;
mod walk;
mod walker;

pub use compare::{Change, Changed, Collision, compare};
pub use finding::{PlanFinding, PlanSubject};
pub use inspect::problems;
pub use known::{Frozen, FrozenSetting, Known, MadeOver, MadeValue, Measured};
pub use part_so_far::{FaceSoFar, PartSoFar, part_so_far};
pub use setups::{SharedSetup, shared_setups};
pub use values::{DimensionState, dimensions};
pub use walk::{closer, cut_again, lost_between, strips, walk};

use std::sync::Arc;

use rustc_hash::FxHashMap;

use crate::measure::{Feature, Length, Limits, SafeSide};
use crate::operation::{Blank, FeatureName, MayOverride, OperationKind, Outcome};
use crate::prose::Level;
use crate::route::{PieceLabel, Role};

/// A route walked from stock to finished size.
#[derive(Clone, Debug, PartialEq)]
pub struct Plan {
    /// Every operation, by its number.
    pub operations: Vec<Arc<PlannedOperation>>,
    /// What concerns no single operation.
    pub findings: Vec<PlanFinding>,
    /// What was known when it was walked.
    known: Arc<Known>,
}

/// One operation with everything computed.
#[derive(Clone, Debug, PartialEq)]
pub struct PlannedOperation {
    /// Its number.
    pub op: u32,
    /// The part it is done to.
    pub part: String,
    /// The word after `do`.
    pub kind: &'static OperationKind,
    /// The machine.
    pub at: Option<String>,
    /// The tool.
    pub tool: Option<String>,
    /// A note from the author of the route.
    pub note: Option<String>,
    /// The pieces it is for, in cut order.
    pub pieces: Arc<[PieceLabel]>,
    /// One for each distinct set of values; most often one for all.
    pub groups: Vec<Group>,
    /// The cautions to accept before the first cut.
    pub cautions: Vec<String>,
    /// What an inspector would say of it.
    pub findings: Vec<PlanFinding>,
    /// What is measured at it.
    pub checks: Vec<PlannedCheck>,
    /// Whether it opens only once what it depends on is measured.
    pub cant_be_undone: bool,
    /// Dimensions it uses that a check at an earlier operation makes.
    pub needs: Vec<Need>,
}

/// Alike pieces and what the operation says about them.
#[derive(Clone, Debug, PartialEq)]
pub struct Group {
    /// Which of the operation's pieces, by their place in its list.
    pub pieces: Vec<usize>,
    /// The pieces as they come to it.
    pub before: Blank,
    /// What the operation says about them.
    pub outcome: Outcome,
    /// One for each check of the operation.
    pub limits: Vec<GroupLimits>,
    /// The lengths its formulas used, and whether each was made.
    pub used: Vec<(String, Length, bool)>,
    /// The pieces by how they come and leave, where some differ in what this operation
    /// leaves alone: legs of several lengths at one width. Empty where all are alike.
    pub varieties: Vec<Variety>,
}

/// Pieces of a group that differ from others in it, though they are cut at the same
/// numbers.
#[derive(Clone, Debug, PartialEq)]
pub struct Variety {
    /// Which of the operation's pieces, by their place in its list.
    pub pieces: Vec<usize>,
    /// The pieces as they come.
    pub before: Blank,
    /// The pieces as they leave.
    pub after: Blank,
}

/// The size wanted and its limits, for one check and one group.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct GroupLimits {
    /// The size wanted; `None` where it is not known.
    pub target: Option<Length>,
    /// The limits around it.
    pub limits: Limits,
}

impl GroupLimits {
    /// The same band around another size.
    pub fn moved(self, by: Length) -> GroupLimits {
        GroupLimits {
            target: self.target.map(|target| target + by),
            limits: Limits {
                low: self.limits.low.map(|low| low + by),
                high: self.limits.high.map(|high| high + by),
            },
        }
    }
}

/// A check with all that doesn't differ from group to group.
#[derive(Clone, Debug, PartialEq)]
pub struct PlannedCheck {
    /// The feature that is measured.
    pub of: FeatureName,
    /// Which words it is judged in.
    pub kind: Feature,
    /// Which way a miss can still be cut.
    pub safe: SafeSide,
    /// The gauge, as the shop file calls it.
    pub gauge: String,
    /// Where on the piece.
    pub place: Option<String>,
    /// Which pieces are measured.
    pub pieces: crate::route::PieceChoice,
    /// The dimension its readings become, where they do.
    pub becomes: Option<crate::route::Becomes>,
}

/// A dimension that must be made before an operation opens, and where it is made.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Need {
    /// The dimension.
    pub dim: String,
    /// The operation whose check makes it.
    pub op: u32,
}

impl Plan {
    /// An operation by its number.
    pub fn operation(&self, op: u32) -> Option<&PlannedOperation> {
        self.shared(op).map(Arc::as_ref)
    }

    /// The same, as plans share it.
    fn shared(&self, op: u32) -> Option<&Arc<PlannedOperation>> {
        // In the order of their numbers, each once.
        let place = self.operations.binary_search_by_key(&op, |operation| operation.op).ok()?;
        Some(&self.operations[place])
    }

    /// What was known when it was walked.
    pub fn known(&self) -> &Known {
        &self.known
    }

    /// What stands against beginning: every error, and whether nobody may begin in
    /// spite of one of them.
    pub fn errors(&self) -> (Vec<&PlanFinding>, MayOverride) {
        let errors: Vec<&PlanFinding> =
            self.all_findings().filter(|finding| finding.level == Level::Error).collect();
        let never = errors.iter().any(|error| error.place.may_override == MayOverride::Nobody);
        (errors, if never { MayOverride::Nobody } else { MayOverride::Lead })
    }

    /// Every finding of every operation and of the whole. What is missing in
    /// the shop file is said once, at the first operation that needs it.
    pub fn all_findings(&self) -> impl Iterator<Item = &PlanFinding> {
        let mut asked = Vec::new();
        let all = self.operations.iter().flat_map(|operation| &operation.findings);
        all.chain(&self.findings).filter(move |finding| {
            let of_shop = finding.place.of_the_shop;
            let first = !of_shop || !asked.contains(&(finding.level, &finding.what));
            if of_shop {
                asked.push((finding.level, &finding.what));
            }
            first
        })
    }
}

/// What a finding says, with its operation before it.
pub fn at_operation(finding: &PlanFinding) -> String {
    match finding.place.op {
        Some(op) => format!("op {op}: {}", finding.what),
        None => finding.what.clone(),
    }
}

impl PlannedOperation {
    /// Which group a piece is cut with. One made again, or a spare that stepped in,
    /// isn't in the plan: it is cut as the piece whose place it has.
    pub fn group_index(&self, label: &PieceLabel) -> Option<usize> {
        let place = |held: &&PieceLabel| {
            held.role == Role::Set && held.set == label.set && held.hand == label.hand
        };
        let own = self.pieces.iter().find(|held| *held == label);
        let own = own.or_else(|| self.pieces.iter().filter(|_| label.set.is_some()).find(place))?;
        let index = self.pieces.iter().position(|held| held == own)?;
        self.groups.iter().position(|group| group.pieces.contains(&index))
    }

    /// The same for many pieces at once, each in its place; the first group where none is
    /// known.
    pub fn group_indexes<'p>(&self, labels: impl Iterator<Item = &'p PieceLabel>) -> Vec<usize> {
        let mut labels = labels.peekable();
        if labels.peek().is_none() {
            return Vec::new();
        }
        let mut own: FxHashMap<&PieceLabel, usize> = FxHashMap::default();
        for (n, group) in self.groups.iter().enumerate() {
            own.extend(group.pieces.iter().map(|index| (&self.pieces[*index], n)));
        }
        let group = |label| own.get(label).copied().or_else(|| self.group_index(label));
        labels.map(|label| group(label).unwrap_or(0)).collect()
    }

    /// Its pieces at these places in its list, neighbours together: `leg 1 to leg 4, leg 9`.
    pub fn named(&self, places: &[usize]) -> String {
        let mut runs: Vec<(usize, usize)> = Vec::new();
        for &place in places {
            match runs.last_mut() {
                Some((_, last)) if *last + 1 == place => *last = place,
                _ => runs.push((place, place)),
            }
        }
        let words = runs.into_iter().map(|(first, last)| {
            if first == last {
                self.pieces[first].to_string()
            } else {
                format!("{} to {}", self.pieces[first], self.pieces[last])
            }
        });
        words.collect::<Vec<_>>().join(", ")
    }

    /// Whether pieces leave it as they leave another one.
    fn leaves_like(&self, other: &PlannedOperation) -> bool {
        let alike = |(one, other): (&Group, &Group)| {
            one.pieces == other.pieces
                && one.outcome.after == other.outcome.after
                && one.varieties == other.varieties
        };
        self.groups.len() == other.groups.len() && self.groups.iter().zip(&other.groups).all(alike)
    }

    /// The group a piece belongs to, by its place in the operation's list.
    pub fn group_of(&self, piece: usize) -> Option<&Group> {
        self.groups.iter().find(|group| group.pieces.contains(&piece))
    }
}
