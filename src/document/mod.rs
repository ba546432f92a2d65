//! A JSON text, or a table as spreadsheets write it, and where each thing in it is:
//! strict reading that reports every problem at line and column. It must not know routes, shops or the disk.
//!
//! It is a room of its own because shop and route files are both read strictly
//! and with places, and neither should own that. Reading with serde alone was
//! rejected: it stops at the first mistake. Problems are drawn by a page of our
//! own rather than a crate for reports, because it is short and the same problem
//! appears on screens and in pipes.
//!
//! [`Document::read`] settles whether the text is JSON at all. From then on a
//! reader walks [`Node`]s and decodes one small piece at a time, because serde
//! stops at the first mistake of whatever it is given.

mod decode;
mod edit;
mod lines;
mod node;
mod place;
mod problem;
mod schema;
mod syntax;
pub mod table;
mod tree;

use std::ops::Range;

use tree::Tree;

pub use edit::{Edit, json_text};
pub use lines::Lines;
pub use node::{Field, Node};
pub use place::{DocumentPlace, Place, Problem};
pub use schema::schema;
pub use syntax::{DEEPEST, LARGEST, MOST};

/// A JSON text that has been read whole, with the span of every value in it.
#[derive(Clone, Debug)]
pub struct Document {
    name: String,
    text: String,
    lines: Lines,
    tree: Tree,
}

impl Document {
    /// Reads a text as strict JSON; `name` is what its problems call it. A
    /// refusal is shown with [`Problem::render`], given the same text.
    pub fn read(name: &str, text: impl Into<String>) -> Result<Document, Problem> {
        let mut text = text.into();
        if text.starts_with(lines::BYTE_ORDER_MARK) {
            text.drain(..lines::BYTE_ORDER_MARK.len_utf8());
        }
        syntax::check_limits(&text)?;
        let lines = Lines::of(&text);
        syntax::check(&text, &lines)?;
        let tree = tree::grow(&text, &lines)?;
        Ok(Document { name: name.to_owned(), text, lines, tree })
    }

    /// The name given when it was read.
    pub fn name(&self) -> &str {
        &self.name
    }

    /// The text without its byte-order mark; spans count from its start.
    pub fn text(&self) -> &str {
        &self.text
    }

    /// The outermost value.
    pub fn root(&self) -> Node<'_> {
        Node::new(self, &self.tree)
    }

    /// The line and column of a span of the text.
    pub fn place(&self, span: Range<usize>) -> Place {
        self.lines.place(&self.text, span)
    }

    /// A place inside a string value, `at` counting bytes of the decoded
    /// string; the whole of `value` when that is not inside it.
    pub fn at(&self, value: Range<usize>, at: Range<usize>) -> Place {
        let inside = self.text.get(value.clone()).and_then(|raw| tree::within_string(raw, at));
        match inside {
            Some(inside) => self.place(value.start + inside.start..value.start + inside.end),
            None => self.place(value),
        }
    }

    /// A problem with the line it is about, several lines of plain text.
    pub fn render(&self, problem: &Problem) -> String {
        problem.render(&self.name, &self.text)
    }
}

#[cfg(test)]
mod tests;
