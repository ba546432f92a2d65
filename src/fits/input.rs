//! What the fits are worked out from: route, shop, plan, and what a batch has
//! made and read so far.

use std::collections::BTreeMap;

use crate::journal::State;
use crate::measure::Length;
use crate::operation::FeatureName;
use crate::plan::{Known, Plan};
use crate::route::Route;
use crate::shop::Shop;

/// A route, the shop it is made in, and what is known so far.
#[derive(Clone, Copy, Debug)]
pub struct FitsInput<'a> {
    /// The route whose fits are judged.
    pub route: &'a Route,
    /// The shop it is made in.
    pub shop: &'a Shop,
    /// The route walked with `known`.
    pub plan: &'a Plan,
    /// The dimensions made so far.
    pub known: &'a Known,
    /// The readings so far, when a batch is under way.
    pub readings: Option<&'a Readings>,
}

/// The readings of each feature at each operation, on the pieces that count,
/// with the article each piece belongs to.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Readings(BTreeMap<(u32, FeatureName), Vec<OfSet>>);

type OfSet = (Option<u32>, Length);

impl Readings {
    /// The counting readings of a batch that have a number.
    pub fn of(state: &State) -> Readings {
        let mut all = Readings::default();
        for reading in state.counting_readings() {
            let taken = &reading.taken;
            let piece = state.piece(&taken.piece);
            if let (Some(piece), Some(size)) = (piece, taken.size()) {
                let at = all.0.entry((taken.op, taken.feature.clone())).or_default();
                at.push((piece.label.set, size));
            }
        }
        all
    }

    /// The readings of one article, or of all.
    pub(super) fn at(&self, op: u32, feature: &str, set: Option<u32>) -> Vec<Length> {
        let all = self.0.get(&(op, FeatureName::new(feature)));
        let ours = all.into_iter().flatten().filter(|(of, _)| set.is_none() || *of == set);
        ours.map(|(_, size)| *size).collect()
    }
}
