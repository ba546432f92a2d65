//! A change of one value of a shop or route file, in the bytes of its text. All
//! other bytes stay.

use std::ops::Range;

use crate::document::{Document, Node};
use crate::measure::{Length, Unit};
use crate::shop::RENAMED_KEYS;

/// Which file a change is for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum File {
    /// The shop file.
    Shop,
    /// The route file.
    Route,
}

/// What a value should be.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Figure {
    /// A length, to thousandths of an inch or hundredths of a millimetre; with
    /// `fine`, to a tenth of that.
    Size {
        /// The length.
        to: Length,
        /// Whether it has one more decimal.
        fine: bool,
    },
    /// A whole number.
    Count(u32),
    /// A share of one, in hundredths.
    Share(u32),
}

impl Figure {
    /// A length with the usual decimals.
    pub fn size(to: Length) -> Figure {
        Figure::Size { to, fine: false }
    }

    /// A length with one more decimal.
    pub fn fine(to: Length) -> Figure {
        Figure::Size { to, fine: true }
    }
}

/// One value of a file that should be another.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct FileChange {
    /// Which file.
    pub file: File,
    /// The keys down to it: `machines`, `cabinet saw`, `spread`.
    pub path: Vec<String>,
    /// The new value.
    pub to: Figure,
}

/// A change as bytes of a text.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Edit {
    /// Which bytes.
    pub at: Range<usize>,
    /// What comes in their place.
    pub to: String,
}

impl FileChange {
    /// A change of the value at `path`.
    pub fn of(file: File, path: &[&str], to: Figure) -> FileChange {
        FileChange { file, path: path.iter().map(|key| (*key).to_owned()).collect(), to }
    }

    /// The change in a document's bytes. A missing key is added last, laid out as
    /// the keys before it. `None` where the document has no such place.
    pub fn edit(&self, document: &Document) -> Option<Edit> {
        let mut node = document.root();
        let mut unit = Unit::Inch;
        for (depth, key) in self.path.iter().enumerate() {
            // A gauge may have a unit of its own.
            unit = node.child("unit").and_then(|held| held.decode().ok()).unwrap_or(unit);
            let old = RENAMED_KEYS.iter().find(|(new, _)| new == key).map(|(_, old)| *old);
            match node.child(key).or_else(|| node.child(old?)) {
                Some(child) => node = child,
                None => return self.put_in(node, depth, unit),
            }
        }
        // A dimension may be an object with further keys.
        let node = node.child("is").unwrap_or(node);
        let to = match (self.to, node.as_str()) {
            (Figure::Size { .. }, Some(was)) => self.to.written(unit, Some(was)),
            (Figure::Count(_) | Figure::Share(_), None) if node.is_number() => {
                self.to.written(unit, None)
            }
            _ => return None,
        };
        Some(Edit { at: node.span(), to })
    }

    /// Puts the keys from `depth` on into an object that lacks them.
    fn put_in(&self, node: Node<'_>, depth: usize, unit: Unit) -> Option<Edit> {
        let fields = node.fields()?;
        let (first, rest) = self.path.get(depth..)?.split_first()?;
        let mut value = self.to.written(unit, None);
        for key in rest.iter().rev() {
            value = format!("{{ {}: {value} }}", json(key));
        }
        let entry = format!("{}: {value}", json(first));
        let text = node.document().text();
        let Some(last) = fields.last() else {
            return Some(Edit { at: node.span(), to: format!("{{ {entry} }}") });
        };
        let at = last.value.span().end;
        let between = match fields.len().checked_sub(2).and_then(|n| fields.get(n)) {
            Some(before) => {
                text.get(before.value.span().end..last.name_place.span.start)?.to_owned()
            }
            None => format!(",{}", text.get(node.span().start + 1..last.name_place.span.start)?),
        };
        Some(Edit { at: at..at, to: format!("{between}{entry}") })
    }
}

impl Figure {
    /// As JSON, in the notation of the old value.
    fn written(self, unit: Unit, was: Option<&str>) -> String {
        let (to, fine) = match self {
            Figure::Count(count) => return count.to_string(),
            Figure::Share(hundredths) => {
                return format!("{}.{:02}", hundredths / 100, hundredths % 100);
            }
            Figure::Size { to, fine } => (to, fine),
        };
        let was = was.unwrap_or_default();
        let own = [(Unit::Millimetre, "mm"), (Unit::Inch, "in")];
        let sign = own.into_iter().find(|(_, sign)| was.trim_end().ends_with(sign));
        let (unit, sign) = sign.unwrap_or_else(|| {
            // Feet, centimetres or an inch mark become the plain unit.
            (
                unit,
                if was.contains(|c: char| c.is_alphabetic() || c == '"') {
                    unit.sign()
                } else {
                    ""
                },
            )
        });
        let (text, rest) = to.fraction(64);
        if was.contains('/') && unit == Unit::Inch && rest.is_zero() {
            return json(&format!("{text}{sign}"));
        }
        let places = match unit {
            Unit::Inch => 3,
            Unit::Millimetre => 2,
        };
        json(&format!("{}{sign}", to.decimal(unit, places + usize::from(fine))))
    }
}

fn json(text: &str) -> String {
    serde_json::Value::from(text).to_string()
}

impl Edit {
    /// The text with the change made.
    pub fn made(&self, text: &str) -> String {
        let (before, after) = (&text[..self.at.start], &text[self.at.end..]);
        format!("{before}{}{after}", self.to)
    }

    /// The lines it changes, old with `-` and new with `+`, under the number of the
    /// first.
    pub fn shown(&self, text: &str) -> Vec<String> {
        let start = text[..self.at.start].rfind('\n').map_or(0, |at| at + 1);
        let end = text[self.at.end..].find('\n').map_or(text.len(), |at| self.at.end + at);
        let was = &text[start..end];
        let becomes =
            format!("{}{}{}", &text[start..self.at.start], self.to, &text[self.at.end..end]);
        let line = text[..start].matches('\n').count() + 1;
        let (were, become_now) = (was.lines().count(), becomes.lines().count());
        let mut shown = vec![format!("@@ -{line},{were} +{line},{become_now} @@")];
        // An entry added on a line of its own gives the line above a comma.
        shown.extend(was.lines().map(|line| format!("-{line}")));
        shown.extend(becomes.lines().map(|line| format!("+{line}")));
        shown
    }
}
