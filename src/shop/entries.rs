//! Keys and lists of a shop file, decoded one by one so that one bad entry
//! hides no other.

use super::file::Refused;
use crate::document::{Node, Problem};

/// What a key that must be there holds.
pub(super) fn required<T: serde::de::DeserializeOwned>(
    root: Node<'_>,
    key: &str,
    what: &str,
    problems: &mut Vec<Problem>,
) -> Option<T> {
    match root.child(key) {
        None => {
            problems.push(root.problem(format!("`{key}` is missing: {what}"), None));
            None
        }
        Some(node) => node.decode().map_err(|problem| problems.push(problem)).ok(),
    }
}

/// Decodes the entries under a key one by one, so one bad one hides no other.
pub(super) fn entries<'d, T: serde::de::DeserializeOwned>(
    root: Node<'d>,
    key: &str,
    problems: &mut Vec<Problem>,
) -> Vec<(String, (Node<'d>, T))> {
    let Some(node) = root.child(key) else { return Vec::new() };
    let Some(fields) = node.fields() else {
        problems.push(node.problem(format!("`{key}` is an object: a name, then what it is"), None));
        return Vec::new();
    };
    let mut good = Vec::new();
    for field in fields {
        match field.value.decode::<T>() {
            Ok(value) => good.push((field.name.to_owned(), (field.value, value))),
            Err(problem) => problems.push(problem),
        }
    }
    good
}

/// A refused length, at the first text like it.
pub(super) fn placed(node: Node<'_>, refused: Refused) -> Problem {
    fn find<'d>(node: Node<'d>, text: &str) -> Option<Node<'d>> {
        if node.as_str() == Some(text) {
            return Some(node);
        }
        node.fields()?.into_iter().find_map(|field| find(field.value, text))
    }
    let at = find(node, &refused.text).unwrap_or(node);
    let mut problem = at.problem(refused.why.what, refused.why.help);
    problem.place.at = Some(at.text_place(refused.why.place));
    problem
}
