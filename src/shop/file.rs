//! The shop file as it is written: the types its JSON Schema is made from.
//! Knows nothing of what the values are used for.

use std::collections::BTreeMap;

use schemars::{JsonSchema, Schema, SchemaGenerator, json_schema};
use serde::{Deserialize, Deserializer, de};

use super::machine::{BladeRule, Machine, MostCut, Person, ReadoutOf, ScaleOffsets, Tool};
use crate::measure::{Length, Shows, Unit, parse_written};

/// A length as a file writes it. Whether it is well formed doesn't depend on
/// the file's unit, so it is checked while decoding and resolved afterwards.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Written {
    inches: Length,
    millimetres: Length,
}

impl Written {
    pub fn parse(text: &str) -> Result<Written, crate::measure::NotALength> {
        Ok(Written {
            inches: parse_written(text, Unit::Inch)?,
            millimetres: parse_written(text, Unit::Millimetre)?,
        })
    }

    pub fn length(&self, unit: Unit) -> Length {
        match unit {
            Unit::Inch => self.inches,
            Unit::Millimetre => self.millimetres,
        }
    }
}

impl<'de> Deserialize<'de> for Written {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Written, D::Error> {
        let text = String::deserialize(deserializer)?;
        Written::parse(&text).map_err(|problem| de::Error::custom(problem.to_string()))
    }
}

impl JsonSchema for Written {
    fn schema_name() -> std::borrow::Cow<'static, str> {
        "Length".into()
    }

    fn json_schema(_: &mut SchemaGenerator) -> Schema {
        json_schema!({
            "type": "string",
            "description": "A length: `1 7/16`, `1.4375`, `36.5 mm`. A bare number takes the file's unit.",
            "examples": ["1 7/16", "0.012", "36.5 mm"]
        })
    }
}

/// A gauge as the file holds it: either marks and an uncertainty, or go/no-go.
#[derive(Clone, Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct GaugeFile {
    pub about: Option<String>,
    #[serde(default)]
    pub go_no_go: bool,
    pub step: Option<Written>,
    pub shows: Option<Shows>,
    pub unit: Option<Unit>,
    /// What one reading by these people on wood can be off by (expanded, k = 2).
    pub uncertainty: Option<Written>,
    /// The longest it can measure.
    pub range: Option<Written>,
    /// The known block it is tried on after zeroing.
    pub check_block: Option<Written>,
}

/// A shop: what its machines, tools and gauges are really like.
#[derive(Clone, Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
#[schemars(rename = "Shop")]
pub struct ShopFile {
    #[serde(rename = "$schema")]
    pub schema: Option<String>,
    /// The shop's name.
    pub shop: String,
    pub about: Option<String>,
    /// What a bare number stands for.
    pub unit: Unit,
    #[serde(default)]
    pub machines: BTreeMap<String, Machine<Written>>,
    #[serde(default)]
    pub gauges: BTreeMap<String, GaugeFile>,
    /// The people by their initials.
    #[serde(default)]
    pub people: BTreeMap<String, Person>,
}

impl Machine<Written> {
    pub(super) fn resolve(self, unit: Unit) -> Machine {
        let length = |written: Written| written.length(unit);
        let optional = |written: Option<Written>| written.map(length);
        Machine {
            kind: self.kind,
            about: self.about,
            readouts: self
                .readouts
                .into_iter()
                .map(|(name, held)| {
                    let own = held.unit.unwrap_or(unit);
                    let step = held.step.length(own);
                    (name, ReadoutOf { step, shows: held.shows, unit: held.unit })
                })
                .collect(),
            tools: self.tools.into_iter().map(|(name, tool)| (name, tool.resolve(unit))).collect(),
            blade_rule: self.blade_rule.map(|rule| match rule {
                BladeRule::Gullets => BladeRule::Gullets,
                BladeRule::Above(above) => BladeRule::Above(length(above)),
            }),
            blade_most: optional(self.blade_most),
            sled_base: optional(self.sled_base),
            length_stop: self.length_stop,
            shortest: optional(self.shortest),
            narrowest: optional(self.narrowest),
            widest: optional(self.widest),
            thinnest: optional(self.thinnest),
            thickest: optional(self.thickest),
            most_cut: self.most_cut.map(|most| MostCut {
                hard: length(most.hard),
                soft: length(most.soft),
                last: optional(most.last),
            }),
            jog: optional(self.jog),
            kiss: self.kiss,
            feed_per_minute: optional(self.feed_per_minute),
            roller_spacing: optional(self.roller_spacing),
        }
    }
}

impl Tool<Written> {
    fn resolve(self, unit: Unit) -> Tool {
        let length = |written: Written| written.length(unit);
        let optional = |written: Option<Written>| written.map(length);
        Tool {
            about: self.about,
            kerf: optional(self.kerf),
            plate: optional(self.plate),
            gullet: optional(self.gullet),
            diameter: optional(self.diameter),
            grit: self.grit,
            most: optional(self.most),
            need: optional(self.need),
            cuts_fat: self.cuts_fat.map(|offsets| match offsets {
                ScaleOffsets::Sizing(offset) => ScaleOffsets::Sizing(length(offset)),
                ScaleOffsets::PerScale(offsets) => ScaleOffsets::PerScale(
                    offsets.into_iter().map(|(scale, offset)| (scale, length(offset))).collect(),
                ),
            }),
        }
    }
}
