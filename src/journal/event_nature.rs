//! What is asked of an event whatever it holds: the version of its line, its operation,
//! and whether it can be voided.

use super::event::Event;
use super::identity::BOARDS;
use super::line::LineVersion;

impl LineVersion for Event {
    fn version(&self) -> u64 {
        match self {
            Event::Chosen { .. } | Event::Joined { .. } | Event::OwnerLeft { .. } => 2,
            _ => 1,
        }
    }
}

impl Event {
    /// The operation it belongs to.
    pub fn op(&self) -> Option<u32> {
        match self {
            Event::Tool { op, .. }
            | Event::Setting { op, .. }
            | Event::Moved { op, .. }
            | Event::FirstPiece { op, .. }
            | Event::Done { op, .. }
            | Event::Split { op, .. }
            | Event::Decided { op, .. }
            | Event::GateOpened { op, .. }
            | Event::Closed { op, .. }
            | Event::Left { op, .. } => Some(*op),
            Event::Reading(taken) => Some(taken.op),
            Event::BoardListed { .. }
            | Event::BoardSaid { .. }
            | Event::FlawFound { .. }
            | Event::FlawRuled { .. }
            | Event::BoardAside { .. }
            | Event::LaidOut { .. }
            | Event::LayoutAccepted { .. }
            | Event::MarkDrawn { .. } => Some(BOARDS),
            _ => None,
        }
    }

    /// Whether one key voids it. What the lead accepted and what people wrote
    /// cannot be voided.
    pub fn can_be_voided(&self) -> bool {
        match self {
            Event::Reading(_)
            | Event::Setting { .. }
            | Event::Decided { .. }
            | Event::BoardSaid { .. }
            | Event::FlawFound { .. }
            | Event::FlawRuled { .. }
            | Event::BoardAside { .. }
            | Event::LaidOut { .. }
            | Event::MarkDrawn { .. } => true,
            Event::Done { by_reading, .. } => !by_reading,
            Event::Closed { by_answer, .. } => !by_answer,
            _ => false,
        }
    }

    /// Whether it only follows from an answer: voiding the event its station wrote
    /// before it voids this too.
    pub(super) fn follows(&self) -> bool {
        matches!(
            self,
            Event::FirstPiece { .. }
                | Event::Moved { .. }
                | Event::Done { by_reading: true, .. }
                | Event::Closed { by_answer: true, .. }
                | Event::Timer { .. }
        )
    }
}
