//! When the bell rings, as the shop file says it: times of day.

use chrono::NaiveTime;
use schemars::{JsonSchema, Schema, SchemaGenerator, json_schema};
use serde::{Deserialize, Deserializer, de};

use crate::document::{Node, Problem};

/// A time of day as a file writes it: `11:40`.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct BellTime(NaiveTime);

impl<'de> Deserialize<'de> for BellTime {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<BellTime, D::Error> {
        let text = String::deserialize(deserializer)?;
        let time = NaiveTime::parse_from_str(&text, "%H:%M");
        time.map(BellTime).map_err(|_| de::Error::custom("a time of day, such as \"11:40\""))
    }
}

impl JsonSchema for BellTime {
    fn schema_name() -> std::borrow::Cow<'static, str> {
        "BellTime".into()
    }

    fn json_schema(_: &mut SchemaGenerator) -> Schema {
        json_schema!({
            "type": "string",
            "description": "A time of day.",
            "pattern": "^([01]?[0-9]|2[0-3]):[0-5][0-9]$",
            "examples": ["11:40", "15:20"]
        })
    }
}

/// The bells of a shop, the earliest first.
pub(super) fn bells(root: Node<'_>, problems: &mut Vec<Problem>) -> Vec<NaiveTime> {
    let Some(node) = root.child("bells") else { return Vec::new() };
    let Some(items) = node.items() else {
        let help = "such as [\"11:40\", \"15:20\"]".to_owned();
        problems.push(node.problem("`bells` is a list of times of day", Some(help)));
        return Vec::new();
    };
    let mut bells = Vec::new();
    for item in items {
        match item.decode::<BellTime>() {
            Ok(BellTime(time)) => bells.push(time),
            Err(problem) => problems.push(problem),
        }
    }
    bells.sort_unstable();
    bells.dedup();
    bells
}
