//! What finished batches teach for the next one: each lesson with its evidence
//! and its doubt, and where a file should say otherwise, the change.
//! Knows nothing of the disk: changes are proposed, never made here.
//!
//! A change is proposed from three readings on and only beyond the doubt.
//! Middles are medians, because gross misses are common.

mod change;
mod gauges;
mod losses;
mod removal;
mod scales;
mod setups;
mod spread;
mod yields;

pub use change::{Edit, Figure, File, FileChange};
pub use gauges::{Twice, twice};
pub use losses::{Spares, spares};
pub use removal::{Fed, allowance_needed, share_taken};
pub use scales::{Offset, ScaleReading, offset};
pub use setups::{Minutes, minutes};
pub use spread::{Scatter, scatter};
pub use yields::{YieldShare, share};

use crate::journal::{JournalLine, State};
use crate::measure::{Length, Unit};
use crate::operation::{NamedSetting, decimal};
use crate::plan::{Plan, PlannedOperation, walk};
use crate::review::{CheckDiagnosis, Findings, findings};
use crate::route::{Route, Step};
use crate::shop::Shop;

/// Fewer teach nothing.
pub const FEWEST: usize = 3;

/// A batch that is looked back on.
#[derive(Clone, Copy, Debug)]
pub struct Journal<'a> {
    pub route: &'a Route,
    pub shop: &'a Shop,
    pub lines: &'a [JournalLine],
    pub state: &'a State,
}

/// The files as they are now, which a lesson may change.
#[derive(Clone, Copy, Debug)]
pub struct Files<'a> {
    pub shop: &'a Shop,
    /// Only batches of this route teach it anything.
    pub route: &'a Route,
}

/// What a lesson is about.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Topic {
    Scale,
    Spread,
    Kerf,
    Take,
    Allowance,
    Loss,
    Yield,
    Gauge,
    Setup,
    Time,
}

impl Topic {
    pub fn words(self) -> &'static str {
        match self {
            Topic::Scale => "Scales",
            Topic::Spread => "How far machines scatter",
            Topic::Kerf => "Kerfs",
            Topic::Take => "What planer and sander take",
            Topic::Allowance => "Allowances",
            Topic::Loss => "Losses and spares",
            Topic::Yield => "What became of the wood",
            Topic::Gauge => "Gauges",
            Topic::Setup => "Setups",
            Topic::Time => "Where the time went",
        }
    }
}

/// What a lesson rests on.
#[derive(Clone, Debug, PartialEq)]
pub struct Evidence {
    /// What its lengths are shown in.
    pub unit: Unit,
    /// Nothing counted, where `more` says it all.
    pub count: usize,
    /// What was counted: `reading`, `piece`.
    pub of: &'static str,
    /// Least, middle and most of what was seen, where it is a length.
    pub range: Option<(Length, Length, Length)>,
    /// What the middle can be off by (k = 2).
    pub doubt: Option<Length>,
    /// What else it rests on, in words: `at 3 settings`.
    pub more: Option<String>,
}

/// One thing learned.
#[derive(Clone, Debug, PartialEq)]
pub struct Lesson {
    pub topic: Topic,
    /// `cabinet saw, rip blade, fence`.
    pub about: String,
    pub says: String,
    pub evidence: Evidence,
    pub change: Option<FileChange>,
}

/// A batch with what is computed of it once.
struct Looked<'a> {
    journal: Journal<'a>,
    plan: Plan,
    findings: Findings,
}

impl<'a> Looked<'a> {
    fn at(journal: Journal<'a>) -> Looked<'a> {
        let Journal { route, shop, state, .. } = journal;
        Looked {
            journal,
            plan: walk(route, shop, &state.known()),
            findings: findings(route, shop, state),
        }
    }

    fn planned(&self, step: &Step) -> Option<&PlannedOperation> {
        self.plan.operation(step.op)
    }

    fn account(&self, op: u32, feature: &str) -> Option<&CheckDiagnosis> {
        let mut all = self.findings.checks.iter();
        all.find(|account| account.series.op == op && account.series.feature == feature)
    }

    /// The setting whose scale shows the size it leaves, but for how fat the
    /// tool cuts by it.
    fn sizing(&self, step: &Step, feature: &str) -> Option<&NamedSetting> {
        let groups = &self.planned(step)?.groups;
        groups.iter().find_map(|group| step.sizing(&group.outcome.settings, feature))
    }
}

/// Everything these batches teach, in the order of [`Topic`].
pub fn learn(journals: &[Journal<'_>], files: Files<'_>) -> Vec<Lesson> {
    let looked: Vec<Looked<'_>> = journals.iter().copied().map(Looked::at).collect();
    let pairs = scales::pairs(&looked);
    let mut lessons = scales::lessons(&pairs, files.shop);
    lessons.extend(spread::lessons(&pairs, files.shop));
    lessons.extend(removal::kerfs(&looked, files.shop));
    lessons.extend(removal::takes(&looked, files.shop));
    lessons.extend(removal::allowances(&looked, files));
    lessons.extend(losses::lessons(&looked, files));
    lessons.extend(yields::lessons(&looked, files.shop));
    lessons.extend(gauges::lessons(&looked, files.shop));
    lessons.extend(setups::lessons(&looked));
    lessons.extend(setups::times(&looked));
    lessons.sort_by_key(|lesson| lesson.topic);
    lessons
}

fn counted(count: usize, what: &str) -> String {
    if count == 1 { format!("1 {what}") } else { format!("{count} {what}s") }
}

/// `0.012 bigger`, `0.004 smaller`.
fn bigger(by: Length, unit: Unit) -> String {
    let way = if by.is_negative() { "smaller" } else { "bigger" };
    format!("{} {way}", decimal(by.abs(), unit))
}
