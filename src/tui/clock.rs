//! The clock of the shop, read in this one place: everything else is told the
//! time.

use chrono::{DateTime, FixedOffset, Local, TimeDelta, Timelike};

/// The time now, with the zone of the shop.
pub(super) fn now() -> DateTime<FixedOffset> {
    Local::now().fixed_offset()
}

/// The next full minute.
pub(super) fn next_minute(now: DateTime<FixedOffset>) -> DateTime<FixedOffset> {
    // A leap second counts as more than a thousand milliseconds.
    let past = i64::from(now.second()) * 1000 + i64::from(now.timestamp_subsec_millis());
    now + TimeDelta::milliseconds((60_000 - past).max(1))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_next_minute_is_full() {
        let next = |at: &str| next_minute(at.parse().expect("a time")).to_rfc3339();
        assert_eq!(next("2026-11-25T10:42:30+01:00"), "2026-11-25T10:43:00+01:00");
        assert_eq!(next("2026-11-25T23:59:59.250+01:00"), "2026-11-26T00:00:00+01:00");
        assert_eq!(next("2026-11-25T10:42:00+01:00"), "2026-11-25T10:43:00+01:00");
    }
}
