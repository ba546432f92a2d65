//! A value read by serde, its complaints put into words and at their spot.
//! Knows nothing of the types it reads.

use serde::de::DeserializeOwned;
use serde_path_to_error::{Path, Segment};

use super::tree::Shape;
use super::{Node, Problem, syntax};
use crate::prose::{nearest, quoted};

pub(super) fn decode<T: DeserializeOwned>(node: Node<'_>) -> Result<T, Problem> {
    let mut reader = serde_json::Deserializer::from_str(node.raw());
    serde_path_to_error::deserialize(&mut reader).map_err(|refusal| {
        put_into_words(reached(node, refusal.path()), &syntax::message(refusal.inner()))
    })
}

/// The deepest value of `path` that exists; when its last step is a key, the
/// object that has it and that key.
fn reached<'d>(node: Node<'d>, path: &Path) -> (Node<'d>, Option<String>) {
    let mut node = node;
    let mut steps = path.iter().peekable();
    while let Some(step) = steps.next() {
        let next = match (step, &node.tree().shape) {
            (Segment::Map { key } | Segment::Enum { variant: key }, _) => {
                match node.tree().child(key) {
                    Some(member) if steps.peek().is_none() => {
                        return (node, Some(member.name.clone()));
                    }
                    Some(member) => Some(node.with(&member.value)),
                    None => None,
                }
            }
            (Segment::Seq { index }, Shape::Array(items)) => {
                items.get(*index).map(|item| node.with(item))
            }
            _ => None,
        };
        let Some(next) = next else { break };
        node = next;
    }
    (node, None)
}

/// Only the complaint tells whether a key or what it holds is meant, so both
/// arrive here.
fn put_into_words((owner, key): (Node<'_>, Option<String>), said: &str) -> Problem {
    let node = key.as_deref().and_then(|key| owner.child(key)).unwrap_or(owner);
    if let Some((unknown, known)) = unknown_name(said, "unknown field `") {
        let owner = if key.as_deref() == Some(unknown) { owner } else { node };
        return owner.unknown_key(unknown, owner.key_place(unknown), &known);
    }
    if let Some((unknown, known)) = unknown_name(said, "unknown variant `") {
        let help = offer(unknown, &known);
        return node.problem(format!("unknown word {}", quoted(unknown)), Some(help));
    }
    if let Some(missing) = said.strip_prefix("missing field ") {
        return node.problem(format!("the key {missing} is missing here"), None);
    }
    if said == "trailing characters" {
        return node.problem("this list has more items than expected", None);
    }
    if said.starts_with("data did not match any variant") {
        return node.problem(format!("did not expect {} here", node.described()), None);
    }
    let expected = ["invalid type: ", "invalid value: "]
        .iter()
        .find_map(|prefix| said.strip_prefix(prefix)?.rsplit_once(", expected "));
    if let Some((_, expected)) = expected {
        let expected = in_words(expected);
        return node.problem(format!("expected {expected}, found {}", node.described()), None);
    }
    if let Some((length, expected)) =
        said.strip_prefix("invalid length ").and_then(|rest| rest.split_once(", expected "))
    {
        let expected = in_words(expected);
        return node.problem(format!("expected {expected}, found {length} of them"), None);
    }
    node.problem(said, None)
}

/// The name and the known ones out of serde's "unknown … `x`, expected one of
/// `a`, `b`". The name comes from the file and may hold anything; what follows
/// it comes from our own types.
fn unknown_name<'s>(said: &'s str, prefix: &str) -> Option<(&'s str, Vec<&'s str>)> {
    let rest = said.strip_prefix(prefix)?;
    let split = rest.rsplit_once("`, expected ").or_else(|| rest.rsplit_once("`, there are no "));
    let (unknown, known) = split?;
    Some((unknown, known.split('`').skip(1).step_by(2).collect()))
}

/// What to do about an unknown name: the one that was meant, or all there are.
pub(super) fn offer(unknown: &str, known: &[&str]) -> String {
    if let Some(meant) = nearest(unknown, known.iter().copied()) {
        return format!("did you mean {}?", quoted(meant));
    }
    let mut known: Vec<String> = known.iter().map(|name| quoted(name)).collect();
    match known.pop() {
        None => "take it out: nothing may stand here".to_owned(),
        Some(last) if known.is_empty() => format!("use {last}"),
        Some(last) => format!("use {} or {last}", known.join(", ")),
    }
}

/// What serde's own types call themselves, as a person would. Types of ours
/// say `#[serde(expecting = "…")]` and pass through.
fn in_words(expected: &str) -> String {
    let plain = match expected {
        "a string" | "a borrowed string" | "a str" => "a text",
        "a character" => "a text of one character",
        "a boolean" => "true or false",
        "a sequence" => "a list",
        "a map" => "an object",
        "string or map" => "a text or an object",
        "f32" | "f64" => "a number",
        "u8" => "a whole number from 0 to 255",
        "u16" => "a whole number from 0 to 65535",
        "u32" => "a whole number from 0 to 4294967295",
        "u64" | "usize" | "u128" => "a whole number, not negative",
        "i8" => "a whole number from -128 to 127",
        "i16" => "a whole number from -32768 to 32767",
        "i32" | "i64" | "isize" | "i128" => "a whole number",
        "unit" => "null",
        _ => "",
    };
    if !plain.is_empty() {
        return plain.to_owned();
    }
    let counted = |prefix| expected.strip_prefix(prefix);
    if let Some(count) = counted("a tuple of size ").or_else(|| counted("an array of length ")) {
        return format!("a list of {count}");
    }
    if expected.starts_with("struct ") || expected.starts_with("internally tagged enum ") {
        return "an object".to_owned();
    }
    expected.to_owned()
}
