//! Who is at an operation from another station: whoever is about to begin it should know.
//! It keeps nobody from beginning.

use chrono::{DateTime, FixedOffset, TimeDelta};

use super::context::WorkContext;
use super::gate::at_words;

/// Whoever entered nothing for so long counts as gone (trade judgement, no source).
const RECENT: TimeDelta = TimeDelta::minutes(30);

/// People at an operation from another station.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct OthersThere {
    /// Their initials.
    pub who: Vec<String>,
    /// Their station.
    pub station: String,
    /// Since when they work at it.
    pub since: DateTime<FixedOffset>,
}

/// Who is at an operation from other stations now, by station.
pub fn others_there(context: &WorkContext<'_>, op: u32) -> Vec<OthersThere> {
    let (state, times) = (context.state, &context.state.times);
    if state.is_closed(op) {
        return Vec::new();
    }
    let at_it = state.working_at.iter().filter(|(station, at)| {
        let wrote = times.wrote.get(*station);
        let is_recent = wrote.is_some_and(|wrote| context.now - *wrote <= RECENT);
        **at == op && *station != context.station && is_recent && times.left(station).is_none()
    });
    let there = at_it.filter_map(|(station, _)| {
        let who = state.people.get(station).filter(|who| !who.is_empty())?;
        let since = times.at_operation_since(station)?;
        Some(OthersThere { who: who.clone(), station: station.clone(), since })
    });
    there.collect()
}

/// The same of the operation in hand, until something is entered there from here.
pub fn others_before(context: &WorkContext<'_>) -> Vec<OthersThere> {
    if context.state.working_at.get(context.station) == Some(&context.op) {
        return Vec::new();
    }
    others_there(context, context.op)
}

impl OthersThere {
    /// `AK has been at this operation at the planer station since 10:12.`
    pub fn sentence(&self, now: DateTime<FixedOffset>) -> String {
        let has = if self.who.len() > 1 { "have" } else { "has" };
        format!(
            "{} {has} been at this operation at the {} station since {}.",
            self.who.join(" and "),
            self.station,
            at_words(self.since, now)
        )
    }
}
