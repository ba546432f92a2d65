//! Reads the named dimensions of a route, and the ends of a chain that may
//! stay when a made value breaks the plan.

use std::collections::BTreeMap;

use super::file::{ChoiceFile, DimensionFile, KeepFile};
use super::reader::{RouteReader, inside};
use super::{Keep, MakersChoice};
use crate::document::Node;
use crate::formula::{Definition, DimensionKind, Web};
use crate::operation::words;
use crate::prose::{nearest, visible};

/// More than this is not a shop's route.
const MOST_DIMS: usize = 1000;
const MOST_KEEPS: usize = 9;

/// The named dimensions with what a route says beside their formulas.
pub(super) struct DimensionsRead<'d> {
    pub dims: Web,
    pub about: BTreeMap<String, String>,
    /// What may be chosen, as it is written, each with its dimension.
    pub choices: Vec<(&'d str, Node<'d>, ChoiceFile)>,
}

impl RouteReader {
    pub(super) fn dims<'d>(&mut self, root: Node<'d>) -> DimensionsRead<'d> {
        let mut definitions = Vec::new();
        let mut choices = Vec::new();
        let mut about = BTreeMap::new();
        let mut nodes = BTreeMap::new();
        for (name, node) in self.entries(root, "dims", MOST_DIMS, false) {
            if !is_a_name(name) {
                self.add(node.problem(
                    format!("`{}` can't be the name of a dimension", visible(name)),
                    Some("lower-case letters, digits and _, a letter first".to_owned()),
                ));
                continue;
            }
            let (text, kind, at) = match self.decode_dimension(node) {
                Some(DimensionFile::Formula(text)) => (text, DimensionKind::Length, node),
                Some(DimensionFile::Described(described)) => {
                    if let Some(words) = described.about {
                        about.insert(name.to_owned(), words);
                    }
                    let kind = described.kind.unwrap_or(DimensionKind::Length);
                    choices.extend(described.choice.map(|file| (name, node, file)));
                    (described.is, kind, node.child("is").unwrap_or(node))
                }
                None => continue,
            };
            nodes.insert(name.to_owned(), at);
            if let Some(formula) = self.formula(at, &text.0) {
                definitions.push((name.to_owned(), Definition { formula, kind }));
            }
        }
        let (web, problems) = Web::new(definitions);
        for problem in problems {
            let node = nodes.get(&problem.name).copied().unwrap_or(root);
            self.add(inside(node, &problem.error));
        }
        DimensionsRead { dims: web, about, choices }
    }

    /// Tells a plain formula from a described one first, so that a mistake in
    /// either is reported in its own words.
    fn decode_dimension(&mut self, node: Node<'_>) -> Option<DimensionFile> {
        if node.fields().is_some() {
            self.decode(node).map(DimensionFile::Described)
        } else if node.as_str().is_some() {
            self.decode(node).map(DimensionFile::Formula)
        } else {
            self.add(node.problem(
                "a dimension is a formula in quotes, or an object with `is`",
                Some(format!("write \"{}\"", visible(node.raw()))),
            ));
            None
        }
    }

    /// The ends of a chain that may stay. With nothing made yet each must come
    /// to the sizes of the plan, or choosing one would change what isn't measured.
    pub(super) fn keeps(
        &mut self,
        root: Node<'_>,
        dims: &Web,
        choices: &[MakersChoice],
    ) -> Vec<Keep> {
        let mut keeps = Vec::new();
        for (name, node) in self.entries(root, "keep", MOST_KEEPS, false) {
            let Some(file) = self.decode::<KeepFile>(node) else { continue };
            let inner = node.child("dims").unwrap_or(node);
            let mut definitions = Vec::new();
            for dim in dims.names() {
                let Some(own) = dims.definition(dim) else { continue };
                let formula = match file.dims.get(dim) {
                    Some(text) => self.formula(inner.child(dim).unwrap_or(inner), &text.0),
                    None => Some(own.formula.clone()),
                };
                if let Some(formula) = formula {
                    definitions.push((dim.to_owned(), Definition { formula, kind: own.kind }));
                }
            }
            for dim in file.dims.keys().filter(|dim| dims.definition(dim).is_none()) {
                let help = nearest(dim, dims.names()).map(|near| format!("did you mean `{near}`?"));
                let what = format!("no dimension is called `{}`", visible(dim));
                self.add(inner.child(dim).unwrap_or(inner).problem(what, help));
            }
            for dim in file.dims.keys().filter(|dim| choices.iter().any(|held| held.dim == **dim)) {
                let what = format!("`{dim}` is its maker's choice, so nothing can define it anew");
                let help = "leave the choice to a dimension that no `keep` defines".to_owned();
                self.add(inner.child(dim).unwrap_or(inner).problem(what, Some(help)));
            }
            let (web, problems) = Web::new(definitions);
            let sound = problems.is_empty();
            for problem in problems {
                self.add(inside(inner.child(&problem.name).unwrap_or(inner), &problem.error));
            }
            for dim in dims.names().filter(|_| sound) {
                if let Some(what) = self.differs(&web, dims, dim) {
                    let help = "make it a formula of sizes that nobody measures".to_owned();
                    self.add(inner.child(dim).unwrap_or(inner).problem(what, Some(help)));
                }
            }
            keeps.push(Keep { name: name.to_owned(), about: file.about, dims: web });
        }
        keeps
    }

    /// What is wrong with a dimension that a kept end makes another one with nothing
    /// measured. One that only follows another such dimension isn't blamed.
    fn differs(&self, kept: &Web, dims: &Web, dim: &str) -> Option<String> {
        let length = |web: &Web, dim: &str| web.value(dim, &|_| None).ok()?.length();
        let differs = |dim: &str| length(kept, dim) != length(dims, dim);
        if !differs(dim) || kept.uses(dim).iter().any(|used| differs(used)) {
            return None;
        }
        let words =
            |web| length(web, dim).map_or_else(|| "nothing".to_owned(), |l| words(l, self.unit));
        let (here, planned) = (words(kept), words(dims));
        Some(format!(
            "with nothing measured, `{dim}` comes to {here} here, and {planned} is planned"
        ))
    }
}

fn is_a_name(name: &str) -> bool {
    name.starts_with(|c: char| c.is_ascii_lowercase())
        && name.len() <= 60
        && name.chars().all(|c| c.is_ascii_lowercase() || c.is_ascii_digit() || c == '_')
}
