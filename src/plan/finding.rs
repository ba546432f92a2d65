//! What a plan has to report, and what each finding is about.

use crate::operation::MayOverride;
use crate::prose::{Level, Message, Span};

/// What a finding of a plan is about.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct PlanSubject {
    /// The operation, where it is about one.
    pub op: Option<u32>,
    /// The part, where it is about a part as a whole.
    pub part: Option<String>,
    /// The key of the operation, or of its check.
    pub key: Option<&'static str>,
    /// The bytes inside the text of that key.
    pub at: Option<Span>,
    /// Which check of the operation, counted from zero.
    pub check: Option<usize>,
    /// Who may go on in spite of it.
    pub may_override: MayOverride,
    /// Whether it is about the shop file, whatever the operation.
    pub of_the_shop: bool,
}

/// Something in a plan to look at.
pub type PlanFinding = Message<PlanSubject>;

/// A finding about an operation as a whole.
pub(super) fn plan_finding(op: u32, level: Level, what: String) -> PlanFinding {
    let place = PlanSubject { op: Some(op), ..PlanSubject::default() };
    PlanFinding { level, what, help: None, place }
}

/// Groups often say the same; once is enough.
pub(super) fn push_once<T: PartialEq>(held: &mut Vec<T>, new: T) {
    if !held.contains(&new) {
        held.push(new);
    }
}
