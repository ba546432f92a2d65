//! Everything the machine screen shows of a task but the drawing of the cut: worked out
//! once for each thing that is asked, and drawn as often as a key is pressed.

use super::check_readings::{CheckReadings, LastReading};
use super::so_far::SoFar;
use super::view::MachineView;
use crate::work::{Task, WorkContext};

/// What is shown of a task.
#[derive(Clone, Debug)]
pub(in crate::tui) struct Shown {
    /// The words.
    pub(in crate::tui) view: MachineView,
    /// What was made of the last reading, for the answer's row.
    pub(in crate::tui) last_said: String,
    /// What to do after the last reading.
    pub(in crate::tui) after: Vec<String>,
    /// The readings of the check in hand.
    pub(in crate::tui) readings: Option<CheckReadings>,
    /// What is finished of the piece in hand.
    pub(in crate::tui) so_far: Option<SoFar>,
}

impl Shown {
    pub(in crate::tui) fn of(context: &WorkContext<'_>, task: &Task) -> Shown {
        let LastReading { said, after } = LastReading::of(context, task);
        Shown {
            view: MachineView::of(context, task),
            last_said: said,
            after,
            readings: CheckReadings::of(context, task),
            so_far: SoFar::of(context, task),
        }
    }
}
