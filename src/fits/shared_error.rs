//! Which dimensions of a clearance share an error: those read with one gauge, and
//! those that one scale of a machine sets and nobody measures.
//!
//! A gauge that reads high reads high wherever it is used, and a scale that is off
//! is off at every size it sets. So the errors of two such dimensions add where
//! the clearance takes their sum, and cancel where it takes their difference.

use super::chain::Link;
use super::origin::Sizing;

/// What an error belongs to.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum ErrorSource {
    /// A gauge, by its name.
    Gauge(String),
    /// A scale of a machine, with the tool that cuts.
    Scale {
        /// The machine, as the shop file calls it.
        machine: String,
        /// The tool, where the machine has several.
        tool: Option<String>,
        /// What the scale sets: `fence`, `stop`.
        scale: String,
    },
}

impl ErrorSource {
    /// `calipers`, `fence of the cabinet saw`.
    pub fn words(&self) -> String {
        match self {
            ErrorSource::Gauge(name) => name.clone(),
            ErrorSource::Scale { machine, scale, .. } => format!("{scale} of the {machine}"),
        }
    }
}

impl Link<'_> {
    /// What its error belongs to; none where it has none.
    pub(super) fn error_source(&self) -> Option<ErrorSource> {
        let source = self.source.as_ref()?;
        match source.size {
            Sizing::Scale { step, .. } if self.made.is_none() && step > 0.0 => {
                Some(ErrorSource::Scale {
                    machine: source.step.at.clone()?,
                    tool: source.step.tool.clone(),
                    scale: source.scale?.to_owned(),
                })
            }
            _ if self.uncertainty() > 0.0 => source.gauge.map(|gauge| {
                let name = source.check.map_or(&gauge.name, |check| &check.with);
                ErrorSource::Gauge(name.clone())
            }),
            _ => None,
        }
    }
}

/// For each link the place of the first one that shares its error: its own place
/// where it is the first, or shares with none.
pub(super) fn first_of_each(links: &[Link<'_>]) -> Vec<usize> {
    let sources: Vec<Option<ErrorSource>> = links.iter().map(Link::error_source).collect();
    let first = |place: usize| match &sources[place] {
        None => place,
        some => sources.iter().position(|other| other == some).unwrap_or(place),
    };
    (0..links.len()).map(first).collect()
}
