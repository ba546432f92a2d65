//! What kind of entry answers a task, so that whoever takes keys knows
//! whether a letter is text.

use super::due::{Due, Stand};

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

impl Due {
    /// What kind of entry answers this.
    pub fn input_kind(&self, stand: &Stand<'_>) -> InputKind {
        match self {
            Due::Who | Due::Accept(_) => InputKind::Words,
            // Whoever is not signed off on a machine begins with the lead's initials.
            Due::Caution { machine, .. } => {
                if stand.shop.is_passed(stand.who.unwrap_or_default(), machine) {
                    InputKind::EnterOnly
                } else {
                    InputKind::Words
                }
            }
            Due::Rack(rack) if rack.takes_words() => InputKind::Words,
            // A flaw, or a board that turns out bad, is still entered afterwards.
            Due::Finished if stand.at_the_rack() => InputKind::Words,
            Due::Tool { .. }
            | Due::Feed { .. }
            | Due::Close { .. }
            | Due::Shut { .. }
            | Due::Finished => InputKind::EnterOnly,
            Due::Rack(_)
            | Due::Zero { .. }
            | Due::Set(_)
            | Due::Read { .. }
            | Due::Tick { .. }
            | Due::Decide { .. } => InputKind::Figures,
        }
    }
}
