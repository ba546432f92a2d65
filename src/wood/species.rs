//! A wood by its name, and how well each of its numbers is known.
//!
//! A coefficient C (change of size for each 1 % of moisture, of the size at
//! 10 %) and the shrinkage S (percent, green to oven-dry) of one wood belong
//! together: C = S / (100 F - S (F - 10)), where F is the moisture in percent
//! at which it begins to shrink, 30, or 22 for a few (Wood Handbook, footnote
//! of Table 13-5, from memory). Of the pairs read there all agree but six, and
//! those six are misprints.

use schemars::JsonSchema;
use serde::Deserialize;

/// The book that nearly all numbers are from.
pub const WOOD_HANDBOOK: &str =
    "USDA Forest Products Laboratory, Wood Handbook, FPL-GTR-190 (2010)";

/// Coefficients that differ by less than this are one number, rounded.
const ALIKE: f64 = 0.000_015;

/// Coefficients that differ by more than this share disagree for a shop: boards
/// of one wood differ by as much (common practice, no source).
const APART: f64 = 0.1;

/// How the growth rings run in a board.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Grain {
    /// Flat-sawn; it moves most.
    #[default]
    Flat,
    /// Quartersawn.
    Quarter,
}

impl Grain {
    /// The word people type for it.
    pub fn words(self) -> &'static str {
        match self {
            Grain::Flat => "flat",
            Grain::Quarter => "quarter",
        }
    }

    /// The direction of the board's width in the tree.
    pub fn direction(self) -> &'static str {
        match self {
            Grain::Flat => "tangential",
            Grain::Quarter => "radial",
        }
    }
}

/// How a published number got here, the surest way first.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Provenance {
    /// Read in the table itself.
    Read,
    /// Read where others quote the table.
    Quoted,
    /// From memory, without comparison.
    Remembered,
}

impl Provenance {
    /// As it is shown to people.
    pub fn words(self) -> &'static str {
        match self {
            Provenance::Read => "published",
            Provenance::Quoted => "quoted by others",
            Provenance::Remembered => "from memory",
        }
    }
}

/// A published number and how it got here.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Published {
    /// The number.
    pub amount: f64,
    /// How it got here.
    pub known: Provenance,
}

/// A number across the grain: radial and tangential.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Across {
    radial: Published,
    tangential: Published,
}

impl Across {
    fn along(self, grain: Grain) -> Published {
        match grain {
            Grain::Flat => self.tangential,
            Grain::Quarter => self.radial,
        }
    }
}

/// What the tables have of a wood: its shrinkage, its coefficients, or both.
#[derive(Clone, Copy, Debug, PartialEq)]
enum Tabulated {
    Both { shrinkage: Across, coefficients: Across },
    Shrinkage(Across),
    Coefficients(Across),
}

/// One wood of the table.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Species {
    names: &'static [&'static str],
    numbers: Tabulated,
    /// At which moisture it begins to shrink, in percent.
    shrinks_from: f64,
    imported: bool,
    note: Option<&'static str>,
}

/// The table that a number comes from.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum HandbookTable {
    /// Table 13-5.
    Coefficients,
    /// Table 4-3.
    Shrinkage,
    /// Table 4-4.
    ImportedShrinkage,
}

impl HandbookTable {
    /// Its number in the book.
    pub fn words(self) -> &'static str {
        match self {
            HandbookTable::Coefficients => "table 13-5",
            HandbookTable::Shrinkage => "table 4-3",
            HandbookTable::ImportedShrinkage => "table 4-4",
        }
    }
}

/// A wood's number in one direction, read or calculated.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Found {
    /// The number.
    pub amount: f64,
    /// How the number it comes from is known.
    pub known: Provenance,
    /// The table that number comes from.
    pub table: HandbookTable,
    /// Whether it was calculated from the wood's other number.
    pub worked_out: bool,
}

impl Found {
    /// `published`, `worked out, from memory`.
    pub fn status(&self) -> String {
        let how = self.known.words();
        if self.worked_out { format!("worked out, {how}") } else { how.to_owned() }
    }

    /// `table 13-5 (published)`, `its shrinkage in table 4-3 (from memory)`.
    pub fn from(&self) -> String {
        let (table, known) = (self.table.words(), self.known.words());
        match (self.worked_out, self.table) {
            (false, _) => format!("{table} ({known})"),
            (true, HandbookTable::Coefficients) => {
                format!("worked back from its coefficient in {table} ({known})")
            }
            (true, _) => format!("worked out from its shrinkage in {table} ({known})"),
        }
    }
}

