//! A change of one value of a shop or route file, in the bytes of its text. All
//! other bytes stay.

use crate::document::{Document, Edit, json_text};
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
                None => {
                    return Edit::added(node, &self.path[depth..], &self.to.written(unit, None));
                }
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
            return json_text(&format!("{text}{sign}"));
        }
        let places = match unit {
            Unit::Inch => 3,
            Unit::Millimetre => 2,
        };
        json_text(&format!("{}{sign}", to.decimal(unit, places + usize::from(fine))))
    }
}
