//! What every operation is asked. Other rooms ask here; none of them compares
//! the name of a kind or of a feature.

use std::fmt::Debug;

use super::feature::{FeatureName, LENGTH, THICKNESS, WIDTH};
use super::form;
use super::order::{PartSequence, WorkStage};
use super::outcome::{Finding, Outcome, Trouble};
use super::reader::Keyed;
use super::work::Work;
use crate::measure::{Feature, Length, SafeSide, Verdict};
use crate::shop::{Act, MachineKind};

/// A feature an operation sizes.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct SizedFeature {
    /// Its name.
    pub feature: FeatureName,
    /// In which words a reading of it is judged.
    pub kind: Feature,
    /// The direction of error that can still be cut away.
    pub safe: SafeSide,
}

impl SizedFeature {
    /// A feature with the side that can still be cut away.
    pub(super) fn new(feature: impl Into<FeatureName>, safe: SafeSide) -> SizedFeature {
        let feature = feature.into();
        let kind = feature.kind().unwrap_or(Feature::Size);
        SizedFeature { feature, kind, safe }
    }

    /// A feature that is first cut too big, so that wood can still come off.
    pub(super) fn wood_left_on(feature: impl Into<FeatureName>) -> SizedFeature {
        SizedFeature::new(feature, SafeSide::Big)
    }
}

/// By how much a piece is too big.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Over {
    /// Over the size wanted.
    pub target: Length,
    /// Over the limit.
    pub limit: Length,
}

/// The wood in front of a hole, and the hole behind it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Wall {
    /// From the reference face to the hole.
    pub wall: FeatureName,
    /// The width or diameter of the hole.
    pub across: FeatureName,
}

/// The formulas an operation holds.
pub trait Formulas {
    /// Every formula, each with the key it is under.
    fn formulas(&self) -> Vec<&Keyed>;
}

/// One operation of a route, of whatever kind.
pub trait Operation: Formulas + Debug + Send + Sync {
    /// Settings, passes and what the piece measures afterwards.
    ///
    /// # Errors
    /// A formula that can't be worked out for these pieces.
    fn compute(&self, work: &Work<'_>) -> Result<Outcome, Trouble>;

    /// What it sizes. Checks are judged by the safe sides given here.
    fn sizes(&self) -> Vec<SizedFeature>;

    /// What to do with a piece that came out too big, when that side can still
    /// be cut away: one sentence.
    fn cut_again(&self, work: &Work<'_>, over: Over) -> String;

    /// What to do with a piece whose form is out and not its size, as long as
    /// it can be put right: one sentence; `None` for a plain size.
    fn put_right(&self, kind: Feature, verdict: Verdict) -> Option<&'static str> {
        form::put_right(self.stage(), kind, verdict)
    }

    /// The stage of work it belongs to.
    fn stage(&self) -> WorkStage {
        WorkStage::Any
    }

    /// What the trade warns about in the order of the operations on this part.
    fn order(&self, _sequence: &PartSequence) -> Vec<Finding> {
        Vec::new()
    }

    /// Whether a feature is the same before and after it, apart from what wood
    /// does by itself.
    fn leaves_alone(&self, feature: &str) -> bool {
        let sizes = self.sizes();
        !sizes.is_empty() && sizes.iter().all(|sized| sized.feature != feature)
    }

    /// The verb for what happens to a piece before it is measured, put before
    /// the piece's name; none where it is only measured.
    fn does(&self) -> Option<&'static str> {
        Some("Cut")
    }

