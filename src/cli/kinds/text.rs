//! Kinds of operation for people, on eighty columns.

use std::io::{self, Write};

use serde::Serialize;
use serde_json::Value;
use serde_json::ser::{Formatter, Serializer};

use super::CommonKey;
use crate::cli::page::{TableRow, TextPage};
use crate::measure::SafeSide;
use crate::operation::{FeatureDescription, KINDS, KeyDescription, KindDescription};

/// Column where the words beside a name begin.
const WORDS: usize = 20;

pub(super) fn list(keys: &[CommonKey], out: &mut dyn Write) -> io::Result<()> {
    let mut page = TextPage::new(out, 2);
    page.title("Kinds of operation, the values of `do`")?;
    for kind in KINDS {
        page.entry(TableRow::new(2, kind.name()), WORDS, kind.about())?;
    }
    page.blank()?;
    page.title("Keys of every operation")?;
    for key in keys {
        let required = if key.required { " Required." } else { "" };
        let text = format!("{}{required}", key.meaning);
        page.entry(TableRow::new(2, &key.key), WORDS, &text)?;
    }
    page.blank()?;
    page.title("For the keys of one kind:  benchway kinds tenon")
}

pub(super) fn kind(kind: &KindDescription, out: &mut dyn Write) -> io::Result<()> {
    let mut page = TextPage::new(out, 2);
    page.title(&format!("{}: {}", kind.name, kind.meaning))?;
    if !kind.keys.is_empty() {
        page.blank()?;
        page.title("Keys, beside those of every operation (`benchway kinds` lists them)")?;
        for key in &kind.keys {
            self::key(&mut page, key)?;
        }
    }
    if !kind.features.is_empty() {
        page.blank()?;
        page.title("Sizes")?;
        for feature in &kind.features {
            page.line(2, &sized(feature))?;
        }
    }
    page.blank()?;
    page.title("Examples")?;
    kind.examples.iter().try_for_each(|example| page.line(2, example))
}

fn key(page: &mut TextPage<'_>, key: &KeyDescription) -> io::Result<()> {
    page.entry(TableRow::new(2, &key.name), WORDS, &key.meaning)?;
    for choice in &key.choices {
        let word = format!("\"{}\"", choice.word);
        let text = match choice.meaning.as_str() {
            "" => word,
            meaning => format!("{word}: {meaning}"),
        };
        page.line(WORDS, &text)?;
    }
    let mut facts = vec![match (key.required, &key.default) {
        (true, _) => "required".to_owned(),
        (false, Some(default)) => format!("default {default}"),
        (false, None) => "optional".to_owned(),
    }];
    facts.extend(key.unit.clone());
    facts.extend(key.is_formula.then(|| "may be a formula".to_owned()));
    facts.push(format!("example {}", spaced(&key.example)));
    page.line(WORDS, &facts.join(", "))
}

/// A feature, and which error of it more work can mend.
fn sized(feature: &FeatureDescription) -> String {
    let mended = match feature.sized.safe {
        SafeSide::Big => "oversize can be cut again",
        SafeSide::Small => "undersize can be cut again",
        SafeSide::Neither => "can't be cut again",
    };
    format!("{}: {mended}", feature.sized.feature.as_str())
}

/// JSON with a space after each comma and colon, so that its lines can break.
fn spaced(json: &str) -> String {
    let written = || {
        let value: Value = serde_json::from_str(json).ok()?;
        let mut bytes = Vec::new();
        value.serialize(&mut Serializer::with_formatter(&mut bytes, Spaced)).ok()?;
        String::from_utf8(bytes).ok()
    };
    written().unwrap_or_else(|| json.to_owned())
}

struct Spaced;

impl Formatter for Spaced {
    fn begin_array_value<W: ?Sized + Write>(&mut self, out: &mut W, first: bool) -> io::Result<()> {
        if first { Ok(()) } else { out.write_all(b", ") }
    }

    fn begin_object_key<W: ?Sized + Write>(&mut self, out: &mut W, first: bool) -> io::Result<()> {
        if first { Ok(()) } else { out.write_all(b", ") }
    }

    fn begin_object_value<W: ?Sized + Write>(&mut self, out: &mut W) -> io::Result<()> {
        out.write_all(b": ")
    }
}