impl Species {
    /// Its first name.
    pub fn name(&self) -> &'static str {
        self.names.first().copied().unwrap_or_default()
    }

    /// All its names, the first one first.
    pub fn names(&self) -> &'static [&'static str] {
        self.names
    }

    /// What to know about its numbers: one sentence without its full stop.
    pub fn note(&self) -> Option<&'static str> {
        self.note
    }

    /// The moisture in percent at which it begins to shrink.
    pub fn shrinks_from(&self) -> f64 {
        self.shrinks_from
    }

    /// The share of its size it moves for each 1 % of moisture.
    pub fn coefficient(&self, grain: Grain) -> Found {
        let of_shrinkage = |shrinkage: Across| {
            let Published { amount, known } = shrinkage.along(grain);
            let amount = coefficient_of(amount, self.shrinks_from);
            Found { amount, known, table: self.shrinkage_table(), worked_out: true }
        };
        match self.numbers {
            Tabulated::Both { coefficients, .. } | Tabulated::Coefficients(coefficients) => {
                let Published { amount, known } = coefficients.along(grain);
                Found { amount, known, table: HandbookTable::Coefficients, worked_out: false }
            }
            Tabulated::Shrinkage(shrinkage) => of_shrinkage(shrinkage),
        }
    }

    /// The coefficient that follows from its shrinkage, where that is a different
    /// number.
    pub fn other_coefficient(&self, grain: Grain) -> Option<Found> {
        let Tabulated::Both { shrinkage, .. } = self.numbers else { return None };
        let own = Species { numbers: Tabulated::Shrinkage(shrinkage), ..*self };
        let other = own.coefficient(grain);
        ((other.amount - self.coefficient(grain).amount).abs() > ALIKE).then_some(other)
    }

    /// Why its coefficient is not to be relied on, in a few words; `None` where it
    /// was published and no other number contradicts it.
    pub fn unsure(&self, grain: Grain) -> Option<&'static str> {
        let own = self.coefficient(grain);
        let other = self.other_coefficient(grain).map_or(own.amount, |other| other.amount);
        if (other / own.amount - 1.0).abs() > APART {
            return Some("sources disagree");
        }
        match own.known {
            Provenance::Read => None,
            Provenance::Quoted => Some("as others quote it"),
            Provenance::Remembered => Some("from memory"),
        }
    }

    /// How much it shrinks from green to oven-dry, in percent.
    pub fn shrinkage(&self, grain: Grain) -> Found {
        match self.numbers {
            Tabulated::Both { shrinkage, .. } | Tabulated::Shrinkage(shrinkage) => {
                let Published { amount, known } = shrinkage.along(grain);
                Found { amount, known, table: self.shrinkage_table(), worked_out: false }
            }
            Tabulated::Coefficients(coefficients) => {
                let Published { amount, known } = coefficients.along(grain);
                let amount = shrinkage_of(amount, self.shrinks_from);
                Found { amount, known, table: HandbookTable::Coefficients, worked_out: true }
            }
        }
    }

    fn shrinkage_table(&self) -> HandbookTable {
        if self.imported { HandbookTable::ImportedShrinkage } else { HandbookTable::Shrinkage }
    }
}

/// C = S / (100 F - S (F - 10)).
pub(super) fn coefficient_of(shrinkage: f64, from: f64) -> f64 {
    shrinkage / (100.0 * from - shrinkage * (from - 10.0))
}

/// The same solved for S.
pub(super) fn shrinkage_of(coefficient: f64, from: f64) -> f64 {
    100.0 * from * coefficient / (1.0 + coefficient * (from - 10.0))
}

/// A row of the table, until its numbers are known.
pub(super) struct Named(&'static [&'static str]);

pub(super) const fn wood(names: &'static [&'static str]) -> Named {
    Named(names)
}

pub(super) const fn read(amount: f64) -> Published {
    Published { amount, known: Provenance::Read }
}

pub(super) const fn quoted(amount: f64) -> Published {
    Published { amount, known: Provenance::Quoted }
}

pub(super) const fn remembered(amount: f64) -> Published {
    Published { amount, known: Provenance::Remembered }
}

const fn across([radial, tangential]: [Published; 2]) -> Across {
    Across { radial, tangential }
}

impl Named {
    pub(super) const fn both(
        self,
        shrinkage: [Published; 2],
        coefficients: [Published; 2],
    ) -> Species {
        let (shrinkage, coefficients) = (across(shrinkage), across(coefficients));
        self.with(Tabulated::Both { shrinkage, coefficients })
    }

    pub(super) const fn shrinks(self, shrinkage: [Published; 2]) -> Species {
        self.with(Tabulated::Shrinkage(across(shrinkage)))
    }

    pub(super) const fn moves(self, coefficients: [Published; 2]) -> Species {
        self.with(Tabulated::Coefficients(across(coefficients)))
    }

    const fn with(self, numbers: Tabulated) -> Species {
        Species { names: self.0, numbers, shrinks_from: 30.0, imported: false, note: None }
    }
}

impl Species {
    pub(super) const fn shrinks_from_22(self) -> Species {
        Species { shrinks_from: 22.0, ..self }
    }

    pub(super) const fn imported(self) -> Species {
        Species { imported: true, ..self }
    }

    pub(super) const fn note_of(self, note: &'static str) -> Species {
        Species { note: Some(note), ..self }
    }
}

#[cfg(test)]
mod tests;
