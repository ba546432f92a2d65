//! What every kind of operation is asked, and the list of kinds.
//! Knows nothing of routes, batches or screens.
//!
//! A new kind of operation is one new file here and one line in [`KINDS`].

pub mod blank;
pub mod drawing;

mod bore;
mod crosscut;
mod curve;
mod dowel;
mod drawer;
mod dry_fit;
mod faces;
mod finish;
mod glue;
mod groove;
mod half_lap;
mod hand;
mod hole;
mod joint;
mod layout;
mod measuring;
mod mitre;
mod mortise;
mod outcome;
mod panel;
mod plane;
mod reader;
mod resaw;
mod rest;
mod rip;
mod rout;
mod rows;
mod sand;
mod taper;
mod tenon;
mod work;

use std::fmt::Debug;

use schemars::{Schema, SchemaGenerator};

pub use blank::{Blank, Extent, FeatureName, LENGTH, Surface, feature_kind};
pub use drawing::Drawing;
pub use dry_fit::rock;
pub use outcome::{
    Amount, Fact, Finding, MayOverride, NamedSetting, Outcome, Pass, Subject, Trouble, Wait,
};
pub use reader::{FormulaText, Keyed, Reader};
pub use work::{Limit, Work, decimal, words};

use crate::measure::{Feature, Length, SafeSide};
use crate::shop::MachineKind;

/// A feature an operation sizes.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Sized {
    pub feature: FeatureName,
    pub kind: Feature,
    /// The direction of error that can still be cut away.
    pub safe: SafeSide,
}

impl Sized {
    /// A feature with the side that can still be cut away.
    fn named(feature: &str, safe: SafeSide) -> Sized {
        let kind = feature_kind(feature).unwrap_or(Feature::Size);
        Sized { feature: feature.to_owned(), kind, safe }
    }

    fn wood_left_on(feature: &str) -> Sized {
        Sized::named(feature, SafeSide::Big)
    }
}

/// By how much a piece is too big: over what was wanted, and over the limit.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Over {
    pub target: Length,
    pub limit: Length,
}

/// One operation of a route, of whatever kind.
pub trait Operation: Debug + Send + Sync {
    /// Every formula it holds, with the key each stands under.
    fn formulas(&self) -> Vec<&Keyed>;

    /// Settings, passes and what the piece measures afterwards.
    fn compute(&self, work: &Work<'_>) -> Result<Outcome, Trouble>;

    /// What it sizes. Checks are judged by the safe sides given here.
    fn sizes(&self) -> Vec<Sized>;

    /// Whether a feature is the same before and after it, but for what wood
    /// does by itself.
    fn leaves_alone(&self, feature: &str) -> bool {
        let sizes = self.sizes();
        !sizes.is_empty() && sizes.iter().all(|sized| sized.feature != feature)
    }

    /// What is done to a piece before it is measured, as it is said before the
    /// piece's name; none where it is only measured.
    fn does(&self) -> Option<&'static str> {
        Some("Cut")
    }

    /// What to do with a piece that came out too big, when that side can still
    /// be cut away: one sentence.
    fn cut_again(&self, work: &Work<'_>, over: Over) -> String;

    /// How much closer the machine is set for the next cut of such a piece,
    /// where it comes down to size in steps.
    fn closer(&self, _work: &Work<'_>, _over: Over) -> Option<Length> {
        None
    }

    /// Whether it opens only when what it depends on has been measured.
    fn cant_be_undone(&self) -> bool {
        false
    }

    /// Whether everything it sizes comes to one size, so that one reading
    /// speaks for all of it.
    fn one_size(&self) -> bool {
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

    /// The features one of those it sizes is put together from, each so many
    /// times: a rail between its shoulders is its length less two tenons. Most
    /// come from themselves, as the operation before left them.
    fn comes_from(&self, feature: &str) -> Vec<(FeatureName, i64)> {
        vec![(feature.to_owned(), 1)]
    }

    /// What is lost between two pieces that come apart out of one thickness
    /// here; none where nothing comes apart so.
    fn lost_between(&self, _work: &Work<'_>) -> Option<Length> {
        None
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

/// A kind of operation: its word in a route, how it is read and described.
pub struct Kind {
    /// The word after `do`.
    pub name: &'static str,
    pub about: &'static str,
    pub read: fn(&mut Reader<'_, '_>) -> Option<Box<dyn Operation>>,
    pub schema: fn(&mut SchemaGenerator) -> Schema,
}

pub const KINDS: &[Kind] = &[
    crosscut::KIND,
    joint::KIND,
    rip::KIND,
    resaw::KIND,
    plane::KIND,
    sand::KIND,
    taper::KIND,
    mitre::KIND,
    curve::KIND,
    half_lap::KIND,
    mortise::KIND,
    tenon::KIND,
    bore::KIND,
    dowel::KIND,
    groove::KIND,
    rout::KIND,
    panel::KIND,
    rows::KIND,
    drawer::KIND,
    layout::KIND,
    dry_fit::KIND,
    glue::KIND,
    finish::KIND,
    rest::KIND,
    measuring::KIND,
    hand::KIND,
];

impl Debug for Kind {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str(self.name)
    }
}

pub fn kind(name: &str) -> Option<&'static Kind> {
    KINDS.iter().find(|kind| kind.name == name)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_kind_has_a_name_of_its_own() {
        for (n, held) in KINDS.iter().enumerate() {
            assert!(KINDS[..n].iter().all(|other| other.name != held.name), "{}", held.name);
            assert_eq!(kind(held.name).map(|found| found.about), Some(held.about));
        }
    }
}
