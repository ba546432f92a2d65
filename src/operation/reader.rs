//! Reads the keys of one kind of operation out of a route.

use schemars::{JsonSchema, Schema, SchemaGenerator, json_schema};
use serde::Deserialize;
use serde::de::DeserializeOwned;

use crate::document::{Node, Problem};
use crate::formula::Formula;
use crate::measure::Unit;

/// Nothing on a bench waits longer than four weeks.
const MOST_MINUTES: f64 = 4.0 * 7.0 * 24.0 * 60.0;

/// The text of a formula as a route writes it.
#[derive(Clone, Debug, Default, PartialEq, Eq, Deserialize)]
#[serde(transparent)]
pub struct FormulaText(pub String);

impl FormulaText {
    /// The title of the schema of formulas, by which a key that takes one is known.
    pub(super) const TITLE: &str = "Formula";
}

impl JsonSchema for FormulaText {
    fn schema_name() -> std::borrow::Cow<'static, str> {
        "Formula".into()
    }

    fn json_schema(_: &mut SchemaGenerator) -> Schema {
        json_schema!({
            "type": "string",
            "title": FormulaText::TITLE,
            "description": "Ordinary arithmetic on lengths and named dimensions; a bare number beside + or - takes the route's unit.",
            "examples": ["leg_square + 1/16", "25 1/4", "38mm", "max(rail_width, 2 1/2)"]
        })
    }
}

/// A formula and its key, so that an error can point at it.
#[derive(Clone, Debug, PartialEq)]
pub struct Keyed {
    /// The key it is under.
    pub key: &'static str,
    /// The formula, parsed.
    pub formula: Formula,
}

/// One operation object of a route, being read.
pub struct KeyReader<'d, 'p> {
    node: Node<'d>,
    unit: Unit,
    common: &'p [&'p str],
    problems: &'p mut Vec<Problem>,
}

impl<'d, 'p> KeyReader<'d, 'p> {
    /// `common` names the keys every operation may have, whatever its kind.
    pub fn new(
        node: Node<'d>,
        unit: Unit,
        common: &'p [&'p str],
        problems: &'p mut Vec<Problem>,
    ) -> Self {
        KeyReader { node, unit, common, problems }
    }

    /// The keys of this kind. A key neither common nor `T`'s is a problem; a key
    /// that was renamed names its old spelling as `x-also` and reads under both.
    pub fn keys<T: DeserializeOwned + JsonSchema>(&mut self) -> Option<T> {
        let schema = SchemaGenerator::default().into_root_schema_for::<T>();
        let own = schema.get("properties").and_then(|p| p.as_object());
        let mut allowed = self.common.to_vec();
        for (key, value) in own.into_iter().flatten() {
            allowed.push(key);
            allowed.extend(value.get("x-also").and_then(|old| old.as_str()));
        }
        self.problems.extend(self.node.unknown_keys(&allowed));
        self.node.decode().map_err(|problem| self.problems.push(problem)).ok()
    }

    /// Parses the formula under a key; `None` where it is wrong, which is reported.
    pub fn formula(&mut self, key: &'static str, text: &FormulaText) -> Option<Keyed> {
        self.formula_at(self.node.child(key).unwrap_or(self.node), key, text)
    }

    fn formula_at(
        &mut self,
        node: Node<'_>,
        key: &'static str,
        text: &FormulaText,
    ) -> Option<Keyed> {
        match Formula::parse(&text.0, self.unit) {
            Ok(formula) => Some(Keyed { key, formula }),
            Err(error) => {
                let mut problem = node.problem(error.what.clone(), error.help.clone());
                problem.place.at = Some(node.text_place(error.place));
                self.problems.push(problem);
                None
            }
        }
    }

    /// A formula in a list under a key, or under a key of an object in that
    /// list. Its key is that of the list: findings of the plan point there.
    pub fn formula_in_list(
        &mut self,
        list: &'static str,
        index: usize,
        inner: Option<&str>,
        text: &FormulaText,
    ) -> Option<Keyed> {
        let item = self.node.child(list).and_then(|node| node.items()?.get(index).copied());
        let node = item.and_then(|item| inner.map_or(Some(item), |key| item.child(key)));
        self.formula_at(node.unwrap_or(self.node), list, text)
    }

    /// A time to wait, in whole minutes: up to four weeks.
    pub fn minutes(&mut self, key: &str, minutes: f64) -> Option<u32> {
        if minutes > 0.0 && minutes <= MOST_MINUTES {
            return Some(minutes.ceil() as u32);
        }
        self.problem(key, "a time to wait is greater than zero, and no more than four weeks", None);
        None
    }

    /// What the operation makes, by name.
    pub fn makes(&self) -> Option<String> {
        self.node.child("makes").and_then(|node| node.as_str()).map(str::to_owned)
    }

    /// Reports a problem at a key, or at the operation where the key is missing.
    pub fn problem(&mut self, key: &str, what: impl Into<String>, help: Option<String>) {
        let node = self.node.child(key).unwrap_or(self.node);
        self.problems.push(node.problem(what.into(), help));
    }
}
