//! Reads a value with serde, and puts serde's complaints into words at their
//! place.

use serde::de::DeserializeOwned;
use serde_path_to_error::{Path, Segment};

use super::node::offer;
use super::tree::Shape;
use super::{Node, Problem, syntax};
use crate::prose::quoted;

impl Node<'_> {
    /// Reads it as a `T`, or says what is wrong with it and exactly where.
    pub fn decode<T: DeserializeOwned>(&self) -> Result<T, Problem> {
        let mut reader = serde_json::Deserializer::from_str(self.raw());
        serde_path_to_error::deserialize(&mut reader).map_err(|refusal| {
            put_into_words(reached(*self, refusal.path()), &syntax::message(refusal.inner()))
        })
    }
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

#[cfg(test)]
pub(super) mod tests {
    use std::collections::BTreeMap;

    use serde::Deserialize;

    use crate::document::tests::{node, read};

    #[derive(Debug, Deserialize)]
    #[serde(deny_unknown_fields)]
    #[expect(dead_code, reason = "only whether it decodes matters")]
    pub(in crate::document) struct TestStep {
        op: u32,
        #[serde(rename = "do")]
        kind: Option<TestKind>,
        to: Option<String>,
        pair: Option<(f64, f64)>,
        size: Option<Size>,
        more: Option<BTreeMap<String, TestStep>>,
        steps: Option<Vec<TestStep>>,
        cut: Option<Cut>,
    }

    #[derive(Debug, Deserialize)]
    #[serde(rename_all = "lowercase")]
    #[expect(dead_code, reason = "only whether it decodes matters")]
    enum TestKind {
        Rip,
        Crosscut,
        Taper { angle: f64 },
    }

    #[derive(Debug, Deserialize)]
    #[serde(expecting = "a length, such as \"1 7/16\" or 36.5")]
    #[expect(dead_code, reason = "only whether it decodes matters")]
    struct Size {
        is: u8,
    }

    #[derive(Debug, Deserialize)]
    #[serde(tag = "by", deny_unknown_fields, rename_all = "lowercase")]
    #[expect(dead_code, reason = "only whether it decodes matters")]
    enum Cut {
        Saw { kerf: f64 },
    }

