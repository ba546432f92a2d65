//! What became known since a plan was walked, and which operations it reaches.

use std::collections::{BTreeMap, BTreeSet};

use super::known::Known;
use crate::route::{Part, Step};

/// What became known since a plan was walked.
pub(super) struct News<'a> {
    before: &'a Known,
    now: &'a Known,
    /// The operations whose setup began or whose sizes were measured since.
    told: BTreeSet<u32>,
    /// The first operation whose check made a value that is new or gone.
    made_at: Option<u32>,
}

impl<'a> News<'a> {
    pub(super) fn between(before: &'a Known, now: &'a Known) -> News<'a> {
        let frozen = differing(&before.frozen, &now.frozen).copied();
        let measured = differing(&before.measured, &now.measured).map(|(op, _)| *op);
        let apart = differing(&before.measured_for, &now.measured_for).map(|(op, _)| *op);
        let told = frozen.chain(measured).chain(apart).collect();
        let alike = before.made.iter().zip(&now.made).take_while(|(one, other)| one == other);
        let alike = alike.count();
        let made = before.made[alike..].iter().chain(&now.made[alike..]);
        News { before, now, told, made_at: made.map(|made| made.op.unwrap_or(0)).min() }
    }

    /// Whether values were made, or made values are gone.
    pub(super) fn made_any(&self) -> bool {
        self.made_at.is_some()
    }

    /// Whether other pieces of a part go through its operations.
    pub(super) fn changes_pieces(&self, part: &Part) -> bool {
        self.before.pieces.get(&part.name) != self.now.pieces.get(&part.name)
    }

    /// Whether an operation comes out differently though its pieces come to it as before.
    pub(super) fn reaches(&self, step: &Step) -> bool {
        // Whether a form can be put right hangs on what is made anywhere.
        let judges_form = || step.checks.iter().any(|check| check.kind.is_form());
        let is_read = |at: u32| at <= step.op || judges_form();
        self.told.contains(&step.op) || self.made_at.is_some_and(is_read)
    }
}

/// The keys whose values differ, or that only one of both has.
fn differing<'a, K: Ord, V: PartialEq>(
    one: &'a BTreeMap<K, V>,
    other: &'a BTreeMap<K, V>,
) -> impl Iterator<Item = &'a K> {
    let differs = |(key, value): &(&K, &V)| other.get(key) != Some(value);
    let first = one.iter().filter(differs).map(|(key, _)| key);
    first.chain(other.keys().filter(|key| !one.contains_key(key)))
}
