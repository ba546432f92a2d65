//! What finished batches teach for the next one: each lesson with its evidence and
//! uncertainty, and where a shop or route file should say something else, the
//! change. Must not know the disk: changes are proposed here and made elsewhere.
//!
//! [`learn`] reviews each batch once and asks each file beside this one for its
//! lessons. A lesson is a sentence, its evidence, and at most one [`FileChange`].
//! A new lesson is one file, one [`Topic`] and one line in [`learn_routes`]; it must
//! propose nothing from a batch in which nothing was wrong.
//!
//! # Decisions
//!
//! What is learned is proposed, and written only to a file that was named, with a
//! separate option. A shop file is the lead's, a batch keeps its own as it began,
//! and an invented batch says nothing of real machines. Rejected: taking it over
//! when a batch is finished.
//!
//! A change is proposed from three readings on, and only beyond the uncertainty.
//! A spread must be outside its 99.9 % interval. An offset must be outside its
//! expanded uncertainty (k = 2), with every setting agreeing. A shop has many
//! machines and asks after every batch, and following chance doubles the scatter.
//! Rejected: 95 % throughout. Middles are medians, because gross misreadings are
//! common.
//!
//! Wood, batch and person don't pass for the machine: where the readings of one scale
//! differ by one of them more than chance (99.9 %), no offset is proposed, and where
//! people read otherwise the spread is taken within each person's readings. What
//! chance does is what `review` expects of the machine: the spread of the shop file,
//! or the usual one of its kind, which is worth less.
//!
//! A change of a file is a change of its bytes, so that the lead's layout stays
//! and the difference is one line to read. [`FileChange::edit`] finds the bytes in
//! a document; a second change is looked for in the text the first one left.
//! Rejected: writing the whole file anew.
//!
//! Sizes are paired with what the scale showed when the piece was cut, never with
//! the plan, so a setting that was moved after the first piece teaches the same as
//! one that was right at once. A series that crept teaches nothing about its
//! scale. Of one that moved, only the pieces before the move count. What a gauge
//! explains is left to the gauge.
//!
//! Kerfs are learned only from grooves made in one cut, because nobody records what
//! a board was before it was cut up.

mod change;
mod gauges;
mod losses;
mod machines;
mod mixed;
mod proposal_words;
mod removal;
mod scale_reading;
mod scales;
mod setups;
mod spread;
mod three_cuts;
mod yields;

pub use change::{Figure, File, FileChange};
pub use gauges::{Repeatability, twice};
pub use losses::{Spares, spares};
pub use machines::{MachineLessons, learn_machines};
pub use removal::{Fed, allowance_needed, share_taken};
pub use scale_reading::ScaleReading;
pub use scales::{Offset, offset};
pub use setups::{Minutes, minutes};
pub use spread::{Scatter, scatter};
pub use three_cuts::{Agreement, CUTS, FoundOffset, ThreeCuts};
pub use yields::{YieldShare, share};

use crate::journal::{JournalLine, State};
use crate::measure::{Length, Unit};
use crate::operation::{NamedSetting, decimal};
use crate::plan::{Plan, PlannedOperation, walk};
use crate::review::{CheckDiagnosis, Findings, findings};
use crate::route::{Route, Step};
use crate::shop::Shop;

/// The confidence from which a change is proposed, or readings are taken to differ. It
/// is high because a shop has many machines and asks after every batch.
const SURE: f64 = 0.999;

/// Fewer readings teach nothing.
pub const FEWEST: usize = 3;

/// A batch to learn from.
#[derive(Clone, Copy, Debug)]
pub struct Journal<'a> {
    /// Its route, as it began.
    pub route: &'a Route,
    /// Its shop, as it began.
    pub shop: &'a Shop,
    /// Its journal, in merged order.
    pub lines: &'a [JournalLine],
    /// The state its journal folds to.
    pub state: &'a State,
}

/// The files as they are now, which a lesson may change.
#[derive(Clone, Copy, Debug)]
pub struct Files<'a> {
    /// The shop file.
    pub shop: &'a Shop,
    /// The route file. Only batches of this route teach it anything.
    pub route: &'a Route,
}

/// What a lesson is about.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Topic {
    /// Offsets of scales.
    Scale,
    /// The spread of machines.
    Spread,
    /// Kerfs of blades.
    Kerf,
    /// How much planers and sanders remove.
    Take,
    /// Allowances left for a later operation.
    Allowance,
    /// Lost pieces and spares.
    Loss,
    /// The share of wood that becomes parts.
    Yield,
    /// Gauges, and how people read them.
    Gauge,
    /// How setups went.
    Setup,
    /// Where the time went.
    Time,
}

