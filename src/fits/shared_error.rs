//! Which dimensions of a clearance share an error: those read with one gauge, and
//! those that one scale of a machine sets and nobody measures.
//!
//! A gauge that reads high reads high wherever it is used, and a scale that is off
//! is off at every size it sets. So the errors of two such dimensions add where
//! the clearance takes their sum, and cancel where it takes their difference.

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

/// For each error the place of the first one from the same source: its own place where
/// it is the first, or has no source.
pub(super) fn first_of_each(sources: &[Option<ErrorSource>]) -> Vec<usize> {
    let first = |place: usize| match &sources[place] {
        None => place,
        some => sources.iter().position(|other| other == some).unwrap_or(place),
    };
    (0..sources.len()).map(first).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Calipers at 0 and 2 share; a plug, nothing and nothing again do not.
    #[test]
    fn errors_of_one_source_are_one() {
        let gauge = |name: &str| Some(ErrorSource::Gauge(name.to_owned()));
        let sources = [gauge("calipers"), gauge("plug"), gauge("calipers"), None, None];
        assert_eq!(first_of_each(&sources), [0, 1, 0, 3, 4]);
    }
}
