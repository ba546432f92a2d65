//! Which pieces of an operation are on a card, group by group.

use super::CardInput;
use crate::plan::{Group, PlannedOperation};

/// The pieces of a group that are on the card.
pub(super) struct ShownGroup<'a> {
    pub(super) group: &'a Group,
    /// By their places in the operation's list, rising.
    pub(super) places: Vec<usize>,
}

impl<'a> ShownGroup<'a> {
    /// Every group that has pieces on the card.
    pub(super) fn of(card: &CardInput, planned: &'a PlannedOperation) -> Vec<ShownGroup<'a>> {
        let shown = |group: &'a Group| {
            let own = group.pieces.iter().copied();
            let mut places: Vec<usize> =
                own.filter(|place| card.shows(&planned.pieces[*place])).collect();
            places.sort_unstable();
            ShownGroup { group, places }
        };
        planned.groups.iter().map(shown).filter(|shown| !shown.places.is_empty()).collect()
    }
}
