//! Length stops: which tooth of the blade makes the size, and which one the
//! scale counts to.
//!
//! ```text
//!      stop |<---- piece ---->|blade|              a crosscut, a mitre
//!      stop |<------- tenon ------->|  shoulder    a tenon, a lap at the end
//! ```
//!
//! A crosscut ends at the tooth toward the stop. The shoulder of a tenon is at
//! the tooth away from it, for the blade is in the tenon's waste. A scale counts
//! to one of the two. Where the other one makes the size, a kerf is added or
//! taken off (by geometry).

use super::work::Work;
use crate::measure::Length;
use crate::shop::{LengthStop, StopZero};

/// One of the two sides of a blade, as the stop sees it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Tooth {
    /// On the side of the stop.
    TowardStop,
    /// On the other side.
    AwayFromStop,
}

impl Tooth {
    fn words(self) -> &'static str {
        match self {
            Tooth::TowardStop => "the tooth toward the stop",
            Tooth::AwayFromStop => "the tooth away from the stop",
        }
    }
}

impl Work<'_> {
    /// How much more than the size the `stop` scale shows where that tooth
    /// makes the size: nothing, or a kerf, or less than nothing. `None` where it
    /// takes the kerf and the shop file gives none.
    pub(super) fn beyond_tooth(&self, makes: Tooth, kerf: Option<Length>) -> Option<Length> {
        match (makes, self.stop_counts_to().unwrap_or(makes)) {
            (Tooth::TowardStop, Tooth::AwayFromStop) => kerf,
            (Tooth::AwayFromStop, Tooth::TowardStop) => kerf.map(|kerf| -kerf),
            _ => Some(Length::ZERO),
        }
    }

    /// Where the number of a stop goes, as the reason of the setting says it.
    pub(super) fn tooth_words(&self, makes: Tooth) -> String {
        match self.stop_counts_to() {
            Some(counts) if counts != makes => {
                let kerf = match makes {
                    Tooth::TowardStop => "plus one kerf",
                    Tooth::AwayFromStop => "less one kerf",
                };
                format!("{kerf}, for this scale counts to {}", counts.words())
            }
            _ => format!("to {}", makes.words()),
        }
    }

    /// Which tooth makes the end or the shoulder, as a step says it.
    pub(super) fn tooth_step(&self, makes: Tooth, what: &str) -> String {
        let at = format!("The end to the stop: {what} is at {}", makes.words());
        match self.stop_counts_to() {
            Some(counts) if counts != makes => {
                let way = match makes {
                    Tooth::TowardStop => "added to",
                    Tooth::AwayFromStop => "taken off",
                };
                format!("{at}. The scale counts to the other one, so a kerf is {way} its number.")
            }
            Some(_) => format!("{at}, and the scale counts to it."),
            None => format!("{at}: measure to it."),
        }
    }

    /// The tooth the `stop` scale counts to. `None` without such a scale: there
    /// people measure to the tooth that makes the size.
    ///
    /// The near tooth faces the kept piece. A stop on the kept side is on its
    /// side; a set-off block is on the other.
    fn stop_counts_to(&self) -> Option<Tooth> {
        let machine = self.machine.filter(|machine| machine.readouts.contains_key("stop"))?;
        let is_far = machine.stop_zero == Some(StopZero::Far);
        let is_block = machine.length_stop == Some(LengthStop::SetOffBlock);
        Some(if is_far == is_block { Tooth::TowardStop } else { Tooth::AwayFromStop })
    }
}
