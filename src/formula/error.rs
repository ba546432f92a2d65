//! What can be wrong with a formula, in words and with its place in the text.
//! Knows nothing of how a formula is read or computed.

use std::fmt;
use std::ops::Range;

/// What is wrong with a formula, and where.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct FormulaError {
    /// The bytes of the formula's text that are to blame.
    pub at: Range<usize>,
    pub what: String,
    pub help: Option<String>,
}

impl FormulaError {
    pub(super) fn new(at: &Range<usize>, what: String) -> FormulaError {
        FormulaError { at: at.clone(), what, help: None }
    }

    pub(super) fn with_help(self, help: impl Into<String>) -> FormulaError {
        FormulaError { help: Some(help.into()), ..self }
    }
}

impl fmt::Display for FormulaError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write_with_help(f, &self.what, self.help.as_deref())
    }
}

impl std::error::Error for FormulaError {}

/// Why a name has no value where it was asked for.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Missing {
    pub what: String,
    pub help: Option<String>,
}

impl Missing {
    /// No such name; offers the nearest of those that are `known`.
    pub fn unknown<'a>(name: &str, known: impl IntoIterator<Item = &'a str>) -> Missing {
        Missing {
            what: format!("nothing is named `{name}`"),
            help: nearest(name, known).map(|near| format!("did you mean `{near}`?")),
        }
    }
}

impl fmt::Display for Missing {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write_with_help(f, &self.what, self.help.as_deref())
    }
}

impl std::error::Error for Missing {}

fn write_with_help(f: &mut fmt::Formatter<'_>, what: &str, help: Option<&str>) -> fmt::Result {
    match help {
        Some(help) => write!(f, "{what}; {help}"),
        None => f.write_str(what),
    }
}

/// The known name a slip of the finger away: a third of the letters may be wrong.
pub(super) fn nearest<'a>(name: &str, known: impl IntoIterator<Item = &'a str>) -> Option<&'a str> {
    let letters = name.chars().count();
    known
        .into_iter()
        .map(|candidate| (strsim::osa_distance(name, candidate), candidate))
        .filter(|(wrong, _)| wrong * 3 <= letters.max(3))
        .min_by_key(|(wrong, _)| *wrong)
        .map(|(_, candidate)| candidate)
}
