//! How far a terminal is behind the others, for people. Pure.

use chrono::{DateTime, FixedOffset};

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
    /// Batches that wait on the server until a lead takes them in: name and station.
    pub waiting: Vec<(String, String)>,
}

/// How far behind a terminal is, and what people see of it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Behind {
    /// It isn't.
    No,
    /// It is, in words.
    Yes(String),
}

impl ExchangeStanding {
    /// What to say of it at a time; nothing while all is well.
    pub fn behind(&self, now: DateTime<FixedOffset>) -> Behind {
        if self.is_connected && self.why.is_none() {
            return Behind::No;
        }
        let why = self.why.as_deref().unwrap_or("the server hasn't answered yet");
        let unsent = match self.unsent {
            0 => String::new(),
            1 => "1 line to send; ".to_owned(),
            lines => format!("{lines} lines to send; "),
        };
        let since = match self.up_to_date {
            Some(at) if at.date_naive() == now.date_naive() => {
                format!("nothing exchanged since {}", at.format("%H:%M"))
            }
            Some(at) => format!("nothing exchanged since {}", at.format("%Y-%m-%d %H:%M")),
            None => "nothing exchanged yet".to_owned(),
        };
        Behind::Yes(format!("{unsent}{since}: {why}"))
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
            why: Some("the server doesn't answer".to_owned()),
            up_to_date: Some(at("2026-11-25T10:12:40+01:00")),
            unsent: 3,
            waiting: Vec::new(),
        };
        let behind = standing.behind(at("2026-11-25T10:20:00+01:00"));
        let words = "3 lines to send; nothing exchanged since 10:12: the server doesn't answer";
        assert_eq!(behind, Behind::Yes(words.to_owned()));
        standing.unsent = 0;
        let behind = standing.behind(at("2026-11-26T08:00:00+01:00"));
        let words = "nothing exchanged since 2026-11-25 10:12: the server doesn't answer";
        assert_eq!(behind, Behind::Yes(words.to_owned()));
        (standing.is_connected, standing.why) = (true, None);
        assert_eq!(standing.behind(at("2026-11-26T08:00:00+01:00")), Behind::No);
    }
}
