//! How far a terminal is behind the others, for people. Pure.

use std::collections::BTreeSet;

use chrono::{DateTime, FixedOffset};

use crate::prose::counted;

/// How the exchange stands.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct ExchangeStanding {
    /// Whether the server answers now.
    pub is_connected: bool,
    /// Why it doesn't, in words.
    pub why: Option<String>,
    /// When everything had been exchanged last.
    pub up_to_date: Option<DateTime<FixedOffset>>,
    /// Lines of this station that the server doesn't have yet.
    pub unsent: u64,
    /// Stations of the shop that the server has no connection with, as somebody asked last.
    pub unconnected: BTreeSet<String>,
    /// Batches that wait on the server until a lead takes them in: name and station.
    pub waiting: Vec<(String, String)>,
}

impl ExchangeStanding {
    /// How far behind this terminal is, in words; none where it isn't, or nobody knows yet.
    pub fn behind(&self, now: DateTime<FixedOffset>) -> Option<String> {
        let why = self.why.as_deref()?;
        let last = match self.up_to_date {
            Some(at) if at.date_naive() == now.date_naive() => {
                format!("; last exchanged {}", at.format("%H:%M"))
            }
            Some(at) => format!("; last exchanged {}", at.format("%Y-%m-%d %H:%M")),
            None => String::new(),
        };
        // What happened last is no news while the server answers.
        let last = if self.is_connected { String::new() } else { last };
        let unsent = self.unsent_words().map_or_else(String::new, |words| words + "; ");
        Some(format!("{unsent}{why}{last}"))
    }

    /// How much is still to be sent; none where nothing is.
    pub fn unsent_words(&self) -> Option<String> {
        (self.unsent > 0).then(|| counted(self.unsent as usize, "line") + " to send")
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_not_sent_is_said() {
        let at = |text: &str| text.parse::<DateTime<FixedOffset>>().expect("a time");
        let mut standing = ExchangeStanding {
            is_connected: false,
            why: Some("no answer".to_owned()),
            up_to_date: Some(at("2026-11-25T10:12:40+01:00")),
            unsent: 3,
            unconnected: BTreeSet::new(),
            waiting: Vec::new(),
        };
        let behind = standing.behind(at("2026-11-25T10:20:00+01:00"));
        let words = "3 lines to send; no answer; last exchanged 10:12";
        assert_eq!(behind, Some(words.to_owned()));
        standing.unsent = 0;
        let behind = standing.behind(at("2026-11-26T08:00:00+01:00"));
        let words = "no answer; last exchanged 2026-11-25 10:12";
        assert_eq!(behind, Some(words.to_owned()));
        (standing.is_connected, standing.why) = (true, None);
        assert_eq!(standing.behind(at("2026-11-26T08:00:00+01:00")), None);
    }
}
