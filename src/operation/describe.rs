//! The description of a kind for a person, worked out from its types: the
//! schema of its keys, the constants it uses, and its examples as it reads them.

use schemars::generate::SchemaSettings;
use serde_json::{Map, Value};

use super::kind::OperationKind;
use super::question::{Operation, SizedFeature};
use super::reader::{FormulaText, KeyReader};
use crate::document::{Document, Node};
use crate::measure::Unit;

/// The keys an example shows beside the kind's own.
const COMMON: [&str; 3] = ["do", "at", "makes"];

/// A kind of operation as a person is to see it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct KindDescription {
    /// The word a route writes after `do`.
    pub name: &'static str,
    /// What the kind does, in one sentence.
    pub meaning: &'static str,
    /// Its own keys, in the order the kind declares them. Keys every operation
    /// may have, such as `at` or `checks`, are not among them.
    pub keys: Vec<KeyDescription>,
    /// What it sizes, as its examples name it.
    pub features: Vec<FeatureDescription>,
    /// Operations of this kind as a route writes them, without `op` and
    /// `part`. Together they show every key.
    pub examples: &'static [&'static str],
}

/// One key of a kind.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct KeyDescription {
    /// The key as a route writes it.
    pub name: String,
    /// What it means, in a sentence or two.
    pub meaning: String,
    /// In what its value counts: `length`, `degrees`, `hours`, `count`, …;
    /// `None` for words and for yes or no.
    pub unit: Option<String>,
    /// Whether a formula may be written.
    pub is_formula: bool,
    /// What it is when a route leaves it out, where that is a fixed value. The
    /// meaning says so where it depends on something else.
    pub default: Option<String>,
    /// Whether a route must give it.
    pub required: bool,
    /// The words it may be, each with its meaning; empty where it is no word of
    /// a list.
    pub choices: Vec<Choice>,
    /// Its value in an example, as JSON.
    pub example: String,
}

/// One word of a key that takes a word of a list.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Choice {
    /// The word as a route writes it.
    pub word: String,
    /// What it means; empty where the word says it all.
    pub meaning: String,
}

/// A feature a kind sizes.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct FeatureDescription {
    /// The feature, and the side of it that can still be cut away.
    pub sized: SizedFeature,
    /// The examples that size it, by their places in the list.
    pub examples: Vec<usize>,
}

/// Describes a kind from its types.
pub fn describe(kind: &OperationKind) -> KindDescription {
    KindDescription {
        name: kind.name(),
        meaning: kind.about(),
        keys: keys(kind),
        features: features(kind),
        examples: kind.examples,
    }
}

fn keys(kind: &OperationKind) -> Vec<KeyDescription> {
    let mut settings = SchemaSettings::draft2020_12();
    settings.inline_subschemas = true;
    let mut generator = settings.into_generator();
    let schema = kind.schema(&mut generator);
    let required = schema.get("required").and_then(Value::as_array).cloned().unwrap_or_default();
    let properties = schema.get("properties").and_then(Value::as_object);
    properties
        .into_iter()
        .flatten()
        .map(|(name, key)| {
            let is_formula = is_formula(key);
            let unit = text_of(key, "x-unit").or(is_formula.then(|| "length".to_owned()));
            KeyDescription {
                name: name.clone(),
                meaning: text_of(key, "description").unwrap_or_default().replace('\n', " "),
                unit,
                is_formula,
                default: key.get("default").filter(|value| shows(value)).map(plain),
                required: required.iter().any(|held| held == name.as_str()),
                choices: choices(key),
                example: example_of(kind, name).unwrap_or_default(),
            }
        })
        .collect()
}

/// An empty list is what serde makes of a list that is left out: it says nothing.
fn shows(default: &Value) -> bool {
    !matches!(default, Value::Null) && default.as_array().is_none_or(|list| !list.is_empty())
}

/// A string without its quotation marks, anything else as JSON.
fn plain(value: &Value) -> String {
    value.as_str().map_or_else(|| value.to_string(), str::to_owned)
}

fn text_of(key: &Value, name: &str) -> Option<String> {
    key.get(name).and_then(Value::as_str).map(str::to_owned)
}

/// Whether a formula may stand there: the schema of formulas, within whatever
/// may be left out, listed or chosen between.
fn is_formula(key: &Value) -> bool {
    if text_of(key, "title").as_deref() == Some(FormulaText::TITLE) {
        return true;
    }
    let inner = ["anyOf", "oneOf"].iter().filter_map(|name| key.get(*name)?.as_array()).flatten();
    inner.chain(key.get("items")).any(is_formula)
}

