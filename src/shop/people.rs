//! Who may decide, and who may work where, on a day.

use chrono::NaiveDate;

use super::machine::Shop;
use super::person::SignOffStanding;

impl Shop {
    /// Whether these initials may decide as a lead on a day: anybody's where the shop names
    /// no lead.
    pub fn may_lead(&self, who: &str, on: NaiveDate) -> bool {
        let is = |name: &str| name.to_uppercase() == who.to_uppercase();
        !self.people.values().any(|person| person.lead)
            || self.people.iter().any(|(name, person)| is(name) && person.leads_on(on))
    }

    /// What this person may do at a machine on a day. Everybody is signed off where the shop
    /// keeps no list of people.
    pub fn standing(&self, who: &str, machine: &str, on: NaiveDate) -> SignOffStanding {
        if self.people.is_empty() {
            return SignOffStanding::SignedOff(None);
        }
        let person = self.people.iter().find(|(name, _)| name.eq_ignore_ascii_case(who));
        person.map_or(SignOffStanding::Not, |(_, person)| person.standing(machine, on))
    }

    /// Whether this person may work at a machine on a day without a lead beside them.
    pub fn is_signed_off(&self, who: &str, machine: &str, on: NaiveDate) -> bool {
        matches!(
            self.standing(who, machine, on),
            SignOffStanding::Leads | SignOffStanding::SignedOff(_)
        )
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::document::Document;
    use crate::shop::Person;
    use crate::shop::read;

    fn day(text: &str) -> NaiveDate {
        text.parse().expect("a day")
    }

    fn shop(people: &str) -> Shop {
        let text = format!(
            r#"{{ "shop": "A shed", "unit": "in", "machines": {{ "planer": {{ "kind": "planer" }} }},
                 "people": {people} }}"#
        );
        let document = Document::read("shop.json", text).expect("JSON");
        read(&document).unwrap_or_else(|problems| panic!("{problems:?}"))
    }

    /// The last day still counts, and the day after doesn't.
    #[test]
    fn a_sign_off_ends_with_its_last_day() {
        let shop = shop(
            r#"{ "JT": { "signed_off_on": ["planer"], "signed_off_until": { "planer": "2026-12-18" } },
                 "RK": { "signed_off_on": ["planer"] }, "AB": {} }"#,
        );
        let last = day("2026-12-18");
        let standing = |who: &str, on: &str| shop.standing(who, "planer", day(on));
        assert_eq!(standing("jt", "2026-12-18"), SignOffStanding::SignedOff(Some(last)));
        assert_eq!(standing("JT", "2026-12-19"), SignOffStanding::Expired(last));
        assert!(!shop.is_signed_off("JT", "planer", day("2026-12-19")));
        assert_eq!(standing("RK", "2099-01-01"), SignOffStanding::SignedOff(None));
        assert_eq!(standing("AB", "2026-12-18"), SignOffStanding::Not);
        assert_eq!(standing("nobody", "2026-12-18"), SignOffStanding::Not);
    }

    #[test]
    fn a_substitute_leads_on_that_day_alone() {
        let shop = shop(r#"{ "MB": { "lead": true }, "JT": { "lead_on": ["2026-11-30"] } }"#);
        assert!(shop.may_lead("jt", day("2026-11-30")) && shop.may_lead("MB", day("2026-11-30")));
        assert!(!shop.may_lead("JT", day("2026-12-01")));
        assert_eq!(shop.standing("JT", "planer", day("2026-11-30")), SignOffStanding::Leads);
        assert_eq!(shop.standing("JT", "planer", day("2026-12-01")), SignOffStanding::Not);
    }

    #[test]
    fn a_day_is_written_in_one_way() {
        let text = r#"{ "lead_on": ["18.12.2026"] }"#;
        let why = serde_json::from_str::<Person>(text).expect_err("no such day").to_string();
        assert!(why.starts_with("a day such as 2026-12-18 is expected"), "{why}");
    }
}
