//! What a person may do today: by the shop file, or because a lead said so while the batch
//! was under way.

use super::context::WorkContext;
use crate::shop::SignOffStanding;

impl WorkContext<'_> {
    /// What a person may do at a machine today. The last word counts.
    pub fn sign_off_standing(&self, who: &str, machine: &str) -> SignOffStanding {
        let today = self.now.date_naive();
        let by_file = self.shop.standing(who, machine, today);
        if by_file == SignOffStanding::Leads || self.stands_in(who) {
            return SignOffStanding::Leads;
        }
        if self.shop.people.is_empty() {
            return by_file;
        }
        let said = self.state.adopted.sign_offs.get(&(who.to_uppercase(), machine.to_owned()));
        match said.map(|said| said.until) {
            Some(Some(until)) if until < today => SignOffStanding::Expired(until),
            Some(until) => SignOffStanding::SignedOff(until),
            None => by_file,
        }
    }

    /// Whether a person may work at a machine today without a lead beside them.
    pub fn is_signed_off(&self, who: &str, machine: &str) -> bool {
        matches!(
            self.sign_off_standing(who, machine),
            SignOffStanding::Leads | SignOffStanding::SignedOff(_)
        )
    }

    /// Whether these initials may decide as a lead today.
    pub fn may_lead(&self, who: &str) -> bool {
        self.shop.may_lead(who, self.now.date_naive()) || self.stands_in(who)
    }

    fn stands_in(&self, who: &str) -> bool {
        let today = (who.to_uppercase(), self.now.date_naive());
        self.state.adopted.stand_ins.contains(&today)
    }
}
