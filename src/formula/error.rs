//! Shorthands for what a formula is refused with.

use crate::prose::{Message, Span, nearest};

/// An error about some bytes of a formula's text.
pub(super) fn wrong(at: &Span, what: impl Into<String>) -> Message<Span> {
    Message::error(what).at(at.clone())
}

/// No such name; offers the nearest of those that are `known`.
pub fn unknown_name<'a>(name: &str, known: impl IntoIterator<Item = &'a str>) -> Message {
    let near = nearest(name, known).map(|near| format!("did you mean `{near}`?"));
    Message::error(format!("nothing is named `{name}`")).maybe_help(near)
}
