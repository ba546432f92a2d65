//! A place in a document, and a problem as a message at such a place.

use std::ops::Range;

use crate::prose::Message;

/// A stretch of a text and where it begins.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Place {
    /// The line, counted from one.
    pub line: usize,
    /// The column, in characters, counted from one.
    pub column: usize,
    /// The bytes it covers, from the start of the text.
    pub span: Range<usize>,
}

/// Where in a document a problem is.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct DocumentPlace {
    /// `None` when the problem is about the text as a whole.
    pub at: Option<Place>,
    /// The way to it in words, such as `operations, op 30, to`; empty at the top.
    pub path: String,
}

impl From<Place> for DocumentPlace {
    fn from(at: Place) -> DocumentPlace {
        DocumentPlace { at: Some(at), path: String::new() }
    }
}

/// One thing wrong with a text.
pub type Problem = Message<DocumentPlace>;
