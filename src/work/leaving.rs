//! Leaving a station, so that whoever looks at the shop knows who is still there.

use super::context::WorkContext;
use crate::journal::Event;

/// That the people here leave; none where nobody said that they are here, or they left
/// before.
pub fn station_leaves(context: &WorkContext<'_>) -> Option<Event> {
    let is_anybody = context.state.people.get(context.station).is_some_and(|who| !who.is_empty());
    let has_left = context.state.times.left(context.station).is_some();
    (is_anybody && !has_left).then_some(Event::StationLeft {})
}
