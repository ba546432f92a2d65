//! What can be wrong with the files of a batch. Nothing of it stops anybody from reading
//! the rest.

use std::ops::RangeInclusive;

use chrono::{DateTime, FixedOffset};

/// Something wrong in a station's file. Lines count from 1.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Damage {
    /// The last line has no end.
    TornTail {
        /// The line in the file, from 1.
        line: usize,
        /// How many bytes it has.
        bytes: u64,
    },
    /// The line is not what was written.
    BadLine {
        /// The line in the file, from 1.
        line: usize,
        /// What is wrong, in words.
        why: String,
    },
    /// Numbers are missing before this line.
    Gap {
        /// The line in the file, from 1.
        line: usize,
        /// The number that should come next.
        expected: u64,
        /// The number it has.
        found: u64,
    },
    /// The line follows one with a higher number.
    OutOfOrder {
        /// The line in the file, from 1.
        line: usize,
        /// The highest number before it.
        highest: u64,
        /// The number it has.
        found: u64,
    },
    /// An earlier line has the same number.
    Repeated {
        /// The line in the file, from 1.
        line: usize,
        /// The number.
        n: u64,
    },
    /// The line was written by another station.
    ForeignStation {
        /// The line in the file, from 1.
        line: usize,
        /// The station whose file it is.
        expected: String,
        /// The station that wrote the line.
        found: String,
    },
    /// The line is sound and its event makes no sense to this program.
    UnknownEvent {
        /// The line in the file, from 1.
        line: usize,
        /// What is wrong, in words.
        why: String,
    },
    /// Other lines of its answer are missing.
    PartOfAnswer {
        /// The line in the file, from 1.
        line: usize,
        /// How many lines the answer has.
        count: u64,
    },
    /// A later version of the program wrote the line.
    NewerVersion {
        /// The line in the file, from 1.
        line: usize,
        /// Its version.
        version: u64,
    },
    /// The ends of its lines were changed, as some programs do on saving; they are used.
    ChangedEnds {
        /// How many lines.
        lines: usize,
    },
    /// The file can't be read.
    Unreadable {
        /// What the system said, in words.
        why: String,
    },
    /// The file is a copy of another station's.
    Copied {
        /// The station whose lines it holds.
        of: String,
        /// How many of its lines that station's file lacks or has otherwise.
        differing: usize,
    },
    /// Lines that other stations had seen aren't here.
    Missing {
        /// Their numbers.
        numbers: RangeInclusive<u64>,
    },
    /// Lines are missing that some station wrote before it wrote of others.
    MissingSomewhere {
        /// How many at least.
        lines: u64,
    },
    /// Lines of another batch.
    OtherBatch {
        /// How many.
        lines: usize,
        /// When that batch began.
        begun: DateTime<FixedOffset>,
    },
    /// The first line of the batch can't be read; what it held follows from the route and
    /// the shop file of the batch.
    BeginningWorkedOut,
}

/// Something wrong in one station's file.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct FileDamage {
    /// The station whose file it is; empty where no station can be named.
    pub station: String,
    /// What is wrong there.
    pub damage: Damage,
}

impl Damage {
    /// The line in the file that it concerns, from 1, where it concerns one.
    pub(super) fn line(&self) -> Option<usize> {
        match self {
            Damage::TornTail { line, .. }
            | Damage::BadLine { line, .. }
            | Damage::Gap { line, .. }
            | Damage::OutOfOrder { line, .. }
            | Damage::Repeated { line, .. }
            | Damage::ForeignStation { line, .. }
            | Damage::UnknownEvent { line, .. }
            | Damage::PartOfAnswer { line, .. }
            | Damage::NewerVersion { line, .. } => Some(*line),
            _ => None,
        }
    }

    /// The highest number that is missing at the end of the file, where some are.
    pub(super) fn last_missing(&self) -> Option<u64> {
        match self {
            Damage::Missing { numbers } => Some(*numbers.end()),
            _ => None,
        }
    }

    /// Whether a newer version of the program has written here.
    pub fn is_newer(&self) -> bool {
        matches!(self, Damage::NewerVersion { .. })
    }
}
