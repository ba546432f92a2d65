//! The values of a JSON text and the bytes that each one covers.

use std::collections::HashSet;
use std::ops::Range;

use jsonc_parser::ast::{ObjectPropName, Value};
use jsonc_parser::common::Ranged;

use super::lines::Lines;
use super::{DocumentPlace, Problem};
use crate::prose::{Message, quoted, shortened};

/// A value and the bytes it covers.
#[derive(Clone, Debug)]
pub(super) struct Tree {
    pub span: Range<usize>,
    pub shape: Shape,
}

#[derive(Clone, Debug)]
pub(super) enum Shape {
    Object(Vec<Member>),
    Array(Vec<Tree>),
    Text(String),
    Number,
    Flag(bool),
    Null,
}

/// A key of an object, the bytes it covers with its quotes, and its value.
#[derive(Clone, Debug)]
pub(super) struct Member {
    pub name: String,
    pub name_span: Range<usize>,
    pub value: Tree,
}

/// A landmark longer than this says less than counting does.
const LANDMARK: usize = 30;

impl Tree {
    pub(super) fn child(&self, key: &str) -> Option<&Member> {
        match &self.shape {
            Shape::Object(members) => members.iter().find(|member| member.name == key),
            _ => None,
        }
    }

    /// What to underline: all of a plain value, the bracket of the others.
    pub(super) fn mark(&self) -> Range<usize> {
        match self.shape {
            Shape::Object(_) | Shape::Array(_) => self.span.start..self.span.start + 1,
            _ => self.span.clone(),
        }
    }

    /// The way to the value that covers `span`, in words. Found by walking
    /// down, which spares every value from knowing its parent.
    pub(super) fn path_to(&self, span: &Range<usize>, text: &str) -> String {
        let mut steps = Vec::new();
        let mut tree = self;
        while tree.span != *span {
            match &tree.shape {
                Shape::Object(members) => {
                    let next = members.partition_point(|member| member.value.span.end < span.end);
                    let Some(member) = members.get(next) else { break };
                    steps.push(shortened(&member.name));
                    tree = &member.value;
                }
                Shape::Array(items) => {
                    let next = items.partition_point(|item| item.span.end < span.end);
                    let Some(item) = items.get(next) else { break };
                    let landmark = item.landmark(span, text);
                    steps.push(landmark.unwrap_or_else(|| format!("item {}", next + 1)));
                    tree = item;
                }
                _ => break,
            }
        }
        steps.join(", ")
    }

    /// What a person would call this item of a list on the way to `span`: its
    /// first entry, when that is short, such as `op 30` or `check thickness`.
    /// An entry is no landmark on the way to itself.
    fn landmark(&self, span: &Range<usize>, text: &str) -> Option<String> {
        let Shape::Object(members) = &self.shape else { return None };
        let first = members.first()?;
        let value = match &first.value.shape {
            Shape::Text(value) => value,
            Shape::Number => &text[first.value.span.clone()],
            _ => return None,
        };
        if first.value.span == *span {
            return None;
        }
        let short = !value.is_empty() && value.len() + first.name.len() <= LANDMARK;
        short.then(|| format!("{} {}", shortened(&first.name), shortened(value)))
    }
}

