//! What the operations to come need of a piece, and what those before have
//! done to its faces and to the marks on them.

use std::collections::BTreeMap;

use super::values::PieceValues;
use super::walker::Walker;
use crate::measure::Length;
use crate::operation::{Blank, FeatureName, LeftForLater, RoughFaces, WorkStage};
use crate::route::Step;

impl Walker<'_> {
    /// The least that must be left of the thickness and the width for all that
    /// comes later, from the finished size backwards.
    pub(super) fn left_for_later(
        &self,
        step: &Step,
        view: &PieceValues<'_>,
        blank: &Blank,
    ) -> BTreeMap<FeatureName, LeftForLater> {
        let features = [FeatureName::THICKNESS, FeatureName::WIDTH];
        let left =
            |feature: FeatureName| Some((feature.clone(), self.left(step, view, blank, &feature)?));
        features.into_iter().filter_map(left).collect()
    }

    fn left(
        &self,
        step: &Step,
        view: &PieceValues<'_>,
        blank: &Blank,
        feature: &FeatureName,
    ) -> Option<LeftForLater> {
        let later = || self.own_steps().filter(|later| later.op > step.op);
        let finish: Option<Length> = self.sizes(&self.part.finish, view).remove(feature);
        let steps: Vec<&Step> = later().collect();
        let least = steps.iter().rev().fold(finish, |after, later| {
            let bench = self.bench(later, &mut Vec::new());
            let source = |_: &str| None;
            let work = self.work(later, &bench, view, blank, &source);
            // A formula that can't be worked out is reported where it stands.
            later.what.wants(feature, after, &work).unwrap_or(after)
        })?;
        let takes = |later: &&Step| cuts(later, feature);
        Some(LeftForLater { least, op: later().find(takes).map(|later| later.op) })
    }

    /// Which faces no machine has flattened when a piece comes to an operation.
    pub(super) fn rough_faces(&self, step: &Step) -> RoughFaces {
        if !self.part.assembled_from.is_empty() {
            return RoughFaces::default();
        }
        let clean_up = self.shop.lumber.clean_up;
        let before = || self.own_steps().filter(|earlier| earlier.op < step.op);
        let is_cut = before().any(|earlier| cuts(earlier, &FeatureName::THICKNESS));
        let is_parallel = before().any(|earlier| earlier.what.stage().thicknesses());
        RoughFaces {
            face: (!is_cut).then_some(clean_up.face),
            other_face: (!is_parallel).then_some(clean_up.other_face),
        }
    }

    /// Whether an operation takes off the marks of the jointer and a later one
    /// looks for them, before anything takes them off or makes them again.
    pub(super) fn marks_come_off(&self, step: &Step) -> bool {
        let marks = |other: &&Step| other.what.stage() == WorkStage::Jointing;
        let was_marked = self.own_steps().filter(|earlier| earlier.op < step.op).any(|s| marks(&s));
        let mut later = self.own_steps().filter(|later| later.op > step.op);
        let next = later.find(|later| {
            marks(later) || later.what.stage().thicknesses() || later.what.works_from_marks()
        });
        let are_wanted = next.is_some_and(|next| next.what.works_from_marks());
        step.what.stage().thicknesses() && was_marked && are_wanted
    }

    fn own_steps(&self) -> impl DoubleEndedIterator<Item = &Step> {
        self.route.steps.iter().filter(|step| step.part == self.part.name)
    }
}

/// Whether an operation takes wood off that side. One that only measures it doesn't.
fn cuts(step: &Step, side: &FeatureName) -> bool {
    step.what.takes_wood_off().contains(side) && !step.what.leaves_alone(side)
}