    /// What is done to each piece right before that, at the same machine: an order of
    /// its own, before the verb.
    fn begins_with(&self) -> Option<&'static str> {
        None
    }

    /// How much closer the machine is set for the next cut of such a piece,
    /// where it comes down to size in steps.
    fn closer(&self, _work: &Work<'_>, _over: Over) -> Option<Length> {
        None
    }

    /// Whether it opens only when what it depends on has been measured.
    fn cant_be_undone(&self) -> bool {
        false
    }

    /// The sides of the piece that it takes wood off.
    fn takes_wood_off(&self) -> Vec<FeatureName> {
        let sides = [LENGTH, WIDTH, THICKNESS];
        let sized = self.sizes().into_iter().map(|sized| sized.feature);
        sized.filter(|feature| sides.contains(&feature.as_str())).collect()
    }

    /// Whether everything it sizes comes to one size, so that one reading
    /// is a reading of all of it.
    fn one_size(&self) -> bool {
        false
    }

    /// How much of a feature must be there when a piece comes here, for `after`
    /// to be there when it leaves. Most leave the feature alone.
    ///
    /// # Errors
    /// A formula that can't be worked out for these pieces.
    fn wants(
        &self,
        _feature: &str,
        after: Option<Length>,
        _work: &Work<'_>,
    ) -> Result<Option<Length>, Trouble> {
        Ok(after)
    }

    /// Whether it takes off as much as it must and no more, so that it asks how
    /// much must be left for what comes later.
    fn stops_when_clean(&self) -> bool {
        false
    }

    /// Whether it finds its reference by the marks on the face side and the face
    /// edge.
    fn works_from_marks(&self) -> bool {
        false
    }

    /// Whether pieces cut in one length come apart here.
    fn parts_a_gang(&self) -> bool {
        false
    }

    /// The kinds of machine it can be done at; empty where none is needed.
    fn machines(&self) -> &'static [MachineKind] {
        &[]
    }

    /// How the piece is taken past the cutter, by which a table saw's cautions
    /// differ.
    fn act(&self) -> Act {
        Act::AlongFence
    }

    /// The features that one of those it sizes is made up of, each with how
    /// often it counts: a rail between its shoulders is its length less two
    /// tenons. Most are made of themselves, as the operation before left them.
    fn comes_from(&self, feature: &str) -> Vec<(FeatureName, i64)> {
        vec![(FeatureName::new(feature), 1)]
    }

    /// Whether a piece that is thicker than the thinnest keeps the difference
    /// in this feature.
    fn varies_with_stock(&self, _feature: &str) -> bool {
        false
    }

    /// The wall a hole leaves in front of it, where it cuts one that is
    /// located from a face.
    fn wall(&self) -> Option<Wall> {
        None
    }

    /// The feature that is as wide as one cut of the tool, where a piece shows
    /// it.
    fn shows_the_kerf(&self) -> Option<FeatureName> {
        None
    }

    /// Whether it glues pieces edge to edge, so that they keep their thickness.
    fn joins_edge_to_edge(&self) -> bool {
        false
    }

    /// Whether pieces come down to size height by height, so that what the
    /// machine takes at a height can be learned.
    fn comes_down_in_passes(&self) -> bool {
        false
    }

    /// Whether hands work the piece, without a setting of a machine.
    fn is_by_hand(&self) -> bool {
        false
    }

    /// Whether it only measures what an earlier operation left.
    fn only_measures(&self) -> bool {
        false
    }

    /// What is lost between two pieces that come apart out of one thickness
    /// here; none where nothing comes apart so.
    fn lost_between(&self, _work: &Work<'_>) -> Option<Length> {
        None
    }

    /// How many strips it rips from one width of board, where it says how wide
    /// that is or how many they are.
    ///
    /// # Errors
    /// A formula that can't be worked out for these pieces.
    fn strips(&self, _work: &Work<'_>) -> Result<Option<u32>, Trouble> {
        Ok(None)
    }

    /// Whether left and right pieces lie differently at the machine, so that
    /// all of one hand go through before the next.
    fn is_handed(&self) -> bool {
        false
    }

    /// Whether it chooses among the machine's tools by itself.
    fn chooses_tools(&self) -> bool {
        false
    }

    /// Whether pieces come apart from the board here: before it there is only
    /// rough stock, so no piece is too short for anything yet.
    fn is_rough(&self) -> bool {
        false
    }
}