/// Builds the tree of a text that serde_json has accepted and the limits allow;
/// refuses a key that appears twice in one object.
pub(super) fn grow(text: &str, lines: &Lines) -> Result<Tree, Problem> {
    let strict = jsonc_parser::ParseOptions {
        allow_comments: false,
        allow_loose_object_property_names: false,
        allow_trailing_commas: false,
        allow_missing_commas: false,
        allow_single_quoted_strings: false,
        allow_hexadecimal_numbers: false,
        allow_unary_plus_numbers: false,
        allow_bare_decimal_point_numbers: false,
        allow_non_finite_numbers: false,
        allow_extended_string_escapes: false,
    };
    let error = |span: Range<usize>, what: String, help: Option<&str>| {
        Message::error(what)
            .maybe_help(help.map(str::to_owned))
            .at(DocumentPlace::from(lines.place(text, span)))
    };
    let parsed = jsonc_parser::parse_to_ast(text, &Default::default(), &strict)
        .map_err(|refusal| error(span(&refusal.range()), refusal.kind().to_string(), None))?;
    let Some(value) = parsed.value else {
        return Err(error(0..0, "the file is empty".to_owned(), None));
    };
    let root = own(value);
    match root.twice() {
        Some(member) => {
            let what = format!("the key {} appears a second time", quoted(&member.name));
            let mut problem = error(member.name_span.clone(), what, Some("keep one of the two"));
            problem.place.path = root.path_to(&member.value.span, text);
            Err(problem)
        }
        None => Ok(root),
    }
}

impl Tree {
    /// The first key, reading down, that its object already has.
    fn twice(&self) -> Option<&Member> {
        match &self.shape {
            Shape::Object(members) => {
                let mut seen = HashSet::new();
                members.iter().find_map(|member| {
                    if seen.insert(&member.name) { member.value.twice() } else { Some(member) }
                })
            }
            Shape::Array(items) => items.iter().find_map(Tree::twice),
            _ => None,
        }
    }
}

fn own(value: Value<'_>) -> Tree {
    let span = span(&value.range());
    let shape = match value {
        Value::Object(object) => Shape::Object(
            object
                .properties
                .into_iter()
                .map(|property| Member {
                    name_span: self::span(&match &property.name {
                        ObjectPropName::String(name) => name.range,
                        ObjectPropName::Word(name) => name.range,
                    }),
                    name: property.name.into_string(),
                    value: own(property.value),
                })
                .collect(),
        ),
        Value::Array(array) => Shape::Array(array.elements.into_iter().map(own).collect()),
        Value::StringLit(text) => Shape::Text(text.value.into_owned()),
        Value::NumberLit(_) => Shape::Number,
        Value::BooleanLit(flag) => Shape::Flag(flag.value),
        Value::NullKeyword(_) => Shape::Null,
    };
    Tree { span, shape }
}

fn span(range: &jsonc_parser::common::Range) -> Range<usize> {
    range.start..range.end
}

/// Where a range of a decoded string is in `raw`, the string as written
/// with its quotes. An escape is never split: all of it is meant.
pub(super) fn within_string(raw: &str, at: Range<usize>) -> Option<Range<usize>> {
    let inner = raw.strip_prefix('"')?.strip_suffix('"')?;
    let (mut start, mut end) = (None, None);
    let (mut decoded, mut written) = (0, 0);
    while written < inner.len() {
        let (length, bytes) = written_and_meant(&inner[written..])?;
        if at.start < decoded + bytes {
            start.get_or_insert(written);
        }
        if at.end <= decoded {
            end.get_or_insert(written);
        }
        decoded += bytes;
        written += length;
    }
    if at.start > at.end || at.end > decoded {
        return None;
    }
    let (start, end) = (start.unwrap_or(written), end.unwrap_or(written));
    // The opening quote comes before both.
    Some(start + 1..end.max(start) + 1)
}

/// How many bytes the first character takes as written, and how many once
/// decoded.
fn written_and_meant(text: &str) -> Option<(usize, usize)> {
    let first = text.chars().next()?;
    if first != '\\' {
        return Some((first.len_utf8(), first.len_utf8()));
    }
    let unit = |at: usize| {
        let digits = text.get(at..)?.strip_prefix("\\u")?.get(..4)?;
        u16::from_str_radix(digits, 16).ok()
    };
    let Some(high) = unit(0) else {
        return Some((2, 1));
    };
    let pair = [Some(high), unit(6)].into_iter().flatten();
    let character = char::decode_utf16(pair).next()?.ok()?;
    Some((6 * character.len_utf16(), character.len_utf8()))
}
