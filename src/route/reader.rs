//! What every part of reading a route shares: the problems found so far, and
//! formulas and names read at their places.

use serde::de::DeserializeOwned;

use crate::document::{Node, Problem};
use crate::formula::{DimensionKind, Formula, Planned, Web};
use crate::measure::{Length, Unit};
use crate::operation::{FormulaText, Keyed};
use crate::prose::{Message, Span, nearest};

/// Reads a route and collects everything that is wrong with it.
pub(super) struct RouteReader {
    pub problems: Vec<Problem>,
    /// What a bare number takes.
    pub unit: Unit,
}

impl RouteReader {
    pub(super) fn add(&mut self, problem: Problem) {
        self.problems.push(problem);
    }

    pub(super) fn decode<T: DeserializeOwned>(&mut self, node: Node<'_>) -> Option<T> {
        node.decode().map_err(|problem| self.add(problem)).ok()
    }

    pub(super) fn required<T: DeserializeOwned>(
        &mut self,
        root: Node<'_>,
        key: &str,
        what: &str,
    ) -> Option<T> {
        match root.child(key) {
            Some(node) => self.decode(node),
            None => {
                self.add(root.problem(format!("`{key}` is missing: {what}"), None));
                None
            }
        }
    }

    /// The entries of an object under a key, when they aren't too many.
    pub(super) fn entries<'d>(
        &mut self,
        root: Node<'d>,
        key: &str,
        most: usize,
        needed: bool,
    ) -> Vec<(&'d str, Node<'d>)> {
        let Some(node) = root.child(key) else {
            if needed {
                self.add(root.problem(format!("`{key}` is missing"), None));
            }
            return Vec::new();
        };
        let Some(fields) = node.fields() else {
            self.add(node.problem(format!("`{key}` is an object: a name, then what it is"), None));
            return Vec::new();
        };
        if fields.len() > most {
            self.add(node.problem(format!("more than {most} {key}"), None));
            return Vec::new();
        }
        fields.into_iter().map(|field| (field.name, field.value)).collect()
    }

    pub(super) fn formula(&mut self, node: Node<'_>, text: &str) -> Option<Formula> {
        Formula::parse(text, self.unit).map_err(|error| self.add(inside(node, &error))).ok()
    }

    /// A formula under a key of `node`, its names known.
    pub(super) fn keyed(
        &mut self,
        node: Node<'_>,
        key: &'static str,
        text: Option<&FormulaText>,
        names: &[String],
    ) -> Option<Keyed> {
        let at = node.child(key).unwrap_or(node);
        let formula = self.formula(at, &text?.0)?;
        let keyed = Keyed { key, formula };
        self.known(at, &keyed.formula, names);
        Some(keyed)
    }

    pub(super) fn known(&mut self, node: Node<'_>, formula: &Formula, names: &[String]) {
        for (name, at) in formula.names() {
            if !names.iter().any(|known| known == name) {
                let help = nearest(name, names.iter().map(String::as_str))
                    .map(|near| format!("did you mean `{near}`?"));
                let mut problem = node.problem(format!("no dimension is called `{name}`"), help);
                problem.place.at = Some(node.text_place(at));
                self.add(problem);
            }
        }
    }

    /// The length a formula comes to with nothing made yet.
    pub(super) fn as_planned(
        &mut self,
        node: Node<'_>,
        keyed: &Keyed,
        dims: &Web,
    ) -> Option<Length> {
        // Unknown names are already reported.
        if keyed.formula.names().any(|(name, _)| dims.definition(name).is_none()) {
            return None;
        }
        let value = keyed.formula.evaluate_as(DimensionKind::Length, &Planned(dims));
        value.map_err(|error| self.add(inside(node, &error))).ok()?.length()
    }
}

/// A formula's error, placed inside the text that holds it.
pub(super) fn inside(node: Node<'_>, error: &Message<Span>) -> Problem {
    let mut problem = node.problem(error.what.clone(), error.help.clone());
    problem.place.at = Some(node.text_place(error.place.clone()));
    problem
}