impl Topic {
    /// The heading of its lessons.
    pub fn words(self) -> &'static str {
        match self {
            Topic::Scale => "Scales",
            Topic::Spread => "Spread of machines",
            Topic::Kerf => "Kerfs",
            Topic::Take => "Removal by planer and sander",
            Topic::Allowance => "Allowances",
            Topic::Loss => "Losses and spares",
            Topic::Yield => "Yield of the wood",
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
    /// How many were counted; zero where `more` says it all.
    pub count: usize,
    /// What was counted: `reading`, `piece`.
    pub of: &'static str,
    /// From how many batches; zero where nobody counts them.
    pub batches: usize,
    /// The least, the median and the most, where they are lengths.
    pub range: Option<(Length, Length, Length)>,
    /// Expanded uncertainty (k = 2) of the median.
    pub uncertainty: Option<Length>,
    /// What else it rests on, in words: `at 3 settings`.
    pub more: Option<String>,
}

/// Whose a lesson is.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum LessonSubject {
    /// The machine of that name.
    Machine(String),
    /// The route of that name.
    Route(String),
    /// The shop as a whole, its gauges and its people.
    Shop,
}

/// One thing learned.
#[derive(Clone, Debug, PartialEq)]
pub struct Lesson {
    /// What it is about.
    pub topic: Topic,
    /// Which one: `cabinet saw, rip blade, fence`.
    pub about: String,
    /// Whose it is.
    pub subject: LessonSubject,
    /// The lesson, in sentences.
    pub says: String,
    /// What it rests on.
    pub evidence: Evidence,
    /// The change it proposes.
    pub change: Option<FileChange>,
}

/// A batch with its plan and its findings.
struct ReviewedBatch<'a> {
    journal: Journal<'a>,
    plan: Plan,
    findings: Findings,
}

impl<'a> ReviewedBatch<'a> {
    fn at(journal: Journal<'a>) -> ReviewedBatch<'a> {
        let Journal { route, shop, state, .. } = journal;
        ReviewedBatch {
            journal,
            plan: walk(route, shop, &state.known()),
            findings: findings(route, shop, state),
        }
    }

    fn planned(&self, step: &Step) -> Option<&PlannedOperation> {
        self.plan.operation(step.op)
    }

    fn diagnosis(&self, op: u32, feature: &str) -> Option<&CheckDiagnosis> {
        let mut all = self.findings.checks.iter();
        all.find(|account| account.series.op == op && account.series.feature == feature)
    }

    /// The setting whose scale shows the size of a feature, its offset apart.
    fn sizing(&self, step: &Step, feature: &str) -> Option<&NamedSetting> {
        let groups = &self.planned(step)?.groups;
        groups.iter().find_map(|group| step.sizing(&group.outcome.settings, feature))
    }
}

/// What these batches teach of the machines of a shop.
fn of_machines(batches: &[ReviewedBatch<'_>], shop: &Shop) -> Vec<Lesson> {
    let pairs = scales::pairs(batches);
    let mut lessons = scales::lessons(&pairs, shop);
    lessons.extend(spread::lessons(&pairs, shop));
    lessons.extend(removal::kerfs(batches, shop));
    lessons.extend(removal::takes(batches, shop));
    lessons
}

/// Everything these batches teach, in the order of [`Topic`].
pub fn learn(journals: &[Journal<'_>], files: Files<'_>) -> Vec<Lesson> {
    learn_routes(journals, files.shop, &[files.route])
}

/// The same, for several routes.
pub fn learn_routes(journals: &[Journal<'_>], shop: &Shop, routes: &[&Route]) -> Vec<Lesson> {
    let batches: Vec<ReviewedBatch<'_>> = journals.iter().copied().map(ReviewedBatch::at).collect();
    let mut lessons = of_machines(&batches, shop);
    for route in routes {
        let files = Files { shop, route };
        lessons.extend(removal::allowances(&batches, files));
        lessons.extend(losses::lessons(&batches, files));
    }
    lessons.extend(yields::lessons(&batches, shop));
    lessons.extend(gauges::lessons(&batches, shop));
    lessons.extend(setups::lessons(&batches));
    lessons.extend(setups::times(&batches));
    lessons.sort_by_key(|lesson| lesson.topic);
    lessons
}

fn counted(count: usize, what: &str) -> String {
    if count == 1 { format!("1 {what}") } else { format!("{count} {what}s") }
}

/// `0.012 more`, `0.004 less`.
fn more_or_less(by: Length, unit: Unit) -> String {
    let way = if by.is_negative() { "less" } else { "more" };
    format!("{} {way}", decimal(by.abs(), unit))
}