    /// What is decoded, its column, what is underlined, the way to it, what is said
    /// and the help. It is on the second line of a list, after four spaces.
    type Complaint<'c> = (&'c str, usize, &'c str, &'c str, &'c str, Option<&'c str>);

    const COMPLAINTS: &[Complaint] = &[
        (
            r#"{"op": "x"}"#,
            12,
            r#""x""#,
            "item 1, op",
            "expected a whole number from 0 to 4294967295, found the text \"x\"",
            None,
        ),
        (
            r#"{"op": -1}"#,
            12,
            "-1",
            "item 1, op",
            "expected a whole number from 0 to 4294967295, found the number -1",
            None,
        ),
        (
            r#"{"op": 1.5}"#,
            12,
            "1.5",
            "item 1, op",
            "expected a whole number from 0 to 4294967295, found the number 1.5",
            None,
        ),
        (
            r#"{"op": null}"#,
            12,
            "null",
            "item 1, op",
            "expected a whole number from 0 to 4294967295, found null",
            None,
        ),
        (r#"{"op": 1, "to": 3}"#, 21, "3", "op 1, to", "expected a text, found the number 3", None),
        (r#"{"op": 1, "to": [3]}"#, 21, "[", "op 1, to", "expected a text, found a list [ ]", None),
        (
            r#"{"op": 1, "tu": 3}"#,
            15,
            r#""tu""#,
            "op 1",
            "unknown key `tu`",
            Some("did you mean `to`?"),
        ),
        (r#"{"to": "1"}"#, 5, "{", "to 1", "the key `op` is missing here", None),
        (
            r#"{"op": 1, "do": "ripp"}"#,
            21,
            r#""ripp""#,
            "op 1, do",
            "unknown word `ripp`",
            Some("did you mean `rip`?"),
        ),
        (
            r#"{"op": 1, "do": "glue"}"#,
            21,
            r#""glue""#,
            "op 1, do",
            "unknown word `glue`",
            Some("use `rip`, `crosscut` or `taper`"),
        ),
        (
            r#"{"op": 1, "do": {"taper": {"angle": "x"}}}"#,
            41,
            r#""x""#,
            "op 1, do, taper, angle",
            "expected a number, found the text \"x\"",
            None,
        ),
        (
            r#"{"op": 1, "pair": [1]}"#,
            23,
            "[",
            "op 1, pair",
            "expected a list of 2, found 1 of them",
            None,
        ),
        (
            r#"{"op": 1, "pair": [1, 2, 3]}"#,
            23,
            "[",
            "op 1, pair",
            "this list has more items than expected",
            None,
        ),
        (
            r#"{"op": 1, "pair": [1, true]}"#,
            27,
            "true",
            "op 1, pair, item 2",
            "expected a number, found true",
            None,
        ),
        (
            r#"{"op": 1, "size": "big"}"#,
            23,
            r#""big""#,
            "op 1, size",
            "expected a length, such as \"1 7/16\" or 36.5, found the text \"big\"",
            None,
        ),
        (
            r#"{"op": 1, "size": {"is": 256}}"#,
            30,
            "256",
            "op 1, size, is",
            "expected a whole number from 0 to 255, found the number 256",
            None,
        ),
        (
            r#"{"op": 1, "more": {"é": {"op": 2, "op2": 3}}}"#,
            39,
            r#""op2""#,
            "op 1, more, é",
            "unknown key `op2`",
            Some("did you mean `op`?"),
        ),
        (
            r#"{"op": 1, "steps": [{"op": 2}, {"op": 3, "to": false}]}"#,
            52,
            "false",
            "op 1, steps, op 3, to",
            "expected a text, found false",
            None,
        ),
        (
            r#"{"op": 1, "cut": {"by": "saw", "kerf": 1, "kerv": 2}}"#,
            47,
            r#""kerv""#,
            "op 1, cut",
            "unknown key `kerv`",
            Some("did you mean `kerf`?"),
        ),
        (
            r#"{"op": 1, "cut": {"by": "saw"}}"#,
            22,
            "{",
            "op 1, cut",
            "the key `kerf` is missing here",
            None,
        ),
        (r#""rip""#, 5, r#""rip""#, "item 1", "expected an object, found the text \"rip\"", None),
        (
            r#"{"op": 1, "a`, expected `b": 2}"#,
            15,
            r#""a`, expected `b""#,
            "op 1",
            "unknown key `a`, expected `b`",
            Some("use `op`, `do`, `to`, `pair`, `size`, `more`, `steps` or `cut`"),
        ),
    ];

    #[test]
    fn a_complaint_points_at_the_key_or_the_value_it_is_about() {
        for &(step, column, marked, path, what, help) in COMPLAINTS {
            let document = read(&format!("{{ \"list\": [\n    {step}\n] }}"));
            let problem = node(&document, &["list", "0"]).decode::<TestStep>().expect_err(step);
            let place = problem.place.at.expect("a place");
            assert_eq!(problem.what, what, "for {step}");
            assert_eq!(problem.help.as_deref(), help, "for {step}");
            assert_eq!(problem.place.path, format!("list, {path}"), "for {step}");
            assert_eq!((place.line, place.column), (2, column), "for {step}");
            assert_eq!(&document.text()[place.span], marked, "for {step}");
        }
    }

    #[test]
    fn what_is_right_decodes() {
        let document = read(r#"{"op": 30, "do": "crosscut", "cut": {"by": "saw", "kerf": 0.125}}"#);
        let step: TestStep = document.root().decode().expect("a right step");
        assert!(step.op == 30 && matches!(step.kind, Some(TestKind::Crosscut)));
    }

    /// Bounds of a whole number of so many bits: from -2^(n-1) to 2^(n-1) - 1, or from 0 to
    /// 2^n - 1. What our own types say of themselves passes through.
    #[test]
    fn what_is_expected_is_said_plainly() {
        for (theirs, ours) in [
            ("a string", "a text"),
            ("a borrowed string", "a text"),
            ("a str", "a text"),
            ("a character", "a text of one character"),
            ("a boolean", "true or false"),
            ("a sequence", "a list"),
            ("a map", "an object"),
            ("string or map", "a text or an object"),
            ("f32", "a number"),
            ("f64", "a number"),
            ("u8", "a whole number from 0 to 255"),
            ("u16", "a whole number from 0 to 65535"),
            ("u32", "a whole number from 0 to 4294967295"),
            ("u64", "a whole number, not negative"),
            ("usize", "a whole number, not negative"),
            ("u128", "a whole number, not negative"),
            ("i8", "a whole number from -128 to 127"),
            ("i16", "a whole number from -32768 to 32767"),
            ("i32", "a whole number"),
            ("i64", "a whole number"),
            ("unit", "null"),
            ("a tuple of size 2", "a list of 2"),
            ("an array of length 3", "a list of 3"),
            ("struct Board", "an object"),
            ("internally tagged enum Cut", "an object"),
            ("a length, such as 36.5", "a length, such as 36.5"),
        ] {
            assert_eq!(super::in_words(theirs), ours);
        }
    }
}
