//! What a lead adopted for a batch since it began, and who was signed off meanwhile.

use std::collections::BTreeMap;
use std::sync::Arc;

use chrono::NaiveDate;

use super::shop_event::SignOff;

/// What holds in place of what the batch began with.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Adopted {
    /// The text of the shop the lead adopted last.
    pub shop: Option<Arc<str>>,
    /// The last word on each person at each machine since then.
    pub sign_offs: BTreeMap<(String, String), SignOff>,
    /// Who stands in for the lead, and on which day.
    pub stand_ins: Vec<(String, NaiveDate)>,
}
