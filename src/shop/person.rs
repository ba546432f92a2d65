//! People: who leads, on which machines somebody is signed off, and until when.

use std::collections::BTreeMap;

use chrono::NaiveDate;
use schemars::{JsonSchema, Schema, SchemaGenerator, json_schema};
use serde::{Deserialize, Deserializer, de};

/// A day as a shop file writes it: `2026-12-18`.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Day(pub NaiveDate);

impl<'de> Deserialize<'de> for Day {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Day, D::Error> {
        let text = String::deserialize(deserializer)?;
        let day = text.parse().map(Day);
        day.map_err(|_| de::Error::custom("a day such as 2026-12-18 is expected"))
    }
}

impl JsonSchema for Day {
    fn schema_name() -> std::borrow::Cow<'static, str> {
        "Day".into()
    }

    fn json_schema(_: &mut SchemaGenerator) -> Schema {
        json_schema!({
            "type": "string",
            "description": "A day: `2026-12-18`.",
            "examples": ["2026-12-18"]
        })
    }
}

/// Somebody who works in the shop.
#[derive(Clone, Debug, Default, PartialEq, Eq, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Person {
    /// Machines this person may work at without a lead beside them.
    #[serde(default, alias = "passed_on")]
    pub signed_off_on: Vec<String>,
    /// The last day on which that holds, by machine; for good where none is given.
    #[serde(default)]
    pub signed_off_until: BTreeMap<String, Day>,
    /// Whether this person may accept pieces and open operations.
    #[serde(default)]
    pub lead: bool,
    /// The days on which this person may do so in place of the lead.
    #[serde(default)]
    pub lead_on: Vec<Day>,
}

/// What a person may do at a machine by themselves.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum SignOffStanding {
    /// They lead.
    Leads,
    /// They are signed off, until the last day where there is one.
    SignedOff(Option<NaiveDate>),
    /// They were signed off until this day, which is over.
    Expired(NaiveDate),
    /// Nobody signed them off.
    Not,
}

impl Person {
    /// Whether this person leads on a day.
    pub(super) fn leads_on(&self, on: NaiveDate) -> bool {
        self.lead || self.lead_on.contains(&Day(on))
    }

    /// What they may do at a machine on a day.
    pub fn standing(&self, machine: &str, on: NaiveDate) -> SignOffStanding {
        let is_signed_off = self.signed_off_on.iter().any(|held| held == machine);
        let until = self.signed_off_until.get(machine).map(|day| day.0);
        match (self.leads_on(on), is_signed_off, until) {
            (true, ..) => SignOffStanding::Leads,
            (false, false, _) => SignOffStanding::Not,
            (false, true, Some(until)) if until < on => SignOffStanding::Expired(until),
            (false, true, until) => SignOffStanding::SignedOff(until),
        }
    }
}
