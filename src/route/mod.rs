//! The route file: how a piece of furniture is made, read strictly.
//! It must not know machines, batches or the disk.
//!
//! A part of several woods says how many of each (`woods`) and is listed once
//! for each, because a list that buys one wood for all strips of a striped lid
//! is wrong. A fit says for how many pieces a name stands, because
//! `2 * leg_square` may be two legs or one leg twice and no formula can tell.
//! A fit also says what swells in it (`moves`), and both seasons must meet its
//! limits: a season inside the formula would hide the clearance that is
//! measured, and would never be checked itself.

mod article;
mod article_list;
mod bundled;
mod check;
mod choice;
mod file;
mod head;
mod pieces;
mod read;
mod read_choices;
mod read_dimensions;
mod read_fits;
mod read_operations;
mod read_parts;
mod reader;

pub use article::Article;
pub use article_list::{OwnedArticle, owner_name, read_article_list};
pub use bundled::{BUNDLED, Bundled, bundled};
pub use check::{Becomes, Check, HoldsFor, PieceChoice, Take};
pub use choice::{ChoiceSizes, Chosen, MakersChoice, WoodChoice};
pub use file::{COMMON_KEYS, OperationFile, RouteFile};
pub use head::RouteHead;
pub use pieces::{PieceLabel, Role};
pub use read::{read, with_dimension, with_sets};

use std::collections::BTreeMap;

use crate::formula::Web;
use crate::measure::Unit;
use crate::operation::{FeatureName, Keyed, NamedSetting, Operation, OperationKind};
use crate::wood::{Grain, Moisture, Species};

/// A route: dimensions, parts, operations in order, fits.
#[derive(Debug)]
pub struct Route {
    /// The name of what is made.
    pub name: String,
    /// A sentence about it.
    pub about: Option<String>,
    /// What the finished thing is called.
    pub article: Article,
    /// What a bare number beside + or - stands for.
    pub unit: Unit,
    /// How many articles are made together.
    pub sets: u32,
    /// The named dimensions and their formulas.
    pub dims: Web,
    /// What each dimension is, where the route says.
    pub dims_about: BTreeMap<String, String>,
    /// The dimensions that the maker of each article chooses.
    pub choices: Vec<MakersChoice>,
    /// The woods the maker of each article chooses from, where there is a choice.
    pub woods: Option<WoodChoice>,
    /// The parts, in the order of the file.
    pub parts: Vec<Part>,
    /// The operations, their numbers rising.
    pub steps: Vec<Step>,
    /// The clearances between parts.
    pub fits: Vec<Fit>,
    /// What may stay when a made value breaks the plan, the expected one first.
    pub keeps: Vec<Keep>,
}

/// One end of a chain of dimensions that may stay: the base, the rails, the foot.
#[derive(Debug)]
pub struct Keep {
    /// What it is called: `the base`.
    pub name: String,
    /// A sentence about it.
    pub about: Option<String>,
    /// All dimensions, with those that follow defined anew.
    pub dims: Web,
}

/// A kind of component, and how many each article takes.
#[derive(Debug)]
pub struct Part {
    /// What it is called.
    pub name: String,
    /// How many go into one article.
    pub per_set: u32,
    /// Good pieces run with the others.
    pub spares: u32,
    /// The share of the pieces needed that they are, in percent, where the route says so.
    pub spare_percent: Option<u32>,
    /// Cheap pieces to prove settings on.
    pub setup_pieces: u32,
    /// Names of the handed pieces of a set, in order.
    pub hands: Vec<String>,
    /// The parts it is put together from: it waits for their operations.
    pub assembled_from: Vec<String>,
    /// The wood, where the route names one.
    pub species: Option<String>,
    /// A sentence about it.
    pub about: Option<String>,
    /// What its stock is sold as: `8/4`.
    pub stock_class: Option<String>,
    /// The rough stock of one piece, feature by feature.
    pub stock: BTreeMap<FeatureName, Keyed>,
    /// How its pieces lie in the rough stock.
    pub blank: InBlank,
    /// Finished sizes, feature by feature.
    pub finish: BTreeMap<FeatureName, Keyed>,
}

/// How the pieces of a part lie in the wood they come from.
#[derive(Clone, Debug)]
pub struct InBlank {
    /// Pieces side by side, and one under the other, in one blank.
    pub across: u32,
    /// Pieces one under the other in one blank.
    pub through: u32,
    /// Whether the pieces of a set come from one board.
    pub one_board: bool,
    /// How many of a set are of which wood, where they aren't all of one.
    pub woods: BTreeMap<String, u32>,
    /// From and to along the blank, where a knot does no harm.
    pub hidden: Vec<(Keyed, Keyed)>,
    /// The longest knot that may be filled.
    pub fill: Option<Keyed>,
}

/// One operation of the route.
#[derive(Debug)]
pub struct Step {
    /// Its place in the file, counted from zero.
    pub index: usize,
    /// Its number, in tens by custom.
    pub op: u32,
    /// The part it is done to.
    pub part: String,
    /// The kind of operation.
    pub kind: &'static OperationKind,
    /// What it does, with its keys read.
    pub what: Box<dyn Operation>,
    /// The machine, as the shop file calls it.
    pub at: Option<String>,
    /// The tool, where the machine has several.
    pub tool: Option<String>,
    /// How far the setting is aimed to the safe side.
    pub aim: Option<Keyed>,
    /// What it makes, by name.
    pub makes: Option<String>,
    /// What is measured at it.
    pub checks: Vec<Check>,
    /// A note from the author of the route.
    pub note: Option<String>,
    /// The route's own word that it opens only when what it depends on is measured.
    pub declared_final: bool,
}