fn choices(key: &Value) -> Vec<Choice> {
    let mut found = Vec::new();
    gather(key, &mut found);
    found
}

fn gather(key: &Value, found: &mut Vec<Choice>) {
    let word = |value: &Value| value.as_str().map(str::to_owned);
    if let Some(word) = key.get("const").and_then(word) {
        found.push(Choice {
            word,
            meaning: text_of(key, "description").unwrap_or_default().replace('\n', " "),
        });
        return;
    }
    for word in key.get("enum").and_then(Value::as_array).into_iter().flatten().filter_map(word) {
        found.push(Choice { word, meaning: String::new() });
    }
    let inner = ["anyOf", "oneOf"].iter().filter_map(|name| key.get(*name)?.as_array()).flatten();
    for inner in inner.chain(key.get("items")) {
        gather(inner, found);
    }
}

/// The value of a key in the first example that gives it, as JSON.
fn example_of(kind: &OperationKind, key: &str) -> Option<String> {
    kind.examples.iter().find_map(|example| {
        let object: Map<String, Value> = serde_json::from_str(example).ok()?;
        object.get(key).map(Value::to_string)
    })
}

fn features(kind: &OperationKind) -> Vec<FeatureDescription> {
    let mut found: Vec<FeatureDescription> = Vec::new();
    for (index, example) in kind.examples.iter().enumerate() {
        let Ok(document) = Document::read("example", *example) else { continue };
        let (operation, _) = read(kind, document.root());
        for sized in operation.iter().flat_map(|operation| operation.sizes()) {
            match found.iter_mut().find(|held| held.sized == sized) {
                Some(held) => held.examples.push(index),
                None => found.push(FeatureDescription { sized, examples: vec![index] }),
            }
        }
    }
    found
}

/// An example as a route's reader reads it, and how many problems it has.
fn read(kind: &OperationKind, node: Node<'_>) -> (Option<Box<dyn Operation>>, usize) {
    let mut problems = Vec::new();
    let operation = kind.read(&mut KeyReader::new(node, Unit::Inch, &COMMON, &mut problems));
    (operation, problems.len())
}

#[cfg(test)]
mod tests {
    use super::super::kinds::KINDS;
    use super::*;

    #[test]
    fn every_example_is_read_without_a_problem() {
        for kind in KINDS {
            assert!(!kind.examples.is_empty(), "{kind} has no example");
            for example in kind.examples {
                let document = Document::read("example", *example).expect(example);
                let node = document.root();
                assert_eq!(node.child("do").and_then(|word| word.as_str()), Some(kind.name()));
                let (operation, problems) = read(kind, node);
                assert!(operation.is_some() && problems == 0, "{example}");
            }
        }
    }

    #[test]
    fn every_key_has_a_meaning_and_is_in_an_example() {
        for kind in KINDS {
            let described = describe(kind);
            for key in &described.keys {
                let of = format!("`{}` of {kind}", key.name);
                assert!(key.meaning.ends_with('.'), "{of} has no meaning: {}", key.meaning);
                assert!(!key.example.is_empty(), "{of} is in no example");
                assert!(!key.required || key.default.is_none(), "{of} is required");
            }
            assert!(described.meaning.ends_with('.'), "{kind}");
        }
    }

    #[test]
    fn a_tenon_is_described_with_units_defaults_choices_and_features() {
        let described = describe(super::super::kind("tenon").expect("a kind"));
        let key =
            |name: &str| described.keys.iter().find(|key| key.name == name).expect("a key").clone();
        let clearance = key("clearance");
        assert_eq!(clearance.unit.as_deref(), Some("length"));
        assert_eq!(clearance.default.as_deref(), Some("0.004 in"));
        assert!(!clearance.required && clearance.is_formula);
        assert!(key("mortise_width").required && key("mortise_width").default.is_none());
        assert_eq!(key("ends").default.as_deref(), Some("2"));
        let method = key("method");
        let words: Vec<&str> = method.choices.iter().map(|choice| choice.word.as_str()).collect();
        assert_eq!(words, ["two-heights", "one-face"]);
        assert!(method.choices.iter().all(|choice| !choice.meaning.is_empty()));
        assert_eq!(method.default.as_deref(), Some("two-heights"));
        let features: Vec<&str> =
            described.features.iter().map(|held| held.sized.feature.as_str()).collect();
        assert_eq!(features, ["tenon thickness", "tenon length", "shoulder length"]);
        let mitre = describe(super::super::kind("mitre").expect("a kind"));
        let angle = mitre.keys.iter().find(|key| key.name == "angle").expect("a key");
        assert_eq!(angle.unit.as_deref(), Some("degrees"));
    }
}
