//! The clock of the shop, read in this one place: everything else is told the
//! time.

use chrono::{DateTime, FixedOffset, Local};

/// The time now, with the zone of the shop.
pub(super) fn now() -> DateTime<FixedOffset> {
    Local::now().fixed_offset()
}
