//! Kinds of operation for programs: the keys are stable.

use std::io::{self, Write};

use serde::Serialize;
use serde_json::Value;

use super::CommonKey;
use crate::cli::page::json;
use crate::measure::SafeSide;
use crate::operation::{Choice, FeatureDescription, KINDS, KeyDescription, KindDescription};

#[derive(Serialize)]
struct KindsAnswer<'a> {
    kinds: Vec<KindRow>,
    keys: Vec<CommonKeyRow<'a>>,
}

#[derive(Serialize)]
struct KindRow {
    kind: &'static str,
    meaning: &'static str,
}

#[derive(Serialize)]
struct CommonKeyRow<'a> {
    key: &'a str,
    meaning: &'a str,
    required: bool,
}

#[derive(Serialize)]
struct KindAnswer<'a> {
    kind: &'a str,
    meaning: &'a str,
    keys: Vec<KeyRow<'a>>,
    sizes: Vec<SizedRow<'a>>,
    examples: Vec<Value>,
}

#[derive(Serialize)]
struct KeyRow<'a> {
    key: &'a str,
    meaning: &'a str,
    unit: Option<&'a str>,
    formula: bool,
    default: Option<&'a str>,
    required: bool,
    choices: Vec<ChoiceRow<'a>>,
    example: Value,
}

#[derive(Serialize)]
struct ChoiceRow<'a> {
    word: &'a str,
    meaning: &'a str,
}

#[derive(Serialize)]
struct SizedRow<'a> {
    feature: &'a str,
    can_be_cut_again: Option<&'static str>,
}

pub(super) fn list(keys: &[CommonKey], out: &mut dyn Write) -> io::Result<()> {
    let kinds = KINDS.iter().map(|kind| KindRow { kind: kind.name(), meaning: kind.about() });
    let keys = keys.iter().map(|CommonKey { key, meaning, required }| CommonKeyRow {
        key,
        meaning,
        required: *required,
    });
    json(&KindsAnswer { kinds: kinds.collect(), keys: keys.collect() }, out)
}

pub(super) fn kind(kind: &KindDescription, out: &mut dyn Write) -> io::Result<()> {
    let answer = KindAnswer {
        kind: kind.name,
        meaning: kind.meaning,
        keys: kind.keys.iter().map(key_row).collect(),
        sizes: kind.features.iter().map(sized_row).collect(),
        examples: kind.examples.iter().map(|example| value(example)).collect(),
    };
    json(&answer, out)
}

fn key_row(key: &KeyDescription) -> KeyRow<'_> {
    KeyRow {
        key: &key.name,
        meaning: &key.meaning,
        unit: key.unit.as_deref(),
        formula: key.is_formula,
        default: key.default.as_deref(),
        required: key.required,
        choices: key
            .choices
            .iter()
            .map(|Choice { word, meaning }| ChoiceRow { word, meaning })
            .collect(),
        example: value(&key.example),
    }
}

fn sized_row(feature: &FeatureDescription) -> SizedRow<'_> {
    SizedRow {
        feature: feature.sized.feature.as_str(),
        can_be_cut_again: match feature.sized.safe {
            SafeSide::Big => Some("oversize"),
            SafeSide::Small => Some("undersize"),
            SafeSide::Neither => None,
        },
    }
}

/// A text of JSON as the value it is.
fn value(text: &str) -> Value {
    serde_json::from_str(text).unwrap_or_else(|_| Value::String(text.to_owned()))
}
