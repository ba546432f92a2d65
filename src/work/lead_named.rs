//! Whose word an answer records, and how soon a wrong PIN may be tried again. Here
//! nobody knows a PIN: whoever writes asks for it.

use std::collections::BTreeMap;

use chrono::{DateTime, FixedOffset, TimeDelta};

use crate::journal::{Decision, Event, SignOff};

/// The initials of the lead on whose word an answer would be recorded; none where it
/// needs no lead.
pub fn lead_named(events: &[Event]) -> Option<&str> {
    events.iter().find_map(|event| match event {
        Event::BegunWithErrors { by, .. }
        | Event::RouteAdopted { by, .. }
        | Event::OwnerLeft { by, .. }
        | Event::ShopAdopted { by, .. }
        | Event::SignedOff(SignOff { by, .. })
        | Event::StandsIn { by, .. }
        | Event::Sealed { by, .. }
        | Event::CautionRead { beside: Some(by), .. }
        | Event::Accepted { by: Some(by), .. }
        | Event::GateOpened { by, .. }
        | Event::FlawRuled { by, .. }
        | Event::BoardAside { by, .. }
        | Event::LayoutAccepted { by, .. } => Some(by.as_str()),
        // At the machine nobody's initials stand before what is cut again.
        Event::Decided { decision: Decision::Rework, .. } => None,
        Event::Decided { why, .. } => {
            let (by, _) = why.split_once(": ")?;
            by.chars().all(char::is_alphabetic).then_some(by)
        }
        _ => None,
    })
}

/// The longest wait after a wrong PIN, in seconds.
const LONGEST_WAIT: i64 = 60;

/// Wrong PINs since the program began: 1 s after the first, 2 s after the second, 4 s after
/// the third, a minute at most. They are forgotten when the program ends.
#[derive(Clone, Debug, Default)]
pub struct PinTries(BTreeMap<String, WrongTries>);

#[derive(Clone, Copy, Debug)]
struct WrongTries {
    count: u32,
    next: DateTime<FixedOffset>,
}

impl PinTries {
    /// How many seconds a lead's PIN can't be tried yet; none where it can.
    pub fn wait(&self, lead: &str, now: DateTime<FixedOffset>) -> Option<i64> {
        let left = self.0.get(&lead.to_uppercase())?.next - now;
        // Begun seconds count, and a clock that was set back keeps nobody out for longer.
        let seconds = (left.num_milliseconds() + 999).div_euclid(1000);
        (seconds > 0).then_some(seconds.min(LONGEST_WAIT))
    }

    /// Takes a wrong PIN in; answers how many seconds to wait.
    pub fn wrong(&mut self, lead: &str, now: DateTime<FixedOffset>) -> i64 {
        let before = self.0.get(&lead.to_uppercase()).map_or(0, |tries| tries.count);
        let seconds = 1_i64.checked_shl(before).unwrap_or(LONGEST_WAIT).clamp(1, LONGEST_WAIT);
        let next = now + TimeDelta::seconds(seconds);
        let tries = WrongTries { count: (before + 1).min(32), next };
        self.0.insert(lead.to_uppercase(), tries);
        seconds
    }

    /// Forgets the wrong ones.
    pub fn right(&mut self, lead: &str) {
        self.0.remove(&lead.to_uppercase());
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::journal::PieceId;

    #[test]
    fn what_needs_a_lead_names_one() {
        let decided = |decision, why: &str| {
            let piece = PieceId("cart-1".into());
            vec![Event::Decided { op: 50, piece, decision, why: why.to_owned() }]
        };
        assert_eq!(lead_named(&decided(Decision::Accept, "MB: looks fine")), Some("MB"));
        assert_eq!(lead_named(&decided(Decision::Remake, "MB: a: b")), Some("MB"));
        assert_eq!(lead_named(&decided(Decision::SetAside, "MB: split")), Some("MB"));
        assert_eq!(lead_named(&decided(Decision::SetAside, "too thin")), None);
        assert_eq!(lead_named(&decided(Decision::SetAside, "at 3 in: a knot")), None);
        assert_eq!(lead_named(&decided(Decision::Rework, "MB: too thick")), None);
        let (by, why) = ("MB".to_owned(), "dry".to_owned());
        let closed = Event::Closed { op: 50, done: 1, aside: 0, by_answer: false };
        let opened = Event::GateOpened { op: 60, by, why };
        assert_eq!(lead_named(&[closed.clone(), opened]), Some("MB"));
        let beside =
            |beside| Event::CautionRead { machine: "planer".to_owned(), tool: None, beside };
        assert_eq!(lead_named(&[beside(Some("MB".to_owned()))]), Some("MB"));
        assert_eq!(lead_named(&[closed, beside(None)]), None);
    }

    /// 1, 2, 4, 8, 16, 32, then 60 instead of 64.
    #[test]
    fn wrong_pins_slow_down() {
        let mut tries = PinTries::default();
        let mut now: DateTime<FixedOffset> = "2026-11-25T10:41:00+01:00".parse().expect("a time");
        assert_eq!(tries.wait("MB", now), None);
        for seconds in [1, 2, 4, 8, 16, 32, 60, 60, 60] {
            assert_eq!(tries.wrong("mb", now), seconds);
            assert_eq!(tries.wait("MB", now), Some(seconds));
            let almost = now + TimeDelta::seconds(seconds) - TimeDelta::milliseconds(1);
            assert_eq!(tries.wait("MB", almost), Some(1));
            assert_eq!(tries.wait("ST", now), None);
            now += TimeDelta::seconds(seconds);
            assert_eq!(tries.wait("MB", now), None);
        }
        for _ in 0..100 {
            assert_eq!(tries.wrong("MB", now), 60);
        }
        assert_eq!(tries.wait("MB", now - TimeDelta::days(1)), Some(60));
        tries.right("MB");
        assert_eq!(tries.wrong("MB", now), 1);
    }
}
