//! What a person may do at a machine by themselves: by the shop file, or because a lead said
//! so since.

use super::context::WorkContext;
use crate::shop::SignOffStanding;

impl WorkContext<'_> {
    /// What a person may do at a machine today.
    pub fn sign_off_standing(&self, who: &str, machine: &str) -> SignOffStanding {
        self.shop.standing(who, machine, self.now.date_naive())
    }

    /// Whether a person may work at a machine today without a lead beside them.
    pub fn is_signed_off(&self, who: &str, machine: &str) -> bool {
        matches!(
            self.sign_off_standing(who, machine),
            SignOffStanding::Leads | SignOffStanding::SignedOff(_)
        )
    }
}
