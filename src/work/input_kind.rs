//! What kind of entry answers a task, so that whoever takes keys knows
//! whether a letter is text.

use super::context::WorkContext;
use super::task::{NextNumber, Task};

/// What kind of entry answers a task.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum InputKind {
    /// Words: initials, names, flaws. Letters are text.
    Words,
    /// Nothing but Enter: no letter means anything.
    EnterOnly,
    /// A number, or one letter of those that are offered.
    Figures,
}

impl Task {
    /// What kind of entry answers this.
    pub fn input_kind(&self, context: &WorkContext<'_>) -> InputKind {
        match self {
            Task::Who | Task::Accept(_) => InputKind::Words,
            // Whoever is not signed off on a machine begins with the lead's initials.
            Task::Caution { machine, .. } => {
                if context.is_signed_off(context.who.unwrap_or_default(), machine) {
                    InputKind::EnterOnly
                } else {
                    InputKind::Words
                }
            }
            Task::Boards(boards) if boards.takes_words() => InputKind::Words,
            // i, b and s say what a gauge without a number shows.
            Task::Read { check, .. } if is_without_number(context, *check) => InputKind::Words,
            Task::Cut { then: Some(NextNumber::Read { check, .. }), .. }
            | Task::Feed { then: Some(NextNumber::Read { check, .. }), .. }
                if is_without_number(context, *check) =>
            {
                InputKind::Words
            }
            // A flaw, or a board that turns out bad, is still entered afterwards.
            Task::Finished if context.at_boards() => InputKind::Words,
            Task::Tool(_) | Task::Close { .. } | Task::Blocked { .. } | Task::Finished => {
                InputKind::EnterOnly
            }
            Task::Boards(_)
            | Task::Zero { .. }
            | Task::Set(_)
            | Task::Read { .. }
            | Task::Cut { .. }
            | Task::Feed { .. }
            | Task::Decide { .. } => InputKind::Figures,
        }
    }
}

/// Whether a check is made with a gauge that only says within or not.
fn is_without_number(context: &WorkContext<'_>, check: usize) -> bool {
    let check = context.planned().and_then(|planned| planned.checks.get(check));
    check.and_then(|check| context.gauge(check)).is_some_and(|gauge| gauge.entry().is_none())
}
