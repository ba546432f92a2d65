//! One value of a document, for readers that walk it: what it is, where it is,
//! what it is called.

use std::ops::Range;

use super::tree::{Member, Shape, Tree};
use super::{Document, DocumentPlace, Place, Problem};
use crate::prose::{Message, nearest, quoted, shortened, visible};

/// A value of a document.
#[derive(Clone, Copy, Debug)]
pub struct Node<'d> {
    document: &'d Document,
    tree: &'d Tree,
}

/// A key of an object and what it holds.
#[derive(Clone, Debug)]
pub struct Field<'d> {
    /// The key.
    pub name: &'d str,
    /// Where the key is.
    pub name_place: Place,
    /// What it holds.
    pub value: Node<'d>,
}

impl<'d> Node<'d> {
    pub(super) fn new(document: &'d Document, tree: &'d Tree) -> Node<'d> {
        Node { document, tree }
    }

    pub(super) fn tree(&self) -> &'d Tree {
        self.tree
    }

    /// The document it belongs to.
    pub fn document(&self) -> &'d Document {
        self.document
    }

    /// Whether it is an object, `{ }`.
    pub fn is_object(&self) -> bool {
        matches!(self.tree.shape, Shape::Object(_))
    }

    /// Whether it is a list, `[ ]`.
    pub fn is_array(&self) -> bool {
        matches!(self.tree.shape, Shape::Array(_))
    }

    /// Whether it is a number.
    pub fn is_number(&self) -> bool {
        matches!(self.tree.shape, Shape::Number)
    }

    /// Whether it is `null`.
    pub fn is_null(&self) -> bool {
        matches!(self.tree.shape, Shape::Null)
    }

    /// The text it is, escapes decoded.
    pub fn as_str(&self) -> Option<&'d str> {
        match &self.tree.shape {
            Shape::Text(text) => Some(text),
            _ => None,
        }
    }

    /// The number it is.
    pub fn as_f64(&self) -> Option<f64> {
        self.is_number().then(|| self.raw().parse().ok()).flatten()
    }

    /// The true or false it is.
    pub fn as_bool(&self) -> Option<bool> {
        match self.tree.shape {
            Shape::Flag(flag) => Some(flag),
            _ => None,
        }
    }

    /// The keys of an object, in the order written; `None` for anything else.
    pub fn fields(&self) -> Option<Vec<Field<'d>>> {
        let Shape::Object(members) = &self.tree.shape else { return None };
        let field = |member: &'d Member| Field {
            name: &member.name,
            name_place: self.document.place(member.name_span.clone()),
            value: self.with(&member.value),
        };
        Some(members.iter().map(field).collect())
    }

    /// The items of a list; `None` for anything else.
    pub fn items(&self) -> Option<Vec<Node<'d>>> {
        let Shape::Array(items) = &self.tree.shape else { return None };
        Some(items.iter().map(|item| self.with(item)).collect())
    }

    /// What an object holds under a key.
    pub fn child(&self, key: &str) -> Option<Node<'d>> {
        self.tree.child(key).map(|member| self.with(&member.value))
    }

    /// Where it is: all of a plain value, the bracket of an object or list.
    pub fn place(&self) -> Place {
        self.document.place(self.tree.mark())
    }

    /// The bytes it covers, whole.
    pub fn span(&self) -> Range<usize> {
        self.tree.span.clone()
    }

    /// Where a key of this object is; the object's own place without it.
    pub fn key_place(&self, key: &str) -> Place {
        match self.tree.child(key) {
            Some(member) => self.document.place(member.name_span.clone()),
            None => self.place(),
        }
    }

    /// A place inside this text, `at` counting bytes of the decoded text; all
    /// of it when that is not inside, or this is no text.
    pub fn text_place(&self, at: Range<usize>) -> Place {
        match self.tree.shape {
            Shape::Text(_) => self.document.at(self.span(), at),
            _ => self.place(),
        }
    }

    /// The way to it in words, such as `operations, op 30, to`.
    pub fn path(&self) -> String {
        self.document.tree.path_to(&self.tree.span, &self.document.text)
    }

    /// It as written.
    pub fn raw(&self) -> &'d str {
        &self.document.text[self.tree.span.clone()]
    }

    /// What it is, for the end of "expected …, found …".
    pub fn described(&self) -> String {
        match &self.tree.shape {
            Shape::Object(_) => "an object { }".to_owned(),
            Shape::Array(_) => "a list [ ]".to_owned(),
            Shape::Text(text) => format!("the text \"{}\"", shortened(text)),
            Shape::Number => format!("the number {}", shortened(self.raw())),
            Shape::Flag(flag) => flag.to_string(),
            Shape::Null => "null".to_owned(),
        }
    }

    /// An error at this value.
    pub fn problem(&self, what: impl AsRef<str>, help: Option<String>) -> Problem {
        self.problem_at(self.place(), what, help)
    }

    /// An error about this value, at a place of the caller's choosing.
    pub fn problem_at(&self, place: Place, what: impl AsRef<str>, help: Option<String>) -> Problem {
        Message::error(visible(what.as_ref()))
            .maybe_help(help.map(|help| visible(&help)))
            .at(DocumentPlace { at: Some(place), path: self.path() })
    }

    /// One error for each key of this object that is not among `allowed`.
    pub fn unknown_keys(&self, allowed: &[&str]) -> Vec<Problem> {
        let Shape::Object(members) = &self.tree.shape else { return Vec::new() };
        let unknown = members.iter().filter(|member| !allowed.contains(&member.name.as_str()));
        unknown
            .map(|member| {
                self.unknown_key(
                    &member.name,
                    self.document.place(member.name_span.clone()),
                    allowed,
                )
            })
            .collect()
    }

    pub(super) fn unknown_key(&self, key: &str, place: Place, allowed: &[&str]) -> Problem {
        self.problem_at(place, format!("unknown key {}", quoted(key)), Some(offer(key, allowed)))
    }

    pub(super) fn with(&self, tree: &'d Tree) -> Node<'d> {
        Node { document: self.document, tree }
    }
}

/// What to do about an unknown name: the one that was meant, or all there are.
pub(super) fn offer(unknown: &str, known: &[&str]) -> String {
    if let Some(meant) = nearest(unknown, known.iter().copied()) {
        return format!("did you mean {}?", quoted(meant));
    }
    let mut known: Vec<String> = known.iter().map(|name| quoted(name)).collect();
    match known.pop() {
        None => "take it out: no key is allowed here".to_owned(),
        Some(last) if known.is_empty() => format!("use {last}"),
        Some(last) => format!("use {} or {last}", known.join(", ")),
    }
}