/// A clearance between parts, with its limits.
#[derive(Debug)]
pub struct Fit {
    /// What it is called.
    pub name: String,
    /// The clearance.
    pub is: Keyed,
    /// The least it may be.
    pub low: Keyed,
    /// The most it may be.
    pub high: Keyed,
    /// How many pieces a dimension stands for, where it is more than one.
    pub pieces: BTreeMap<String, u32>,
    /// What swells across its grain in it.
    pub moves: Option<Moves>,
}

/// Wood in a clearance, across its grain.
#[derive(Debug)]
pub struct Moves {
    /// How much of it; with a minus for an opening.
    pub across: Keyed,
    /// The wood and its moistures.
    pub swells: Swells,
}

/// Which wood, between which moistures; none is above where it begins to
/// shrink.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Swells {
    /// The wood.
    pub wood: &'static Species,
    /// How its rings lie.
    pub grain: Grain,
    /// Moisture in the driest season.
    pub driest: Moisture,
    /// Moisture in the dampest season.
    pub dampest: Moisture,
    /// At which it is made and measured.
    pub made: Moisture,
}

impl Route {
    /// The dimensions with one end of the chain kept; the route's own without.
    pub fn web(&self, keep: Option<&str>) -> &Web {
        keep.and_then(|name| self.keeps.iter().find(|keep| keep.name == name))
            .map_or(&self.dims, |keep| &keep.dims)
    }

    /// A part by its name.
    pub fn part(&self, name: &str) -> Option<&Part> {
        self.parts.iter().find(|part| part.name == name)
    }

    /// An operation by its number.
    pub fn step(&self, op: u32) -> Option<&Step> {
        self.steps.iter().find(|step| step.op == op)
    }

    /// The operation whose check turns a dimension from planned to made.
    pub fn made_at(&self, dim: &str) -> Option<(u32, &Becomes)> {
        self.steps.iter().find_map(|step| {
            let becomes = step.checks.iter().filter_map(|check| check.becomes.as_ref());
            becomes.into_iter().find(|becomes| becomes.dim == dim).map(|b| (step.op, b))
        })
    }

    /// Makes another number of sets; says why when that is no shop's batch.
    pub fn make_sets(&mut self, sets: u32) -> Result<(), String> {
        pieces::counted(&self.parts, sets)?;
        self.sets = sets;
        pieces::count_spares(&mut self.parts, sets);
        Ok(())
    }

    /// The operations that must be finished before this one: those before it on
    /// its own part and on the parts it is put together from.
    pub fn before<'a>(&'a self, step: &'a Step) -> impl Iterator<Item = &'a Step> {
        let from = self.part(&step.part).map(|part| part.assembled_from.as_slice());
        self.steps.iter().filter(move |other| {
            other.op < step.op
                && (other.part == step.part || from.is_some_and(|from| from.contains(&other.part)))
        })
    }

    /// The pieces of a part for an article that joins late.
    pub fn late_pieces(&self, part: &Part, article: u32) -> Vec<PieceLabel> {
        pieces::of_late_article(part, self.sets, article)
    }

    /// Every piece of a part, in cut order: sets, spares, setup pieces.
    pub fn pieces(&self, part: &Part) -> Vec<PieceLabel> {
        pieces::of_part(part, self.sets)
    }
}

impl Part {
    /// Whether a handed piece is the mirror image of the first hand. Turned about
    /// one axis it is: `front right` of `front left`. About two it is the same piece
    /// turned round: `back right`.
    pub fn is_mirrored(&self, hand: &str) -> bool {
        let Some(first) = self.hands.first() else { return false };
        let differ = first.split_whitespace().zip(hand.split_whitespace());
        differ.filter(|(one, other)| one != other).count() % 2 == 1
    }
}

impl Step {
    /// Whether it opens only when what it depends on has been measured.
    pub fn cant_be_undone(&self) -> bool {
        self.declared_final || self.what.cant_be_undone()
    }

    /// The setting that sizes a feature, also where one size stands for all.
    pub fn sizing<'s>(
        &self,
        settings: &'s [NamedSetting],
        feature: &str,
    ) -> Option<&'s NamedSetting> {
        let own = settings.iter().find(|setting| setting.sizes.as_deref() == Some(feature));
        let one = self.what.one_size() && self.what.sizes().iter().any(|s| s.feature == feature);
        own.or_else(|| settings.iter().find(|setting| one && setting.sizes.is_some()))
    }

    /// Names its formulas use.
    pub fn names(&self) -> impl Iterator<Item = &str> {
        let own = self.what.formulas().into_iter().chain(&self.aim);
        let checks = self.checks.iter().filter_map(|check| check.around.as_ref());
        own.chain(checks).flat_map(|keyed| keyed.formula.names().map(|(name, _)| name))
    }
}
